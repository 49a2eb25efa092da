//! Columns to be cut, gathered from many rows, so that their heights are worked out in one long loop.

use super::field::{TILE, Tile};
use super::marks::GroupAt;
use super::rows::Local;
use super::tally::Entry;
use super::wide::{Loop, widest};

/// Columns that are worked out together.
const ROOM: usize = 512;
/// Columns that are added up side by side.
const LANES: usize = 8;
/// Columns that a stretch is written in; the rest of a stretch's last such part is written over by the next.
const PART: usize = 16;
/// The columns of such a part, counted from its first.
const STEPS: [f32; PART] =
    [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0];

/// Some columns of a tile, with what a span takes from each. Kept from span to span, for its room alone.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    count: usize,
    cells: [u16; ROOM],
    low: [f32; ROOM],
    /// At first the columns' distances off the span's line, in cells.
    high: [f32; ROOM],
    /// At first the columns' distances along the span's line, in cells.
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

/// A column beside a span's line. Single precision serves: it is these few lengths that matter, not where they lie.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beside {
    /// How far along the line, in cells.
    pub(super) along: f32,
    /// The square of the half chord there, in cells.
    pub(super) square: f32,
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
        self.count + 2 * (TILE + PART) > ROOM
    }

    /// Adds a stretch of a row.
    #[inline]
    pub(super) fn push(&mut self, tops: &Tile, local: &Local, row: usize, from: usize, to: usize) {
        let mut first = row * TILE + from;
        let (count, parts) = (to - from, (to - from).div_ceil(PART));
        let (along, off) = local.place(from as f64, row as f64);
        let (mut along, mut off) = (along as f32, off as f32);
        let step = (local.axis.x as f32, -local.axis.y as f32);
        let room = self.cells[self.count..]
            .chunks_exact_mut(PART)
            .zip(self.gone[self.count..].chunks_exact_mut(PART))
            .zip(self.place[self.count..].chunks_exact_mut(PART))
            .zip(self.high[self.count..].chunks_exact_mut(PART));
        for (((cells, gone), places), offs) in room.take(parts) {
            for (number, cell) in (0_u16..).zip(cells) {
                *cell = first as u16 + number;
            }
            for ((place, off_at), number) in places.iter_mut().zip(offs).zip(STEPS) {
                (*place, *off_at) = (along + number * step.0, off + number * step.1);
            }
            match tops[first..].first_chunk::<PART>() {
                Some(tops) => gone.copy_from_slice(tops),
                None => gone[..tops.len() - first].copy_from_slice(&tops[first..]),
            }
            first += PART;
            (along, off) = (along + PART as f32 * step.0, off + PART as f32 * step.1);
        }
        self.count += count;
    }

    /// Works out what is taken from columns without an end upwards: `reach` gives the lower end and the place along
    /// the span for a [`Beside`]. `radius` is the cutter's, in cells.
    #[inline]
    pub(super) fn open(&mut self, radius: f32, reach: impl Fn(Beside) -> (f32, f32)) {
        let count = self.count;
        widest(Open {
            low: &mut self.low[..count],
            place: &mut self.place[..count],
            off: &self.high[..count],
            radius,
            reach,
        });
    }

    /// Works out what is taken from columns with an end upwards: `reach` gives lower end, upper end and place, for a column's cell along X and along Y.
    #[inline]
    pub(super) fn closed(&mut self, reach: impl Fn(f64, f64) -> (f64, f64, f64)) {
        let count = self.count;
        let ends = self.low[..count].iter_mut().zip(&mut self.high[..count]).zip(&mut self.place[..count]);
        for (((low, high), place), cell) in ends.zip(&self.cells[..count]) {
            let (from, to, at) = reach(f64::from(*cell % TILE as u16), f64::from(*cell / TILE as u16));
            (*low, *high, *place) = (from as f32, to as f32, at as f32);
        }
    }

    /// All that is known of what is taken; without an end upwards unless they were worked out with one.
    pub(super) fn reaches(&self, closed: bool) -> impl Iterator<Item = Reach> + '_ {
        let cells = self.cells[..self.count].iter().map(|cell| usize::from(*cell));
        let ends = self.low.iter().zip(&self.high).zip(&self.place);
        cells.zip(ends).map(move |(cell, ((low, high), place))| Reach {
            cell,
            low: *low,
            high: if closed { *high } else { f32::INFINITY },
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
        // Sums go over whole parts.
        self.gone[count..count.next_multiple_of(LANES)].fill(0.0);
        true
    }

    /// Writes what each column lost on the line of its group.
    #[inline]
    pub(super) fn spread(&mut self, groups: &GroupAt<'_>, lines: &mut [Entry]) {
        let count = self.count;
        groups.number(&self.place[..count], &mut self.groups[..count]);
        let cells = self.cells[..count].iter().zip(&self.low[..count]);
        for ((gone, group), (cell, low)) in self.gone[..count].iter().zip(&self.groups[..count]).zip(cells) {
            if let Some(line) = lines.get_mut(*group as usize) {
                line.add(*gone, *low, u32::from(*cell));
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

/// The loop of [`Columns::open`].
struct Open<'a, R> {
    low: &'a mut [f32],
    place: &'a mut [f32],
    off: &'a [f32],
    radius: f32,
    reach: R,
}

impl<R: Fn(Beside) -> (f32, f32)> Loop for Open<'_, R> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for ((low, place), off) in self.low.iter_mut().zip(self.place).zip(self.off) {
            let square = (self.radius - off) * (self.radius + off);
            let square = if square > 0.0 { square } else { 0.0 };
            (*low, *place) = (self.reach)(Beside { along: *place, square });
        }
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
