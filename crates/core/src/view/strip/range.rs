//! How high the scale of a curve reaches, so that a far limit or a lone peak leaves the rest of it readable, and what of
//! a long curve is drawn.

use super::curve::{LimitKind, StripCurve};
use super::scale::decimated;
use crate::units::Told;
use crate::view::rounding::least_of;

/// A peak up to so many times what nearly all of the curve stays below is shown whole.
const PEAK: f64 = 2.5;
/// Nearly all.
const NEARLY: f64 = 0.95;
/// Room over the curve.
const ROOM: f64 = 1.08;
/// A limit is shown where it lies below so many times the curve.
const NEAR: f64 = 1.6;

/// What a scale may reach up to, times a power of ten.
const TOPS: [f64; 11] = [1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

/// How high the scale of a curve reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripRange {
    /// The value at its top, a round one; its foot is 0.
    pub top: f64,
    /// The largest value, where the curve goes on above the top.
    pub more: Option<f64>,
}

impl StripCurve {
    /// How high a scale is to reach that shows this curve.
    pub fn range(&self, told: impl Into<Told>) -> StripRange {
        let units = told.into();
        let factor = self.quantity.factor(units);
        let mut values: Vec<f64> = self.runs.iter().flatten().map(|&(_, value)| value).collect();
        values.retain(|value| value.is_finite());
        values.sort_by(f64::total_cmp);
        let most = values.last().copied().unwrap_or(0.0).max(0.0);
        let nearly =
            values.get(((values.len() as f64 * NEARLY) as usize).min(values.len().saturating_sub(1)));
        let nearly = nearly.copied().unwrap_or(0.0).max(0.0);
        let told = [LimitKind::Light, LimitKind::Expected].map(|kind| self.limit(kind).unwrap_or(0.0));
        let floor = nearly.max(told[0] * 2.0).max(told[1] * 1.25);
        let shown = if most <= floor * PEAK { most.max(floor) } else { floor * PEAK };
        let heavy = self.limit(LimitKind::Heavy).filter(|heavy| *heavy < shown * NEAR).unwrap_or(0.0);
        let wanted = shown.max(heavy) * ROOM;
        let top = if wanted > 0.0 { wanted } else { self.quantity.usual(units) };
        let top = least_of(&TOPS, top * factor) / factor;
        StripRange { top, more: (most > top).then_some(most) }
    }

    /// What of the curve lies from `from` to `to`, with the point before and the one after, and no more than the least and
    /// the greatest value of each of `columns` columns: as much as can be seen on so many.
    pub fn seen(&self, from: f64, to: f64, columns: usize) -> Vec<Vec<(f64, f64)>> {
        let width = (to - from) / columns.max(1) as f64;
        let part = |run: &Vec<(f64, f64)>| {
            let first = run.partition_point(|&(at, _)| at < from).saturating_sub(1);
            let end = (run.partition_point(|&(at, _)| at <= to) + 1).min(run.len());
            let part = run.get(first..end).unwrap_or_default();
            if part.len() <= 2 * columns || width <= 0.0 {
                return part.to_vec();
            }
            decimated(part, |(at, _)| ((at - from) / width).floor(), |(_, value)| value)
        };
        self.runs.iter().map(part).filter(|part| !part.is_empty()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;
    use crate::view::strip::{Quantity, StripLimit};

    fn curve(values: impl IntoIterator<Item = f64>, limits: &[(LimitKind, f64)]) -> StripCurve {
        let run: Vec<_> = values.into_iter().enumerate().map(|(at, value)| (at as f64, value)).collect();
        let (none, light, heavy, approach) = Default::default();
        let limits = limits.iter().map(|&(kind, value)| StripLimit { value, kind }).collect();
        let (heights, rapids) = Default::default();
        let runs = vec![run];
        StripCurve {
            quantity: Quantity::Thickness,
            runs,
            none,
            light,
            heavy,
            approach,
            heights,
            rapids,
            limits,
        }
    }

    #[test]
    fn a_limit_far_above_leaves_the_curve_readable() {
        let flat = || (0..200).map(|_| 0.047);
        let far = curve(flat(), &[(LimitKind::Heavy, 0.25)]).range(Units::Inch);
        assert!(far.top < 0.07 && far.more.is_none(), "{far:?}");
        let near = curve(flat(), &[(LimitKind::Heavy, 0.07)]).range(Units::Inch);
        assert!(near.top >= 0.07, "{near:?}");
        assert!(curve([], &[]).range(Units::Inch).top > 0.0, "nothing still has a scale");
    }

    #[test]
    fn a_lone_peak_is_cut_off_and_told() {
        let peak = (0..200).map(|at| if at == 77 { 1.0 } else { 0.05 });
        let range = curve(peak, &[]).range(Units::Inch);
        assert!(range.top < 0.2, "{range:?}");
        assert_eq!(range.more, Some(1.0));
        let hill = (0..200).map(|at| 0.05 + f64::from(at) * 0.0003);
        assert_eq!(curve(hill, &[]).range(Units::Inch).more, None);
    }

    #[test]
    fn what_is_seen_keeps_its_peaks() {
        let values = (0..10_000).map(|at| if at == 5_050 { 9.0 } else { 5.0 });
        let seen = curve(values, &[]).seen(5_000.0, 6_000.0, 100);
        assert!(seen[0].len() <= 204 && seen[0].contains(&(5_050.0, 9.0)), "{}", seen[0].len());
        assert!(seen[0][0].0 <= 5_000.0 && seen[0].last().is_some_and(|last| last.0 >= 6_000.0));
    }
}
