//! Intervals along a row and the numbers they are made of, without branches.

use std::ops::Range;

use crate::block::field::TILE;

/// An interval along a row; empty when its ends are the wrong way round.
pub(super) type Interval = (f64, f64);
pub(super) const EMPTY: Interval = (f64::INFINITY, f64::NEG_INFINITY);

#[inline(always)]
pub(super) fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

#[inline(always)]
pub(super) fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The square root, 0 where there is none. It is as good as single precision, in which heights are kept.
#[inline(always)]
pub(in crate::block) fn root(square: f64) -> f64 {
    f64::from((greater(square, 0.0) as f32).sqrt())
}

/// The number within two limits that is nearest to a value.
#[inline(always)]
pub(in crate::block) fn between<T: PartialOrd>(value: T, low: T, high: T) -> T {
    let value = if value > low { value } else { low };
    if value < high { value } else { high }
}

#[inline(always)]
pub(super) fn hull(a: Interval, b: Interval) -> Interval {
    (lesser(a.0, b.0), greater(a.1, b.1))
}

#[inline(always)]
pub(super) fn common(a: Interval, b: Interval) -> Interval {
    (greater(a.0, b.0), lesser(a.1, b.1))
}

/// Adding this leaves a number's nearest whole number in the lowest bits.
const ROUNDING: f64 = 6_755_399_441_055_744.0;
/// A half, and so little less that a whole number is not rounded up.
const NEARLY_HALF: f64 = 0.5 - 1e-12;

/// The whole number nearest to one that is not below -0.5.
#[inline(always)]
pub(super) fn nearest(x: f64) -> u32 {
    (greater(x, 0.0) + ROUNDING).to_bits() as u32
}

/// The first column at or after a place on a row.
#[inline(always)]
pub(super) fn first(x: f64) -> u32 {
    nearest(lesser(greater(x, 0.0), TILE as f64) + NEARLY_HALF)
}

/// The column after the last one at or before a place on a row.
#[inline(always)]
pub(super) fn past(x: f64) -> u32 {
    nearest(lesser(greater(x, -1.0), (TILE - 1) as f64) + (1.0 - NEARLY_HALF))
}

/// The cells of a tile whose centres lie within an interval.
#[inline(always)]
pub(in crate::block) fn cells((from, to): Interval) -> Range<usize> {
    let limit = TILE as f64;
    from.ceil().clamp(0.0, limit) as usize..(to + 1.0).clamp(0.0, limit) as usize
}
