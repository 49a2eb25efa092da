//! Running a job through the measures and the checks, keeping what an edit does not touch.

mod finer;
mod finished;
mod fit;
mod gauge;
mod load;
mod loose;
mod memory;
mod outline;
mod paths;
mod prepare;
mod slashes;
mod standing;
mod touch;
mod under;
mod wall;

use std::fmt;
use std::sync::Arc;

use crate::check;
use crate::finding::{Finding, Severity};
use crate::geometry::Path;
use crate::job::Job;
use crate::proof::{PassProof, Proof, Source, Verdict};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::units::{Told, Units};
pub use finer::{Finer, FinerCost};
use memory::Memory;
use paths::Paths;

/// What the caller may choose.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Options {
    /// Side of a cell of the heightfield; the default of [`default_cell`] when `None`.
    pub cell: Option<f64>,
    /// For a first look: cells so many times as wide, and nothing measured. Such a proof finds nothing and proves
    /// nothing; its verdict is [`Verdict::Unproven`].
    pub rough: Option<f64>,
    /// The unit that messages are to be told in; the job's own when `None`.
    pub told: Option<Units>,
}

/// Why there is no proof.
#[derive(Debug, Clone, PartialEq)]
pub enum ProveError {
    /// It was asked to stop.
    Cancelled,
    /// The job cannot be used; the message says why and what to do.
    Unusable(String),
}

impl fmt::Display for ProveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Cancelled => write!(f, "{Cancelled}"),
            Self::Unusable(message) => f.write_str(message),
        }
    }
}

impl std::error::Error for ProveError {}

impl From<Cancelled> for ProveError {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}

/// A stage of a proof that was worked out anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Reading the program of this pass.
    Program(usize),
    /// Placing its path.
    Track(usize),
    /// The blank's heightfield.
    Blank,
    /// Removal of metal by this pass.
    Removal(usize),
    /// The area swept by this pass at a height.
    Swath(usize),
    /// Measuring along the outline.
    Outline,
    /// Measuring along the path of this pass.
    Path(usize),
    /// Measuring the load on this pass's cutter.
    Load(usize),
    /// Measuring the wall.
    Wall,
    /// Looking for the best fit on the blank.
    Fit,
}

/// Proves jobs one after another and keeps the stages that an edit does not touch.
#[derive(Debug, Default)]
pub struct Prover {
    old: Memory,
    worked: Vec<Stage>,
}

impl Prover {
    /// A prover that knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The stages that the last proof worked out anew.
    pub fn worked(&self) -> &[Stage] {
        &self.worked
    }

    /// Proves a job. Lines that begin with `/` are run unless the job says otherwise; where that makes a difference and
    /// the job says nothing, what shows with them left out is told as well.
    ///
    /// # Errors
    /// [`ProveError::Cancelled`] when asked to stop; [`ProveError::Unusable`] when a path of the job encloses
    /// nothing, its file cannot be used, or the heightfield would be too large.
    pub fn prove(&mut self, source: &Source, options: &Options, task: Task<'_>) -> Result<Proof, ProveError> {
        let mut run = Run::new(source, options, &self.old, task);
        let outcome = run.prove(source, options);
        let Run { new, worked, .. } = run;
        self.worked = worked;
        if outcome.is_ok() {
            self.old = new;
        }
        self.with_lines_left_out(outcome?, source, options, task)
    }

    /// Proves a variant of the job proven last, from what is kept of that one; of the variant nothing is kept.
    ///
    /// # Errors
    /// As [`Prover::prove`].
    pub fn prove_aside(
        &self,
        source: &Source,
        options: &Options,
        task: Task<'_>,
    ) -> Result<Proof, ProveError> {
        Run::new(source, options, &self.old, task).prove(source, options)
    }
}

struct Run<'a> {
    job: &'a Arc<Job>,
    tolerances: Tolerances,
    told: Told,
    old: &'a Memory,
    new: Memory,
    worked: Vec<Stage>,
    task: Task<'a>,
}

impl<'a> Run<'a> {
    fn new(source: &'a Source, options: &Options, old: &'a Memory, task: Task<'a>) -> Self {
        let tolerances = Tolerances::for_units(source.job.units);
        let told = Told::new(source.job.units, options.told.unwrap_or(source.job.units));
        Self { job: &source.job, tolerances, told, old, new: Memory::default(), worked: Vec::new(), task }
    }
}

