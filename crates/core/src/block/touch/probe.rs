//! The highest metal near a motion.

use std::f64::consts::FRAC_1_SQRT_2;

use super::top_of;
use crate::block::field::{Field, TILE};
use crate::block::grid::Grid;
use crate::geometry::{Bounds, Point, Point3};
use crate::program::{Curve, Motion};

/// The highest metal above `above` in the columns that `within` accepts by their middle, among those not farther than
/// `reach` from a box. Tiles without metal that high are passed over whole.
pub(super) fn highest(
    field: &Field,
    bounds: &Bounds,
    above: f64,
    reach: f64,
    within: impl Fn(Point) -> bool,
) -> Option<Point3> {
    let grid = field.grid();
    let near = bounds.grown(reach);
    // A tile may have a column there when its middle is not farther than its corners.
    let near_tiles = near.grown(TILE as f64 * grid.cell * FRAC_1_SQRT_2);
    let bounds = Grid::lattice_box(&near);
    let cells = |low: f64, high: f64, origin: f64, count: usize| {
        let cell = |at: f64| ((at - origin) / grid.cell).floor();
        (high >= origin && cell(low) < count as f64)
            .then(|| (cell(low).max(0.0) as usize, (cell(high).max(0.0) as usize).min(count - 1)))
    };
    let columns = cells(bounds.low.x, bounds.high.x, grid.origin.x, grid.columns)?;
    let rows = cells(bounds.low.y, bounds.high.y, grid.origin.y, grid.rows)?;
    let across = grid.tiles().0;
    let mut best: Option<Point3> = None;
    for tile_row in rows.0 / TILE..=rows.1 / TILE {
        for tile_column in columns.0 / TILE..=columns.1 / TILE {
            let most = field.highest.get(tile_row * across + tile_column).copied().map_or(above, f64::from);
            let middle = grid.centre(tile_column * TILE + TILE / 2, tile_row * TILE + TILE / 2);
            if most <= best.map_or(above, |best| best.z) || !near_tiles.meets(&Bounds::of([middle])) {
                continue;
            }
            for row in rows.0.max(tile_row * TILE)..=rows.1.min(tile_row * TILE + TILE - 1) {
                for column in columns.0.max(tile_column * TILE)..=columns.1.min(tile_column * TILE + TILE - 1)
                {
                    let height = f64::from(field.height(column, row));
                    if height > best.map_or(above, |best| best.z) && within(grid.centre(column, row)) {
                        best = Some(top_of(field, column, row));
                    }
                }
            }
        }
    }
    best
}

/// The part of a motion between two parts (0 to 1) of the way along.
pub(super) fn between(motion: &Motion, from: f64, to: f64) -> Motion {
    let curve = match motion.curve {
        Curve::Straight => Curve::Straight,
        Curve::Arc { plane, centre, sweep } => Curve::Arc { plane, centre, sweep: sweep * (to - from) },
    };
    Motion { start: motion.at(from), end: motion.at(to), curve, ..*motion }
}
