//! Taking metal from the columns of one tile under one span.

use std::ops::Range;

use super::columns::{Beside, Columns, Open};
use super::cutter::{Lobe, Shape};
use super::field::{TILE, Tile};
use super::floor::Floor;
use super::marks::GroupAt;
use super::rows::{Local, Rows, between};
use super::span::Span;
use super::tally::{Entry, Tally};
use super::valley::Valley;
use super::void::Voids;
use super::wide::{Loop, widest};
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
    /// Takes what lies between two heights from a column, for a group.
    #[inline]
    pub(super) fn take(&mut self, at: usize, low: f32, high: f32, group: u32) {
        let (column, row) = (at % TILE, at / TILE);
        let top = self.tops[at];
        let low = low.max(self.bottom);
        if top - low <= self.least {
            return;
        }
        if high >= top - self.least && self.voids.is_clear(row) {
            self.tops[at] = low;
            self.tally.add(group, top - low, low, at);
            return;
        }
        let (gone, left) = self.voids.take((column, row), top, (low, high), self.least);
        self.tops[at] = left;
        if gone > self.least {
            self.tally.add(group, gone, low, at);
        }
    }

    /// Takes what a span's cutter covers. `marks` are the ends of all spans' groups along them.
    pub(super) fn carve(&mut self, span: &Span, lobe: &Lobe, marks: &[f32], room: &mut Room) {
        let mut local = Local::new(span, self.origin, self.cell);
        let floor = Floor::new(span, &local, lobe, self.cell);
        if !floor.level {
            self.trim(&mut local, &floor);
        }
        let work = Carving { floor, groups: GroupAt::new(span, marks), roofed: lobe.has_roof(), local };
        let (local, climb) = (&work.local, span.heading.climb * self.cell);
        let length = local.length as f32;
        match lobe.kind() {
            Shape::Flat if climb == 0.0 => {
                let z = (span.low.z + lobe.underside(0.0)) as f32;
                if let Some(group) = work.groups.only() {
                    self.level(local, z, group, room);
                } else {
                    self.open(&work, room, |at| (z, at.along - at.square.sqrt()));
                }
            }
            Shape::Flat => {
                let z = (span.low.z + lobe.underside(0.0)) as f32;
                self.open(&work, room, |at| {
                    let place = between(at.along - at.square.sqrt(), 0.0, length);
                    (z + climb as f32 * place, place)
                });
            }
            Shape::Ball => {
                let (lead, cell, z) =
                    (span.heading.lead.0 as f32, self.cell as f32, (span.low.z + span.radius) as f32);
                self.open(&work, room, |at| {
                    let place = between(at.along - lead * at.square.sqrt(), 0.0, length);
                    let beyond = at.along - place;
                    let square = at.square - beyond * beyond;
                    let down = if square > 0.0 { square } else { 0.0 }.sqrt();
                    (z + climb as f32 * place - cell * down, place)
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
                self.closed(&work, room, reach);
            }
            Shape::Other => {
                let valley = Valley::new(span, lobe, local, self.cell);
                self.closed(&work, room, |x, y| valley.reach(x, y));
            }
        }
    }

    /// Takes what a span without an end upwards covers; `reach` gives its lower end and the place along the span.
    fn open(&mut self, work: &Carving<'_>, room: &mut Room, reach: impl Fn(Beside) -> (f32, f32)) {
        let radius = work.local.radius as f32;
        if !self.voids.is_empty() {
            self.closed(work, room, |x, y| {
                let (along, off) = work.local.place(x, y);
                let (low, place) = reach(Beside::new(along as f32, off as f32, radius));
                (low.into(), f64::INFINITY, place.into())
            });
            return;
        }
        let Room { rows, columns } = room;
        let open = Open { local: &work.local, radius, bottom: self.bottom, least: self.least, reach };
        widest(Cutting { plot: self, rows, columns, work, open });
    }

    /// Takes what a span covers; `reach` gives lower end, upper end and place along the span, for a column's cell in
    /// its row and that row.
    fn closed(&mut self, work: &Carving<'_>, room: &mut Room, reach: impl Fn(f64, f64) -> (f64, f64, f64)) {
        let Room { rows, columns } = room;
        columns.clear();
        for row in rows.find(&work.local) {
            for stretch in rows.stretches(row) {
                if stretch.is_empty() {
                    continue;
                }
                let bound = self.bound(row, &stretch, work);
                if bound < self.most[row] {
                    self.tally.visit(stretch.len());
                    columns.push(self.tops, row, stretch, bound);
                }
            }
            if columns.is_full() {
                columns.closed(&reach);
                self.settle(work, columns);
            }
        }
        columns.closed(&reach);
        self.settle(work, columns);
    }

    /// Whether a stretch of a row has to be worked out. `below` is what was found last.
    #[inline(always)]
    fn may_take(&mut self, row: usize, stretch: &Range<usize>, work: &Carving<'_>, below: &mut bool) -> bool {
        if stretch.is_empty() || (work.floor.level && work.floor.z as f32 >= self.most[row]) {
            return false;
        }
        // Where there was something to cut a row before, there nearly always is again.
        if !work.floor.level && (*below || row.is_multiple_of(LOOK_AGAIN)) {
            *below = self.is_below(row, stretch, work);
            if *below {
                return false;
            }
        }
        self.tally.visit(stretch.len());
        true
    }

    /// Leaves out the rows at either end where a span would take nothing.
    fn trim(&self, local: &mut Local, floor: &Floor<'_>) {
        local.rows = widest(Trimming { plot: self, local, floor });
    }

    /// Whether a row has no metal as high as the span's cutter comes at the lowest, within the box round its columns.
    #[inline(always)]
    fn is_clear(&self, local: &Local, floor: &Floor<'_>, row: usize) -> bool {
        let columns = local.columns.clone();
        if columns.is_empty() {
            return true;
        }
        let from = local.place(columns.start as f64, row as f64);
        let to = local.place((columns.end - 1) as f64, row as f64);
        let off = least_off(from.1, to.1);
        let step = floor.rise(local.axis.x);
        let along = if step == 0.0 { from.0.min(to.0) } else { from.0 };
        let bound = floor.under(along, off);
        let tops = &self.tops[row * TILE..][columns];
        let above = |(number, top): (u16, &f32)| u32::from(*top > bound + step * f32::from(number));
        (0..).zip(tops).map(above).fold(0, |any, above| any | above) == 0
    }

    /// Whether a stretch of a row has no metal as high as the span's cutter comes at the lowest.
    #[inline]
    fn is_below(&self, row: usize, stretch: &Range<usize>, work: &Carving<'_>) -> bool {
        let bound = self.bound(row, stretch, work);
        let tops = &self.tops[row * TILE..][stretch.clone()];
        bound >= self.most[row] || (tops.len() <= SHORT_STRETCH && tops.iter().all(|top| *top <= bound))
    }

    /// Columns of a stretch of a row that are no higher than this lose nothing to a span.
    #[inline]
    fn bound(&self, row: usize, stretch: &Range<usize>, work: &Carving<'_>) -> f32 {
        let from = work.local.place(stretch.start as f64, row as f64);
        let to = work.local.place((stretch.end - 1) as f64, row as f64);
        work.floor.under(from.0.min(to.0), least_off(from.1, to.1)).max(self.bottom)
    }

    /// Takes what has been worked out for the columns gathered.
    fn settle(&mut self, work: &Carving<'_>, columns: &mut Columns) {
        if work.roofed || !self.voids.is_empty() {
            let _ = self.tally.lines_of(work.groups.all());
            for reach in columns.reaches() {
                if self.tops[reach.cell] - reach.low > self.least {
                    self.take(reach.cell, reach.low, reach.high, work.groups.at(reach.place));
                }
            }
        } else if columns.lower(self.tops, self.bottom, self.least) {
            self.note(&work.groups, columns);
        }
        columns.clear();
    }

    /// Notes that columns have been lowered.
    fn note(&mut self, groups: &GroupAt<'_>, columns: &mut Columns) {
        self.tally.change();
        if self.tally.counts() {
            columns.round_off();
            self.count(groups, columns);
        }
    }

    /// Puts down which group took what from the columns that have been lowered.
    fn count(&mut self, groups: &GroupAt<'_>, columns: &mut Columns) {
        let mut put = |(group, from, to): (u32, f32, f32)| self.tally.put(group, &columns.sum(from, to));
        if let Some(group) = groups.only() {
            put((group, f32::NEG_INFINITY, f32::INFINITY));
        } else if let Some(windows) = groups.few() {
            windows.for_each(put);
        } else {
            columns.spread(groups, self.tally.lines_of(groups.all()));
        }
    }

    /// Visits the columns of a flat end at one height.
    fn level(&mut self, local: &Local, z: f32, group: u32, room: &mut Room) {
        let z = z.max(self.bottom);
        for row in room.rows.find(local) {
            if z >= self.most[row] {
                continue;
            }
            for columns in room.rows.stretches(row) {
                self.tally.visit(columns.len());
                self.level_stretch(row, columns, z, group);
            }
        }
    }

    #[inline]
    fn level_stretch(&mut self, row: usize, columns: Range<usize>, z: f32, group: u32) {
        if columns.is_empty() {
            return;
        }
        let cells = row * TILE + columns.start..row * TILE + columns.end;
        if !self.voids.is_clear(row) {
            for cell in cells {
                self.take(cell, z, f32::INFINITY, group);
            }
            return;
        }
        let mut sum = Entry::default();
        for (cell, top) in cells.clone().zip(&mut self.tops[cells]) {
            lower(top, z, self.least, cell, &mut sum);
        }
        self.tally.put(group, &sum);
    }
}

/// How near to a span's line the columns of a row come that lie between two; each is so far off it.
#[inline(always)]
fn least_off(from: f64, to: f64) -> f64 {
    if from * to <= 0.0 { 0.0 } else { from.abs().min(to.abs()) }
}

/// Lowers a column's top and adds up what that takes.
#[inline]
fn lower(top: &mut f32, to: f32, least: f32, cell: usize, sum: &mut Entry) {
    let gone = *top - to;
    if gone > least {
        *top = to;
        sum.add(gone, to, cell as u32);
    }
}

/// A span being carved from a tile.
struct Carving<'a> {
    local: Local,
    floor: Floor<'a>,
    groups: GroupAt<'a>,
    roofed: bool,
}