impl Run<'_> {
    fn prove(&mut self, source: &Source, options: &Options) -> Result<Proof, ProveError> {
        let prepared = self.prepare(source)?;
        let Paths { outline, edge, from_files, no_outline } = self.paths(&source.beside, &prepared)?;
        let start = self.blank(edge.as_ref(), &prepared, options)?;
        let removals = self.removals(start.as_ref(), &prepared)?;
        let wall_passes = self.wall_passes(&prepared);
        if options.rough.is_some() {
            return Ok(Proof {
                job: Arc::clone(self.job),
                told: self.told,
                outline,
                edge,
                stations: 0,
                gauge: None,
                blank: None,
                fit: None,
                start: start.map(|start| start.as_ref().clone()),
                passes: self.pass_proofs(&prepared, removals),
                wall: None,
                wall_passes,
                findings: Vec::new(),
                verdict: Verdict::Unproven,
            });
        }
        let touches = self.touches(start.as_ref(), &prepared, &removals)?;
        let loose = self.loose(start.as_ref(), outline.as_deref(), &prepared, &removals)?;
        let mut passes = self.pass_proofs(&prepared, removals);
        for (pass, touches) in passes.iter_mut().zip(touches) {
            pass.touches = touches;
        }
        for (pass, loose) in passes.iter_mut().zip(loose) {
            pass.loose = loose;
        }
        self.under_block(outline.as_ref(), &prepared, &mut passes)?;
        let mut blank_proof = None;
        let mut stations = 0;
        let gauge = self.gauge((outline.as_ref(), edge.as_ref()), &wall_passes)?;
        let height = gauge.map(|gauge| gauge.z);
        let gauge_height = height.filter(|_| check::gauge_in_blank(self.job));
        if let Some(edge) = &edge {
            self.along_paths(&prepared, (outline.as_ref(), edge, gauge_height), &mut passes)?;
        }
        load::chip_loads(&prepared, &mut passes);
        if let (Some(edge), Some(gauge), Some(outline)) = (&edge, gauge_height, &outline) {
            (blank_proof, stations) =
                self.along_outline(&prepared, (outline, edge, gauge), &wall_passes, &mut passes)?;
        }
        if let (Some(outline), Some(gauge)) = (&outline, gauge_height) {
            self.tool_reaches(outline, gauge, &prepared, &mut passes)?;
        }
        self.finished(&prepared, (outline.as_ref(), edge.as_ref()), &mut passes)?;
        let fit = self.fit((outline.as_ref(), edge.as_ref()))?;
        let wall = self.wall((outline.as_ref(), edge.as_ref()), &wall_passes, &mut passes)?;
        let proud = match (&outline, &edge, gauge_height) {
            (Some(outline), Some(edge), Some(gauge)) => {
                self.standing((outline, edge, gauge), &wall_passes, &prepared, &passes)?
            }
            _ => None,
        };
        let lies = check::Lies {
            told: self.told,
            outline: outline.as_deref(),
            gauge: height,
            blank: blank_proof.as_ref(),
            fit: fit.as_deref(),
            proud,
        };
        let mut findings = check::findings(self.job, &from_files, &passes, &lies, &self.tolerances);
        findings.extend(no_outline);
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        let verdict = verdict(&passes, &findings);
        let findings = placed_in_plan(findings, height, outline.as_deref());
        Ok(Proof {
            job: Arc::clone(self.job),
            told: self.told,
            outline,
            edge,
            stations,
            gauge,
            blank: blank_proof,
            fit,
            start: start.map(|start| start.as_ref().clone()),
            passes,
            wall,
            wall_passes,
            findings,
            verdict,
        })
    }

    fn note(&mut self, fresh: bool, stage: Stage) {
        if fresh {
            self.worked.push(stage);
        }
    }
}

/// Findings with a station but no place are put on the outline.
fn placed_in_plan(mut findings: Vec<Finding>, gauge: Option<f64>, outline: Option<&Path>) -> Vec<Finding> {
    for finding in &mut findings {
        if let (None, Some(station), Some(outline)) = (finding.at, finding.station, outline) {
            let at = outline.place(station).at;
            finding.at = Some(crate::geometry::pt3(at.x, at.y, gauge.unwrap_or(0.0)));
        }
    }
    findings
}

fn verdict(passes: &[PassProof], findings: &[Finding]) -> Verdict {
    if passes.iter().any(|pass| pass.program.unproven) {
        return Verdict::Unproven;
    }
    match findings.iter().map(|finding| finding.severity).max() {
        Some(Severity::Stop) => Verdict::Stop,
        Some(Severity::Look) => Verdict::Look,
        _ => Verdict::Clear,
    }
}
