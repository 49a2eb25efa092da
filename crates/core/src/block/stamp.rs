//! Lowering the columns of one tile under one sweep.

use std::ops::ControlFlow;
use std::sync::Arc;

use super::field::{Grid, TILE, Tile};
use super::sweep::Sweep;
use crate::geometry::{Point, pt};

/// Metal counts as touched when a column stands higher than the tool by more than this part of its height range;
/// rounding of stored heights stays far below.
const LEAST_STEP: f32 = 1e-6;

/// What one sweep took from one tile.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct TileTaken {
    /// Sum of the heights taken; times the area of a cell it is the volume.
    pub(super) height: f64,
    /// Columns lowered.
    pub(super) cells: u32,
    /// The most taken from one column.
    pub(super) deepest: f32,
    /// Where.
    pub(super) at: Point,
}

/// A tile's place on the grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct TilePlace<'a> {
    pub(super) grid: &'a Grid,
    pub(super) column: usize,
    pub(super) row: usize,
    pub(super) bottom: f32,
}

impl TilePlace<'_> {
    /// Lowers the tile's columns under the sweep. The tile is copied only when something is taken from it while
    /// a stored state still shares it.
    pub(super) fn cut(&self, tile: &mut Arc<Tile>, sweep: &Sweep) -> TileTaken {
        if Arc::get_mut(tile).is_none() && !self.would_cut(tile, sweep) {
            return TileTaken::default();
        }
        let cells = Arc::make_mut(tile);
        let mut taken = TileTaken::default();
        let _ = self.each_cell(sweep, |index, at, z| {
            let height = cells[index];
            let left = z.max(self.bottom);
            if height - left > LEAST_STEP {
                cells[index] = left;
                taken.height += f64::from(height - left);
                taken.cells += 1;
                if height - left > taken.deepest {
                    taken.deepest = height - left;
                    taken.at = at;
                }
            }
            ControlFlow::Continue(())
        });
        taken
    }

    fn would_cut(&self, tile: &Tile, sweep: &Sweep) -> bool {
        self.each_cell(sweep, |index, _, z| {
            if tile[index] - z.max(self.bottom) > LEAST_STEP {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        })
        .is_break()
    }

    /// Visits the cells whose centres the sweep covers, with the lowest height of the tool there.
    fn each_cell(
        &self,
        sweep: &Sweep,
        mut visit: impl FnMut(usize, Point, f32) -> ControlFlow<()>,
    ) -> ControlFlow<()> {
        let grid = self.grid;
        let (low, high) = (sweep.bounds().low, sweep.bounds().high);
        let index = |value: f64, origin: f64, first: usize| {
            ((value - origin) / grid.cell - 0.5 - first as f64).ceil().clamp(0.0, TILE as f64) as usize
        };
        let rows =
            index(low.y, grid.origin.y, self.row)..(index(high.y, grid.origin.y, self.row) + 1).min(TILE);
        for row in rows {
            let y = grid.y(self.row + row);
            let spans = sweep.row(y);
            for (from, to) in spans.spans.into_iter().flatten() {
                let last = ((to - grid.origin.x) / grid.cell - 0.5 - self.column as f64).floor();
                if last < 0.0 {
                    continue;
                }
                for column in index(from, grid.origin.x, self.column)..(last as usize + 1).min(TILE) {
                    let at = pt(grid.x(self.column + column), y);
                    let level = if spans.exact { sweep.level() } else { None };
                    let Some(z) = level.or_else(|| sweep.lowest_at(at)) else { continue };
                    visit(row * TILE + column, at, z as f32)?;
                }
            }
        }
        ControlFlow::Continue(())
    }
}
