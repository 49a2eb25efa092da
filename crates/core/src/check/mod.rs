//! Findings from what was followed and measured. Every border is a named tolerance or a limit of the job.

mod air;
mod contact;
mod control;
mod depth;
mod drawing;
mod finished;
mod keep_clear;
mod land;
mod loose;
mod metal;
mod outline;
mod partly;
mod program;
mod reach;
mod speed;
mod too_wide;
mod travel;
mod unconfirmed;
mod under;
mod zeros;

use std::fmt::Write as _;

use crate::block::flutes_end;
use crate::finding::{Asks, Code, Finding, Severity};
use crate::fit::Fitting;
use crate::geometry::Path;
use crate::job::{Does, Job, Pass};
use crate::measure::BlankProof;
use crate::program::advice::{self, RunPass};
use crate::proof::PassProof;
use crate::tolerance::Tolerances;
use crate::tool::Tool;
use crate::units::Told;
use crate::wall::Proud;
pub(crate) use drawing::FromFile;

/// Most findings of one code for one pass; the last one says how many more there are.
const MOST_OF_A_KIND: usize = 12;

/// One pass with all that the checks look at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PassCheck<'a> {
    pub(crate) job: &'a Job,
    /// How lengths are told in messages.
    pub(crate) told: Told,
    pub(crate) index: usize,
    pub(crate) pass: &'a Pass,
    pub(crate) tool: &'a Tool,
    pub(crate) proof: &'a PassProof,
    pub(crate) later: &'a [PassProof],
    /// The height at which stock left is measured.
    pub(crate) gauge: Option<f64>,
    pub(crate) tolerances: &'a Tolerances,
    pub(crate) outline: Option<&'a Path>,
}

impl PassCheck<'_> {
    /// A length with its unit.
    pub(crate) fn length(&self, value: f64) -> String {
        self.told.fine_with_unit(value)
    }

    /// `Pass 2` as people call it.
    pub(crate) fn title(&self) -> String {
        format!("Pass {}", self.index + 1)
    }
}

/// The outline, and how it lies on the blank.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lies<'a> {
    /// How lengths are told in messages.
    pub(crate) told: Told,
    pub(crate) outline: Option<&'a Path>,
    /// The height at which stock left is measured.
    pub(crate) gauge: Option<f64>,
    pub(crate) blank: Option<&'a BlankProof>,
    pub(crate) fit: Option<&'a Fitting>,
    /// What stands out from the wall at another height.
    pub(crate) proud: Option<Proud>,
}

/// Every finding of a job, pass by pass. `drawings` are the paths that came from files.
pub(crate) fn findings(
    job: &Job,
    drawings: &[FromFile],
    passes: &[PassProof],
    lies: &Lies<'_>,
    tolerances: &Tolerances,
) -> Vec<Finding> {
    let mut all = left_out(job);
    all.extend(unconfirmed::finding(job));
    all.extend(
        drawings.iter().flat_map(|drawing| drawing::findings((lies.told, lies.gauge), drawing, tolerances)),
    );
    if let (Some(blank), Some(outline)) = (lies.blank, lies.outline) {
        all.extend(outline::blank_short((job, lies.told), (blank, outline), lies.fit, tolerances));
    }
    let mut partial = false;
    for (index, (pass, proof)) in job.passes.iter().zip(passes).enumerate() {
        let Some(tool) = job.tool(pass.tool) else { continue };
        let later = &passes[index + 1..];
        let check = PassCheck {
            job,
            told: lies.told,
            index,
            pass,
            tool,
            proof,
            later,
            gauge: lies.gauge,
            tolerances,
            outline: lies.outline,
        };
        let mut found = depth::findings(&check);
        found.extend(finished::findings(&check));
        found.extend(metal::findings(&check));
        found.extend(loose::findings(&check));
        found.extend(reach::findings(&check));
        found.extend(keep_clear::findings(&check));
        found.extend(under::findings(&check));
        found.extend(travel::findings(&check));
        found.extend(speed::findings(&check));
        found.extend(outline::findings(&check));
        found.extend(too_wide::findings(&check, lies.outline));
        partial |= contact::is_partial(&check);
        let uneven = land::findings(&check, partial);
        // What the edge has makes the land uneven as well, and is told once.
        partial |= !uneven.is_empty();
        found.extend(uneven);
        found.extend(not_held(&check));
        if last_held(job) == Some(index) {
            found.extend(outline::metal_left(&check));
            found.extend(lies.proud.and_then(|proud| outline::proud(&check, &proud)));
        }
        let mut found = partly::marked(proof, found);
        found.splice(0..0, air::same_as_air_pass(&check, passes));
        found.splice(0..0, program::findings(&check));
        all.extend(capped(found).into_iter().map(|finding| finding.of_pass(index)));
    }
    all.extend(across(job, passes));
    all.extend(zeros::findings(job, passes, lies, tolerances));
    all.extend(program::called_without_change(job, passes));
    // What must be acted on comes first; within a weight, the order of the passes stays.
    all.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    all
}

