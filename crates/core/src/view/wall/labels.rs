//! The column of labels beside the section, each with a leader to the height it speaks of.

use super::{WallState, faces};
use crate::geometry::pt;
use crate::view::drawing::{Anchor, Dash, Drawing, Weight, circle};
use crate::view::label::{Words, centre_line, haloed, spread};
use crate::view::text::text_width;
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;

const TEXT: f32 = 11.5;
const SMALL: f32 = 10.5;
/// Height of a row of the column, view points.
const ROW: f32 = 17.0;
/// From the column's left edge to its words, and from the words to the view's right edge.
const INSET: f32 = 12.0;
const MARGIN: f32 = 8.0;
/// How far outside the land its dimension stands, view points.
const BESIDE: f32 = 13.0;

/// One label: how it is named where there is room, and where there is little.
struct Label {
    long: &'static str,
    short: &'static str,
    value: f64,
    /// Distance outward and height of what it speaks of.
    at: [f64; 2],
    /// View points from there to where its leader begins.
    beside: f32,
}

/// What is worth a label, the most wanted first.
fn wanted(state: &WallState<'_>) -> Vec<Label> {
    let mut all = Vec::new();
    let (bottom, _) = faces(state.section);
    let label = |long, short, value, at| Label { long, short, value, at, beside: 0.0 };
    if let Some(pass) = state.section.passes.get(state.pass) {
        let heights = pass.heights;
        let face = heights.face.unwrap_or(0.0);
        if let Some(line) = heights.undercut_line {
            all.push(label("top of undercut", "line", line, [face, line]));
            if let Some(land) = heights.land.filter(|land| *land > 0.0) {
                let at = [face, line + land / 2.0];
                all.push(Label { beside: BESIDE, ..label("land", "land", land, at) });
            }
        }
        if let Some(rounding) = heights.rounding_lower {
            all.push(label("rounding from", "rounding", rounding, [face, rounding]));
        }
        if let Some(top) = heights.top {
            let at = top_corner(&pass.metal, top).unwrap_or(face);
            all.push(label("finished top", "top", top, [at, top]));
        }
        if let Some(leave) = heights.face {
            let upper = heights.rounding_lower.or(heights.top).unwrap_or(bottom);
            let lower = heights.undercut_line.unwrap_or(bottom);
            all.push(label("stock left", "stock left", leave, [face, lower + (upper - lower) / 4.0]));
        }
    }
    if let Some(gauge) = state.gauge {
        all.push(label("gauge height", "gauge", gauge, [f64::INFINITY, gauge]));
    }
    if let Some(bed) = state.bed {
        all.push(label("bed", "bed", bed, [f64::INFINITY, bed]));
    }
    all.push(label("bottom face", "lower", bottom, [lower_corner(state).unwrap_or(0.0), bottom]));
    all
}

/// How far out the metal reaches at its top.
fn top_corner(metal: &[Vec<[f64; 2]>], top: f64) -> Option<f64> {
    let near = metal.iter().flatten().filter(|p| (p[1] - top).abs() < 1e-6 * (1.0 + top.abs()));
    near.map(|p| p[0]).reduce(f64::max)
}

/// How far out the metal reaches at its lower end.
fn lower_corner(state: &WallState<'_>) -> Option<f64> {
    let metal = &state.section.passes.get(state.pass)?.metal;
    let low = metal.iter().flatten().map(|p| p[1]).reduce(f64::min)?;
    top_corner(metal, low)
}

/// The outline's own line, q = 0.
pub(super) fn outline(drawing: &mut Drawing, right: f32, viewport: &Viewport, theme: &Theme) {
    let x = viewport.to_view(pt(0.0, 0.0))[0];
    if !(0.0..right).contains(&x) {
        return;
    }
    centre_line(drawing, [x, 2.0], [x, viewport.height - 2.0], theme.accent, 1.2);
    let room = right - x - 10.0 > text_width("outline", TEXT, Weight::Plain);
    let (at, anchor) = if room { (x + 5.0, Anchor::Left) } else { (x - 5.0, Anchor::Right) };
    let words = Words { at: [at, 11.0], anchor, size: TEXT, weight: Weight::Plain, ink: theme.accent };
    haloed(drawing, words, theme.paper, "outline");
}

