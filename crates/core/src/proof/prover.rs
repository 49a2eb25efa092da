//! Running a job through the measures and the checks, keeping what an edit does not touch.

use std::fmt;
use std::sync::Arc;

use super::{AlongOutline, AlongPath, BlankProof, PassProof, Proof, Source, StationRow, Verdict};
use crate::block::{Field, Removal, blank_field, default_cell};
use crate::check;
use crate::finding::{Finding, Severity};
use crate::geometry::{Path, pt};
use crate::job::{Job, PathSource};
use crate::measure::{
    Contact, OutlineMeasure, Row, Swath, along_path, margin, measuring_height, range_of, stretches,
};
use crate::program::{self, Program, Settings, TextLines};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::tool::Form;
use crate::track::Track;

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
}

/// Shared data compared by identity: the same piece, not an equal one.
#[derive(Debug)]
struct Same<T>(Arc<T>);

impl<T> Clone for Same<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// A result kept with what it was made from.
#[derive(Debug)]
struct Kept<K, V> {
    key: K,
    value: Arc<V>,
}

/// Looks a result up by its key, or makes it and keeps it.
fn kept<K: PartialEq, V, E>(
    old: &[Kept<K, V>],
    new: &mut Vec<Kept<K, V>>,
    key: K,
    make: impl FnOnce() -> Result<V, E>,
) -> Result<(Arc<V>, bool), E> {
    let found = new.iter().chain(old).find(|kept| kept.key == key).map(|kept| Arc::clone(&kept.value));
    let (value, fresh) = match found {
        Some(value) => (value, false),
        None => (Arc::new(make()?), true),
    };
    new.push(Kept { key, value: Arc::clone(&value) });
    Ok((value, fresh))
}

type ProgramKey = (Arc<[u8]>, Settings);
type TrackKey = (Same<Program>, crate::job::Zero, Option<f64>);
/// Edge, top, bottom and cell.
type BlankKey = (Same<Path>, f64, f64, f64);
type RemovalKey = (Same<Field>, Vec<(Same<Track>, Form)>);
type SwathKey = (Same<Track>, Form, f64);
type OutlineKey = (Same<Path>, Same<Path>, Vec<(Same<Swath>, bool)>);
type PathKey = (Same<Track>, Form, Same<Path>, Vec<Same<Swath>>, f64);

#[derive(Debug, Default)]
struct Memory {
    texts: Vec<Kept<Arc<[u8]>, TextLines>>,
    programs: Vec<Kept<ProgramKey, Program>>,
    tracks: Vec<Kept<TrackKey, Track>>,
    paths: Vec<Kept<(PathSource, [f64; 3]), Path>>,
    blanks: Vec<Kept<BlankKey, Field>>,
    removals: Vec<Kept<RemovalKey, Removal>>,
    swaths: Vec<Kept<SwathKey, Swath>>,
    outlines: Vec<Kept<OutlineKey, Vec<Row>>>,
    along: Vec<Kept<PathKey, AlongPath>>,
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

/// What is known of one pass before the measures.
struct Prepared {
    program: Arc<Program>,
    text: Arc<TextLines>,
    track: Arc<Track>,
    form: Form,
    held: bool,
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
        let mut passes = self.pass_proofs(&prepared, removals);
        let mut blank_proof = None;
        let mut stations = 0;
        let gauge = self.job.gauge().filter(|_| check::gauge_in_blank(self.job));
        if let (Some(edge), Some(gauge)) = (&edge, gauge) {
            self.along_paths(&prepared, edge, gauge, &mut passes)?;
            if let Some(outline) = &outline {
                (blank_proof, stations) =
                    self.along_outline(&prepared, (outline, edge, gauge), &mut passes)?;
            }
        }
        let findings = check::findings(self.job, &passes, blank_proof.as_ref(), &self.tolerances);
        let verdict = verdict(&passes, self.job, &findings);
        Ok(Proof {
            job: Arc::clone(self.job),
            outline,
            edge,
            stations,
            blank: blank_proof,
            start: start.map(|start| start.as_ref().clone()),
            passes,
            findings: placed_in_plan(findings, self.job, &self.new),
            verdict,
        })
    }

