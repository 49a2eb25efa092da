//! Taking metal from the columns of one tile under one span.

use std::ops::Range;

use super::cutter::{Lobe, Shape};
use super::field::{TILE, Tile};
use super::span::{Local, Span};
use super::tally::{Entry, Tally};
use super::void::Voids;
use crate::geometry::Point;

/// One tile's columns while they are cut.
#[derive(Debug)]
pub(super) struct Plot<'a> {
    pub(super) tops: &'a mut Tile,
    pub(super) voids: &'a mut Voids,
    pub(super) tally: &'a mut Tally,
    /// Centre of the tile's first cell.
    pub(super) origin: Point,
    pub(super) cell: f64,
    pub(super) bottom: f32,
    /// What is thinner than this counts as nothing.
    pub(super) least: f32,
    /// No column of a row is higher than this.
    pub(super) most: [f32; TILE],
}

impl Plot<'_> {
    /// Takes what lies between two heights from a column, for a motion.
    #[inline]
    pub(super) fn take(&mut self, column: usize, row: usize, low: f32, high: f32, motion: u32) {
        let at = row * TILE + column;
        let top = self.tops[at];
        let low = low.max(self.bottom);
        if top - low <= self.least {
            return;
        }
        if high >= top - self.least && self.voids.is_clear(row) {
            self.tops[at] = low;
            self.tally.add(motion, top - low, low, at);
            return;
        }
        let (gone, left) = self.voids.take((column, row), top, (low, high), self.least);
        self.tops[at] = left;
        if gone > self.least {
            self.tally.add(motion, gone, low, at);
        }
    }

    /// Takes what a span's cutter covers. `marks` are the ends of all spans' motions along them.
    pub(super) fn carve(&mut self, span: &Span, lobe: &Lobe, marks: &[f64]) {
        let local = span.seen_from(self.origin, self.cell);
        let floor = Floor::new(span, lobe, self.cell);
        let motions = MotionAt::new(span, &local, marks, self.cell);
        let climb = (span.high.z - span.low.z) / local.length;
        match lobe.kind() {
            Shape::Flat if climb == 0.0 && span.motions.count == 1 => {
                self.level(&local, (span.low.z + lobe.underside(0.0)) as f32, span.motions.first);
            }
            Shape::Flat => {
                let base = span.low.z + lobe.underside(0.0);
                self.each(&local, &floor, &motions, |along, off| {
                    let rho = (local.square - off * off).max(0.0).sqrt();
                    let place = (along - rho).clamp(0.0, local.length);
                    (base + climb * place, f64::INFINITY, place)
                });
            }
            Shape::Ball => self.ball(span, &local, &floor, &motions),
            Shape::Other => {
                let cell = self.cell;
                self.each(&local, &floor, &motions, |along, off| {
                    let place = along.clamp(0.0, local.length);
                    let away = if place == along { off.abs() } else { off.hypot(along - place) };
                    let away = (away * cell).min(span.radius);
                    (span.low.z + lobe.underside(away), span.low.z + lobe.roof(away), place)
                });
            }
        }
    }

    fn ball(&mut self, span: &Span, local: &Local, floor: &Floor<'_>, motions: &MotionAt<'_>) {
        let climb = (span.high.z - span.low.z) / local.length;
        let (lead, middle) = (span.lead, span.low.z + span.radius);
        let (cell, depth) = (self.cell, self.cell * (1.0 - lead * lead).sqrt());
        self.each(local, floor, motions, |along, off| {
            let square = (local.square - off * off).max(0.0);
            let rho = square.sqrt();
            let place = along - lead * rho;
            if place >= 0.0 && place <= local.length {
                return (middle + climb * place - depth * rho, f64::INFINITY, place);
            }
            let place = place.clamp(0.0, local.length);
            let beyond = along - place;
            let down = cell * (square - beyond * beyond).max(0.0).sqrt();
            (middle + climb * place - down, f64::INFINITY, place)
        });
    }

    /// Visits the columns of a span; `reach` gives lower and upper end and the place on the span for a column's
    /// distance along and off it.
    #[inline]
    fn each(
        &mut self,
        local: &Local,
        floor: &Floor<'_>,
        motions: &MotionAt<'_>,
        reach: impl Fn(f64, f64) -> (f64, f64, f64),
    ) {
        for row in cells(local.rows) {
            if floor.under(local.gap(row as f64)) >= self.most[row] {
                continue;
            }
            let y = row as f64;
            for columns in local.row(y).map(cells) {
                self.tally.visit(columns.len());
                for column in columns {
                    let (along, off) = local.place(column as f64, y);
                    if floor.curve > 0.0 && self.tops[row * TILE + column] <= floor.bound(off) {
                        continue;
                    }
                    let (low, high, place) = reach(along, off);
                    let low = low as f32;
                    if self.tops[row * TILE + column] - low > self.least {
                        self.take(column, row, low, high as f32, motions.at(place));
                    }
                }
            }
        }
    }

    /// The same for a flat end at one height.
    fn level(&mut self, local: &Local, z: f32, motion: u32) {
        let z = z.max(self.bottom);
        for row in cells(local.rows) {
            if z >= self.most[row] {
                continue;
            }
            for columns in local.row(row as f64).map(cells) {
                self.tally.visit(columns.len());
                self.level_stretch(row, columns, z, motion);
            }
        }
    }

    #[inline]
    fn level_stretch(&mut self, row: usize, columns: Range<usize>, z: f32, motion: u32) {
        if !self.voids.is_clear(row) {
            for column in columns {
                self.take(column, row, z, f32::INFINITY, motion);
            }
            return;
        }
        if columns.is_empty() {
            return;
        }
        let mut sum = Entry::default();
        let first = row * TILE + columns.start;
        for (index, top) in self.tops[first..row * TILE + columns.end].iter_mut().enumerate() {
            let gone = *top - z;
            if gone > self.least {
                *top = z;
                sum.height += f64::from(gone);
                sum.cells += 1;
                if gone > sum.deepest {
                    (sum.deepest, sum.left, sum.at) = (gone, z, (first + index) as u32);
                }
            }
        }
        if sum.cells > 0 {
            self.tally.put(motion, sum);
        }
    }
}

