//! Where the cells of a heightfield lie: on a lattice turned against the axes.
//!
//! Walls of a block mostly lie along X and Y. Were the lattice to lie so too, all cells along a wall would fall on the
//! same side of it, and a volume could be wrong by half a cell all along. Turned, they fall to either side in turn, and
//! what is wrong evens out within some cells.

use super::field::TILE;
use crate::geometry::{Bounds, Point, pt};

/// Tangent of half the angle by which the lattice is turned, 12.22 degrees. The slope of its rows is then
/// 1 / (4 + 1 / (1 + 1 / (1 + ...))): of all slopes near it the one that fractions come least near to (Hurwitz's theorem),
/// so that walls along the axes have their cells spread evenly. A wall at just that angle is rare.
const HALF: f64 = 0.107_030_870_196_410_01;

/// The direction of the lattice's rows in plan, of length 1.
const AXIS: Point = pt((1.0 - HALF * HALF) / (1.0 + HALF * HALF), 2.0 * HALF / (1.0 + HALF * HALF));

/// Where the cells of a heightfield lie. All grids of one cell lie on one lattice, which has a cell's corner at the zero
/// of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Lower left corner of the first cell, on the lattice's own axes.
    pub origin: Point,
    /// Side of a cell.
    pub cell: f64,
    /// Cells along a row.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// The box in plan that it covers; its corners reach beyond.
    pub covers: Bounds,
}

impl Grid {
    /// The grid of square cells that covers a box in plan.
    pub fn over(bounds: &Bounds, cell: f64) -> Self {
        let inner = Self::lattice_box(bounds);
        let first = |low: f64| (low / cell).floor();
        let count = |low: f64, high: f64| ((high / cell).ceil() - first(low)).max(1.0) as usize;
        Self {
            origin: pt(first(inner.low.x), first(inner.low.y)) * cell,
            cell,
            columns: count(inner.low.x, inner.high.x),
            rows: count(inner.low.y, inner.high.y),
            covers: *bounds,
        }
    }

    /// A place in plan on the lattice's own axes.
    #[inline]
    pub fn to_lattice(p: Point) -> Point {
        pt(AXIS.dot(p), AXIS.cross(p))
    }

    /// A place on the lattice's own axes in plan.
    #[inline]
    pub fn to_plan(p: Point) -> Point {
        AXIS * p.x + AXIS.left() * p.y
    }

    /// The corners of a box in plan on the lattice's own axes, in order.
    pub fn corners(bounds: &Bounds) -> [Point; 4] {
        let Bounds { low, high } = *bounds;
        [low, pt(high.x, low.y), high, pt(low.x, high.y)].map(Self::to_lattice)
    }

    /// The box on the lattice's own axes round a box in plan.
    pub fn lattice_box(bounds: &Bounds) -> Bounds {
        Bounds::of(Self::corners(bounds))
    }

    /// Centre of a cell in plan.
    pub fn centre(&self, column: usize, row: usize) -> Point {
        self.at(pt(column as f64 + 0.5, row as f64 + 0.5))
    }

    /// A [`place`](Self::place) in plan.
    pub fn at(&self, place: Point) -> Point {
        Self::to_plan(self.origin + place * self.cell)
    }

    /// A place in plan in cells, from the first one's lower left corner.
    #[inline]
    pub fn place(&self, p: Point) -> Point {
        (Self::to_lattice(p) - self.origin) * (1.0 / self.cell)
    }

    /// The cell that holds a place in plan; `None` off the grid.
    pub fn cell_at(&self, p: Point) -> Option<(usize, usize)> {
        self.cell_of(self.place(p))
    }

    /// The cell that holds a [`place`](Self::place); `None` off the grid.
    #[inline]
    pub fn cell_of(&self, Point { x, y }: Point) -> Option<(usize, usize)> {
        let inside = x >= 0.0 && y >= 0.0 && x < self.columns as f64 && y < self.rows as f64;
        inside.then_some((x as usize, y as usize))
    }

    /// How many tiles lie along a row and along a column.
    pub fn tiles(&self) -> (usize, usize) {
        (self.columns.div_ceil(TILE), self.rows.div_ceil(TILE))
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn a_grid_covers_its_box_and_cells_of_one_size_lie_on_one_lattice() {
        let cell = 0.03;
        let whole = Bounds { low: pt(-1.3, 0.2), high: pt(2.7, 1.9) };
        let (grid, part) = (Grid::over(&whole, cell), Bounds { low: pt(0.1, 0.7), high: pt(0.9, 1.1) });
        for bounds in [whole, part] {
            let grid = Grid::over(&bounds, cell);
            for corner in [bounds.low, bounds.high, pt(bounds.low.x, bounds.high.y)] {
                let (column, row) = grid.cell_at(corner).expect("covered");
                let away = corner - grid.centre(column, row);
                assert!(AXIS.dot(away).abs() <= cell / 2.0 + 1e-12);
                assert!(AXIS.cross(away).abs() <= cell / 2.0 + 1e-12);
            }
        }
        let finer = Grid::over(&part, cell);
        let centre = finer.centre(7, 3);
        let (column, row) = grid.cell_at(centre).expect("within the whole");
        assert_abs_diff_eq!(grid.centre(column, row).distance(centre), 0.0, epsilon = 1e-12);
        assert!(finer.columns * finer.rows < grid.columns * grid.rows / 6);
        assert_eq!(grid.cell_at(pt(-1.5, 0.2)), None);
    }

    #[test]
    fn the_lattice_is_turned_and_not_stretched() {
        assert_abs_diff_eq!(AXIS.dot(AXIS), 1.0, epsilon = 1e-15);
        for p in [pt(3.0, -4.0), pt(0.02, 7.0)] {
            assert_abs_diff_eq!(Grid::to_plan(Grid::to_lattice(p)).distance(p), 0.0, epsilon = 1e-14);
            assert_abs_diff_eq!(Grid::to_lattice(p).length(), p.length(), epsilon = 1e-14);
        }
    }
}
