//! A line of sight through the columns, to the first metal it meets.

use super::scene::{Maker, Scene};
use crate::block::Grid;
use crate::geometry::pt;

/// What a line of sight meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hit {
    /// The column of metal.
    pub(super) cell: (usize, usize),
    /// The place: in cells along the rows and the columns of the grid, and its height.
    pub(super) at: [f64; 3],
    /// Distance along the line of sight.
    pub(super) along: f64,
    /// What made the face.
    pub(super) maker: Maker,
    /// Whether metal hangs over the face.
    pub(super) under: bool,
    /// Whether it is the top of a column.
    pub(super) top: bool,
}

/// Through which side a line of sight came into a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    /// Through the top or the bottom of the blank.
    Level,
    /// From a neighbour; `None` from outside the grid.
    Upright(Option<(usize, usize)>),
}

/// A line of sight, with places in cells along the rows and the columns of the grid.
struct Line {
    origin: [f64; 3],
    run: [f64; 3],
    /// One divided by each part of the run: a multiplication is quicker than a division.
    inverse: [f64; 3],
}

impl Line {
    fn at(&self, along: f64) -> [f64; 3] {
        std::array::from_fn(|i| {
            if self.run[i] == 0.0 { self.origin[i] } else { self.origin[i] + self.run[i] * along }
        })
    }

    /// Where it comes to a plane across an axis; never where it runs along the plane.
    fn meets(&self, axis: usize, plane: f64) -> f64 {
        if self.run[axis] == 0.0 { f64::INFINITY } else { (plane - self.origin[axis]) * self.inverse[axis] }
    }
}

/// The first metal on a line of sight.
pub(super) fn hit(scene: &Scene, origin: [f64; 3], away: [f64; 3]) -> Option<Hit> {
    let field = scene.shown();
    let grid = field.grid();
    let place = grid.place(pt(origin[0], origin[1]));
    let way = Grid::to_lattice(pt(away[0], away[1])) * (1.0 / grid.cell);
    let run = [way.x, way.y, away[2]];
    let line = Line { origin: [place.x, place.y, origin[2]], run, inverse: run.map(f64::recip) };
    let highest = [grid.columns as f64, grid.rows as f64, f64::from(field.top())];
    let (mut along, end, axis) = through(&line, [0.0, 0.0, f64::from(field.bottom())], highest)?;
    let mut side = if axis == 2 { Side::Level } else { Side::Upright(None) };
    let start = line.at(along);
    let inside = |place: f64, count: usize| (place.max(0.0) as usize).min(count - 1);
    let (mut column, mut row) = (inside(start[0], grid.columns), inside(start[1], grid.rows));
    loop {
        let z = line.at(along)[2];
        let square = |size: usize| exit(&line, column, row, size);
        // The heights that the line has within a square decide whether anything there can be met.
        let heights = |out: f64| {
            let last = if line.run[2] == 0.0 { z } else { z + line.run[2] * (out.min(end) - along) };
            (z.min(last), z.max(last))
        };
        let step = [64, 8].into_iter().map(|size| (size, square(size))).find(|(size, (out, _))| {
            scene.clear(column, row, heights(*out)).is_some_and(|clear| clear >= *size)
        });
        let (size, (out, across)) = step.unwrap_or_else(|| (1, square(1)));
        if size == 1
            && let Some(found) = meet(scene, &line, (column, row), (along, out.min(end)), side)
        {
            return Some(found);
        }
        if out >= end {
            return None;
        }
        let from = (column, row);
        let next = next(&line, from, size, out, across, (grid.columns, grid.rows))?;
        // After a longer step the column passed last is the neighbour on the way.
        side = Side::Upright(Some(behind(&line, next, across)));
        (column, row) = next;
        along = along.max(out);
    }
}

/// Where a line comes into a box and leaves it, and across which axis it comes in.
fn through(line: &Line, low: [f64; 3], high: [f64; 3]) -> Option<(f64, f64, usize)> {
    let (mut first, mut last, mut axis) = (0.0_f64, f64::INFINITY, 2);
    for i in 0..3 {
        if line.run[i] == 0.0 {
            if line.origin[i] < low[i] || line.origin[i] > high[i] {
                return None;
            }
            continue;
        }
        let (a, b) = (line.meets(i, low[i]), line.meets(i, high[i]));
        if a.min(b) > first {
            (first, axis) = (a.min(b), i);
        }
        last = last.min(a.max(b));
    }
    (first < last).then_some((first, last, axis))
}

