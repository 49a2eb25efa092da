//! Taking metal from the columns of one tile under one span.

use std::ops::Range;

use super::columns::Columns;
use super::cutter::{Lobe, Shape};
use super::field::{TILE, Tile};
use super::floor::Floor;
use super::marks::MotionAt;
use super::rows::{Local, Rows, between};
use super::span::Span;
use super::tally::{Entry, Tally};
use super::valley::Valley;
use super::void::Voids;
use crate::geometry::Point;

/// Stretches of up to so many columns are held against the metal before they are worked out.
const SHORT_STRETCH: usize = 16;

/// Once there is something to cut, every so many rows are held against the metal.
const LOOK_AGAIN: usize = 4;

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

/// Room to work in, kept from span to span.
#[derive(Debug, Default)]
pub(super) struct Room {
    rows: Rows,
    columns: Columns,
}

impl Plot<'_> {
    /// Takes what lies between two heights from a column, for a motion.
    #[inline]
    pub(super) fn take(&mut self, at: usize, low: f32, high: f32, motion: u32) {
        let (column, row) = (at % TILE, at / TILE);
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
    pub(super) fn carve(&mut self, span: &Span, lobe: &Lobe, marks: &[f32], room: &mut Room) {
        let local = Local::new(span, self.origin, self.cell);
        let work = Carving {
            floor: Floor::new(span, &local, lobe, self.cell),
            motions: MotionAt::new(span, &local, marks),
            roofed: lobe.has_roof(),
            closed: lobe.kind() == Shape::Other,
            local,
        };
        let (local, climb) = (&work.local, span.heading.climb * self.cell);
        match lobe.kind() {
            Shape::Flat if climb == 0.0 => {
                let z = span.low.z + lobe.underside(0.0);
                if let Some(motion) = work.motions.only() {
                    self.level(local, z as f32, motion, room);
                } else {
                    self.each(&work, room, |columns| {
                        columns.open(local, z, 0.0, |at| (at.z, at.along - at.square.sqrt()));
                    });
                }
            }
            Shape::Flat => {
                let (z, length, slope) =
                    (span.low.z + lobe.underside(0.0), local.length as f32, climb as f32);
                self.each(&work, room, |columns| {
                    columns.open(local, z, climb, |at| {
                        let place = between(at.along - at.square.sqrt(), 0.0, length);
                        (at.z - slope * (at.along - place), place)
                    });
                });
            }
            Shape::Ball => {
                let (lead, cell) = (span.heading.lead.0 as f32, self.cell as f32);
                let (z, length, slope) = (span.low.z + span.radius, local.length as f32, climb as f32);
                self.each(&work, room, |columns| {
                    columns.open(local, z, climb, |at| {
                        let place = between(at.along - lead * at.square.sqrt(), 0.0, length);
                        let beyond = at.along - place;
                        let square = at.square - beyond * beyond;
                        let down = if square > 0.0 { square } else { 0.0 }.sqrt();
                        (at.z - slope * beyond - cell * down, place)
                    });
                });
            }
            Shape::Other if climb == 0.0 => {
                let (base, cell) = (span.low.z, self.cell);
                let reach = |x: f64, y: f64| {
                    let (along, off) = local.place(x, y);
                    let place = between(along, 0.0, local.length);
                    let beyond = along - place;
                    let away = ((off * off + beyond * beyond).sqrt() * cell).min(span.radius);
                    (base + lobe.underside(away), base + lobe.roof(away), place)
                };
                self.each(&work, room, |columns| columns.closed(reach));
            }
            Shape::Other => {
                let valley = Valley::new(span, lobe, local, self.cell);
                self.each(&work, room, |columns| columns.closed(|x, y| valley.reach(x, y)));
            }
        }
    }

    /// Visits the columns of a span; `work_out` puts in what it takes from those gathered.
    #[inline]
    fn each(&mut self, work: &Carving<'_>, room: &mut Room, work_out: impl Fn(&mut Columns)) {
        let Room { rows, columns } = room;
        columns.clear();
        let mut below = true;
        for row in rows.find(&work.local) {
            if work.floor.level && work.floor.z as f32 >= self.most[row] {
                continue;
            }
            for stretch in rows.stretches(row) {
                if stretch.is_empty() {
                    continue;
                }
                // Where there was something to cut a row before, there nearly always is again.
                if !work.floor.level && (below || row.is_multiple_of(LOOK_AGAIN)) {
                    below = self.is_below(row, &stretch, work);
                    if below {
                        continue;
                    }
                }
                self.tally.visit(stretch.len());
                columns.push(self.tops, row, stretch.start, stretch.end);
            }
            if columns.is_full() {
                work_out(columns);
                self.settle(work, columns);
            }
        }
        work_out(columns);
        self.settle(work, columns);
    }

    /// Whether a stretch of a row has no metal as high as the span's cutter comes at the lowest.
    #[inline]
    fn is_below(&self, row: usize, stretch: &Range<usize>, work: &Carving<'_>) -> bool {
        let from = work.local.place(stretch.start as f64, row as f64);
        let to = work.local.place((stretch.end - 1) as f64, row as f64);
        let off = if from.1 * to.1 <= 0.0 { 0.0 } else { from.1.abs().min(to.1.abs()) };
        let bound = work.floor.under(from.0.min(to.0), off);
        let tops = &self.tops[row * TILE..][stretch.clone()];
        bound >= self.most[row] || (tops.len() <= SHORT_STRETCH && tops.iter().all(|top| *top <= bound))
    }

    /// Takes what has been worked out for the columns gathered.
    fn settle(&mut self, work: &Carving<'_>, columns: &mut Columns) {
        if work.roofed || !self.voids.is_empty() {
            for reach in columns.reaches(work.closed) {
                if self.tops[reach.cell] - reach.low > self.least {
                    self.take(reach.cell, reach.low, reach.high, work.motions.at(reach.place));
                }
            }
        } else {
            columns.lower(self.tops, self.bottom, self.least);
            self.count(&work.motions, columns);
        }
        columns.clear();
    }

    /// Puts down which motion took what from the columns that have been lowered.
    fn count(&mut self, motions: &MotionAt<'_>, columns: &Columns) {
        let mut put = |(motion, from, to): (u32, f32, f32)| {
            let mut sum = columns.sum(from, to);
            if sum.deepest > self.tally.deepest(motion) {
                columns.locate(&mut sum, from, to);
            }
            self.tally.put(motion, &sum);
        };
        if let Some(motion) = motions.only() {
            put((motion, f32::NEG_INFINITY, f32::INFINITY));
        } else if let Some(windows) = motions.few() {
            windows.for_each(put);
        } else {
            for (place, entry) in columns.lost() {
                self.tally.put(motions.at(place), &entry);
            }
        }
    }

    /// Visits the columns of a flat end at one height.
    fn level(&mut self, local: &Local, z: f32, motion: u32, room: &mut Room) {
        let z = z.max(self.bottom);
        for row in room.rows.find(local) {
            if z >= self.most[row] {
                continue;
            }
            for columns in room.rows.stretches(row) {
                self.tally.visit(columns.len());
                self.level_stretch(row, columns, z, motion);
            }
        }
    }

    #[inline]
    fn level_stretch(&mut self, row: usize, columns: Range<usize>, z: f32, motion: u32) {
        if columns.is_empty() {
            return;
        }
        let cells = row * TILE + columns.start..row * TILE + columns.end;
        if !self.voids.is_clear(row) {
            for cell in cells {
                self.take(cell, z, f32::INFINITY, motion);
            }
            return;
        }
        let mut sum = Entry::default();
        for (cell, top) in cells.clone().zip(&mut self.tops[cells]) {
            lower(top, z, self.least, cell, &mut sum);
        }
        self.tally.put(motion, &sum);
    }
}

/// Lowers a column's top and adds up what that takes.
#[inline]
fn lower(top: &mut f32, to: f32, least: f32, cell: usize, sum: &mut Entry) {
    let gone = *top - to;
    if gone > least {
        *top = to;
        sum.height += f64::from(gone);
        sum.cells += 1;
        if gone > sum.deepest {
            (sum.deepest, sum.left, sum.at) = (gone, to, cell as u32);
        }
    }
}

/// A span being carved from a tile.
struct Carving<'a> {
    local: Local,
    floor: Floor<'a>,
    motions: MotionAt<'a>,
    roofed: bool,
    /// Whether the columns are worked out with an end upwards.
    closed: bool,
}
