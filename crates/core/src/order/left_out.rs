//! Which pass could be left out, because later ones take its metal within the limits.

use std::sync::Arc;

use super::figures::{load, span, volume};
use crate::finding::{Code, Finding, Severity};
use crate::job::{Job, PathSource};
use crate::measure::Contact;
use crate::proof::{PassProof, Proof, Source};
use crate::prover::{Options, ProveError, Prover};
use crate::task::Task;
use crate::tolerance::Tolerances;

/// What becomes of the job without one of its passes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Index of the pass.
    pub pass: usize,
    /// Whether the block comes out the same and no later pass is worse off.
    pub could: bool,
    /// That in a sentence, with what takes its metal, or with why not.
    pub words: String,
}

/// Proves the job without each of its passes in turn. A pass could be left out when the block comes out the same
/// after the last one, and no later pass gets a cut over the heavy limit, a finding of power or of flutes, or any
/// that forbids running it, which it did not have before; nor does one that is not meant to follow the outline come
/// to cut along it.
///
/// # Errors
/// As [`Prover::prove`].
pub fn left_out(
    source: &Source,
    options: &Options,
    prover: &mut Prover,
    task: Task<'_>,
) -> Result<Vec<LeftOut>, ProveError> {
    let count = source.job.passes.len();
    let quiet = Task::quiet(task.cancel);
    let whole = prover.prove(source, options, quiet)?;
    let mut all = Vec::with_capacity(count);
    for pass in 0..count {
        task.tell(&format!("Checking without pass {}", pass + 1), (pass + 1) as f64 / (count + 1) as f64);
        let judged = if let Some(judged) = untouchable(source, &whole, pass) {
            judged
        } else {
            let without = prover.prove_aside(&omitting(source, &whole, pass), options, quiet)?;
            Pair::new(&whole, &without, pass).judge().unwrap_or_else(|judged| judged)
        };
        all.push(judged.told(pass));
    }
    Ok(all)
}

/// What is found of a pass, with the reason.
enum Judged {
    Spare(String),
    Needed(String),
    Unknown(String),
}

impl Judged {
    fn told(self, pass: usize) -> LeftOut {
        let number = pass + 1;
        let (could, words) = match self {
            Self::Spare(words) => (true, format!("Pass {number} alone could be left out: {words}.")),
            Self::Needed(words) => (false, format!("Pass {number} is needed: {words}.")),
            Self::Unknown(words) => (false, format!("Nothing can be said about pass {number}: {words}.")),
        };
        LeftOut { pass, could, words }
    }
}

/// What is found of a pass without leaving it out.
fn untouchable(source: &Source, whole: &Proof, pass: usize) -> Option<Judged> {
    let name = source.job.passes.get(pass).map(|pass| pass.name.as_str());
    if whole.start.is_none() {
        return Some(Judged::Unknown("the job has no blank to cut".to_owned()));
    }
    if let Some(unproven) = whole.passes.iter().position(|pass| pass.program.unproven) {
        return Some(Judged::Unknown(format!("the program of pass {} could not be followed", unproven + 1)));
    }
    match &source.job.outline {
        Some(PathSource::FromPass(own)) if Some(own.as_str()) == name => {
            Some(Judged::Needed("the outline is taken from it".to_owned()))
        }
        _ => None,
    }
}

fn omitting(source: &Source, whole: &Proof, pass: usize) -> Source {
    let mut job = Job::clone(&source.job);
    // Both are measured at one height, also where the job leaves it to be chosen.
    job.gauge_height = whole.gauge.map(|gauge| gauge.z);
    let mut programs = source.programs.clone();
    job.passes.remove(pass);
    if pass < programs.len() {
        programs.remove(pass);
    }
    Source { job: Arc::new(job), programs, beside: source.beside.clone() }
}

/// A job with a pass and without it.
struct Pair<'a> {
    whole: &'a Proof,
    without: &'a Proof,
    left_out: usize,
    tolerances: Tolerances,
}

impl<'a> Pair<'a> {
    fn new(whole: &'a Proof, without: &'a Proof, left_out: usize) -> Self {
        Self { whole, without, left_out, tolerances: Tolerances::for_units(whole.job.units) }
    }

    /// What takes the pass's metal, or why it has to stay.
    fn judge(&self) -> Result<Judged, Judged> {
        self.comes_out_the_same().map_err(Judged::Needed)?;
        let mut takers = Vec::new();
        for pass in self.left_out + 1..self.whole.passes.len() {
            let (Some(before), Some(after)) =
                (self.whole.passes.get(pass), self.without.passes.get(pass - 1))
            else {
                continue;
            };
            self.worse_off(pass, before, after).map_err(Judged::Needed)?;
            takers.extend(self.takes(pass, before, after).map_err(Judged::Unknown)?);
        }
        let nothing = "nothing is missed without it".to_owned();
        Ok(Judged::Spare(if takers.is_empty() { nothing } else { takers.join("; ") }))
    }

