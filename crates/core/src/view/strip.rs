//! The thickness of cut along the tool's path or along the outline.

use super::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight, circle};
use super::rounding::{multiples, round_number, round_up};
use super::strip_curve::{StripScale, decimated, joined};
use super::text::text_width;
use super::theme::Theme;
use crate::measure::Contact;
use crate::program::Kind;
use crate::proof::{PassProof, Proof};
use crate::units::Units;

/// What the strip runs along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// The tool's own path, rapids included.
    Path,
    /// The outline, by station.
    Outline,
}

/// What the strip shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripState {
    /// Index of the pass.
    pub pass: usize,
    /// What it runs along.
    pub along: Along,
    /// The tool's place as a distance along the pass; no cursor is drawn when it is not a finite number.
    pub distance: f64,
    /// A distance or station to point out, by what the strip runs along.
    pub hover: Option<f64>,
}

const LEFT: f32 = 56.0;
const RIGHT: f32 = 16.0;
const TOP: f32 = 14.0;
/// From the bottom up to the line the cursor's knob runs on.
const KNOB: f32 = 26.0;
/// From the bottom up to thickness 0.
const FOOT: f32 = 42.0;
const SMALL: f32 = 10.5;

/// The thickness of cut along the path or the outline, and where distances lie across it.
pub fn strip(
    proof: &Proof,
    state: &StripState,
    width: f32,
    height: f32,
    theme: &Theme,
) -> (Drawing, StripScale) {
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let length = match state.along {
        Along::Path => proof.passes.get(state.pass).map_or(0.0, |pass| pass.track.length()),
        Along::Outline => proof.outline.as_ref().map_or(0.0, |outline| outline.length()),
    };
    let scale = StripScale { left: LEFT, right: (width - RIGHT).max(LEFT + 1.0), length };
    let Some(pass) = proof.passes.get(state.pass) else { return (drawing, scale) };
    let data = Data::new(pass, state.along);
    let limits = Limits::new(proof, state.pass);
    let sheet = Sheet::new(scale, height, data.most(), &limits, proof.job.units, theme);
    sheet.axes(&mut drawing);
    sheet.hatches(&mut drawing, &data);
    sheet.limits(&mut drawing, &limits, &data);
    if data.runs.is_empty() {
        let middle = [f32::midpoint(scale.left, scale.right), f32::midpoint(TOP, sheet.zero)];
        let what = if state.along == Along::Path {
            "No cut was measured along this path"
        } else {
            "This pass was not measured along the outline"
        };
        drawing.text(middle, Anchor::Centre, 12.0, theme.quiet, what);
    }
    sheet.curve(&mut drawing, &data);
    let tool = match state.along {
        Along::Path => Some(state.distance),
        Along::Outline => station_of_tool(proof, pass, state.distance),
    };
    if let Some(tool) = tool.filter(|_| state.distance.is_finite()) {
        sheet.cursor(&mut drawing, tool);
    }
    if let Some(hover) = state.hover {
        sheet.hover(&mut drawing, hover, data.at(hover));
    }
    (drawing, scale)
}

fn station_of_tool(proof: &Proof, pass: &PassProof, distance: f64) -> Option<f64> {
    let position = pass.track.at(distance)?;
    Some(proof.outline.as_ref()?.nearest(position.tip.plan()))
}

/// The measures shown: unbroken runs of distance and cut, and stretches without contact and at rapid.
struct Data {
    runs: Vec<Vec<(f64, f64)>>,
    none: Vec<(f64, f64)>,
    rapids: Vec<(f64, f64)>,
}

impl Data {
    fn new(pass: &PassProof, along: Along) -> Self {
        match along {
            Along::Path => Self::along_path(pass),
            Along::Outline => Self::along_outline(pass),
        }
    }

    fn along_path(pass: &PassProof) -> Self {
        let rapid = pass.track.placed().iter().filter(|p| p.motion.kind == Kind::Rapid && p.length > 0.0);
        let rapids = joined(rapid.map(|p| (p.from, p.from + p.length)), 0.0);
        let Some(along) = &pass.along_path else {
            return Self { runs: Vec::new(), none: Vec::new(), rapids };
        };
        let mut runs: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut last: Option<f64> = None;
        for row in &along.rows {
            let next = rapids.partition_point(|rapid| rapid.1 <= last.unwrap_or(f64::NEG_INFINITY));
            let broken = last.is_none() || rapids.get(next).is_some_and(|rapid| rapid.0 < row.distance);
            if broken {
                runs.push(Vec::new());
            }
            if let Some(run) = runs.last_mut() {
                run.push((row.distance, row.cut));
            }
            last = Some(row.distance);
        }
        Self { runs, none: along.none.clone(), rapids }
    }

