//! What is written and marked on the plan: grid, key, scale bar, tool, and what is pointed out.

use super::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight, circle, corners};
use super::label::{Words, haloed};
use super::rounding::{multiples, round_number, told_up};
use super::text::{first_sentence, text_width, wrapped};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::finding::{Finding, Severity};
use crate::geometry::{Point, Point3};
use crate::measure::Contact;
use crate::proof::{PassProof, Proof};
use crate::units::Told;

/// Smallest distance between grid lines in view points.
const GRID: f64 = 90.0;
/// Height of the strip kept for key and scale bar.
pub(super) const HEAD: f32 = 36.0;
const SMALL: f32 = 10.5;
const TEXT: f32 = 11.5;
/// Left side of the key, width of a sample in it, and height of a row.
const KEY_LEFT: f32 = 16.0;
const SAMPLE: f32 = 28.0;
const ROW: f32 = 20.0;

fn faint(ink: Ink, alpha: u8) -> Ink {
    [ink[0], ink[1], ink[2], alpha]
}

fn grid_places(told: Told, viewport: &Viewport) -> (f64, Vec<f64>, Vec<f64>) {
    let (step, seen) = (told_up(told, GRID / viewport.scale), viewport.seen());
    (step, multiples(seen.low.x, seen.high.x, step), multiples(seen.low.y, seen.high.y, step))
}

/// Grid lines at round steps.
pub(super) fn grid(drawing: &mut Drawing, told: Told, viewport: &Viewport, theme: &Theme) {
    let (_, across, up) = grid_places(told, viewport);
    let (width, height) = (viewport.width, viewport.height);
    let view = |x: f64, y: f64| viewport.to_view(Point { x, y });
    let upright = across.iter().map(|&x| view(x, 0.0)[0]).map(|x| vec![[x, 0.0], [x, height]]);
    let level = up.iter().map(|&y| view(0.0, y)[1]).map(|y| vec![[0.0, y], [width, y]]);
    drawing.stroke(upright.chain(level).collect(), theme.line, 1.0, Dash::Solid);
}

/// The numbers of the grid lines along the left and the bottom.
pub(super) fn grid_numbers(drawing: &mut Drawing, told: Told, viewport: &Viewport, theme: &Theme) {
    let (step, across, up) = grid_places(told, viewport);
    for y in up {
        let at = viewport.to_view(Point { x: 0.0, y })[1] - 8.0;
        if at > HEAD + 6.0 && at < viewport.height - 24.0 {
            number(drawing, [6.0, at], &round_number(told, y, step), theme);
        }
    }
    for x in across {
        let at = viewport.to_view(Point { x, y: 0.0 })[0] + 4.0;
        if at > 36.0 && at < viewport.width - 30.0 {
            number(drawing, [at, viewport.height - 9.0], &round_number(told, x, step), theme);
        }
    }
}

fn number(drawing: &mut Drawing, at: [f32; 2], text: &str, theme: &Theme) {
    let words = Words { at, anchor: Anchor::Left, size: SMALL, weight: Weight::Plain, ink: theme.quiet };
    haloed(drawing, words, theme.paper, text);
}

/// What the key explains besides the sawn edge.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each says of one sample of the key whether it is shown")]
pub(super) struct Key {
    /// Whether contact was measured along the outline.
    pub(super) measured: bool,
    /// Whether there is an outline.
    pub(super) outline: bool,
    /// Whether metal hangs over an undercut.
    pub(super) undercut: bool,
    /// Whether a part of the outline is passed by on the way alone.
    pub(super) approach: bool,
    /// How many times thicker than it is the stock along the outline is drawn, where it is.
    pub(super) stock: Option<f64>,
}

/// Where the next sample of the key goes: from left to right, in rows.
struct Row {
    x: f32,
    y: f32,
    /// The farthest right that any row reaches, and the right side of the view.
    end: f32,
    right: f32,
}

impl Row {
    /// Room for a sample and its word; where the row has none left, in the next one.
    fn place(&mut self, word: &str) -> [f32; 2] {
        let wide = SAMPLE + 7.0 + text_width(word, TEXT, Weight::Plain);
        if self.x > KEY_LEFT && self.x + wide > self.right - 8.0 {
            (self.x, self.y) = (KEY_LEFT, self.y + ROW);
        }
        let at = [self.x, self.y];
        self.x += wide + 22.0;
        self.end = self.end.max(self.x);
        at
    }
}

