//! The baselines: plain loops over a plain array of heights.

use std::ops::Range;

use blockwright_core::block::{Field, Grid};
use blockwright_core::geometry::{Bounds, pt};
use blockwright_core::tool::Form;
use blockwright_core::track::Track;

use crate::{paths, run};

/// The heights of a field, row by row.
pub(crate) fn heights(field: &Field) -> Vec<f32> {
    let grid = field.grid();
    (0..grid.rows * grid.columns)
        .map(|index| field.height(index % grid.columns, index / grid.columns))
        .collect()
}

/// Stretches of cells, by index into the heights, that differ between two fields; in some rows only, if so asked.
pub(crate) fn changed(before: &Field, after: &Field, rows: Option<Range<usize>>) -> Vec<Range<usize>> {
    let grid = before.grid();
    let mut found: Vec<Range<usize>> = Vec::new();
    for row in rows.unwrap_or(0..grid.rows) {
        for column in
            (0..grid.columns).filter(|column| before.height(*column, row) != after.height(*column, row))
        {
            let index = row * grid.columns + column;
            match found.last_mut() {
                Some(last) if last.end == index && column > 0 => last.end += 1,
                _ => found.push(index..index + 1),
            }
        }
    }
    found
}

/// The stretches that each line of the surfacing pass lowers, line after line.
pub(crate) fn lowered_by_line(start: &Field, ball: &Form) -> Vec<Range<usize>> {
    let grid = *start.grid();
    let mut field = start.clone();
    let mut found = Vec::new();
    for line in 0..paths::LINES {
        let after = run(&field, &paths::surfacing_line(line), ball).end().clone();
        let y = paths::line_y(line);
        let line = Bounds::of([pt(-paths::REACH, y), pt(paths::REACH, y)]).grown(ball.radius());
        let place = |y: f64| (y - grid.origin.y) / grid.cell;
        let (low, high) = (place(Grid::lattice_box(&line).low.y), place(Grid::lattice_box(&line).high.y));
        let row = |place: f64| place.clamp(0.0, grid.rows as f64) as usize;
        found.extend(changed(&field, &after, Some(row(low - 2.0)..row(high + 2.0))));
        field = after;
    }
    found
}

/// Looks at each of these cells once, lowers it and adds up what that takes.
pub(crate) fn visit(heights: &mut [f32], stretches: &[Range<usize>]) -> f64 {
    let mut volume = 0.0;
    for stretch in stretches {
        for height in &mut heights[stretch.clone()] {
            let left = *height - 1e-4;
            if left > -1.0 {
                volume += f64::from(*height - left);
                *height = left;
            }
        }
    }
    volume
}

/// Tests every cell in the box round one level straight move in ten, the plain way to cut with a flat end.
pub(crate) fn boxes(heights: &mut [f32], grid: &Grid, track: &Track, radius: f64) -> f64 {
    let mut volume = 0.0;
    for placed in track.placed().iter().step_by(10) {
        // In cells, along the rows and the columns of the grid.
        let (from, to) = (grid.place(placed.motion.start.plan()), grid.place(placed.motion.end.plan()));
        let (way, radius, z) = (to - from, radius / grid.cell, placed.motion.start.z as f32);
        let square = way.dot(way);
        let index = |place: f64, count: usize| (place - 0.5).ceil().clamp(0.0, count as f64) as usize;
        let columns = |x: f64| index(x, grid.columns);
        let rows = |y: f64| index(y, grid.rows);
        for row in rows(from.y.min(to.y) - radius)..rows(from.y.max(to.y) + radius) {
            for column in columns(from.x.min(to.x) - radius)..columns(from.x.max(to.x) + radius) {
                let way_there = pt(column as f64 + 0.5, row as f64 + 0.5) - from;
                let along = (way_there.dot(way) / square).clamp(0.0, 1.0);
                let off = way_there - way * along;
                let height = &mut heights[row * grid.columns + column];
                if off.dot(off) <= radius * radius && *height > z {
                    volume += f64::from(*height - z);
                    *height = z;
                }
            }
        }
    }
    volume
}
