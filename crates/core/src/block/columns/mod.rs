//! Columns of many rows with what they lose under a span, so that it is counted in one long loop.

mod open;

use std::ops::Range;

pub(super) use self::open::{Beside, Open};
use super::field::{TILE, Tile};
use super::marks::GroupAt;
use super::tally::Entry;
use super::wide::{Loop, widest};

/// Columns that are worked out together.
const ROOM: usize = 512;
/// Columns that are worked out and added up side by side.
const LANES: usize = 8;

/// Some columns of a tile, with what a span takes from each. Kept from span to span, for its room alone.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    count: usize,
    cells: [u16; ROOM],
    low: [f32; ROOM],
    high: [f32; ROOM],
    place: [f32; ROOM],
    /// The tops as they are, then what went from them.
    gone: [f32; ROOM],
    /// Each column's group, counted from the span's first.
    groups: [u32; ROOM],
}

/// What a span takes from one column.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// The column's index in its tile.
    pub(super) cell: usize,
    /// Heights between which metal goes.
    pub(super) low: f32,
    pub(super) high: f32,
    /// Where along the span it is, in cells.
    pub(super) place: f32,
}

impl Default for Columns {
    fn default() -> Self {
        Self {
            count: 0,
            cells: [0; ROOM],
            low: [0.0; ROOM],
            high: [0.0; ROOM],
            place: [0.0; ROOM],
            gone: [0.0; ROOM],
            groups: [0; ROOM],
        }
    }
}

impl Columns {
    /// Forgets what it holds.
    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    /// Whether another row might not find room.
    pub(super) fn is_full(&self) -> bool {
        self.count + 2 * (TILE + LANES) > ROOM
    }

    /// Adds those columns of a stretch of a row that are higher than `bound`, to be worked out with
    /// [`closed`](Self::closed).
    #[inline]
    pub(super) fn push(&mut self, tops: &Tile, row: usize, stretch: Range<usize>, bound: f32) {
        let cells = row * TILE + stretch.start..row * TILE + stretch.end;
        for (cell, top) in cells.clone().zip(&tops[cells]) {
            // Written in any case, and written over by the next: cheaper than a branch.
            (self.cells[self.count], self.gone[self.count]) = (cell as u16, *top);
            self.count += usize::from(*top > bound);
        }
    }

    /// Works out what is taken from the columns: `reach` gives lower end, upper end and place, for a column's cell in
    /// its row and that row.
    #[inline]
    pub(super) fn closed(&mut self, reach: impl Fn(f64, f64) -> (f64, f64, f64)) {
        let count = self.count;
        let ends = self.low[..count].iter_mut().zip(&mut self.high[..count]).zip(&mut self.place[..count]);
        for (((low, high), place), cell) in ends.zip(&self.cells[..count]) {
            let (from, to, at) = reach(f64::from(*cell % TILE as u16), f64::from(*cell / TILE as u16));
            (*low, *high, *place) = (from as f32, to as f32, at as f32);
        }
    }

