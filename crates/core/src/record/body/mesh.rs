//! The surface of a body of columns.

use super::columns::{Columns, RIM, Spans, without};
use crate::block::{Field, Grid};
use crate::geometry::pt;
use crate::units::Units;

/// A corner of a triangle.
type Corner = [f32; 3];

/// The triangles of the closed surface, each counter-clockwise seen from outside.
pub(super) fn triangles(field: &Field, units: Units) -> Vec<[Corner; 3]> {
    let columns = Columns::of(field, units);
    let mut surface = Surface { grid: field.grid(), columns: &columns, triangles: Vec::new() };
    for row in 1..columns.up {
        for column in 1..columns.across {
            // Each side of each column once, the rim's among them.
            surface.wall((column - 1, row), (column, row), [(column, row), (column, row + 1)]);
            surface.wall((column, row - 1), (column, row), [(column + 1, row), (column, row)]);
        }
        surface.levels(row);
    }
    surface.triangles
}

struct Surface<'a> {
    grid: &'a Grid,
    columns: &'a Columns,
    triangles: Vec<[Corner; 3]>,
}

impl Surface<'_> {
    /// A corner of the lattice at a height. Lattice corners count from the rim's lower left.
    fn corner(&self, (column, row): (usize, usize), height: i32) -> Corner {
        let p = self.grid.at(pt(column as f64 - RIM as f64, row as f64 - RIM as f64));
        [p.x as f32, p.y as f32, self.columns.height(height)]
    }

    /// The four columns about a lattice corner that are on the grid.
    fn about(&self, (column, row): (usize, usize)) -> impl Iterator<Item = &Spans> {
        let beside = [(1, 1), (0, 1), (0, 0), (1, 0)];
        beside.into_iter().filter_map(move |(left, down)| {
            let (column, row) = (column.checked_sub(left)?, row.checked_sub(down)?);
            (column < self.columns.across && row < self.columns.up).then(|| self.columns.at(column, row))
        })
    }

    /// Heights strictly between two at which any column about a lattice corner begins or ends, rising.
    fn breaks(&self, corner: (usize, usize), low: i32, high: i32) -> Vec<i32> {
        let ends = self.about(corner).flatten().flat_map(|span| [span.0, span.1]);
        let mut breaks: Vec<i32> = ends.filter(|end| low < *end && *end < high).collect();
        breaks.sort_unstable();
        breaks.dedup();
        breaks
    }

    /// The upright faces between two neighboring columns. Seen from the second, the side between them goes from the first
    /// of `ends` on the left to the second on the right.
    fn wall(&mut self, first: (usize, usize), second: (usize, usize), ends: [(usize, usize); 2]) {
        let (a, b) = (self.columns.at(first.0, first.1), self.columns.at(second.0, second.1));
        if a == b {
            return;
        }
        for (low, high) in without(a, b) {
            self.upright(ends, low, high);
        }
        for (low, high) in without(b, a) {
            self.upright([ends[1], ends[0]], low, high);
        }
    }

    /// An upright face between two lattice corners, from the left to the right one seen from outside.
    fn upright(&mut self, [left, right]: [(usize, usize); 2], low: i32, high: i32) {
        // Where a column about one of its ends has an end of its own in between, the face has a corner there.
        let chain = |corner: (usize, usize)| -> Vec<Corner> {
            let breaks = self.breaks(corner, low, high);
            let heights = std::iter::once(low).chain(breaks).chain(std::iter::once(high));
            heights.map(|height| self.corner(corner, height)).collect()
        };
        let (left, right) = (chain(left), chain(right));
        self.between(&left, &right);
    }

    /// The level faces of a row: upper and lower ends of spans, in strips as long as they go on.
    fn levels(&mut self, row: usize) {
        if row + 1 >= self.columns.up {
            return;
        }
        for upward in [true, false] {
            let mut open: Vec<(i32, usize)> = Vec::new();
            for column in 1..self.columns.across {
                let mut now: Vec<i32> = self
                    .columns
                    .at(column, row)
                    .iter()
                    .map(|span| if upward { span.1 } else { span.0 })
                    .collect();
                let mut kept = Vec::new();
                for (height, from) in open {
                    if let Some(at) = now.iter().position(|own| *own == height) {
                        now.swap_remove(at);
                        kept.push((height, from));
                    } else {
                        self.strip(row, (from, column), height, upward);
                    }
                }
                kept.extend(now.into_iter().map(|height| (height, column)));
                open = kept;
            }
        }
    }

    /// A level face of a row, over some columns.
    fn strip(&mut self, row: usize, (from, to): (usize, usize), height: i32, upward: bool) {
        let chain = |line: usize| -> Vec<Corner> {
            let ends = |column: &usize| *column == from || *column == to || !self.is_plain((*column, line));
            (from..=to).filter(ends).map(|column| self.corner((column, line), height)).collect()
        };
        let (lower, upper) = (chain(row), chain(row + 1));
        if upward {
            self.between(&upper, &lower);
        } else {
            self.between(&lower, &upper);
        }
    }

    /// Whether nothing changes at a lattice corner: all four columns about it are the same.
    fn is_plain(&self, corner: (usize, usize)) -> bool {
        let mut about = self.about(corner);
        let Some(first) = about.next() else { return true };
        about.all(|spans| spans == first)
    }

    /// The face between two lines of corners that run side by side, the left one to the left when one looks along them
    /// from outside.
    fn between(&mut self, left: &[Corner], right: &[Corner]) {
        let (mut l, mut r) = (0, 0);
        // How far along a corner lies; both lines run the same way.
        let along = |line: &[Corner], index: usize| {
            let (first, at) = (line[0], line[index]);
            (0..3).map(|axis| f64::from(at[axis] - first[axis]).abs()).fold(0.0, f64::max)
        };
        while l + 1 < left.len() || r + 1 < right.len() {
            let go_left =
                r + 1 == right.len() || (l + 1 < left.len() && along(left, l + 1) <= along(right, r + 1));
            if go_left {
                self.triangles.push([left[l], right[r], left[l + 1]]);
                l += 1;
            } else {
                self.triangles.push([left[l], right[r], right[r + 1]]);
                r += 1;
            }
        }
    }
}