    fn path(
        &mut self,
        source: Option<&PathSource>,
        lie: [f64; 3],
        key: &str,
    ) -> Result<Option<Arc<Path>>, ProveError> {
        let Some(source) = source else { return Ok(None) };
        let vertices = match source {
            PathSource::Vertices(vertices) => vertices,
            PathSource::File { file, .. } => {
                return Err(ProveError::Unusable(format!(
                    "{key}: a path from a drawing ({file}) can't be read yet; write its vertices into the job."
                )));
            }
            PathSource::FromPass(pass) => {
                return Err(ProveError::Unusable(format!(
                    "{key}: a path taken from a pass ({pass}) can't be made yet; write its vertices into the job."
                )));
            }
        };
        let make = || {
            let points: Vec<_> = vertices.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
            let path = Path::closed(&points).ok_or_else(|| {
                ProveError::Unusable(format!("{key}: the path encloses no area; check its vertices."))
            })?;
            Ok::<_, ProveError>(path.placed(pt(lie[0], lie[1]), lie[2].to_radians()))
        };
        Ok(Some(kept(&self.old.paths, &mut self.new.paths, (source.clone(), lie), make)?.0))
    }

    fn prepare(&mut self, source: &Source) -> Result<Vec<Prepared>, ProveError> {
        let mut settings = Settings::for_job(self.job.units, self.job.control.as_ref());
        settings.beside.clone_from(&source.beside.subprograms);
        let rapid = self.job.machine.as_ref().and_then(|machine| machine.rapid);
        let mut prepared = Vec::with_capacity(self.job.passes.len());
        for (index, pass) in self.job.passes.iter().enumerate() {
            let tool = self.job.tool(pass.tool).ok_or_else(|| {
                ProveError::Unusable(format!("pass {}: the job has no tool {}", index + 1, pass.tool))
            })?;
            let bytes = source.programs.get(index).cloned().unwrap_or_default();
            let task = self.task;
            let settings = settings.clone().with_tool(pass.tool);
            let key = (bytes.clone(), settings.clone());
            let (program, fresh) = kept(&self.old.programs, &mut self.new.programs, key, || {
                program::read(&bytes, &settings, task)
            })?;
            self.note(fresh, Stage::Program(index));
            let lines = || Ok::<_, Cancelled>(TextLines::new(bytes.clone()));
            let (text, _) = kept(&self.old.texts, &mut self.new.texts, bytes.clone(), lines)?;
            let follow = self.tolerances.follow;
            let key = (Same(Arc::clone(&program)), pass.zero, rapid);
            let (track, fresh) = kept(&self.old.tracks, &mut self.new.tracks, key, || {
                Ok::<_, Cancelled>(Track::of_program(&program, &pass.zero, rapid, follow))
            })?;
            self.note(fresh, Stage::Track(index));
            let held = pass.allowance.is_some();
            prepared.push(Prepared { program, text, track, form: tool.form.clone(), held });
        }
        Ok(prepared)
    }

    fn note(&mut self, fresh: bool, stage: Stage) {
        if fresh {
            self.worked.push(stage);
        }
    }

    fn blank(
        &mut self,
        edge: Option<&Arc<Path>>,
        options: &Options,
    ) -> Result<Option<Arc<Field>>, ProveError> {
        let (Some(blank), Some(edge)) = (&self.job.blank, edge) else { return Ok(None) };
        let cell = options.cell.unwrap_or_else(|| default_cell(&edge.bounds()));
        let (top, bottom, units) = (blank.top, blank.bottom(), self.job.units);
        let (field, fresh) = kept(
            &self.old.blanks,
            &mut self.new.blanks,
            (Same(Arc::clone(edge)), top, bottom, cell),
            || blank_field(edge, top, bottom, cell, units).map_err(ProveError::Unusable),
        )?;
        self.note(fresh, Stage::Blank);
        Ok(Some(field))
    }