/// The key at the top left: states of contact, or path and outline where contact was not measured. Returns where it
/// ends on the right and below.
pub(super) fn key(drawing: &mut Drawing, key: Key, theme: &Theme) -> [f32; 2] {
    let mut samples: Vec<(&str, Ink, Dash, f32, Option<Ink>)> = Vec::new();
    if key.measured {
        let approach = key.approach.then_some(Contact::Approach);
        let states = [Contact::Full, Contact::Light, Contact::None, Contact::Heavy];
        for state in states.into_iter().chain(approach) {
            let (ink, dash, width) = theme.contact(state);
            samples.push((state.word(), ink, dash, width, theme.casing(state)));
        }
    } else if key.outline {
        samples.push(("outline", theme.ink, Dash::Solid, 1.6, None));
        samples.push(("path", theme.quiet, Dash::Solid, 0.9, None));
    } else {
        samples.push(("path", theme.quiet, Dash::Solid, 0.9, None));
        samples.push(("rapid", theme.quiet, Dash::Dashed, 0.8, None));
    }
    let first = drawing.items.len();
    let mut row = Row { x: KEY_LEFT, y: 18.5, end: 0.0, right: drawing.width };
    for (word, ink, dash, width, casing) in samples {
        let [x, y] = row.place(word);
        let (from, to) = ([x, y], [x + SAMPLE, y]);
        drawing.line(from, to, faint(theme.paper, 190), width + 4.0, Dash::Solid);
        if let Some(casing) = casing {
            drawing.line(from, to, casing, width + 1.6, dash);
        }
        drawing.line(from, to, ink, width, dash);
        key_word(drawing, [x, y], word, theme);
    }
    if let Some(times) = key.stock {
        let word = if times > 1.0 { format!("stock left, drawn x{times}") } else { "stock left".to_owned() };
        let [x, y] = row.place(&word);
        drawing.panel([x, y - 6.5, x + SAMPLE, y + 6.5], theme.stock);
        drawing.line([x, y - 6.5], [x + SAMPLE, y - 6.5], theme.stock_edge, 1.0, Dash::Solid);
        key_word(drawing, [x, y], &word, theme);
    }
    if key.undercut {
        let [x, y] = row.place("undercut below");
        let rect = [x, y - 6.5, x + SAMPLE, y + 6.5];
        drawing.panel(rect, theme.metal);
        drawing.items.push(Item::Hatch { rect, ink: theme.quiet, spacing: 6.0 });
        key_word(drawing, [x, y], "undercut below", theme);
    }
    // Under the key, so that neither cutter nor path runs through its words.
    let low = row.y + 13.5;
    drawing.panel([8.0, 5.0, row.end - 12.0, low], faint(theme.paper, 225));
    drawing.items[first..].rotate_right(1);
    [row.end, low]
}

/// Writes a word of the key beside its sample.
fn key_word(drawing: &mut Drawing, [x, y]: [f32; 2], word: &str, theme: &Theme) {
    let at = [x + SAMPLE + 7.0, y];
    let words = Words { at, anchor: Anchor::Left, size: TEXT, weight: Weight::Plain, ink: theme.ink };
    haloed(drawing, words, theme.paper, word);
}

/// The scale bar at the top right, below the key where there is no room beside it.
pub(super) fn scale_bar(
    drawing: &mut Drawing,
    told: Told,
    [end, low]: [f32; 2],
    viewport: &Viewport,
    theme: &Theme,
) {
    let length = told_up(told, 58.0 / viewport.scale);
    let wide = (length * viewport.scale) as f32;
    let right = viewport.width - 22.0;
    let left = right - wide;
    let label = format!("{} {}", round_number(told, length, length), told.short());
    let label_wide = text_width(&label, TEXT, Weight::Plain).max(wide);
    let beside = left - (label_wide - wide) / 2.0 > end;
    let top = if beside { 0.0 } else { low };
    let at = [f32::midpoint(left, right), top + 13.0];
    let words = Words { at, anchor: Anchor::Centre, size: TEXT, weight: Weight::Plain, ink: theme.ink };
    haloed(drawing, words, theme.paper, &label);
    let (low, high) = (top + 27.0, top + 21.5);
    let bar = vec![vec![[left, high], [left, low], [right, low], [right, high]]];
    drawing.stroke(bar.clone(), faint(theme.paper, 190), 4.0, Dash::Solid);
    drawing.stroke(bar, theme.ink, 1.2, Dash::Solid);
}

/// The tool at its place: its circle with a small cross.
pub(super) fn tool(
    drawing: &mut Drawing,
    pass: &PassProof,
    distance: f64,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(position) = pass.track.at(distance) else { return };
    let [x, y] = viewport.to_view(position.tip.plan());
    let radius = (pass.tool_radius * viewport.scale) as f32;
    let far = radius + 10.0;
    let outside = x < -far || y < -far || x > viewport.width + far || y > viewport.height + far;
    if outside || radius > 20_000.0 {
        return;
    }
    let ring = circle([x, y], radius.max(2.0));
    drawing.fill(ring.clone(), faint(theme.panel, 205));
    drawing.ring(ring, theme.ink, 1.6);
    let arm = (radius * 0.35).clamp(3.0, 7.0);
    let cross = vec![vec![[x - arm, y], [x + arm, y]], vec![[x, y - arm], [x, y + arm]]];
    drawing.stroke(cross, theme.ink, 1.1, Dash::Solid);
}