/// The height at which stock left is measured, as a fine dashed line across the section.
pub(super) fn gauge(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    right: f32,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(y) = state.gauge.map(|gauge| viewport.to_view(pt(0.0, gauge))[1]) else { return };
    if (0.0..=viewport.height).contains(&y) {
        drawing.line([0.0, y], [right - 26.0, y], theme.accent, 0.9, Dash::Dashed);
    }
}

/// The labels, as many as there is room for, with the land's dimension beside the wall.
pub(super) fn column(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    left: f32,
    viewport: &Viewport,
    theme: &Theme,
) {
    land(drawing, state, left, viewport, theme);
    let range = (ROW, viewport.height - ROW);
    let rooms = ((range.1 - range.0) / ROW).max(0.0) as usize + 1;
    let place = |label: &Label| {
        let x = if label.at[0].is_finite() { viewport.to_view(pt(label.at[0], 0.0))[0] } else { left - 26.0 };
        [x + label.beside, viewport.to_view(pt(0.0, label.at[1]))[1]]
    };
    let seen = |at: &[f32; 2]| at[0] < left && (0.0..=viewport.height).contains(&at[1]);
    let all = wanted(state).into_iter().map(|label| (place(&label), label));
    let mut labels: Vec<_> = all.filter(|(at, _)| seen(at)).take(rooms).collect();
    labels.sort_by(|(a, _), (b, _)| a[1].total_cmp(&b[1]));
    let places = spread(&labels.iter().map(|(at, _)| at[1]).collect::<Vec<_>>(), ROW, range);
    for ((at, label), y) in labels.iter().zip(places) {
        let from = [at[0].max(2.0), at[1]];
        let line = vec![from, [left - 14.0, at[1]], [left + INSET - 5.0, y]];
        drawing.stroke(vec![line.clone()], theme.paper, 2.6, Dash::Solid);
        drawing.stroke(vec![line], theme.quiet, 0.9, Dash::Solid);
        drawing.fill(circle(from, 2.2), theme.ink);
        row(drawing, label, state, [left, y], viewport, theme);
    }
}

fn row(
    drawing: &mut Drawing,
    label: &Label,
    state: &WallState<'_>,
    [left, y]: [f32; 2],
    viewport: &Viewport,
    theme: &Theme,
) {
    let value = state.units.fine(label.value);
    let right = viewport.width - MARGIN;
    drawing.bold([right, y], Anchor::Right, TEXT, theme.ink, &*value);
    let room = right - text_width(&value, TEXT, Weight::Bold) - 6.0 - (left + INSET);
    let fits = |name: &&str| text_width(name, SMALL, Weight::Plain) <= room;
    if let Some(name) = [label.long, label.short].into_iter().find(fits) {
        drawing.text([left + INSET, y], Anchor::Left, SMALL, theme.quiet, name);
    }
}

/// The land as a dimension: from the undercut line to its upper end.
fn land(drawing: &mut Drawing, state: &WallState<'_>, left: f32, viewport: &Viewport, theme: &Theme) {
    let heights = state.section.passes.get(state.pass).map(|pass| pass.heights);
    let Some((line, land)) = heights.and_then(|h| h.undercut_line.zip(h.land)) else { return };
    let face = heights.and_then(|h| h.face).unwrap_or(0.0);
    let [x, low] = viewport.to_view(pt(face, line));
    let high = viewport.to_view(pt(face, line + land))[1];
    let x = x + BESIDE;
    if low - high < 1.0 || x > left - 20.0 || low < 0.0 || high > viewport.height {
        return;
    }
    let tick = |y: f32| vec![[x - 4.0, y], [x + 4.0, y]];
    let lines = vec![vec![[x, low], [x, high]], tick(low), tick(high)];
    drawing.stroke(lines.clone(), theme.paper, 3.2, Dash::Solid);
    drawing.stroke(lines, theme.ink, 1.1, Dash::Solid);
}
