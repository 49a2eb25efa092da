//! Which columns of each row of a tile a span must look at: worked out for all rows together, without branches, so
//! that the compiler does several side by side.

mod interval;
mod local;

use std::ops::Range;

use self::interval::{EMPTY, Interval, common, first, greater, hull, past};
pub(super) use self::interval::{between, cells, root};
pub(super) use self::local::Local;
use super::field::TILE;
use super::wide::{Loop, widest};

/// How far beyond the rim a column's centre may lie and still count as under it, in cells: rounding only.
const RIM: f64 = 1e-9;
/// How much of its columns at the seam a span takes from its neighbour, in cells, so that rounding drops none.
const SEAM: f64 = 1e-6;

/// Rows that are worked out to either side of those asked for: the next span asks for others.
const AROUND: usize = 8;

/// One value for each row of a tile.
type Each<T> = [T; TILE];

/// The rows' own heights, counted from the first.
const ROWS: Each<f64> = {
    let mut rows = [0.0; TILE];
    let mut row = 0;
    while row < TILE {
        rows[row] = row as f64;
        row += 1;
    }
    rows
};

/// Half of each row's part of a disc; below 0 where the row misses it.
#[derive(Debug, Clone)]
struct Halves {
    /// Height of the disc's middle, and its radius squared.
    y: f64,
    square: f64,
    /// The rows that have been worked out.
    rows: Range<usize>,
    of: Each<f64>,
}

impl Halves {
    #[inline(always)]
    fn fit(&mut self, y: f64, square: f64, rows: &Range<usize>) {
        if self.y == y && self.square == square && self.rows.start <= rows.start && self.rows.end >= rows.end
        {
            return;
        }
        self.rows = rows.start.saturating_sub(AROUND)..(rows.end + AROUND).min(TILE);
        (self.y, self.square) = (y, square);
        let rows = self.rows.clone();
        for (half, row) in self.of[rows.clone()].iter_mut().zip(&ROWS[rows]) {
            let square = square - (row - y) * (row - y);
            let root = greater(square, 0.0).sqrt();
            *half = if square >= 0.0 { root } else { f64::NEG_INFINITY };
        }
    }
}

/// The stretches of columns that a span must look at, row by row: at most two a row. Kept from span to span, for its
/// room, and because where one ends the next begins.
#[derive(Debug, Clone)]
pub(super) struct Rows {
    /// Round the lower and the higher end.
    low: Halves,
    high: Halves,
    /// What the span's own curve and a neighbour's leave to others, from that end.
    reached: [Each<f64>; 2],
    left: [Each<f64>; 2],
    ends: Ends,
}

/// The loop of finding the stretches in all rows between the first and the last.
struct Finding<'a> {
    rows: &'a mut Rows,
    local: &'a Local,
    all: Range<usize>,
}

impl Loop for Finding<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { rows, local, all } = self;
        rows.low.fit(local.low.y, local.square, &all);
        rows.high.fit(local.high.y, local.square, &all);
        for part in &local.rows {
            rows.find_in(local, part);
        }
    }
}

/// First column and end of the one stretch, then of the other, which lies after it.
type Ends = [Each<u32>; 4];

impl Default for Rows {
    fn default() -> Self {
        let halves = Halves { y: 0.0, square: 0.0, rows: 0..0, of: [0.0; TILE] };
        let pair = [[0.0; TILE]; 2];
        Self { low: halves.clone(), high: halves, reached: pair, left: pair, ends: [[0; TILE]; 4] }
    }
}

impl Rows {
    /// Finds the stretches of a span; the rows where there may be any.
    pub(super) fn find(&mut self, local: &Local) -> impl Iterator<Item = usize> + use<> {
        std::mem::swap(&mut self.low, &mut self.high);
        let [first, second] = local.rows.clone();
        let (from, to) = if first.is_empty() { (second.start, second.end) } else { (first.start, first.end) };
        let all = from..if second.is_empty() { to } else { second.end };
        if all.is_empty() {
            return (0..0).chain(0..0);
        }
        widest(Finding { rows: self, local, all });
        first.chain(second)
    }

    #[inline(always)]
    fn find_in(&mut self, local: &Local, rows: &Range<usize>) {
        let Self { low, high, reached, left, ends } = self;
        let (low, high) = (&low.of, &high.of);
        let own = local.reached.as_ref().filter(|lead| lead.part < 1.0);
        match &local.left {
            Some((one, other)) if one.part >= 1.0 && other.part >= 1.0 && own.is_none() => {
                join(local, rows, low, |row| (-high[row], high[row]), |row| (-low[row], low[row]), ends);
                return;
            }
            Some((one, other)) => fill(rows, left, |row| {
                let dy = ROWS[row] - local.low.y;
                common(one.behind(dy, low[row]), other.behind(dy, low[row]))
            }),
            None => fill(rows, left, |_| EMPTY),
        }
        match own {
            Some(own) => fill(rows, reached, |row| own.behind(ROWS[row] - local.high.y, high[row])),
            None => fill(rows, reached, |row| (-high[row], high[row])),
        }
        let of = |values: &[Each<f64>; 2], row: usize| (values[0][row], values[1][row]);
        join(local, rows, low, |row| of(reached, row), |row| of(left, row), ends);
    }

    /// The stretches of a row.
    #[inline]
    pub(super) fn stretches(&self, row: usize) -> [Range<usize>; 2] {
        let [from, to, next, end] = &self.ends;
        let next = next[row].max(to[row]);
        [from[row] as usize..to[row] as usize, next as usize..end[row] as usize]
    }
}

/// Puts together the stretches: all of a span but what is left to others.
#[inline(always)]
fn join(
    local: &Local,
    rows: &Range<usize>,
    halves: &Each<f64>,
    reached: impl Fn(usize) -> Interval,
    left: impl Fn(usize) -> Interval,
    ends: &mut Ends,
) {
    let [from, to, next, end] = ends;
    let shift = |interval: Interval, x: f64| (interval.0 + x, interval.1 + x);
    let some = |interval: Interval| if interval.0 <= interval.1 { interval } else { EMPTY };
    for row in rows.start..rows.end.min(TILE) {
        let dy = ROWS[row] - local.low.y;
        let half = halves[row];
        let tail = if local.reached.is_some() {
            some(local.tail(dy, half))
        } else {
            shift((-half, half), local.low.x)
        };
        let all = hull(hull(tail, some(local.band(dy))), shift(reached(row), local.high.x));
        let left = shift(left(row), local.low.x);
        let parted = left.0 + SEAM < left.1 - SEAM;
        from[row] = first(all.0 - RIM);
        to[row] = past(if parted { left.0 + SEAM } else { all.1 + RIM });
        next[row] = first(if parted { left.1 - SEAM } else { f64::INFINITY });
        end[row] = past(all.1 + RIM);
    }
}

/// Puts in an interval for each row.
#[inline(always)]
fn fill(rows: &Range<usize>, to: &mut [Each<f64>; 2], interval: impl Fn(usize) -> Interval) {
    let [low, high] = to;
    for row in rows.start..rows.end.min(TILE) {
        (low[row], high[row]) = interval(row);
    }
}
