//! Round steps for grids, axes and scale bars, and how their numbers are written.

use crate::units::{Told, Units, fixed};

/// The smallest of 1, 2, 5 times a power of ten that is not below `least`.
pub(crate) fn round_up(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    least_of(&[1.0, 2.0, 5.0, 10.0], least)
}

/// The first of these parts, rising up to 10, times a power of ten that is not below a value above 0.
pub(super) fn least_of(parts: &[f64], value: f64) -> f64 {
    let power = 10_f64.powf(value.log10().floor());
    let found = parts.iter().find(|part| **part * power >= value * (1.0 - 1e-9));
    found.unwrap_or(&10.0) * power
}

/// The largest of 1, 2, 5 times a power of ten that is not above `most`.
pub(crate) fn round_down(most: f64) -> f64 {
    if !(most.is_finite() && most > 0.0) {
        return 1.0;
    }
    let power = 10_f64.powf(most.log10().floor());
    let found = [5.0, 2.0, 1.0].into_iter().find(|&part| part * power <= most * (1.0 + 1e-9));
    found.unwrap_or(0.5) * power
}

/// The multiples of `step` from `low` to `high`, at most a few hundred.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let (first, last) = ((low / step - 1e-9).ceil(), (high / step + 1e-9).floor());
    if !(first.is_finite() && last.is_finite()) || last - first > 400.0 {
        return Vec::new();
    }
    let count = (last - first + 1.0).max(0.0) as usize;
    (0..count).map(|index| (first + index as f64) * step).collect()
}

/// A step that is round as it is told, the smallest of 1, 2, 5 times a power of ten that is not below `least`; both as
/// they are kept.
pub(crate) fn told_up(told: Told, least: f64) -> f64 {
    round_up(least * told.factor()) / told.factor()
}

/// A multiple of `step` with no more decimals than the step needs; both as they are kept.
pub(crate) fn round_number(told: impl Into<Told>, value: f64, step: f64) -> String {
    let told = told.into();
    let (value, step) = (value * told.factor(), step * told.factor());
    if value.abs() < step * 1e-6 {
        return "0".to_owned();
    }
    let decimals = (-(step * (1.0 + 1e-9)).log10().floor()).max(0.0) as usize;
    let text = fixed(value, decimals);
    match told.shown() {
        Units::Mm => text,
        Units::Inch => match (text.strip_prefix("0."), text.strip_prefix("-0.")) {
            (Some(rest), _) => format!(".{rest}"),
            (_, Some(rest)) => format!("-.{rest}"),
            _ => text,
        },
    }
}

/// Round values from `low` to `high` for an axis with room for `most` of them, and how each is written.
pub fn ticks(told: impl Into<Told>, low: f64, high: f64, most: usize) -> Vec<(f64, String)> {
    let told = told.into();
    let step = told_up(told, (high - low) / most.max(1) as f64);
    multiples(low, high, step).into_iter().map(|value| (value, round_number(told, value, step))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_has_no_more_numbers_than_it_has_room_for() {
        for most in 1..12 {
            let ticks = ticks(Units::Inch, 0.0, 14.3457, most);
            assert!(ticks.len() <= most + 1 && !ticks.is_empty(), "{most}: {ticks:?}");
        }
        let told: Vec<String> = ticks(Units::Inch, 0.0, 0.25, 3).into_iter().map(|tick| tick.1).collect();
        assert_eq!(told, ["0", ".1", ".2"]);
    }

    #[test]
    fn steps_are_round() {
        for (least, step) in [(0.13, 0.2), (0.2, 0.2), (3.0, 5.0), (7.0, 10.0), (1.0, 1.0)] {
            assert!((round_up(least) - step).abs() < 1e-12, "{least}");
        }
        for (most, step) in [(0.13, 0.1), (0.2, 0.2), (4.9, 2.0), (7.0, 5.0), (1.0, 1.0)] {
            assert!((round_down(most) - step).abs() < 1e-12, "{most}");
        }
        assert_eq!(multiples(-0.05, 0.21, 0.1).len(), 3);
        assert_eq!(round_number(Units::Inch, -0.5, 0.1), "-.5");
        assert_eq!(round_number(Units::Inch, 3.0, 1.0), "3");
        assert_eq!(round_number(Units::Mm, 0.05, 0.05), "0.05");
    }
}