    fn along_outline(pass: &PassProof) -> Self {
        let Some(along) = &pass.along_outline else {
            return Self { runs: Vec::new(), none: Vec::new(), rapids: Vec::new() };
        };
        let run: Vec<(f64, f64)> = along.rows.iter().map(|row| (row.station, row.cut())).collect();
        let none = along.contact.iter().filter(|stretch| stretch.state == Contact::None);
        Self {
            runs: if run.is_empty() { Vec::new() } else { vec![run] },
            none: none.map(|stretch| (stretch.from, stretch.to)).collect(),
            rapids: Vec::new(),
        }
    }

    fn most(&self) -> f64 {
        self.runs.iter().flatten().map(|&(_, cut)| cut).filter(|cut| cut.is_finite()).fold(0.0, f64::max)
    }

    /// The cut at a distance, between its neighbours in a run.
    fn at(&self, value: f64) -> Option<f64> {
        let run = self.runs.iter().find(|run| {
            run.first().is_some_and(|first| first.0 <= value)
                && run.last().is_some_and(|last| value <= last.0)
        })?;
        let after = run.partition_point(|&(distance, _)| distance < value);
        let (from, to) = (run.get(after.saturating_sub(1))?, run.get(after)?);
        let gap = to.0 - from.0;
        Some(if gap > 0.0 { from.1 + (to.1 - from.1) * (value - from.0) / gap } else { to.1 })
    }
}

/// Thicknesses the cut is held against.
struct Limits {
    light: Option<f64>,
    heavy: Option<f64>,
    expected: Option<f64>,
}

impl Limits {
    fn new(proof: &Proof, pass: usize) -> Self {
        let passes = &proof.job.passes;
        let Some(allowance) = passes.get(pass).and_then(|pass| pass.allowance) else {
            return Self { light: None, heavy: None, expected: None };
        };
        let contact = proof.job.contact.as_ref();
        let before = passes[..pass].iter().rev().find_map(|earlier| earlier.allowance);
        Self {
            light: contact.and_then(|contact| contact.light_below),
            heavy: contact.and_then(|contact| contact.heavy_above),
            expected: before.map(|before| before - allowance).filter(|&expected| expected > 0.0),
        }
    }
}

/// The axes of a strip.
struct Sheet<'a> {
    scale: StripScale,
    height: f32,
    zero: f32,
    most: f64,
    units: Units,
    theme: &'a Theme,
}

impl<'a> Sheet<'a> {
    fn new(
        scale: StripScale,
        height: f32,
        most: f64,
        limits: &Limits,
        units: Units,
        theme: &'a Theme,
    ) -> Self {
        let low = [limits.light, limits.expected].into_iter().flatten().fold(most, f64::max);
        let heavy = limits.heavy.filter(|&heavy| heavy < low * 1.8).unwrap_or(0.0);
        let most = low.max(heavy);
        let most = if most > 0.0 { most * 1.1 } else { units.pick(0.05, 1.0) };
        Self { scale, height, zero: (height - FOOT).max(TOP + 1.0), most, units, theme }
    }

    fn y(&self, cut: f64) -> f32 {
        self.zero - ((cut / self.most).clamp(0.0, 1.0) as f32) * (self.zero - TOP)
    }

    fn axes(&self, drawing: &mut Drawing) {
        let (left, right, theme) = (self.scale.left, self.scale.right, self.theme);
        let lines = f64::from(((self.zero - TOP) / 34.0).clamp(1.0, 5.0));
        for cut in multiples(0.0, self.most, round_up(self.most / lines)) {
            let y = self.y(cut);
            drawing.line([left, y], [right, y], theme.line, 1.0, Dash::Solid);
            let label = if cut == 0.0 { "0".to_owned() } else { self.units.plain(cut) };
            drawing.text([left - 8.0, y], Anchor::Right, SMALL, theme.quiet, label);
        }
        let base = self.height - KNOB;
        drawing.line([left, base], [right, base], theme.line, 2.0, Dash::Solid);
        if self.scale.length > 0.0 {
            let step = round_up(self.scale.length / f64::from(((right - left) / 110.0).max(1.0)));
            for value in multiples(0.0, self.scale.length, step) {
                let x = self.scale.to_x(value);
                drawing.line([x, base], [x, base + 4.0], theme.quiet, 1.0, Dash::Solid);
                let label = round_number(self.units, value, step);
                drawing.text([x, self.height - 9.0], Anchor::Centre, SMALL, theme.quiet, label);
            }
        }
    }

    fn hatches(&self, drawing: &mut Drawing, data: &Data) {
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
        let rapids = joined(data.rapids.iter().copied(), point * 0.5);
        let lines = rapids
            .iter()
            .map(|&(from, to)| vec![[self.scale.to_x(from), self.zero], [self.scale.to_x(to), self.zero]]);
        drawing.stroke(lines.collect(), self.theme.quiet, 2.4, Dash::Solid);
    }

