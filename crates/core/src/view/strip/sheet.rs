//! The sheet a curve of the strip is drawn on.

use super::curve::{LimitKind, StripCurve};
use super::scale::{StripScale, decimated, joined};
use crate::measure::Contact;
use crate::units::Told;
use crate::view::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight};
use crate::view::rounding::{multiples, round_down, round_number, round_up, told_up};
use crate::view::text::text_width;
use crate::view::theme::Theme;

pub(super) const TOP: f32 = 14.0;
/// From the bottom up to the line the cursor's knob runs on.
const KNOB: f32 = 26.0;
/// From the bottom up to the value 0.
const FOOT: f32 = 42.0;
/// Least distance between lines of the scale.
const LINES: f32 = 24.0;
const SMALL: f32 = 10.5;

/// The axes of a strip.
pub(super) struct Sheet<'a> {
    scale: StripScale,
    height: f32,
    pub(super) zero: f32,
    most: f64,
    units: Told,
    /// The unit of the values.
    unit: &'static str,
    /// Turns a value as it is kept into one as it is told.
    factor: f64,
    theme: &'a Theme,
}

impl<'a> Sheet<'a> {
    pub(super) fn new(
        scale: StripScale,
        height: f32,
        curve: &StripCurve,
        units: Told,
        theme: &'a Theme,
    ) -> Self {
        let near = [LimitKind::Light, LimitKind::Expected].map(|kind| curve.limit(kind));
        let low = near.into_iter().flatten().fold(curve.most(), f64::max);
        // A limit far above the curve would flatten it.
        let heavy = curve.limit(LimitKind::Heavy).filter(|&heavy| heavy < low * 1.8).unwrap_or(0.0);
        let most = low.max(heavy);
        let most = if most > 0.0 { most * 1.1 } else { curve.quantity.usual(units) };
        let zero = (height - FOOT).max(TOP + 1.0);
        let (unit, factor) = (curve.quantity.unit(units), curve.quantity.factor(units));
        Self { scale, height, zero, most, units, unit, factor, theme }
    }

    fn y(&self, cut: f64) -> f32 {
        self.zero - ((cut / self.most).clamp(0.0, 1.0) as f32) * (self.zero - TOP)
    }

    /// Lines and numbers of both axes. The last number of each has its unit; before those along the bottom stands what they
    /// are: `name`.
    pub(super) fn axes(&self, drawing: &mut Drawing, name: &str) {
        let (left, right, theme) = (self.scale.left, self.scale.right, self.theme);
        let lines = f64::from(((self.zero - TOP) / LINES).clamp(1.0, 5.0));
        // However low the strip, one number above 0 says how high it reaches.
        let step =
            round_up(self.most * self.factor / lines).min(round_down(self.most * self.factor)) / self.factor;
        let values: Vec<f64> = multiples(0.0, self.most, step);
        for (index, value) in values.iter().enumerate() {
            let y = self.y(*value);
            drawing.line([left, y], [right, y], theme.line, 1.0, Dash::Solid);
            let mut label = round_number(self.units.shown(), value * self.factor, step * self.factor);
            if index + 1 == values.len() {
                label = format!("{label} {}", self.unit);
            }
            drawing.text([left - 8.0, y], Anchor::Right, SMALL, theme.quiet, label);
        }
        let base = self.height - KNOB;
        drawing.line([left, base], [right, base], theme.line, 2.0, Dash::Solid);
        if self.scale.length > 0.0 {
            let step = told_up(self.units, self.scale.length / f64::from(((right - left) / 110.0).max(1.0)));
            let low = self.height - 9.0;
            let values: Vec<f64> = multiples(0.0, self.scale.length, step);
            for (index, value) in values.iter().enumerate() {
                let x = self.scale.to_x(*value);
                drawing.line([x, base], [x, base + 4.0], theme.quiet, 1.0, Dash::Solid);
                let mut label = round_number(self.units, *value, step);
                let mut at = x;
                if index + 1 == values.len() {
                    label = format!("{label} {}", self.units.short());
                    at = at.min(drawing.width - text_width(&label, SMALL, Weight::Plain) / 2.0 - 1.0);
                }
                drawing.text([at, low], Anchor::Centre, SMALL, theme.quiet, label);
            }
            drawing.text([2.0, low], Anchor::Left, SMALL, theme.quiet, name);
        }
    }

