//! Where a function crosses zero.

/// Rounds of [`crossing`] at most; it needs about eight.
const CROSSING_STEPS: usize = 40;
/// Where a function crosses zero is found this near, as a part of the interval.
const CROSSING_WITHIN: f64 = 1e-8;

/// Where a function that crosses zero once, from below to above, does so; the end nearest to it where it does not
/// within the interval. (False position after Illinois: an end that stays twice counts half.)
pub(crate) fn crossing(value: impl Fn(f64) -> f64, (mut low, mut high): (f64, f64)) -> f64 {
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
}
