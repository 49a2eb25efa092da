//! What says how large the section is: lines at round heights, their numbers, and a scale bar.

use crate::geometry::pt;
use crate::units::Told;
use crate::view::drawing::{Anchor, Dash, Drawing, Weight};
use crate::view::label::{Words, haloed};
use crate::view::rounding::{multiples, round_number, told_up};
use crate::view::text::text_width;
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;

/// Smallest distance between lines in view points.
const APART: f64 = 44.0;
const SMALL: f32 = 10.5;
/// Height kept for the scale bar at the bottom, view points.
const FOOT: f32 = 34.0;

fn places(told: Told, viewport: &Viewport) -> (f64, Vec<(f64, f32)>) {
    let step = told_up(told, APART / viewport.scale);
    let seen = viewport.seen();
    let heights = multiples(seen.low.y, seen.high.y, step).into_iter();
    (step, heights.map(|z| (z, viewport.to_view(pt(0.0, z))[1])).collect())
}

/// Level lines at round heights.
pub(super) fn lines(drawing: &mut Drawing, told: Told, right: f32, viewport: &Viewport, theme: &Theme) {
    let lines = places(told, viewport).1.into_iter().map(|(_, y)| vec![[0.0, y], [right, y]]);
    drawing.stroke(lines.collect(), theme.line, 1.0, Dash::Solid);
}

/// Where the numbers of the lines stand.
pub(super) fn places_of_numbers(told: Told, viewport: &Viewport) -> Vec<[f32; 4]> {
    let (step, places) = places(told, viewport);
    let rect = |(z, y): (f64, f32)| {
        let wide = text_width(&round_number(told, z, step), SMALL, Weight::Plain);
        [4.0, y - 7.0 - SMALL / 2.0 - 1.0, 8.0 + wide, y - 7.0 + SMALL / 2.0 + 1.0]
    };
    places.into_iter().map(rect).collect()
}

/// The numbers of the lines along the left.
pub(super) fn numbers(drawing: &mut Drawing, told: Told, viewport: &Viewport, theme: &Theme) {
    let (step, places) = places(told, viewport);
    for (z, y) in places {
        if y > 28.0 && y < viewport.height - FOOT - 8.0 {
            let at = [6.0, y - 7.0];
            let words =
                Words { at, anchor: Anchor::Left, size: SMALL, weight: Weight::Plain, ink: theme.quiet };
            haloed(drawing, words, theme.paper, &round_number(told, z, step));
        }
    }
}

/// A scale bar at the lower left, and which way is outward where there is room.
pub(super) fn scale_bar(drawing: &mut Drawing, told: Told, right: f32, viewport: &Viewport, theme: &Theme) {
    let length = told_up(told, 40.0 / viewport.scale);
    let wide = (length * viewport.scale) as f32;
    let text = format!("{} {}", round_number(told, length, length), told.short());
    let (left, low) = (8.0, viewport.height - 8.0);
    let bar = vec![vec![[left, low - 5.0], [left, low], [left + wide, low], [left + wide, low - 5.0]]];
    drawing.stroke(bar.clone(), theme.paper, 3.6, Dash::Solid);
    drawing.stroke(bar, theme.ink, 1.2, Dash::Solid);
    let words = Words {
        at: [left + 2.0, low - 14.0],
        anchor: Anchor::Left,
        size: SMALL,
        weight: Weight::Plain,
        ink: theme.ink,
    };
    haloed(drawing, words, theme.paper, &text);
    let outward = "outward";
    let taken = left + wide.max(text_width(&text, SMALL, Weight::Plain)) + 16.0;
    let end = right - 8.0;
    if end - 22.0 - text_width(outward, SMALL, Weight::Plain) < taken {
        return;
    }
    let arrow = vec![
        vec![[end - 16.0, low - 4.0], [end, low - 4.0]],
        vec![[end - 5.0, low - 8.0], [end, low - 4.0], [end - 5.0, low]],
    ];
    drawing.stroke(arrow.clone(), theme.paper, 3.6, Dash::Solid);
    drawing.stroke(arrow, theme.ink, 1.2, Dash::Solid);
    let words = Words { at: [end - 22.0, low - 4.0], anchor: Anchor::Right, ..words };
    haloed(drawing, words, theme.paper, outward);
}