    pub(super) fn hatches(&self, drawing: &mut Drawing, data: &StripCurve) {
        let (wide, length) = (f64::from(self.scale.right - self.scale.left), self.scale.length);
        let point = if wide > 0.0 { length / wide } else { 0.0 };
        for (from, to) in joined(data.none.iter().copied(), point * 0.5) {
            let (x0, x1) = (self.scale.to_x(from), self.scale.to_x(to));
            let x1 = x1.max(x0 + 2.0);
            drawing.items.push(Item::Hatch {
                rect: [x0, TOP, x1, self.zero],
                ink: self.theme.none,
                spacing: 5.0,
            });
        }
        let ways = joined(data.approach.iter().copied(), point * 0.5);
        let ways = ways
            .iter()
            .map(|&(from, to)| vec![[self.scale.to_x(from), self.zero], [self.scale.to_x(to), self.zero]]);
        drawing.stroke(ways.collect(), self.theme.quiet, 1.4, Dash::Dotted);
        let rapids = joined(data.rapids.iter().copied(), point * 0.5);
        let lines = rapids
            .iter()
            .map(|&(from, to)| vec![[self.scale.to_x(from), self.zero], [self.scale.to_x(to), self.zero]]);
        drawing.stroke(lines.collect(), self.theme.quiet, 2.4, Dash::Solid);
    }

    pub(super) fn limits(&self, drawing: &mut Drawing, data: &StripCurve) {
        let theme = self.theme;
        let mut taken: Vec<[f32; 4]> = Vec::new();
        for limit in data.limits.iter().filter(|limit| limit.value <= self.most) {
            let y = self.y(limit.value);
            let (ink, width) = match limit.kind {
                LimitKind::Expected => (theme.quiet, 1.0),
                LimitKind::Light => (theme.fine_line(Contact::Light), 1.5),
                LimitKind::Heavy => (theme.fine_line(Contact::Heavy), 1.5),
            };
            drawing.line([self.scale.left, y], [self.scale.right, y], ink, width, Dash::Dashed);
            let text = format!("{} {}", limit.kind.words(), self.units.plain(limit.value));
            let rect = self.label_place(y, text_width(&text, SMALL, Weight::Plain), &taken, data);
            let [r, g, b, _] = theme.paper;
            let back: Ink = [r, g, b, 210];
            drawing.panel(rect, back);
            let at = [rect[2] - 3.0, f32::midpoint(rect[1], rect[3])];
            drawing.text(at, Anchor::Right, SMALL, theme.quiet, text);
            taken.push(rect);
        }
    }

    /// Room for a label just above a line, or else just below it: the rightmost that is clear of the curve, of hatches and
    /// of the labels already written, or else of those labels alone.
    fn label_place(&self, line: f32, wide: f32, taken: &[[f32; 4]], data: &StripCurve) -> [f32; 4] {
        let above = (line - 9.0).max(7.0);
        let below = (line + 9.0).min(self.zero + 9.0);
        let at = |right: f32, middle: f32| [right - wide - 6.0, middle - 6.5, right, middle + 6.5];
        let rect = |right: f32| at(right, above);
        let apart = |a: &[f32; 4], b: &[f32; 4]| {
            a[2] + 8.0 < b[0] || b[2] + 8.0 < a[0] || a[3] <= b[1] || b[3] <= a[1]
        };
        let clear = |r: &[f32; 4]| taken.iter().all(|other| apart(r, other));
        let unmarked = |r: &[f32; 4]| {
            let (from, to) = (self.scale.to_value(r[0] - 4.0), self.scale.to_value(r[2] + 4.0));
            let hatched = data.none.iter().any(|none| none.0 < to && none.1 > from);
            let crossed = data.runs.iter().any(|run| {
                let inside =
                    run.partition_point(|p| p.0 < from).saturating_sub(1)..run.partition_point(|p| p.0 <= to);
                let heights = run.get(inside).unwrap_or_default().iter().map(|p| self.y(p.1));
                let (top, low) = heights.fold((f32::MAX, f32::MIN), |(a, b), y| (a.min(y), b.max(y)));
                top < r[3] + 2.0 && low > r[1] - 2.0
            });
            !hatched && !crossed
        };
        let first = self.scale.right - 1.0;
        let count = ((first - wide - self.scale.left) / 24.0).clamp(0.0, 200.0) as u16;
        let places = || (0..=count).map(|step| rect(first - 24.0 * f32::from(step)));
        let under = || places().map(|r| at(r[2], below));
        let found = places().find(|r| clear(r) && unmarked(r));
        let found = found.or_else(|| under().find(|r| clear(r) && unmarked(r)));
        found.or_else(|| places().find(clear)).unwrap_or_else(|| rect(first))
    }

