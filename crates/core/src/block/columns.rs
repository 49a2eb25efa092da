//! Columns to be cut, gathered from many rows, so that their heights are worked out in one long loop.

use super::field::{TILE, Tile};
use super::rows::Local;
use super::tally::Entry;

/// Columns that are worked out together.
const ROOM: usize = 512;
/// Columns that are added up side by side.
const LANES: usize = 8;
/// Columns that a stretch is written in; the rest of a stretch's last such part is written over by the next.
const PART: usize = 8;

/// Some columns of a tile, with what a span takes from each. Kept from span to span, for its room alone.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    count: usize,
    cells: [u16; ROOM],
    low: [f32; ROOM],
    /// Without an end upwards, the squares of the half chords stand here.
    high: [f32; ROOM],
    place: [f32; ROOM],
    /// The tops as they are, then what went from them.
    gone: [f32; ROOM],
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
    /// Height of the line there, gone on beyond its ends.
    pub(super) z: f32,
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
    pub(super) fn push(&mut self, tops: &Tile, row: usize, from: usize, to: usize) {
        let mut first = row * TILE + from;
        let count = to - from;
        let room = self.cells[self.count..]
            .chunks_exact_mut(PART)
            .zip(self.gone[self.count..].chunks_exact_mut(PART));
        for (cells, gone) in room.take(count.div_ceil(PART)) {
            for (step, cell) in (0_u16..).zip(cells) {
                *cell = first as u16 + step;
            }
            match tops[first..].first_chunk::<PART>() {
                Some(tops) => gone.copy_from_slice(tops),
                None => gone[..tops.len() - first].copy_from_slice(&tops[first..]),
            }
            first += PART;
        }
        self.count += count;
    }

    /// Works out what is taken from columns without an end upwards by a span that begins at height `z` and climbs so
    /// much a cell: `reach` gives the lower end and the place along the span for a [`Beside`].
    #[inline]
    pub(super) fn open(&mut self, local: &Local, z: f64, climb: f64, reach: impl Fn(Beside) -> (f32, f32)) {
        let count = self.count;
        let (low, place, square) =
            (&mut self.low[..count], &mut self.place[..count], &mut self.high[..count]);
        let all = low.iter_mut().zip(place.iter_mut()).zip(square.iter_mut());
        for (((z_at, along_at), square), cell) in all.zip(&self.cells[..count]) {
            let (along, off) = local.place(f64::from(*cell % TILE as u16), f64::from(*cell / TILE as u16));
            (*z_at, *along_at, *square) =
                ((z + climb * along) as f32, along as f32, (local.square - off * off) as f32);
        }
        for ((low, place), square) in low.iter_mut().zip(place).zip(square) {
            let square_or_none = if *square > 0.0 { *square } else { 0.0 };
            (*low, *place) = reach(Beside { z: *low, along: *place, square: square_or_none });
        }
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
    /// the new tops.
    pub(super) fn lower(&mut self, tops: &mut Tile, bottom: f32, least: f32) {
        let count = self.count;
        let (cells, low, gone) = (&self.cells[..count], &mut self.low[..count], &mut self.gone[..count]);
        for (gone, low) in gone.iter_mut().zip(low.iter_mut()) {
            let top = *gone;
            let to = if *low > bottom { *low } else { bottom };
            let less = top - to;
            *low = if less > least { to } else { top };
            *gone = if less > least { less } else { 0.0 };
        }
        for (low, cell) in low.iter().zip(cells) {
            tops[usize::from(*cell) % tops.len()] = *low;
        }
        // Sums go over whole parts.
        self.gone[count..count.next_multiple_of(LANES)].fill(0.0);
    }

    /// The columns that lost something, with what they lost.
    pub(super) fn lost(&self) -> impl Iterator<Item = (f32, Entry)> + '_ {
        let cells = self.cells[..self.count].iter().zip(&self.low);
        let all = self.gone[..self.count].iter().zip(&self.place).zip(cells);
        let lost = all.filter(|((gone, _), _)| **gone > 0.0);
        lost.map(|((gone, place), (cell, low))| (*place, Entry::of(*gone, *low, usize::from(*cell))))
    }

    /// What the columns lost at places above `from` and up to `to`.
    pub(super) fn sum(&self, from: f32, to: f32) -> Entry {
        let mut sum = Lanes::default();
        let (gone, place) = (self.gone.as_chunks::<LANES>().0, self.place.as_chunks::<LANES>().0);
        for (gone, place) in gone.iter().zip(place).take(self.count.div_ceil(LANES)) {
            let mut inside = *gone;
            for (gone, place) in inside.iter_mut().zip(place) {
                *gone = if *place > from && *place <= to { *gone } else { 0.0 };
            }
            sum.add(inside);
        }
        sum.entry()
    }

    /// Fills in where the deepest of a sum was.
    pub(super) fn locate(&self, sum: &mut Entry, from: f32, to: f32) {
        let mut all = self.gone[..self.count].iter().zip(&self.place);
        let found = all.position(|(gone, place)| *gone == sum.deepest && *place > from && *place <= to);
        if let Some(index) = found {
            (sum.left, sum.at) = (self.low[index], u32::from(self.cells[index]));
        }
    }
}

/// Sums of columns side by side.
#[derive(Debug, Default)]
struct Lanes {
    heights: [f64; LANES],
    cells: [u32; LANES],
    deepest: [f32; LANES],
}

impl Lanes {
    #[inline]
    fn add(&mut self, gone: [f32; LANES]) {
        for (sum, gone) in self.heights.iter_mut().zip(gone) {
            *sum += f64::from(gone);
        }
        for (cells, gone) in self.cells.iter_mut().zip(gone) {
            *cells += u32::from(gone > 0.0);
        }
        for (deepest, gone) in self.deepest.iter_mut().zip(gone) {
            *deepest = if gone > *deepest { gone } else { *deepest };
        }
    }

    fn entry(&self) -> Entry {
        Entry {
            height: self.heights.iter().sum(),
            cells: self.cells.iter().sum(),
            deepest: self.deepest.into_iter().fold(0.0, f32::max),
            ..Entry::default()
        }
    }
}
