//! Least values of functions of one variable.

/// Steps of golden section: the interval shrinks to a hundred-millionth.
const GOLDEN_STEPS: usize = 40;
/// Looks between two knots before the best of them is refined.
const LOOKS: usize = 6;
const GOLDEN: f64 = 0.618_033_988_749_894_8;

/// The least value of a function with one valley.
pub(super) fn least_in_valley(value: impl Fn(f64) -> f64, (mut low, mut high): (f64, f64)) -> f64 {
    let ends = value(low).min(value(high));
    let (mut a, mut b) = (high - (high - low) * GOLDEN, low + (high - low) * GOLDEN);
    let (mut at_a, mut at_b) = (value(a), value(b));
    for _ in 0..GOLDEN_STEPS {
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - (high - low) * GOLDEN;
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + (high - low) * GOLDEN;
            at_b = value(b);
        }
    }
    ends.min(at_a).min(at_b)
}

/// The least value of a function that is smooth between knots: looked at in several places between each two, and
/// refined wherever a look is no higher than those beside it.
pub(super) fn least(value: impl Fn(f64) -> f64, (low, high): (f64, f64), knots: &[f64]) -> f64 {
    let (mut before, mut here) = ((low, value(low)), (low, value(low)));
    let mut best = here.1;
    let mut from = low;
    let mut look = |at: f64| {
        let next = (at, value(at));
        best = best.min(next.1);
        if here.1 <= before.1 && here.1 <= next.1 && before.0 < next.0 {
            best = best.min(least_in_valley(&value, (before.0, next.0)));
        }
        (before, here) = (here, next);
    };
    for to in knots.iter().copied().chain([high]) {
        for part in 1..=LOOKS {
            look(from + (to - from) * part as f64 / LOOKS as f64);
        }
        from = to;
    }
    look(high);
    best
}

/// Rounds of [`crossing`] at most; it needs about eight.
const CROSSING_STEPS: usize = 40;
/// Where a function crosses zero is found this near, as a part of the interval.
const CROSSING_WITHIN: f64 = 1e-8;

/// Where a function that crosses zero once, from below to above, does so; the end nearest to it where it does not
/// within the interval. (False position after Illinois: an end that stays twice counts half.)
pub(super) fn crossing(value: impl Fn(f64) -> f64, (mut low, mut high): (f64, f64)) -> f64 {
    let (mut at_low, mut at_high) = (value(low), value(high));
    if at_low >= 0.0 {
        return low;
    }
    if at_high <= 0.0 {
        return high;
    }
    let within = (high - low) * CROSSING_WITHIN;
    let (mut at, mut stayed) = (low, 0);
    for _ in 0..CROSSING_STEPS {
        let next = (low * at_high - high * at_low) / (at_high - at_low);
        let moved = (next - at).abs();
        at = next;
        let here = value(at);
        if here == 0.0 || moved <= within || high - low <= within {
            break;
        }
        if here < 0.0 {
            (low, at_low) = (at, here);
            at_high *= if stayed > 0 { 0.5 } else { 1.0 };
            stayed = 1;
        } else {
            (high, at_high) = (at, here);
            at_low *= if stayed < 0 { 0.5 } else { 1.0 };
            stayed = -1;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn a_crossing_is_found_wherever_it_lies() {
        for at in [1e-9, 0.1, 0.5, 0.999_999] {
            assert_abs_diff_eq!(crossing(|x| x - at, (0.0, 1.0)), at, epsilon = 1e-7);
            assert_abs_diff_eq!(crossing(|x| (x - at).powi(3), (0.0, 1.0)), at, epsilon = 1e-2);
            assert_abs_diff_eq!(crossing(|x| x.sqrt() - at.sqrt(), (0.0, 1.0)), at, epsilon = 1e-7);
        }
        assert_eq!(crossing(|x| x + 1.0, (0.0, 1.0)), 0.0);
        assert_eq!(crossing(|x| x - 2.0, (0.0, 1.0)), 1.0);
    }

    #[test]
    fn the_lowest_of_several_valleys_is_found() {
        let waves = |x: f64| (x * 3.0).cos() + 0.1 * x;
        // cos 3x + x/10 has its least where sin 3x = 1/30 past the second of its valleys' middles.
        let at = (std::f64::consts::PI - (1.0_f64 / 30.0).asin()) / 3.0;
        assert_abs_diff_eq!(least(waves, (0.0, 6.0), &[2.0, 4.0]), waves(at), epsilon = 1e-12);
        assert_abs_diff_eq!(least(|x| -x, (0.0, 1.0), &[]), -1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(least(|x| (x - 0.3).abs(), (0.0, 1.0), &[0.3]), 0.0, epsilon = 1e-9);
        assert_abs_diff_eq!(least_in_valley(|x| (x - 0.7).powi(2), (0.0, 1.0)), 0.0, epsilon = 1e-12);
    }
}