    fn limits(&self, drawing: &mut Drawing, limits: &Limits, data: &Data) {
        let theme = self.theme;
        let units = self.units;
        let rows = [
            (limits.expected, "expected", theme.quiet, 1.0_f32),
            (limits.light, "light below", theme.light, 1.5),
            (limits.heavy, "heavy above", theme.heavy, 1.5),
        ];
        let mut taken: Vec<[f32; 4]> = Vec::new();
        for (limit, words, ink, width) in rows {
            let Some(limit) = limit.filter(|&limit| limit <= self.most) else { continue };
            let y = self.y(limit);
            drawing.line([self.scale.left, y], [self.scale.right, y], ink, width, Dash::Dashed);
            let text = format!("{words} {}", units.plain(limit));
            let rect = self.label_place(y, text_width(&text, SMALL, Weight::Plain), &taken, data);
            let [r, g, b, _] = theme.paper;
            let back: Ink = [r, g, b, 210];
            drawing.panel(rect, back);
            let at = [rect[2] - 3.0, f32::midpoint(rect[1], rect[3])];
            drawing.text(at, Anchor::Right, SMALL, theme.quiet, text);
            taken.push(rect);
        }
    }

    /// Room for a label just above a line: the rightmost that is clear of the curve, of hatches and of the labels
    /// already written, or else of those labels alone.
    fn label_place(&self, line: f32, wide: f32, taken: &[[f32; 4]], data: &Data) -> [f32; 4] {
        let middle = (line - 9.0).max(7.0);
        let rect = |right: f32| [right - wide - 6.0, middle - 6.5, right, middle + 6.5];
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
        let found = places().find(|r| clear(r) && unmarked(r));
        found.or_else(|| places().find(clear)).unwrap_or_else(|| rect(first))
    }

    fn curve(&self, drawing: &mut Drawing, data: &Data) {
        let lines: Vec<Vec<[f32; 2]>> = data
            .runs
            .iter()
            .map(|run| {
                let points: Vec<[f32; 2]> =
                    run.iter().map(|&(value, cut)| [self.scale.to_x(value), self.y(cut)]).collect();
                decimated(&points)
            })
            .filter(|line| line.len() > 1)
            .collect();
        drawing.stroke(lines, self.theme.accent, 1.8, Dash::Solid);
    }

    fn cursor(&self, drawing: &mut Drawing, value: f64) {
        let x = self.scale.to_x(value.clamp(0.0, self.scale.length));
        let base = self.height - KNOB;
        drawing.line([x, TOP - 6.0], [x, base], self.theme.ink, 1.4, Dash::Solid);
        drawing.fill(circle([x, base], 6.5), self.theme.ink);
    }

    fn hover(&self, drawing: &mut Drawing, value: f64, cut: Option<f64>) {
        let x = self.scale.to_x(value.clamp(0.0, self.scale.length));
        drawing.line([x, TOP - 6.0], [x, self.zero], self.theme.accent, 1.0, Dash::Dashed);
        let Some(cut) = cut else { return };
        let y = self.y(cut);
        drawing.fill(circle([x, y], 3.5), self.theme.accent);
        let text = self.units.fine_with_unit(cut);
        let wide = text_width(&text, SMALL, Weight::Plain) + 12.0;
        let left = if x + 8.0 + wide > self.scale.right { x - 8.0 - wide } else { x + 8.0 };
        let top = (y - 22.0).max(2.0);
        drawing.panel([left, top, left + wide, top + 17.0], self.theme.panel);
        drawing.text([left + 6.0, top + 8.5], Anchor::Left, SMALL, self.theme.ink, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn data() -> Data {
        let run = (0..=100).map(|i| (f64::from(i) / 10.0, if i < 50 { 0.05 } else { 0.02 })).collect();
        Data { runs: vec![run], none: vec![(9.0, 10.0)], rapids: Vec::new() }
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
        let limits = Limits { light: Some(0.018), heavy: None, expected: Some(0.047) };
        let scale = StripScale { left: 50.0, right: 850.0, length: 10.0 };
        let sheet = Sheet::new(scale, 160.0, data().most(), &limits, Units::Inch, &theme);
        let first = sheet.label_place(sheet.y(0.018), 90.0, &[], &data());
        assert!(first[2] < scale.to_x(5.0), "the curve runs through any place further right: {first:?}");
        let second = sheet.label_place(sheet.y(0.018), 90.0, &[first], &data());
        assert!(second[2] < first[0] || second[0] > first[2]);
    }

    #[test]
    fn a_limit_far_above_the_cut_does_not_flatten_the_curve() {
        let theme = Theme::light();
        let limits = Limits { light: None, heavy: Some(5.0), expected: None };
        let scale = StripScale { left: 50.0, right: 850.0, length: 10.0 };
        let sheet = Sheet::new(scale, 160.0, 0.05, &limits, Units::Inch, &theme);
        assert!(sheet.most < 0.06);
    }
}
