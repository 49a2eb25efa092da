//! The golden section.

use crate::geometry::Interval;

/// The part of an interval that a step leaves.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// The least of a function between two places, from a first `best` place and value: so many steps, each of which leaves
/// 0.62 of the interval.
pub(crate) fn close_in(
    interval: Interval,
    best: Interval,
    steps: usize,
    value: impl FnMut(f64) -> f64,
) -> Interval {
    close_in_while(interval, best, steps, value, |_, _| true)
}

/// The same, as long as `worth` says so, given the interval that is left and the lower of the two values known in it.
pub(crate) fn close_in_while(
    (mut low, mut high): Interval,
    mut best: Interval,
    steps: usize,
    mut value: impl FnMut(f64) -> f64,
    worth: impl Fn(Interval, f64) -> bool,
) -> Interval {
    let inner = |low: f64, high: f64| (high - (high - low) * GOLDEN, low + (high - low) * GOLDEN);
    let (mut a, mut b) = inner(low, high);
    let (mut at_a, mut at_b) = (value(a), value(b));
    for _ in 0..steps {
        for (place, found) in [(a, at_a), (b, at_b)] {
            if found < best.1 {
                best = (place, found);
            }
        }
        if !worth((low, high), at_a.min(at_b)) {
            break;
        }
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = inner(low, high).0;
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = inner(low, high).1;
            at_b = value(b);
        }
    }
    best
}