    /// Removal pass after pass, each from the block the one before left. Stops before a form not followed.
    fn removals(
        &mut self,
        start: Option<&Arc<Field>>,
        prepared: &[Prepared],
    ) -> Result<Vec<Option<Arc<Removal>>>, ProveError> {
        let mut removals: Vec<Option<Arc<Removal>>> = Vec::with_capacity(prepared.len());
        let Some(start) = start else { return Ok(vec![None; prepared.len()]) };
        let mut chain = Vec::new();
        for (index, pass) in prepared.iter().enumerate() {
            if !pass.form.is_followed() || (index > 0 && removals[index - 1].is_none()) {
                removals.push(None);
                continue;
            }
            chain.push((Same(Arc::clone(&pass.track)), pass.form.clone()));
            let before = removals.last().and_then(Option::as_ref).map_or(start.as_ref(), |last| last.end());
            let task = self.task;
            let key = (Same(Arc::clone(start)), chain.clone());
            let (removal, fresh) = kept(&self.old.removals, &mut self.new.removals, key, || {
                Removal::run(before, &pass.track, &pass.form, task)
            })?;
            self.note(fresh, Stage::Removal(index));
            removals.push(Some(removal));
        }
        Ok(removals)
    }

    fn pass_proofs(&self, prepared: &[Prepared], removals: Vec<Option<Arc<Removal>>>) -> Vec<PassProof> {
        let passes = prepared.iter().zip(removals).zip(&self.job.passes);
        let proof =
            |((prepared, removal), pass): ((&Prepared, Option<Arc<Removal>>), &crate::job::Pass)| PassProof {
                program: Arc::clone(&prepared.program),
                text: Arc::clone(&prepared.text),
                track: Arc::clone(&prepared.track),
                tool_radius: prepared.form.radius(),
                lowest: prepared.track.lowest().map(|lowest| lowest - pass.zero.origin[2]),
                seconds: (prepared.track.seconds() > 0.0).then(|| prepared.track.seconds()),
                removal,
                along_outline: None,
                along_path: None,
            };
        passes.map(proof).collect()
    }

    fn swath(&mut self, index: usize, pass: &Prepared, height: f64) -> Result<Arc<Swath>, ProveError> {
        let follow = self.tolerances.follow;
        let key = (Same(Arc::clone(&pass.track)), pass.form.clone(), height);
        let (swath, fresh) = kept(&self.old.swaths, &mut self.new.swaths, key, || {
            Ok::<_, Cancelled>(Swath::new(&pass.track, &pass.form, height, follow))
        })?;
        self.note(fresh, Stage::Swath(index));
        Ok(swath)
    }

    fn along_paths(
        &mut self,
        prepared: &[Prepared],
        edge: &Arc<Path>,
        gauge: f64,
        passes: &mut [PassProof],
    ) -> Result<(), ProveError> {
        let top = self.job.blank.as_ref().map_or(0.0, |blank| blank.top);
        for (index, pass) in prepared.iter().enumerate() {
            if passes[index].removal.is_none() {
                break;
            }
            let Some(height) = measuring_height(&pass.track, gauge, top) else { continue };
            let mut swaths = Vec::with_capacity(index + 1);
            for (earlier, other) in prepared[..=index].iter().enumerate() {
                swaths.push(self.swath(earlier, other, height)?);
            }
            let key = (
                Same(Arc::clone(&pass.track)),
                pass.form.clone(),
                Same(Arc::clone(edge)),
                swaths.iter().cloned().map(Same).collect::<Vec<_>>(),
                height,
            );
            let (task, tolerances) = (self.task, self.tolerances);
            let (along, fresh) = kept(&self.old.along, &mut self.new.along, key, || {
                let earlier: Vec<&Swath> = swaths[..index].iter().map(AsRef::as_ref).collect();
                let own = (pass.track.as_ref(), &pass.form, swaths[index].as_ref());
                along_path(own, edge, &earlier, height, &tolerances, task)
            })?;
            self.note(fresh, Stage::Path(index));
            passes[index].along_path = Some(along);
        }
        Ok(())
    }

