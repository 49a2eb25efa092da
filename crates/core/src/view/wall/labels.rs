//! The column of heights beside the section, each with a leader to where it lies. What is no height stands in the section
//! (`sizes`).

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
/// Height of the column's heading, view points.
const HEAD: f32 = 20.0;

/// One label: how it is named where there is room, and where there is little.
struct Label {
    long: &'static str,
    short: &'static str,
    value: f64,
    /// How far outward that height is seen.
    out: f64,
}

/// The heights that are worth a label, the most wanted first.
fn wanted(state: &WallState<'_>) -> Vec<Label> {
    let mut all = Vec::new();
    let (bottom, _) = faces(state.section);
    let label = |long, short, value, out| Label { long, short, value, out };
    if let Some(pass) = state.section.passes.get(state.pass) {
        let heights = pass.heights;
        let face = heights.face.unwrap_or(0.0);
        all.extend(heights.undercut_line.map(|line| label("top of undercut", "undercut", line, face)));
        all.extend(heights.rounding_lower.map(|from| label("rounding from", "rounding", from, face)));
        if let Some(top) = heights.top {
            all.push(label("finished top", "top", top, top_corner(&pass.metal, top).unwrap_or(face)));
        }
    }
    all.extend(state.gauge.map(|gauge| label("measured at", "gauge", gauge, f64::INFINITY)));
    all.extend(state.bed.map(|bed| label("bed", "bed", bed, f64::INFINITY)));
    all.push(label("bottom face", "bottom", bottom, lower_corner(state).unwrap_or(0.0)));
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

/// The heights, as many as there is room for.
pub(super) fn column(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    left: f32,
    viewport: &Viewport,
    theme: &Theme,
) {
    let heading = format!("Z, {}", state.units.short());
    drawing.text([viewport.width - MARGIN, HEAD / 2.0 + 1.0], Anchor::Right, SMALL, theme.quiet, heading);
    let range = (HEAD + ROW / 2.0, viewport.height - ROW);
    let rooms = ((range.1 - range.0) / ROW).max(0.0) as usize + 1;
    let place = |label: &Label| {
        let x = if label.out.is_finite() { viewport.to_view(pt(label.out, 0.0))[0] } else { left - 26.0 };
        [x, viewport.to_view(pt(0.0, label.value))[1]]
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