/// Heights below which a span's cutter cannot come.
#[derive(Debug, Clone, Copy)]
struct Floor<'a> {
    z: f64,
    lobe: &'a Lobe,
    cell: f64,
    /// Of a ball: a sphere's cap of half width w is at least w^2 / 2R high.
    curve: f64,
}

impl<'a> Floor<'a> {
    fn new(span: &Span, lobe: &'a Lobe, cell: f64) -> Self {
        let curve = if lobe.kind() == Shape::Ball { cell * cell / (2.0 * lobe.radius()) } else { 0.0 };
        Self { z: span.low.z, lobe, cell, curve }
    }

    /// For columns no nearer to the span than so many cells.
    #[inline]
    fn under(&self, gap: f64) -> f32 {
        (self.z + self.lobe.underside((gap * self.cell).min(self.lobe.radius()))) as f32
    }

    /// For a column so many cells off the span's line: lower than that, but quickly told.
    #[inline]
    fn bound(&self, off: f64) -> f32 {
        (self.z + self.curve * off * off) as f32
    }
}

/// The cells of a tile whose centres lie within an interval.
#[inline]
pub(super) fn cells((from, to): (f64, f64)) -> Range<usize> {
    let limit = TILE as f64;
    let from = from.clamp(0.0, limit);
    // Truncation and a comparison: rounding up by the library costs more than the rest of a short row.
    let first = from as usize;
    first + usize::from((first as f64) < from)..(to + 1.0).clamp(0.0, limit) as usize
}

/// Which of a span's motions stands at a place along it.
#[derive(Debug, Clone, Copy)]
struct MotionAt<'a> {
    first: u32,
    /// Ends of the motions along the span, in the block's unit; empty for a single motion.
    marks: &'a [f64],
    cell: f64,
    guess: f64,
}

impl<'a> MotionAt<'a> {
    fn new(span: &Span, local: &Local, marks: &'a [f64], cell: f64) -> Self {
        let motions = span.motions;
        let own = if motions.count > 1 {
            let from = motions.marks as usize;
            marks.get(from..from + motions.count as usize).unwrap_or_default()
        } else {
            &[]
        };
        Self { first: motions.first, marks: own, cell, guess: own.len() as f64 / local.length }
    }

    /// The motion at a place given in cells from the span's lower end. Most planners' steps are even, so the
    /// place itself nearly says it.
    #[inline]
    fn at(&self, place: f64) -> u32 {
        if self.marks.is_empty() {
            return self.first;
        }
        let along = place * self.cell;
        let last = self.marks.len() - 1;
        let guess = ((place * self.guess) as usize).min(last);
        let begins = if guess == 0 { f64::NEG_INFINITY } else { self.marks[guess - 1] };
        let found = if along > begins && along <= self.marks[guess] {
            guess
        } else {
            self.marks.partition_point(|mark| *mark < along).min(last)
        };
        self.first + found as u32
    }
}