/// The loop of [`Plot::trim`].
struct Trimming<'a, 'b> {
    plot: &'a Plot<'b>,
    local: &'a Local,
    floor: &'a Floor<'a>,
}

impl Loop for Trimming<'_, '_> {
    type Output = [Range<usize>; 2];

    #[inline(always)]
    fn call(self) -> [Range<usize>; 2] {
        let mut rows = self.local.rows.clone();
        let is_clear = |row: usize| self.plot.is_clear(self.local, self.floor, row);
        for rows in &mut rows {
            while rows.start < rows.end && is_clear(rows.start) {
                rows.start += 1;
            }
            while rows.start < rows.end && is_clear(rows.end - 1) {
                rows.end -= 1;
            }
        }
        rows
    }
}

/// The loop of [`Plot::open`].
struct Cutting<'a, 'b, R> {
    plot: &'a mut Plot<'b>,
    rows: &'a mut Rows,
    columns: &'a mut Columns,
    work: &'a Carving<'a>,
    open: Open<'a, R>,
}

impl<R: Fn(Beside) -> (f32, f32)> Loop for Cutting<'_, '_, R> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { plot, rows, columns, work, open } = self;
        columns.clear();
        let (mut below, mut any) = (true, false);
        for row in rows.find(&work.local) {
            for stretch in rows.stretches(row) {
                if plot.may_take(row, &stretch, work, &mut below) {
                    any |= columns.cut(plot.tops, (row, stretch), &open);
                }
            }
            if columns.is_full() {
                if std::mem::take(&mut any) {
                    plot.note(&work.groups, columns);
                }
                columns.clear();
            }
        }
        if any {
            plot.note(&work.groups, columns);
        }
    }
}
