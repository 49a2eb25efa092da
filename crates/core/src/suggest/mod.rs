//! A job made from what programs say of themselves.
//!
//! Titles, comments on tools and allowances, T words, work offsets and the motion itself are read as a machinist would
//! read them; what nothing says is taken as usual. All of it is a suggestion: whatever the metal depends on stands in
//! the job's `to_confirm` with what it rests on, until a person confirms it. Where two programs say different things
//! of one tool, the first stands and the other is told against it.

mod blank;
mod claim;
mod cutter;
mod form;
mod order;
mod phrase;
mod program;
mod reading;
mod role;
mod table;
mod text;
mod tools;

use std::sync::Arc;

pub use blank::{box_round, closed, rectangle};
pub use table::table;

use crate::job::{Basis, Blank, Job, Part, Pass, PathSource, ToConfirm};
use crate::program::Zero;
use crate::program::{Program, Settings};
use crate::task::{Cancelled, Task};
use crate::tool::Form;
use crate::units::Units;
use claim::Claim;
use program::Told;
use text::Text;

/// A program as it was given.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// Its file name, as the job is to name it.
    pub file: &'a str,
    /// Its text.
    pub text: &'a [u8],
}

/// A job as the programs suggest it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggested {
    /// The job; what of it was suggested stands in its `to_confirm`.
    pub job: Job,
    /// For each pass, which of the given programs it runs.
    pub order: Vec<usize>,
    /// For each pass, what its name rests on.
    pub names: Vec<Basis>,
    /// What the unit rests on.
    pub units: Basis,
    /// For each pass, its program as read in the job's unit.
    pub programs: Vec<Arc<Program>>,
    /// What else a person should know, as sentences.
    pub notes: Vec<String>,
}

/// How much larger than all that is swept the blank is taken: enough that every cut has metal.
pub fn usual_margin(units: Units) -> f64 {
    units.pick(0.1, 2.5)
}