    /// Whether the block is the same after the last pass.
    fn comes_out_the_same(&self) -> Result<(), String> {
        let units = self.whole.told;
        let own = self.whole.passes.get(self.left_out).map_or(0.0, removed);
        let standing = end_volume(self.without) - end_volume(self.whole);
        let last =
            |proof: &'a Proof| proof.passes.iter().rev().find_map(|pass| pass.along_outline.as_deref());
        let apart = match (last(self.whole), last(self.without)) {
            (Some(with), Some(without)) => {
                (without.leave.most - with.leave.most).max(without.leave.least - with.leave.least)
            }
            (Some(_), None) => f64::INFINITY,
            _ => 0.0,
        };
        if standing <= own * self.tolerances.left_out_volume && apart <= self.tolerances.none_below {
            return Ok(());
        }
        let thick = if apart > self.tolerances.none_below && apart.is_finite() {
            format!(", up to {} of it along the outline", units.fine_with_unit(apart))
        } else {
            String::new()
        };
        Err(format!(
            "without it {} is left standing after the last pass{thick}",
            volume(units, standing.max(0.0))
        ))
    }

    /// Whether a later pass bears what it did not have to bear before.
    fn worse_off(&self, pass: usize, before: &PassProof, after: &PassProof) -> Result<(), String> {
        let (name, units) = (pass + 1, self.whole.told);
        if let Some(heavy) = self.whole.job.contact.and_then(|limits| limits.heavy_above) {
            let more = match (heavy_length(before), heavy_length(after)) {
                (Some(with), Some(without)) => without > with + self.tolerances.stretch_least,
                // A pass that does not follow the outline is judged along its own path.
                _ => path_cut(before) <= heavy && path_cut(after) > heavy + self.tolerances.none_below,
            };
            if more {
                let most =
                    after.along_outline.as_ref().map_or_else(|| path_cut(after), |along| along.cut.most);
                let (most, heavy) = (units.fine(most), units.fine_with_unit(heavy));
                return Err(format!("without it pass {name} takes up to {most}, over the limit of {heavy}"));
            }
        }
        let meant = self.whole.job.passes.get(pass).is_some_and(|pass| pass.allowance.is_some());
        let (with, without) = (outline_cut(before), outline_cut(after));
        if !meant && with < self.tolerances.none_below && without >= self.tolerances.none_below {
            let most = units.fine_with_unit(without);
            return Err(format!(
                "without it pass {name} cuts along the outline, up to {most}, where it is not meant to cut"
            ));
        }
        let grave = |finding: &&Finding| {
            finding.severity == Severity::Stop
                || matches!(finding.code, Code::HeavyCut | Code::OverPower | Code::PastFlutes)
        };
        let of = |proof: &'a Proof, pass: usize| {
            proof.findings.iter().filter(move |finding| finding.pass == Some(pass)).filter(grave)
        };
        for finding in of(self.without, pass - 1) {
            let count =
                |all: &mut dyn Iterator<Item = &Finding>| all.filter(|f| f.code == finding.code).count();
            if count(&mut of(self.without, pass - 1)) > count(&mut of(self.whole, pass)) {
                let message = finding.message.trim_end_matches('.');
                return Err(format!("without it there is another finding in pass {name}: {message}"));
            }
        }
        Ok(())
    }

    /// What a later pass takes in its stead, in words; `None` when it takes no more than before.
    fn takes(&self, pass: usize, before: &PassProof, after: &PassProof) -> Result<Option<String>, String> {
        let (name, units) = (pass + 1, self.whole.told);
        let more = removed(after) - removed(before);
        let own = self.whole.passes.get(self.left_out).map_or(0.0, removed);
        if more <= own * self.tolerances.left_out_volume {
            return Ok(None);
        }
        let limits = self.whole.job.contact;
        let Some(heavy) = limits.and_then(|limits| limits.heavy_above) else {
            let why = "as far as is known: the job has no heavy-cut limit to hold later cuts against";
            return Err(why.to_owned());
        };
        let Some(along) = &after.along_outline else {
            let most = load(units, after.rate_most, after.power_most);
            let most = after.rate_most.map_or(String::new(), |_| format!(", {most} at the most"));
            return Ok(Some(format!("pass {name} then takes {} more{most}", volume(units, more))));
        };
        let light = limits.and_then(|limits| limits.light_below).unwrap_or(0.0);
        let held = if along.cut.least >= light {
            "inside its limits".to_owned()
        } else {
            format!("not over its limit of {}", units.fine_with_unit(heavy))
        };
        let cut = span(units, &along.cut);
        Ok(Some(format!("pass {name} then takes {cut} {}, {held}", units.short())))
    }
}

fn removed(pass: &PassProof) -> f64 {
    pass.removal.as_ref().map_or(0.0, |removal| removal.volume())
}

/// Volume of the block after the last pass.
fn end_volume(proof: &Proof) -> f64 {
    let end = proof.passes.last().and_then(|last| last.removal.as_deref()).map(crate::block::Removal::end);
    end.or(proof.start.as_ref()).map_or(0.0, crate::block::Field::volume)
}

fn heavy_length(pass: &PassProof) -> Option<f64> {
    pass.contact_length(Contact::Heavy)
}

/// The thickest cut along the outline.
fn outline_cut(pass: &PassProof) -> f64 {
    pass.along_outline.as_ref().map_or(0.0, |along| along.cut.most)
}

/// The thickest cut along the tool's own path.
fn path_cut(pass: &PassProof) -> f64 {
    let rows = pass.along_path.as_ref().map(|along| along.rows.as_slice()).unwrap_or_default();
    rows.iter().map(|row| row.cut).fold(0.0, f64::max)
}
