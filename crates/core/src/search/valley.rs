//! The least value of a function that is smooth, as a whole or between knots.

/// A least value is found this near, as a part of the interval. What a function falls within that is far less than what a
/// column can hold.
const LEAST_WITHIN: f64 = 1e-7;
/// Rounds of [`least_in_valley`] at most; where nothing is smooth each leaves .62 of the interval.
const LEAST_STEPS: usize = 60;
/// Looks between two knots before the best of them is refined.
const LOOKS: usize = 6;
/// Part of an interval that a golden section takes off.
const SHORTER: f64 = 0.381_966_011_250_105;

/// The least value of a function with one valley: parabolas through the three best looks, golden section where those lead
/// out of the interval or do not get on (R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 5,
/// from memory).
pub(crate) fn least_in_valley(value: impl Fn(f64) -> f64, (low, high): (f64, f64)) -> f64 {
    let ends = value(low).min(value(high));
    let (mut from, mut to) = (low, high);
    let within = LEAST_WITHIN * (high - low);
    let start = low + SHORTER * (high - low);
    let mut best = (start, value(start));
    let (mut second, mut third) = (best, best);
    let (mut step, mut last) = (0.0_f64, 0.0_f64);
    for _ in 0..LEAST_STEPS {
        let middle = f64::midpoint(from, to);
        if (best.0 - middle).abs() + (to - from) / 2.0 <= 2.0 * within {
            break;
        }
        let bottom = bottom(best, second, third).filter(|bottom| {
            let inside = best.0 + bottom > from + 2.0 * within && best.0 + bottom < to - 2.0 * within;
            inside && bottom.abs() < last.abs() / 2.0
        });
        (step, last) = if let Some(bottom) = bottom {
            (bottom, step)
        } else {
            let longer = if best.0 >= middle { from - best.0 } else { to - best.0 };
            (SHORTER * longer, longer)
        };
        let at = best.0 + if step.abs() >= within { step } else { within.copysign(step) };
        let next = (at, value(at));
        if next.1 <= best.1 {
            if at >= best.0 {
                from = best.0;
            } else {
                to = best.0;
            }
            (third, second, best) = (second, best, next);
        } else {
            if at < best.0 {
                from = at;
            } else {
                to = at;
            }
            if next.1 <= second.1 || second.0 == best.0 {
                (third, second) = (second, next);
            } else if next.1 <= third.1 || third.0 == best.0 || third.0 == second.0 {
                third = next;
            }
        }
    }
    ends.min(best.1)
}

/// How far from the first of three looks the bottom of the parabola through them lies.
fn bottom(best: (f64, f64), second: (f64, f64), third: (f64, f64)) -> Option<f64> {
    let (u, v) = (second.0 - best.0, third.0 - best.0);
    let (rise, fall) = (u * (third.1 - best.1), v * (second.1 - best.1));
    let found = (v * fall - u * rise) / (2.0 * (fall - rise));
    found.is_finite().then_some(found)
}

/// The least value of a function that is smooth between knots: looked at in several places between each two, and
/// refined wherever a look is no higher than those beside it.
pub(crate) fn least(value: impl Fn(f64) -> f64, (low, high): (f64, f64), knots: &[f64]) -> f64 {
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

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

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
