//! Points found again by where they lie.

use std::collections::HashMap;

use crate::geometry::Point;

/// Points kept in one cell; where more lie together, no outline can be told from them.
const MOST_IN_CELL: usize = 12;

/// Numbered points by the cells of a square grid, whose side is how far is looked.
#[derive(Debug)]
pub(super) struct Grid {
    side: f64,
    cells: HashMap<(i64, i64), Vec<usize>>,
}

impl Grid {
    pub(super) fn new(side: f64) -> Self {
        Self { side, cells: HashMap::new() }
    }

    fn cell(&self, p: Point) -> (i64, i64) {
        ((p.x / self.side).floor() as i64, (p.y / self.side).floor() as i64)
    }

    /// Keeps a point, unless its cell is full.
    pub(super) fn add(&mut self, p: Point, number: usize) {
        let numbers = self.cells.entry(self.cell(p)).or_default();
        if numbers.len() < MOST_IN_CELL {
            numbers.push(number);
        }
    }

    /// Every point kept that may lie within the side of a cell, in an order of its own.
    pub(super) fn near(&self, p: Point) -> impl Iterator<Item = usize> {
        const AROUND: [i64; 3] = [-1, 0, 1];
        let (x, y) = self.cell(p);
        let cells = AROUND.into_iter().flat_map(move |dx| {
            AROUND.into_iter().map(move |dy| (x.saturating_add(dx), y.saturating_add(dy)))
        });
        cells.filter_map(|cell| self.cells.get(&cell)).flatten().copied()
    }
}