    fn along_outline(
        &mut self,
        prepared: &[Prepared],
        (outline, edge, gauge): (&Arc<Path>, &Arc<Path>, f64),
        passes: &mut [PassProof],
    ) -> Result<(Option<BlankProof>, usize), ProveError> {
        let followed = passes.iter().take_while(|pass| pass.removal.is_some()).count();
        let mut swaths = Vec::with_capacity(followed);
        for (index, pass) in prepared[..followed].iter().enumerate() {
            swaths.push((self.swath(index, pass, gauge)?, pass.held));
        }
        let key = (
            Same(Arc::clone(outline)),
            Same(Arc::clone(edge)),
            swaths.iter().map(|(swath, held)| (Same(Arc::clone(swath)), *held)).collect::<Vec<_>>(),
        );
        let none =
            swaths.is_empty().then(|| Swath::new(&Track::default(), &Form::Flat { diameter: 1.0 }, 0.0, 1.0));
        let measure = OutlineMeasure {
            outline,
            edge,
            // A job without passes still has a margin: measure it with a pass that sweeps nothing.
            passes: swaths
                .iter()
                .map(|(swath, held)| (swath.as_ref(), *held))
                .chain(none.iter().map(|swath| (swath, false)))
                .collect(),
            tolerances: self.tolerances,
        };
        let task = self.task;
        let (rows, fresh) = kept(&self.old.outlines, &mut self.new.outlines, key, || measure.rows(task))?;
        self.note(fresh, Stage::Outline);
        for (index, pass) in passes[..followed].iter_mut().enumerate() {
            self.task.cancel.check()?;
            pass.along_outline = self.of_pass(&measure, &rows, index).map(Arc::new);
        }
        Ok((margin(&measure, &rows), rows.len()))
    }

    /// The measures of one pass; `None` for a pass without an allowance that never comes near the outline.
    fn of_pass(&self, measure: &OutlineMeasure<'_>, rows: &[Row], pass: usize) -> Option<AlongOutline> {
        let none = self.tolerances.none_below;
        let near = rows.iter().any(|row| row.values[pass].cut() >= none);
        if !near && !measure.passes[pass].1 {
            return None;
        }
        let limits = self.job.contact.as_ref();
        let past = range_of(measure, rows, pass, |values| values.past)?;
        let station_row = |row: &Row| {
            let values = &row.values[pass];
            StationRow {
                station: row.station,
                at: row.place.at,
                outward: row.place.outward,
                before: values.before,
                after: values.after,
                past: values.past,
                by: values.by,
            }
        };
        Some(AlongOutline {
            rows: rows.iter().map(station_row).collect(),
            contact: stretches(measure, rows, pass, |values| Contact::of(values.cut(), limits, none)),
            leave: range_of(measure, rows, pass, |values| values.after)?,
            cut: range_of(measure, rows, pass, crate::measure::Values::cut)?,
            past: (past.most > none).then_some((past.most, past.most_at)),
        })
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

fn verdict(passes: &[PassProof], job: &Job, findings: &[Finding]) -> Verdict {
    let followed = |pass: &crate::job::Pass| job.tool(pass.tool).is_some_and(|tool| tool.form.is_followed());
    if passes.iter().any(|pass| pass.program.unproven) || !job.passes.iter().all(followed) {
        return Verdict::Unproven;
    }
    match findings.iter().map(|finding| finding.severity).max() {
        Some(Severity::Stop) => Verdict::Stop,
        Some(Severity::Look) => Verdict::Look,
        _ => Verdict::Clear,
    }
}