/// Suggests a job for these programs; `units` where the person has said it. Where no program states one, it is inches.
///
/// # Errors
/// That the work was stopped.
pub fn read(given: &[Given<'_>], units: Option<Units>, task: Task<'_>) -> Result<Suggested, Cancelled> {
    let texts: Vec<Text> = given.iter().map(|given| Text::of(given.text)).collect();
    let (units, units_from, units_entry) = units_of(given, &texts, units);
    let mut told = Vec::with_capacity(given.len());
    for (given, text) in given.iter().zip(texts) {
        let program = crate::program::read(given.text, &Settings::new(units), task)?;
        told.push(Told::new(given.file, text, program, units));
    }
    let mut making = Making { units, notes: Vec::new(), to_confirm: units_entry.into_iter().collect() };
    let order = making.order(&told);
    let told: Vec<&Told<'_>> = order.iter().filter_map(|index| told.get(*index)).collect();
    let (mut job, names) = making.job(&told);
    job.to_confirm = making.to_confirm;
    let programs = told.iter().map(|told| Arc::new(told.program.clone())).collect();
    Ok(Suggested { job, order, names, units: units_from, programs, notes: making.notes })
}

/// The order in which the programs run, told without following them.
pub fn order_of(given: &[Given<'_>]) -> Vec<usize> {
    let texts: Vec<Text> = given.iter().map(|given| Text::of(given.text)).collect();
    let all: Vec<(&str, &Text)> = given.iter().zip(&texts).map(|(given, text)| (given.file, text)).collect();
    order::order(&all).0
}

/// The job's unit, what it rests on, and whether that must be confirmed.
fn units_of(given: &[Given<'_>], texts: &[Text], stated: Option<Units>) -> (Units, Basis, Option<ToConfirm>) {
    let said: Vec<(usize, Units)> = texts
        .iter()
        .enumerate()
        .filter_map(|(index, text)| Some((index, program::own_units(text)?)))
        .collect();
    let first = said.first().and_then(|(index, units)| {
        Some((*units, texts[*index].units.as_ref()?.basis(given.get(*index)?.file)))
    });
    let silent: Vec<&str> = given
        .iter()
        .zip(texts)
        .filter(|(_, text)| text.units.is_none())
        .map(|(given, _)| given.file)
        .collect();
    let (units, from) = match (stated, first) {
        (Some(stated), Some((units, from))) if stated == units => (stated, from),
        (Some(stated), _) => (stated, Basis::Person),
        (None, Some(first)) => first,
        (None, None) => (Units::Inch, Basis::Usual),
    };
    // A program that states no unit is read in the job's: then it matters which that is.
    let open = !silent.is_empty() && stated.is_none();
    let entry = open.then(|| ToConfirm {
        note: Some(format!("{} no unit.", listed(&silent, "states", "state"))),
        ..ToConfirm::new(Part::Job("units"), from.clone())
    });
    (units, from, entry)
}

/// `a.nc and b.nc state`.
fn listed(files: &[&str], one: &str, more: &str) -> String {
    match files {
        [] => String::new(),
        [file] => format!("{file} {one}"),
        [most @ .., last] => format!("{} and {last} {more}", most.join(", ")),
    }
}

struct Making {
    units: Units,
    notes: Vec<String>,
    to_confirm: Vec<ToConfirm>,
}

impl Making {
    fn job(&mut self, told: &[&Told<'_>]) -> (Job, Vec<Basis>) {
        let (tools, numbers) = self.tools(told);
        let (job_name, mut names) = order::names(told);
        let mut passes: Vec<Pass> = Vec::new();
        for ((told, number), name) in told.iter().zip(numbers).zip(&mut names) {
            let form = tools.iter().find(|tool| tool.number == number.value).map(|tool| &tool.form);
            let pass = self.pass(told, &number, form, unique(&passes, &name.value, told.file));
            passes.push(pass);
        }
        let mut job = Job { name: job_name, tools, passes, ..Job::empty(self.units) };
        self.zeros(told, &job.passes);
        self.blank(&mut job, told);
        self.outline(&mut job);
        (job, names.into_iter().map(|name| name.from).collect())
    }

    fn pass(&mut self, told: &Told<'_>, number: &Claim<u32>, form: Option<&Form>, name: String) -> Pass {
        let by_side = matches!(form, Some(Form::Flat { .. } | Form::Ball { .. } | Form::Bull { .. }));
        let of_pass = |key| Part::Pass(name.clone(), key);
        let several = told.tools().len();
        let note = (several > 1).then(|| {
            format!("{} calls {several} tools, but a pass has one: split it, a program a tool.", told.file)
        });
        self.to_confirm.push(number.entry(of_pass("tool"), note));
        let allowance = told.allowance(by_side);
        if let Some(claim) = &allowance {
            self.to_confirm.push(claim.entry(of_pass("allowance"), None));
        }
        self.notes.extend(told.no_allowance());
        let bottom = told.bottom();
        if let Some(claim) = &bottom {
            let note = told.program.unproven.then(|| {
                "The program could not be followed to its end: look at its findings first.".to_owned()
            });
            self.to_confirm.push(claim.entry(of_pass("bottom"), note));
        }
        Pass {
            program: told.file.to_owned(),
            tool: number.value,
            does: None,
            allowance: allowance.map(|claim| claim.value),
            bottom: bottom.map(|claim| claim.value),
            zero: Zero::default(),
            measured: Vec::new(),
            name,
        }
    }

    /// Every program is taken to have the block's own zero; where they call several offsets, that can hardly be.
    fn zeros(&mut self, told: &[&Told<'_>], passes: &[Pass]) {
        let used = |told: &Told<'_>| {
            let mut words: Vec<String> = Vec::new();
            for zero in &told.text.zeros {
                if !words.contains(&zero.word) {
                    words.push(zero.word.clone());
                }
            }
            words
        };
        let all: Vec<Vec<String>> = told.iter().map(|told| used(told)).collect();
        let mut every: Vec<String> = all.iter().flatten().cloned().collect();
        every.sort();
        every.dedup();
        for ((told, pass), words) in told.iter().zip(passes).zip(&all) {
            let from = told.text.zeros.first().map_or(Basis::Usual, |zero| zero.basis(told.file));
            let note = match (&words[..], every.len()) {
                ([_, _, ..], _) => {
                    Some(format!("It calls {}, and a pass has one zero.", words.join(" and ")))
                }
                ([one], 2..) => {
                    Some(format!("It calls {one}; other programs call another zero, which lies elsewhere."))
                }
                _ => None,
            };
            let notes: Vec<String> = note.into_iter().chain(told.zero_said()).collect();
            let note = (!notes.is_empty()).then(|| notes.join(" "));
            let entry = ToConfirm::new(Part::Pass(pass.name.clone(), "zero"), from);
            self.to_confirm.push(ToConfirm { note, ..entry });
        }
    }

    fn blank(&mut self, job: &mut Job, told: &[&Told<'_>]) {
        let units = self.units;
        let lowest = told.iter().filter_map(|told| blank::lowest_feed(&told.program.motions));
        let lowest = lowest.map(|(z, _)| z).fold(f64::INFINITY, f64::min);
        // To the tool's full exactness, so that sums of decimals do not show their tails.
        let exactness = units.pick(1e4, 1e3);
        let depth = if lowest.is_finite() { (-lowest * exactness).round() / exactness } else { 0.0 };
        let thickness = if depth > 0.0 { depth } else { units.pick(1.0, 25.0) };
        let margin = usual_margin(units);
        let programs: Vec<&Program> = told.iter().map(|told| &told.program).collect();
        match box_round(job, &programs, (0.0, margin)) {
            Ok(edge) => {
                let material = self.material(told);
                let thickness = thickness.max(margin);
                let edge = PathSource::Vertices(edge);
                job.blank = Some(Blank { edge, top: 0.0, thickness, material, at: None });
                let note = format!(
                    "It is {} larger all around, its top at 0, as thick as the deepest cut.",
                    units.plain_with_unit(margin)
                );
                let entry = ToConfirm::new(Part::Job("blank"), Basis::Paths);
                self.to_confirm.push(ToConfirm { note: Some(note), ..entry });
            }
            Err(why) => self.notes.push(format!("No blank is suggested: {why}.")),
        }
    }

    fn material(&mut self, told: &[&Told<'_>]) -> Option<String> {
        let mut material: Option<Claim<String>> = None;
        for claim in told.iter().filter_map(|told| told.material()) {
            claim::hear(&mut material, claim.value, &claim.from, |a, b| a == b);
        }
        let claim = material?;
        self.to_confirm.push(claim.entry(Part::Job("material"), None));
        Some(claim.value)
    }

    /// The outline is what the last pass that finishes it goes along.
    fn outline(&mut self, job: &mut Job) {
        let by_side = |pass: &&Pass| {
            let form = job.tools.iter().find(|tool| tool.number == pass.tool).map(|tool| &tool.form);
            matches!(form, Some(Form::Flat { .. } | Form::Ball { .. } | Form::Bull { .. }))
        };
        let finish = job.passes.iter().rfind(|pass| pass.allowance == Some(0.0) && by_side(pass));
        let Some(name) = finish.map(|pass| pass.name.clone()) else { return };
        let is_it = |entry: &&ToConfirm| entry.part == Part::Pass(name.clone(), "allowance");
        let from = self.to_confirm.iter().find(is_it).map_or(Basis::Usual, |entry| entry.from.clone());
        let note = format!("It is the path of pass \"{name}\", moved in by the radius of its tool.");
        self.to_confirm.push(ToConfirm { note: Some(note), ..ToConfirm::new(Part::Job("outline"), from) });
        job.outline = Some(PathSource::FromPass(name));
    }
}

/// Paths alone, where nothing of the programs has been read: a pass each, with a tool that is only a guess.
pub fn paths_of(files: &[&str], units: Units) -> Job {
    let tool = form::Sayings::default().tool(1, units).0;
    let mut job = Job { tools: vec![tool], ..Job::empty(units) };
    for file in files {
        let name = unique(&job.passes, stem(file), file);
        job.passes.push(Pass {
            name,
            program: (*file).to_owned(),
            tool: 1,
            does: None,
            allowance: None,
            bottom: None,
            zero: Zero::default(),
            measured: Vec::new(),
        });
    }
    job
}

/// A name that no pass has yet.
fn unique(passes: &[Pass], name: &str, file: &str) -> String {
    let taken = |name: &str| passes.iter().any(|pass| pass.name == name);
    if !taken(name) {
        return name.to_owned();
    }
    let with_file = format!("{name} ({})", stem(file));
    let more = (2..).map(|count| format!("{with_file} {count}"));
    std::iter::once(with_file.clone()).chain(more).find(|name| !taken(name)).unwrap_or(with_file)
}

/// The file name without folders and without its ending.
fn stem(file: &str) -> &str {
    let name = file.trim().rsplit(['/', '\\']).next().unwrap_or_default();
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}
