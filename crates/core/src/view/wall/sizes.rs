//! Sizes in the section that are no heights, each as a dimension where it is: the land, and the stock left.

use super::WallState;
use crate::geometry::pt;
use crate::view::drawing::{Anchor, Dash, Drawing, Ink, Weight};
use crate::view::label::{Words, haloed};
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;

/// How far outside the land its dimension stands, view points.
const BESIDE: f32 = 13.0;
/// Half of a tick at the end of a dimension, and from there to its words.
const TICK: f32 = 4.0;
const TO_WORDS: f32 = 8.0;
const SMALL: f32 = 10.5;
/// A dimension's words keep so far from another line of words.
const APART: f32 = 15.0;

/// Both, where they are there and seen.
pub(super) fn draw(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    left: f32,
    viewport: &Viewport,
    theme: &Theme,
) {
    land(drawing, state, left, viewport, theme);
    stock_left(drawing, state, left, viewport, theme);
}

/// From the top of the undercut to the land's upper end.
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
    let tick = |y: f32| vec![[x - TICK, y], [x + TICK, y]];
    dimension(drawing, vec![vec![[x, low], [x, high]], tick(low), tick(high)], theme);
    let middle = f32::midpoint(low, high);
    let gauge = state.gauge.map(|gauge| viewport.to_view(pt(0.0, gauge))[1]);
    let crossed = gauge.is_some_and(|gauge| (gauge - middle).abs() < APART / 2.0);
    let at = [x + TO_WORDS, if crossed { middle - APART / 2.0 - 1.0 } else { middle }];
    words(drawing, at, Anchor::Left, &format!("land {}", state.units.fine(land)), (theme.ink, theme.paper));
}

/// From the outline to where the metal ends, at the height at which that is measured.
fn stock_left(drawing: &mut Drawing, state: &WallState<'_>, left: f32, viewport: &Viewport, theme: &Theme) {
    let Some(pass) = state.section.passes.get(state.pass) else { return };
    let Some((face, gauge)) = pass.heights.face.zip(state.gauge) else { return };
    let [outline, y] = viewport.to_view(pt(0.0, gauge));
    let end = viewport.to_view(pt(face, gauge))[0];
    if !(0.0..=viewport.height).contains(&y) || outline < 0.0 || outline.max(end) > left {
        return;
    }
    let tick = |x: f32| vec![[x, y - TICK], [x, y + TICK]];
    dimension(drawing, vec![vec![[outline, y], [end, y]], tick(outline), tick(end)], theme);
    let (amount, word) = if face < 0.0 { (-face, "short") } else { (face, "stock left") };
    let text = format!("{word} {}", state.units.fine(amount));
    let at = [outline.min(end) - TO_WORDS, y - APART / 2.0 - 1.0];
    words(drawing, at, Anchor::Right, &text, (theme.ink, theme.metal));
}

fn dimension(drawing: &mut Drawing, lines: Vec<Vec<[f32; 2]>>, theme: &Theme) {
    drawing.stroke(lines.clone(), theme.paper, 3.2, Dash::Solid);
    drawing.stroke(lines, theme.ink, 1.1, Dash::Solid);
}

fn words(drawing: &mut Drawing, at: [f32; 2], anchor: Anchor, text: &str, (ink, halo): (Ink, Ink)) {
    haloed(drawing, Words { at, anchor, size: SMALL, weight: Weight::Bold, ink }, halo, text);
}