/// A ring round a place and a tick square to the outline at the station nearest to it.
pub(super) fn hover(drawing: &mut Drawing, proof: &Proof, at: Point, viewport: &Viewport, theme: &Theme) {
    let centre = viewport.to_view(at);
    drawing.ring(circle(centre, 7.0), theme.panel, 4.0);
    drawing.ring(circle(centre, 7.0), theme.accent, 1.8);
    if let Some(outline) = &proof.outline {
        let place = outline.place(outline.nearest(at));
        let reach = place.outward * (14.0 / viewport.scale);
        let (from, to) = (viewport.to_view(place.at - reach), viewport.to_view(place.at + reach));
        drawing.line(from, to, theme.ink, 1.4, Dash::Solid);
    }
}

/// Where a finding lies in plan.
fn place_of(proof: &Proof, finding: &Finding) -> Option<Point> {
    let on_outline = || Some(proof.outline.as_ref()?.place(finding.station?).at);
    finding.at.map(Point3::plan).or_else(on_outline)
}

/// A box with the finding's first sentence and a leader line to its place.
pub(super) fn call_out(
    drawing: &mut Drawing,
    proof: &Proof,
    finding: &Finding,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(place) = place_of(proof, finding) else { return };
    let at = viewport.to_view(place);
    if !(0.0..=viewport.width).contains(&at[0]) || !(0.0..=viewport.height).contains(&at[1]) {
        return;
    }
    let lines = wrapped(first_sentence(&finding.message), 42, 2);
    let wide = lines.iter().map(|line| text_width(line, 12.0, Weight::Bold)).fold(0.0, f32::max) + 22.0;
    let high = lines.len() as f32 * 17.0 + 14.0;
    let rect = box_place(at, wide, high, viewport);
    let ink = if finding.severity == Severity::Note { theme.quiet } else { theme.none };
    let corner = [at[0].clamp(rect[0], rect[2]), at[1].clamp(rect[1], rect[3])];
    drawing.line(at, corner, ink, 1.2, Dash::Solid);
    drawing.fill(circle(at, 3.5), ink);
    let rounded = rounded(rect, 4.0);
    drawing.fill(rounded.clone(), theme.panel);
    drawing.ring(rounded, ink, 1.2);
    let mut y = rect[1] + 7.0 + 8.5;
    for line in lines {
        drawing.bold([rect[0] + 11.0, y], Anchor::Left, 12.0, theme.ink, line);
        y += 17.0;
    }
}

/// A box beside a place, towards the middle of the view first, inside the view and clear of key and scale bar.
fn box_place(at: [f32; 2], wide: f32, high: f32, viewport: &Viewport) -> [f32; 4] {
    let (low_x, low_y) = (34.0, HEAD * 2.0);
    let (high_x, high_y) = (viewport.width - 10.0 - wide, viewport.height - 24.0 - high);
    let away = 62.0;
    let toward_x = if at[0] < viewport.width / 2.0 { 1.0 } else { -1.0 };
    let toward_y = if at[1] < viewport.height / 2.0 { 1.0 } else { -1.0 };
    let tries = [(toward_x, toward_y), (toward_x, -toward_y), (-toward_x, toward_y), (-toward_x, -toward_y)];
    let corner = |(x, y): (f32, f32)| {
        let left = if x > 0.0 { at[0] + away } else { at[0] - away - wide };
        let top = if y > 0.0 { at[1] + away } else { at[1] - away - high };
        [left, top]
    };
    let fits = |p: &[f32; 2]| (low_x..=high_x).contains(&p[0]) && (low_y..=high_y).contains(&p[1]);
    let [left, top] = tries.into_iter().map(corner).find(fits).unwrap_or_else(|| {
        let [left, top] = corner(tries[0]);
        [left.min(high_x).max(low_x), top.min(high_y).max(low_y)]
    });
    [left, top, left + wide, top + high]
}

/// A box with rounded corners.
pub(super) fn rounded(rect: [f32; 4], radius: f32) -> Vec<[f32; 2]> {
    let inner = [rect[0] + radius, rect[1] + radius, rect[2] - radius, rect[3] - radius];
    let mut points = Vec::new();
    for (quarter, corner) in [2_u8, 3, 0, 1].into_iter().zip(corners(inner)) {
        for step in 0..=6_u8 {
            let angle = (f32::from(quarter) + f32::from(step) / 6.0) * std::f32::consts::FRAC_PI_2;
            points.push([corner[0] + radius * angle.cos(), corner[1] + radius * angle.sin()]);
        }
    }
    points
}
