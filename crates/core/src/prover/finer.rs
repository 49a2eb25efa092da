//! A part of the block with finer cells than the proof has.

use super::ProveError;
use crate::block::{Field, Removal, blank_window, default_cell};
use crate::geometry::Bounds;
use crate::proof::Proof;
use crate::task::Task;

/// The block within a box in plan, pass after pass, on cells of its own.
#[derive(Debug, Clone)]
pub struct Finer {
    window: Bounds,
    cell: f64,
    removals: Vec<Removal>,
}

/// What a finer look at a place would take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FinerCost {
    /// Cells.
    pub cells: f64,
    /// Bytes of memory, about.
    pub bytes: f64,
}

/// Bytes a cell of the blank, of the block after each pass, and of the states stored between, about.
const BYTES: f64 = 8.0;

impl Proof {
    /// The part of a box in plan that the blank covers; `None` when it covers nothing of it, or there is no blank.
    pub fn window_on_blank(&self, seen: &Bounds) -> Option<Bounds> {
        let blank = self.edge.as_ref()?.bounds();
        let low = crate::geometry::pt(seen.low.x.max(blank.low.x), seen.low.y.max(blank.low.y));
        let high = crate::geometry::pt(seen.high.x.min(blank.high.x), seen.high.y.min(blank.high.y));
        (low.x < high.x && low.y < high.y).then_some(Bounds { low, high })
    }

    /// The cell that is offered for a window: as many cells as a whole block has by default.
    pub fn finer_cell(window: &Bounds) -> f64 {
        default_cell(window)
    }

    /// What the passes up to this one would take in a window.
    pub fn finer_cost(&self, window: &Bounds, cell: f64, pass: usize) -> FinerCost {
        let cells = (window.width() / cell).ceil() * (window.height() / cell).ceil();
        let states = self.passes.len().min(pass + 1) as f64 + 1.0;
        FinerCost { cells, bytes: cells * BYTES * states }
    }

    /// Removes the metal of the passes up to this one in a window alone.
    ///
    /// # Errors
    /// [`ProveError::Cancelled`] when asked to stop; [`ProveError::Unusable`] when there is no blank, or there would
    /// be more cells than [`crate::block::MOST_CELLS`].
    pub fn finer(
        &self,
        window: &Bounds,
        cell: f64,
        pass: usize,
        task: Task<'_>,
    ) -> Result<Finer, ProveError> {
        let lacking = || ProveError::Unusable("there is no blank to cut".to_owned());
        let blank = self.job.blank.as_ref().ok_or_else(lacking)?;
        let edge = self.edge.as_ref().ok_or_else(lacking)?;
        let faces = (blank.top, blank.bottom());
        let start = blank_window(edge, window, faces, cell, self.job.units).map_err(ProveError::Unusable)?;
        let mut removals: Vec<Removal> = Vec::new();
        for (stated, done) in self.job.passes.iter().zip(&self.passes).take(pass + 1) {
            let tool = self.job.tool(stated.tool).ok_or_else(|| {
                ProveError::Unusable(format!("pass {}: the job has no tool {}", stated.name, stated.tool))
            })?;
            let before = removals.last().map_or(&start, Removal::end);
            let removal = Removal::run(before, &done.track, &tool.form, task)?;
            removals.push(removal);
        }
        Ok(Finer { window: *window, cell, removals })
    }
}

impl Finer {
    /// The box that it covers.
    pub fn window(&self) -> &Bounds {
        &self.window
    }

    /// Side of a cell.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Whether it covers all that is seen of a blank: `seen` is the part of the plan that is seen.
    pub fn covers(&self, proof: &Proof, seen: &Bounds) -> bool {
        // What a hand moves a view by is far more than the rounding of its corners.
        let room = self.cell;
        proof.window_on_blank(seen).is_some_and(|part| {
            part.low.x >= self.window.low.x - room
                && part.low.y >= self.window.low.y - room
                && part.high.x <= self.window.high.x + room
                && part.high.y <= self.window.high.y + room
        })
    }

    /// The block after `distance` along a pass of the proof it was made from; `None` for a later pass than it was made
    /// for.
    pub fn block_at(&self, proof: &Proof, pass: usize, distance: f64) -> Option<Field> {
        Some(self.removals.get(pass)?.field_at(&proof.passes.get(pass)?.track, distance))
    }
}