/// A profile pass along the outline that nothing is held against, with no later one that is: the block might come out to any
/// size.
fn not_held(check: &PassCheck<'_>) -> Option<Finding> {
    let profiles = |proof: &PassProof| {
        let profile = proof.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Profile);
        profile && proof.along_outline.is_some()
    };
    let is_last =
        !check.later.iter().any(profiles) && last_held(check.job).is_none_or(|last| last < check.index);
    (profiles(check.proof) && is_last && check.pass.allowance.is_none()).then(|| {
        let message = format!(
            "{} has no allowance, and no later pass has one: the stock it leaves is shown but not judged. Give its \
             allowance in the job, 0 for a finish.",
            check.title()
        );
        Finding::new(Code::NotChecked, Severity::Note, message)
    })
}

/// The last pass that is held against the outline.
pub(crate) fn last_held(job: &Job) -> Option<usize> {
    job.passes.iter().rposition(|pass| pass.allowance.is_some())
}

/// What shows when the programs of a job are laid side by side.
fn across(job: &Job, passes: &[PassProof]) -> Vec<Finding> {
    let run = job.passes.iter().zip(passes).enumerate();
    let passes: Vec<RunPass<'_>> = run
        .map(|(index, (pass, proof))| RunPass {
            index,
            file: &pass.program,
            zero: pass.zero,
            program: &proof.program,
        })
        .collect();
    advice::across(&passes)
}

/// What the job does not say, and what therefore could not be checked.
fn left_out(job: &Job) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut missing = |there: bool, asks: Option<Asks>, message: &str| {
        if !there {
            let finding = Finding::new(Code::NotChecked, Severity::Note, message);
            found.push(asks.map_or(finding.clone(), |asks| finding.asking(asks)));
        }
    };
    missing(!job.passes.is_empty(), None, "The job has no passes: there is nothing to check.");
    missing(
        job.blank.is_some(),
        Some(Asks::Blank),
        "The job has no blank: nothing is removed, and no cut or contact is measured.",
    );
    missing(
        job.outline.is_some(),
        Some(Asks::Outline),
        "The job has no outline: stock left and contact along it are not measured.",
    );
    missing(
        job.bed_top.is_some(),
        Some(Asks::Bed),
        "The job gives no top of the bed: cutting into it is not checked.",
    );
    let contact = job.contact.as_ref();
    missing(
        contact.is_some(),
        Some(Asks::Contact),
        "The job gives no contact limits: light and heavy cuts are not told apart.",
    );
    let rapid = job.machine.as_ref().and_then(|machine| machine.rapid);
    missing(
        rapid.is_some(),
        Some(Asks::Rapid),
        "The job gives no rapid speed: times are those of the feed motions alone.",
    );
    missing(
        travel::left_out(job).is_none(),
        Some(Asks::WorkOffset(0)),
        travel::left_out(job).unwrap_or_default(),
    );
    if let Some(message) = short_of(job) {
        let finding = Finding::new(Code::NotChecked, Severity::Note, message);
        found.push(short_tools(job).map(|tool| Asks::Tool(tool.number)).fold(finding, Finding::asking));
    }
    if !gauge_in_blank(job) {
        let message = "The gauge height lies outside the blank: stock left, cut and contact are not measured. Give one \
                       between its faces.";
        found.push(Finding::new(Code::NotChecked, Severity::Look, message).asking(Asks::Gauge));
    }
    found
}

/// The tools that passes use without their lengths being said.
fn short_tools(job: &Job) -> impl Iterator<Item = &Tool> {
    let used = |tool: &&Tool| job.passes.iter().any(|pass| pass.tool == tool.number);
    let known =
        |tool: &Tool| flutes_end(tool).is_some() && tool.holder_diameter.is_some() && tool.stickout.is_some();
    job.all_tools().filter(used).filter(move |tool| !known(tool))
}

/// What is not said of the tools that the passes use.
fn short_of(job: &Job) -> Option<String> {
    let tools: Vec<String> = short_tools(job).map(|tool| tool.number.to_string()).collect();
    (job.blank.is_some() && !tools.is_empty()).then(|| {
        format!(
            "The job does not give flute length, stickout and holder diameter of {} {}: whether metal stands past the \
             flutes, or meets shank or holder, is not checked as far as they are missing.",
            if tools.len() > 1 { "tools" } else { "tool" },
            tools.join(", ")
        )
    })
}

/// Whether the gauge height lies between the faces of the blank, as far as the job has both.
pub(crate) fn gauge_in_blank(job: &Job) -> bool {
    match (&job.blank, job.gauge_height) {
        (Some(blank), Some(gauge)) => gauge < blank.top && gauge > blank.bottom(),
        _ => true,
    }
}

/// At most [`MOST_OF_A_KIND`] of one code, the last one saying how many more there are.
fn capped(found: Vec<Finding>) -> Vec<Finding> {
    let count = |code: Code| found.iter().filter(|finding| finding.code == code).count();
    let totals: Vec<(Code, usize)> = Code::ALL.iter().map(|code| (*code, count(*code))).collect();
    let mut kept: Vec<Finding> = Vec::new();
    for finding in found {
        let so_far = kept.iter().filter(|other| other.code == finding.code).count();
        if so_far >= MOST_OF_A_KIND {
            continue;
        }
        let total = totals.iter().find(|(code, _)| *code == finding.code).map_or(0, |(_, total)| *total);
        let mut finding = finding;
        if so_far + 1 == MOST_OF_A_KIND && total > MOST_OF_A_KIND {
            let _ = write!(finding.message, " ({} more like this.)", total - MOST_OF_A_KIND);
        }
        kept.push(finding);
    }
    kept
}
