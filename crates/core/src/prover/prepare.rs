//! What comes before the measures: programs, tracks, and the removal of metal.

use std::sync::Arc;

use super::memory::{Same, kept};
use super::{Options, ProveError, Run, Stage};
use crate::block::{Field, Removal, blank_field, coarsest_cell, default_cell};
use crate::geometry::{Bounds, Path};
use crate::limits::JOB_MOTIONS;
use crate::program::{self, Program, Settings, TextLines};
use crate::proof::{PassProof, Source};
use crate::task::Cancelled;
use crate::tool::Form;
use crate::track::Track;
use crate::units::digits;

/// What is known of one pass before the measures.
pub(super) struct Prepared {
    pub(super) program: Arc<Program>,
    pub(super) text: Arc<TextLines>,
    pub(super) track: Arc<Track>,
    pub(super) form: Form,
    pub(super) flutes: Option<u32>,
    pub(super) held: bool,
}

impl Run<'_> {
    pub(super) fn prepare(&mut self, source: &Source) -> Result<Vec<Prepared>, ProveError> {
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
            let above = self.job.highest();
            let key = (Same(Arc::clone(&program)), pass.zero, rapid, above);
            let (track, fresh) = kept(&self.old.tracks, &mut self.new.tracks, key, || {
                Ok::<_, Cancelled>(Track::of_program(&program, &pass.zero, rapid, follow, above))
            })?;
            self.note(fresh, Stage::Track(index));
            let held = pass.allowance.is_some();
            prepared.push(Prepared {
                program,
                text,
                track,
                form: tool.form.clone(),
                flutes: tool.flutes,
                held,
            });
            let motions: usize = prepared.iter().map(|pass: &Prepared| pass.program.motions.len()).sum();
            if motions > JOB_MOTIONS {
                return Err(ProveError::Unusable(format!(
                    "the programs of this job come to more than {JOB_MOTIONS} motions by pass {}: check fewer passes at a \
                     time, or check whether the repeat count is right",
                    index + 1
                )));
            }
        }
        Ok(prepared)
    }

    pub(super) fn blank(
        &mut self,
        edge: Option<&Arc<Path>>,
        prepared: &[Prepared],
        options: &Options,
    ) -> Result<Option<Arc<Field>>, ProveError> {
        let (Some(blank), Some(edge)) = (&self.job.blank, edge) else { return Ok(None) };
        let (top, bottom, units) = (blank.top, blank.bottom(), self.job.units);
        let cell = self.cell(&edge.bounds(), prepared, options)?;
        let (field, fresh) = kept(
            &self.old.blanks,
            &mut self.new.blanks,
            (Same(Arc::clone(edge)), top, bottom, cell),
            || blank_field(edge, top, bottom, cell, units).map_err(ProveError::Unusable),
        )?;
        self.note(fresh, Stage::Blank);
        Ok(Some(field))
    }

    /// The cell asked for, or one that suits the blank. A rough block may be as coarse as is allowed, and no coarser.
    fn cell(&self, bounds: &Bounds, prepared: &[Prepared], options: &Options) -> Result<f64, ProveError> {
        let widths = self.job.passes.iter().filter_map(|pass| self.job.tool(pass.tool));
        let narrowest = widths.map(|tool| 2.0 * tool.form.radius()).reduce(f64::min);
        let coarsest = coarsest_cell(bounds, narrowest);
        if let Some(cell) = options.cell.filter(|cell| *cell > coarsest) {
            let short = self.job.units.short();
            return Err(ProveError::Unusable(format!(
                "a cell of {} {short} is too coarse for this job: what a tool meets would fall between the cells. Give \
                 {} {short} or less (a quarter of the narrowest tool, a sixteenth of the blank's shorter side).",
                digits(cell),
                digits(rounded_down(coarsest))
            )));
        }
        let usual = || {
            let cell = default_cell(bounds);
            let wider =
                prepared.iter().map(|pass| cell_for_slopes(&pass.track, &pass.form)).sum::<f64>().sqrt();
            if wider > cell { rounded_down(wider).min(coarsest).max(cell) } else { cell }
        };
        let cell = options.cell.unwrap_or_else(usual);
        Ok(options.rough.map_or(cell, |times| (cell * times).min(coarsest).max(cell)))
    }

    /// Removal pass after pass, each from the block the one before left.
    pub(super) fn removals(
        &mut self,
        start: Option<&Arc<Field>>,
        prepared: &[Prepared],
    ) -> Result<Vec<Option<Arc<Removal>>>, ProveError> {
        let mut removals: Vec<Option<Arc<Removal>>> = Vec::with_capacity(prepared.len());
        let Some(start) = start else { return Ok(vec![None; prepared.len()]) };
        let mut chain = Vec::new();
        for (index, pass) in prepared.iter().enumerate() {
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

    pub(super) fn pass_proofs(
        &self,
        prepared: &[Prepared],
        removals: Vec<Option<Arc<Removal>>>,
    ) -> Vec<PassProof> {
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
                touches: Arc::default(),
                loose: Vec::new(),
                under: None,
                along_outline: None,
                along_path: None,
                load: None,
                chip_load: None,
                rate_most: None,
                power_most: None,
                reach: None,
                wall: None,
                purpose: None,
                entered: Arc::default(),
            };
        passes.map(proof).collect()
    }
}

/// Columns that are worked out one by one under a slope, at the most; each takes about a microsecond.
const SLOPED_COLUMNS: f64 = 4e6;

/// The square of the cell with which the slopes of a pass whose cutter is hollowed or freely shaped come to no more columns
/// than that: these have no closed form, and take some hundred times as long as others.
fn cell_for_slopes(track: &Track, form: &Form) -> f64 {
    if !matches!(form, Form::Silhouette { .. }) {
        return 0.0;
    }
    let sloped = |placed: &&crate::track::Placed| placed.motion.start.z != placed.motion.end.z;
    let width = 2.0 * form.radius();
    let area = |placed: &crate::track::Placed| {
        (placed.motion.start.plan().distance(placed.motion.end.plan()) + width) * width
    };
    let pieces = form.profile().pieces().len().max(1) as f64;
    track.placed().iter().filter(sloped).map(area).sum::<f64>() * pieces / 4.0 / SLOPED_COLUMNS
}

/// A length that is surely no more than `length`, of two digits.
fn rounded_down(length: f64) -> f64 {
    let places = 1.0 - length.log10().floor();
    if places >= 0.0 {
        // by division: a tenth has no exact double
        let scale = 10_f64.powf(places);
        return (length * scale).floor() / scale;
    }
    let power = 10_f64.powf(-places);
    (length / power).floor() * power
}
