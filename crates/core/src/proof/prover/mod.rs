//! Running a job through the measures and the checks, keeping what an edit does not touch.

mod load;
mod memory;
mod outline;
mod prepare;
mod touch;
mod wall;

use std::fmt;
use std::sync::Arc;

use super::{PassProof, Proof, Source, Verdict};
use crate::check;
use crate::finding::{Finding, Severity};
use crate::job::Job;
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use memory::Memory;

/// What the caller may choose.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Options {
    /// Side of a cell of the heightfield; the default of [`default_cell`] when `None`.
    pub cell: Option<f64>,
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

    /// Proves a job.
    ///
    /// # Errors
    /// [`ProveError::Cancelled`] when asked to stop; [`ProveError::Unusable`] when a path of the job encloses
    /// nothing, is in a file, or the heightfield would be too large.
    pub fn prove(&mut self, source: &Source, options: &Options, task: Task<'_>) -> Result<Proof, ProveError> {
        let mut run = Run {
            job: &source.job,
            tolerances: Tolerances::for_units(source.job.units),
            old: &self.old,
            new: Memory::default(),
            worked: Vec::new(),
            task,
        };
        let outcome = run.prove(source, options);
        let Run { new, worked, .. } = run;
        self.worked = worked;
        if outcome.is_ok() {
            self.old = new;
        }
        outcome
    }
}

struct Run<'a> {
    job: &'a Arc<Job>,
    tolerances: Tolerances,
    old: &'a Memory,
    new: Memory,
    worked: Vec<Stage>,
    task: Task<'a>,
}

impl Run<'_> {
    fn prove(&mut self, source: &Source, options: &Options) -> Result<Proof, ProveError> {
        let outline = self.path(self.job.outline.as_ref(), [0.0; 3], "outline")?;
        let blank = self.job.blank.as_ref();
        let lie = blank.and_then(|blank| blank.at).unwrap_or([0.0; 3]);
        let edge = self.path(blank.map(|blank| &blank.edge), lie, "blank.edge")?;
        let prepared = self.prepare(source)?;
        let start = self.blank(edge.as_ref(), options)?;
        let removals = self.removals(start.as_ref(), &prepared)?;
        let touches = self.touches(start.as_ref(), &prepared, &removals)?;
        let mut passes = self.pass_proofs(&prepared, removals);
        for (pass, touches) in passes.iter_mut().zip(touches) {
            pass.touches = touches;
        }
        let mut blank_proof = None;
        let mut stations = 0;
        let gauge = self.job.gauge().filter(|_| check::gauge_in_blank(self.job));
        if let Some(edge) = &edge {
            self.along_paths(&prepared, (edge, gauge), &mut passes)?;
        }
        load::chip_loads(&prepared, &mut passes);
        if let (Some(edge), Some(gauge), Some(outline)) = (&edge, gauge, &outline) {
            (blank_proof, stations) = self.along_outline(&prepared, (outline, edge, gauge), &mut passes)?;
        }
        let wall_passes = self.wall_passes(&prepared);
        let wall = self.wall((outline.as_ref(), edge.as_ref()), &wall_passes, &mut passes)?;
        let findings = check::findings(self.job, &passes, blank_proof.as_ref(), &self.tolerances);
        let verdict = verdict(&passes, &findings);
        Ok(Proof {
            job: Arc::clone(self.job),
            outline,
            edge,
            stations,
            blank: blank_proof,
            start: start.map(|start| start.as_ref().clone()),
            passes,
            wall,
            wall_passes,
            findings: placed_in_plan(findings, self.job, &self.new),
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
fn placed_in_plan(mut findings: Vec<Finding>, job: &Job, memory: &Memory) -> Vec<Finding> {
    let outline = job.outline.as_ref().and_then(|outline| {
        memory.paths.iter().find(|kept| kept.key.0 == *outline).map(|kept| Arc::clone(&kept.value))
    });
    for finding in &mut findings {
        if let (None, Some(station), Some(outline)) = (finding.at, finding.station, &outline) {
            let at = outline.place(station).at;
            finding.at = Some(crate::geometry::pt3(at.x, at.y, job.gauge().unwrap_or(0.0)));
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