    pub(super) fn curve(&self, drawing: &mut Drawing, data: &StripCurve) {
        let lines: Vec<Vec<[f32; 2]>> = data
            .runs
            .iter()
            .map(|run| {
                let points: Vec<[f32; 2]> =
                    run.iter().map(|&(value, cut)| [self.scale.to_x(value), self.y(cut)]).collect();
                decimated(&points, |p| f64::from(p[0].floor()), |p| f64::from(p[1]))
            })
            .filter(|line| line.len() > 1)
            .collect();
        drawing.stroke(lines, self.theme.accent, 1.8, Dash::Solid);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::strip::curve::{Quantity, StripLimit};

    fn data() -> StripCurve {
        let run = (0..=100).map(|i| (f64::from(i) / 10.0, if i < 50 { 0.05 } else { 0.02 })).collect();
        StripCurve {
            quantity: Quantity::Thickness,
            runs: vec![run],
            none: vec![(9.0, 10.0)],
            light: Vec::new(),
            heavy: Vec::new(),
            approach: Vec::new(),
            heights: Vec::new(),
            rapids: Vec::new(),
            limits: Vec::new(),
        }
    }

    #[test]
    fn the_cut_is_read_between_samples() {
        let data = data();
        assert!((data.at(4.95).expect("inside") - 0.035).abs() < 1e-9);
        assert_eq!(data.at(10.5), None);
        assert!((data.most() - 0.05).abs() < 1e-12);
    }

    #[test]
    fn labels_keep_clear_of_hatch_curve_and_each_other() {
        let theme = Theme::light();
        let scale = StripScale { left: 50.0, right: 850.0, length: 10.0 };
        let sheet = Sheet::new(scale, 160.0, &data(), crate::units::Units::Inch.into(), &theme);
        let first = sheet.label_place(sheet.y(0.018), 90.0, &[], &data());
        assert!(first[2] < scale.to_x(5.0), "the curve runs through any place further right: {first:?}");
        // A curve that runs close above the line all along leaves room only below it.
        let near = StripCurve { runs: vec![vec![(0.0, 0.026), (10.0, 0.026)]], none: Vec::new(), ..data() };
        let low = sheet.label_place(sheet.y(0.018), 90.0, &[], &near);
        assert!(low[1] > sheet.y(0.018), "{low:?}");
        let second = sheet.label_place(sheet.y(0.018), 90.0, &[first], &data());
        assert!(second[2] < first[0] || second[0] > first[2]);
    }

    #[test]
    fn a_limit_far_above_the_cut_does_not_flatten_the_curve() {
        let theme = Theme::light();
        let limits = vec![StripLimit { value: 5.0, kind: LimitKind::Heavy }];
        let scale = StripScale { left: 50.0, right: 850.0, length: 10.0 };
        let sheet = Sheet::new(
            scale,
            160.0,
            &StripCurve { limits, ..data() },
            crate::units::Units::Inch.into(),
            &theme,
        );
        assert!(sheet.most < 0.06);
    }

    #[test]
    fn both_axes_say_what_they_are_in() {
        let theme = Theme::light();
        for (units, up, along) in
            [(crate::units::Units::Inch, "in", "10 in"), (crate::units::Units::Mm, "mm", "10 mm")]
        {
            let mut drawing = Drawing::new(900.0, 150.0);
            let scale = StripScale { left: 56.0, right: 884.0, length: 10.0 };
            Sheet::new(scale, 150.0, &data(), units.into(), &theme).axes(&mut drawing, "station");
            let texts: Vec<&str> = drawing
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Text { text, .. } => Some(text.as_str()),
                    _ => None,
                })
                .collect();
            let with_unit = texts.iter().filter(|text| text.ends_with(up)).count();
            assert_eq!(with_unit, 2, "once on each axis: {texts:?}");
            assert!(texts.contains(&along) && texts.contains(&"station"), "{texts:?}");
        }
    }

    #[test]
    fn a_low_strip_still_says_how_high_it_reaches() {
        let theme = Theme::light();
        let scale = StripScale { left: 50.0, right: 850.0, length: 10.0 };
        for (height, most) in [(80.0, 3.3), (92.0, 0.099), (120.0, 1.02), (240.0, 0.25)] {
            let curve = StripCurve { runs: vec![vec![(0.0, most), (1.0, most)]], ..data() };
            let mut drawing = Drawing::new(900.0, height);
            Sheet::new(scale, height, &curve, crate::units::Units::Inch.into(), &theme)
                .axes(&mut drawing, "station");
            let numbers = drawing.items.iter().filter_map(|item| match item {
                Item::Text { at, anchor: Anchor::Right, .. } => Some(at[1]),
                _ => None,
            });
            let places: Vec<f32> = numbers.collect();
            assert!(places.len() >= 2, "{height} {most}: {places:?}");
            assert!(places.windows(2).all(|pair| pair[0] - pair[1] >= SMALL), "{height} {most}: {places:?}");
        }
    }
}