    /// All that is known of what is taken.
    pub(super) fn reaches(&self) -> impl Iterator<Item = Reach> + '_ {
        let cells = self.cells[..self.count].iter().map(|cell| usize::from(*cell));
        let ends = self.low.iter().zip(&self.high).zip(&self.place);
        cells.zip(ends).map(|(cell, ((low, high), place))| Reach {
            cell,
            low: *low,
            high: *high,
            place: *place,
        })
    }

    /// Lowers the tops of the columns, where nothing lies below them and that takes more than `least`; `low` becomes
    /// the new tops. Whether it took anything.
    pub(super) fn lower(&mut self, tops: &mut Tile, bottom: f32, least: f32) -> bool {
        let count = self.count;
        let (cells, low, gone) = (&self.cells[..count], &mut self.low[..count], &mut self.gone[..count]);
        let any = widest(Lower { gone, low, bottom, least });
        if !any {
            return false;
        }
        for (low, cell) in low.iter().zip(cells) {
            tops[usize::from(*cell) % tops.len()] = *low;
        }
        true
    }

    /// Wipes what lies beyond the last column: sums go over whole parts.
    pub(super) fn round_off(&mut self) {
        let count = self.count;
        self.gone[count..count.next_multiple_of(LANES)].fill(0.0);
    }

    /// Writes what each column lost on the line of its group.
    #[inline]
    pub(super) fn spread(&mut self, groups: &GroupAt<'_>, lines: &mut [Entry]) {
        let count = self.count;
        groups.number(&self.place[..count], &mut self.groups[..count]);
        // Columns beside each other are often of one group, and a line can be added to only when the last addition is
        // done: columns far from each other are added in turn.
        let part = count.div_ceil(4).min(ROOM / 4);
        let mut add = |index: usize| {
            if let Some(line) = lines.get_mut(self.groups[index] as usize) {
                line.add(self.gone[index], self.low[index], u32::from(self.cells[index]));
            }
        };
        for index in 0..part {
            for turn in 0..4 {
                add(index + turn * part);
            }
        }
    }

    /// What the columns lost at places above `from` and up to `to`.
    pub(super) fn sum(&self, from: f32, to: f32) -> Entry {
        let parts = self.count.div_ceil(LANES);
        let (gone, place) = (&self.gone.as_chunks().0[..parts], &self.place.as_chunks().0[..parts]);
        let (sum, index) = widest(Sum { gone, place, from, to });
        Entry { left: self.low[index], at: u32::from(self.cells[index]), ..sum }
    }
}

/// The loop of [`Columns::lower`], but for writing the tops back.
struct Lower<'a> {
    gone: &'a mut [f32],
    low: &'a mut [f32],
    bottom: f32,
    least: f32,
}

impl Loop for Lower<'_> {
    type Output = bool;

    #[inline(always)]
    fn call(self) -> bool {
        let mut any = 0;
        for (gone, low) in self.gone.iter_mut().zip(self.low) {
            let top = *gone;
            let to = if *low <= self.bottom { self.bottom } else { *low };
            let less = top - to;
            *low = if less > self.least { to } else { top };
            *gone = if less > self.least { less } else { 0.0 };
            any |= u32::from(less > self.least);
        }
        any != 0
    }
}

/// The loop of [`Columns::sum`]: a sum, and which column lost the most.
struct Sum<'a> {
    gone: &'a [[f32; LANES]],
    place: &'a [[f32; LANES]],
    from: f32,
    to: f32,
}

impl Loop for Sum<'_> {
    type Output = (Entry, usize);

    #[inline(always)]
    fn call(self) -> (Entry, usize) {
        let mut lanes = Lanes::default();
        for (part, (gone, place)) in (0..).zip(self.gone.iter().zip(self.place)) {
            let mut inside = *gone;
            for (gone, place) in inside.iter_mut().zip(place) {
                *gone = if (*place > self.from) & (*place <= self.to) { *gone } else { 0.0 };
            }
            lanes.add(inside, part);
        }
        lanes.sum()
    }
}

/// Sums of columns side by side.
#[derive(Debug, Default)]
struct Lanes {
    heights: [f64; LANES],
    deepest: [f32; LANES],
    /// The part in which the deepest was.
    parts: [u32; LANES],
}

impl Lanes {
    #[inline(always)]
    fn add(&mut self, gone: [f32; LANES], part: u32) {
        for (sum, gone) in self.heights.iter_mut().zip(gone) {
            *sum += f64::from(gone);
        }
        for ((deepest, at), gone) in self.deepest.iter_mut().zip(&mut self.parts).zip(gone) {
            *at = if gone > *deepest { part } else { *at };
            *deepest = if gone > *deepest { gone } else { *deepest };
        }
    }

    #[inline(always)]
    fn sum(&self) -> (Entry, usize) {
        let lanes = (0..LANES).map(|lane| (self.deepest[lane], self.parts[lane] as usize * LANES + lane));
        let better =
            |a: (f32, usize), b: (f32, usize)| if b.0 > a.0 || (b.0 == a.0 && b.1 < a.1) { b } else { a };
        let (deepest, index) = lanes.fold((0.0, usize::MAX), better);
        let sum = Entry { height: self.heights.iter().sum(), deepest, ..Entry::default() };
        (sum, index.min(ROOM - 1))
    }
}