/// Where a line leaves the square of cells round a cell, and across which axis.
fn exit(line: &Line, column: usize, row: usize, size: usize) -> (f64, usize) {
    let out = |axis: usize, cell: usize| {
        let square = cell / size + usize::from(line.run[axis] > 0.0);
        line.meets(axis, (square * size) as f64)
    };
    let (x, y) = (out(0, column), out(1, row));
    if x <= y { (x, 0) } else { (y, 1) }
}

/// The cell after leaving a square; `None` off the grid.
fn next(
    line: &Line,
    (column, row): (usize, usize),
    size: usize,
    out: f64,
    across: usize,
    (columns, rows): (usize, usize),
) -> Option<(usize, usize)> {
    let step = |axis: usize, cell: usize| {
        let first = cell / size * size;
        if axis == across {
            return if line.run[axis] > 0.0 { Some(first + size) } else { first.checked_sub(1) };
        }
        let place = line.at(out)[axis].max(0.0) as usize;
        Some(place.clamp(first, first + size - 1))
    };
    let (column, row) = (step(0, column)?, step(1, row)?);
    (column < columns && row < rows).then_some((column, row))
}

/// The cell that lies before a cell on the way across an axis.
fn behind(line: &Line, (column, row): (usize, usize), across: usize) -> (usize, usize) {
    let back =
        |cell: usize, axis: usize| if line.run[axis] > 0.0 { cell.saturating_sub(1) } else { cell + 1 };
    if across == 0 { (back(column, 0), row) } else { (column, back(row, 1)) }
}

/// What a line meets within one column, from where it comes in to where it goes out.
fn meet(
    scene: &Scene,
    line: &Line,
    cell: (usize, usize),
    (along, out): (f64, f64),
    side: Side,
) -> Option<Hit> {
    let field = scene.shown();
    let z = line.at(along)[2];
    let last = if line.run[2] == 0.0 { z } else { line.at(out)[2] };
    if field.height(cell.0, cell.1) <= field.bottom() {
        return None;
    }
    let mut level: Option<f64> = None;
    for (low, high) in field.column(cell.0, cell.1) {
        let (low, high) = (f64::from(low), f64::from(high));
        if low <= z && z <= high {
            return Some(side_of(scene, line, cell, along, side));
        }
        // Downward the highest top below counts, upward the lowest underside above.
        if high < z && last < high {
            level = Some(high);
        } else if low > z && last > low {
            level = level.or(Some(low));
        }
    }
    let face = level?;
    let along = line.meets(2, face);
    Some(level_of(scene, line, cell, along, face))
}

/// The upright face of a column, or the blank's own face at which the line of sight begins.
fn side_of(scene: &Scene, line: &Line, cell: (usize, usize), along: f64, side: Side) -> Hit {
    let at = line.at(along);
    let Side::Upright(air) = side else { return level_of(scene, line, cell, along, at[2]) };
    let Some((column, row)) = air else {
        return Hit { cell, at, along, maker: Maker::Saw, under: false, top: false };
    };
    let height = at[2] as f32;
    let maker = scene.maker(column, row, height);
    let under = scene.shown().height(column, row) > height;
    Hit { cell, at, along, maker, under, top: false }
}

/// A level face: a top, or the underside of what hangs over.
fn level_of(scene: &Scene, line: &Line, cell: (usize, usize), along: f64, face: f64) -> Hit {
    let at = line.at(along);
    let down = line.run[2] < 0.0;
    let beside = if down { scene.beside() } else { -scene.beside() };
    let height = face as f32 + beside;
    let field = scene.shown();
    let under = field.height(cell.0, cell.1) > height && height > field.bottom();
    Hit {
        cell,
        at: [at[0], at[1], face],
        along,
        maker: scene.maker(cell.0, cell.1, height),
        under,
        top: down,
    }
}
