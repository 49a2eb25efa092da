//! Spans without an end upwards: their columns are lowered as they lie, several side by side.

use std::ops::Range;

use super::{Columns, LANES, ROOM};
use crate::block::field::{TILE, Tile};
use crate::block::rows::Local;

/// The columns of a part, counted from its first.
const STEPS: [f32; LANES] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];

/// A span without an end upwards, for [`Columns::cut`].
#[derive(Debug, Clone, Copy)]
pub(in crate::block) struct Open<'a, R> {
    pub(in crate::block) local: &'a Local,
    /// The cutter's radius, in cells.
    pub(in crate::block) radius: f32,
    pub(in crate::block) bottom: f32,
    pub(in crate::block) least: f32,
    /// Gives the lower end of what is taken and the place along the span.
    pub(in crate::block) reach: R,
}

/// A column beside a span's line. Single precision serves: it is these few lengths that matter, not where they lie.
#[derive(Debug, Clone, Copy)]
pub(in crate::block) struct Beside {
    /// How far along the line, in cells.
    pub(in crate::block) along: f32,
    /// The square of the half chord there, in cells.
    pub(in crate::block) square: f32,
}

impl Beside {
    /// A column so far along and off the line of a cutter with this radius, all in cells.
    #[inline(always)]
    pub(in crate::block) fn new(along: f32, off: f32, radius: f32) -> Self {
        let square = (radius - off) * (radius + off);
        Self { along, square: if square > 0.0 { square } else { 0.0 } }
    }
}

impl Columns {
    /// Lowers the tops of a stretch of a row, under a span without an end upwards and where nothing lies below them,
    /// and adds its columns with what each lost. Whether any lost anything.
    #[inline(always)]
    pub(in crate::block) fn cut(
        &mut self,
        tops: &mut Tile,
        (row, stretch): (usize, Range<usize>),
        open: &Open<'_, impl Fn(Beside) -> (f32, f32)>,
    ) -> bool {
        let (mut at, end) = (row * TILE + stretch.start, row * TILE + stretch.end);
        let (along, off) = open.local.place(stretch.start as f64, row as f64);
        let (mut along, mut off) = (along as f32, off as f32);
        let step = (open.local.axis.x as f32, -open.local.axis.y as f32);
        let mut any = false;
        while at < end {
            // The last part of a tile begins a little earlier, so that it does not end beyond.
            let first = at.min(tops.len() - LANES);
            let Some(part) = tops[first..].first_chunk_mut::<LANES>() else { break };
            let early = (at - first) as i32 as f32;
            (along, off) = (along - early * step.0, off - early * step.1);
            let inside = lanes(at - first..(end - first).min(LANES));
            let beside = |number: f32| (along + number * step.0, off + number * step.1);
            any |= self.part(part, first, &inside, beside, open);
            self.count += (end - first).min(LANES);
            at = first + LANES;
            (along, off) = beside(LANES as f32);
        }
        any
    }

    /// One part of a stretch: those of its columns that are `inside`.
    #[inline(always)]
    fn part(
        &mut self,
        tops: &mut [f32; LANES],
        first: usize,
        inside: &[u32; LANES],
        beside: impl Fn(f32) -> (f32, f32),
        open: &Open<'_, impl Fn(Beside) -> (f32, f32)>,
    ) -> bool {
        let (mut lows, mut gones, mut places) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        let mut any = 0;
        for lane in 0..LANES {
            let (along, off) = beside(STEPS[lane]);
            let (low, place) = (open.reach)(Beside::new(along, off, open.radius));
            let (to, top) = (if low <= open.bottom { open.bottom } else { low }, tops[lane]);
            let less = top - to;
            let takes = (less > open.least) & (inside[lane] != 0);
            lows[lane] = if takes { to } else { top };
            gones[lane] = if takes { less } else { 0.0 };
            places[lane] = place;
            any |= u32::from(takes);
        }
        let at = self.count;
        let put = |to: &mut [f32; ROOM], from: [f32; LANES]| {
            if let Some(to) = to[at..].first_chunk_mut() {
                *to = from;
            }
        };
        put(&mut self.low, lows);
        put(&mut self.gone, gones);
        put(&mut self.place, places);
        if let Some(cells) = self.cells[at..].first_chunk_mut::<LANES>() {
            *cells = std::array::from_fn(|lane| first as u16 + lane as u16);
        }
        // Last: right after they are read it would become a masked store, which is slow on some machines.
        *tops = lows;
        any != 0
    }
}

/// Marks the lanes in a range; a table, for comparisons take the compiler a long way round.
#[inline(always)]
fn lanes(inside: Range<usize>) -> [u32; LANES] {
    const TABLE: [u32; 2 * LANES] = [1, 1, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0];
    let below = |count: usize| TABLE[LANES - count..].first_chunk::<LANES>().copied().unwrap_or_default();
    let (from, to) = (below(inside.start.min(LANES)), below(inside.end.min(LANES)));
    std::array::from_fn(|lane| to[lane] & !from[lane])
}
