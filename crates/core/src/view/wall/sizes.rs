//! Sizes in the section that are no heights, each as a dimension where it is: the land, and the stock left.

use super::WallState;
use crate::geometry::pt;
use crate::view::drawing::{Anchor, Dash, Drawing, Ink, Weight};
use crate::view::label::{Words, haloed};
use crate::view::text::text_width;
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

/// What is written at the top of the section and at its foot keeps these heights, view points.
const HEAD: f32 = 22.0;
const FOOT: f32 = 38.0;

/// Both, where they are there and seen; `taken` are the places of other words. Words that find no place in any of their
/// forms are left out: the dimension stays.
pub(super) fn draw(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    (left, taken): (f32, Vec<[f32; 4]>),
    viewport: &Viewport,
    theme: &Theme,
) {
    let mut words = Placed { left, low: viewport.height - FOOT, taken };
    stock_left(drawing, state, &mut words, viewport, theme);
    land(drawing, state, &mut words, viewport, theme);
}

/// Where words may stand, and where they do.
struct Placed {
    left: f32,
    low: f32,
    taken: Vec<[f32; 4]>,
}

impl Placed {
    /// Writes the first of the texts at the first of the places at which there is room.
    fn write(
        &mut self,
        drawing: &mut Drawing,
        texts: &[String],
        places: &[[f32; 2]],
        anchor: Anchor,
        (ink, halo): (Ink, Ink),
    ) {
        let all = texts.iter().flat_map(|text| places.iter().map(move |at| (text, *at)));
        for (text, at) in all {
            let wide = text_width(text, SMALL, Weight::Bold);
            let x = if anchor == Anchor::Left { at[0] } else { at[0] - wide };
            let rect = [x - 2.0, at[1] - SMALL / 2.0 - 1.0, x + wide + 2.0, at[1] + SMALL / 2.0 + 1.0];
            let inside = rect[0] >= 0.0 && rect[1] >= HEAD && rect[2] <= self.left && rect[3] <= self.low;
            let free = |other: &[f32; 4]| {
                other[2] <= rect[0] || rect[2] <= other[0] || other[3] <= rect[1] || rect[3] <= other[1]
            };
            if inside && self.taken.iter().all(free) {
                haloed(drawing, Words { at, anchor, size: SMALL, weight: Weight::Bold, ink }, halo, text);
                self.taken.push(rect);
                return;
            }
        }
    }
}

/// From the top of the undercut to the land's upper end.
fn land(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    placed: &mut Placed,
    viewport: &Viewport,
    theme: &Theme,
) {
    let heights = state.section.passes.get(state.pass).map(|pass| pass.heights);
    let Some((line, land)) = heights.and_then(|h| h.undercut_line.zip(h.land)) else { return };
    let face = heights.and_then(|h| h.face).unwrap_or(0.0);
    let [x, low] = viewport.to_view(pt(face, line));
    let high = viewport.to_view(pt(face, line + land))[1];
    let x = x + BESIDE;
    if low - high < 1.0 || x > placed.left - 20.0 || low < 0.0 || high > viewport.height {
        return;
    }
    let tick = |y: f32| vec![[x - TICK, y], [x + TICK, y]];
    dimension(drawing, vec![vec![[x, low], [x, high]], tick(low), tick(high)], theme);
    let middle = f32::midpoint(low, high);
    let gauge = state.gauge.map(|gauge| viewport.to_view(pt(0.0, gauge))[1]);
    let crossed = gauge.is_some_and(|gauge| (gauge - middle).abs() < APART / 2.0);
    let first = if crossed { middle - APART / 2.0 - 1.0 } else { middle };
    let places = [first, middle + APART / 2.0 + 1.0, high - APART, low + APART].map(|y| [x + TO_WORDS, y]);
    let value = state.units.fine(land);
    placed.write(drawing, &[format!("land {value}"), value], &places, Anchor::Left, (theme.ink, theme.paper));
}

/// From the outline to where the metal ends, at the height at which that is measured.
fn stock_left(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    placed: &mut Placed,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(pass) = state.section.passes.get(state.pass) else { return };
    let Some((face, gauge)) = pass.heights.face.zip(state.gauge) else { return };
    let [outline, y] = viewport.to_view(pt(0.0, gauge));
    let end = viewport.to_view(pt(face, gauge))[0];
    if !(0.0..=viewport.height).contains(&y) || outline < 0.0 || outline.max(end) > placed.left {
        return;
    }
    let tick = |x: f32| vec![[x, y - TICK], [x, y + TICK]];
    dimension(drawing, vec![vec![[outline, y], [end, y]], tick(outline), tick(end)], theme);
    let value = state.units.fine(face.abs());
    // What is written as nothing is not short.
    let inside = face < 0.0 && value != state.units.fine(0.0);
    let (long, short) = if inside { ("short", "short") } else { ("stock left", "left") };
    let texts = [format!("{long} {value}"), format!("{short} {value}"), value];
    let x = outline.min(end) - TO_WORDS;
    let aside = APART / 2.0 + 1.0;
    let places = [[x, y - aside], [x, y + aside], [x, y - 2.0 * aside], [x, y + 2.0 * aside]];
    placed.write(drawing, &texts, &places, Anchor::Right, (theme.ink, theme.metal));
}

fn dimension(drawing: &mut Drawing, lines: Vec<Vec<[f32; 2]>>, theme: &Theme) {
    drawing.stroke(lines.clone(), theme.paper, 3.2, Dash::Solid);
    drawing.stroke(lines, theme.ink, 1.1, Dash::Solid);
}
