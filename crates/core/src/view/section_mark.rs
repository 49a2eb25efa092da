//! Where in plan the wall is looked at.

use super::drawing::{Anchor, Dash, Drawing, Weight};
use super::label::{Words, haloed};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::Path;

/// From where to where the tick reaches inward and outward of the outline, view points: what is thin there stays free.
const INWARD: [f32; 2] = [30.0, 46.0];
const OUTWARD: [f32; 2] = [30.0, 50.0];
const TEXT: f32 = 11.0;
const WORD: &str = "section";
/// How far the numbers of the grid reach in from the left and from the bottom, view points.
const NUMBERS: [f32; 2] = [36.0, 16.0];

/// A mark to lay on the plan: a line square to the outline at a station, open where the stock is drawn, with an arrow
/// outward and the word "section".
/// Nothing when the station is out of sight.
pub fn section_mark(outline: &Path, station: f64, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    let place = outline.place(station);
    let at = viewport.to_view(place.at);
    let seen = (0.0..=viewport.width).contains(&at[0]) && (0.0..=viewport.height).contains(&at[1]);
    if !seen {
        return drawing;
    }
    let out = [place.outward.x as f32, -place.outward.y as f32];
    let along =
        |by: f32, aside: f32| [at[0] + out[0] * by - out[1] * aside, at[1] + out[1] * by + out[0] * aside];
    let [near, far] = OUTWARD;
    let arrow = vec![along(far - 6.0, 4.0), along(far, 0.0), along(far - 6.0, -4.0)];
    let inner = vec![along(-INWARD[1], 0.0), along(-INWARD[0], 0.0)];
    let lines = vec![inner, vec![along(near, 0.0), along(far, 0.0)], arrow];
    drawing.stroke(lines.clone(), theme.paper, 5.0, Dash::Solid);
    drawing.stroke(lines, theme.ink, 2.0, Dash::Solid);
    let wide = text_width(WORD, TEXT, Weight::Bold);
    // Ahead of the arrow, or else on either side of it.
    let ahead = along(far + 10.0 + wide / 2.0 * out[0].abs(), 0.0);
    let beside =
        [1.0, -1.0].map(|side| along(f32::midpoint(near, far), side * (10.0 + wide / 2.0 * out[1].abs())));
    let all = [ahead, beside[0], beside[1]];
    let at = all.into_iter().find(|at| is_free(*at, wide, viewport)).unwrap_or(ahead);
    let words = Words { at, anchor: Anchor::Centre, size: TEXT, weight: Weight::Bold, ink: theme.ink };
    haloed(&mut drawing, words, theme.paper, WORD);
    drawing
}

/// Whether the word is in sight with its middle here, and off the numbers of the grid along the left and the bottom.
fn is_free([x, y]: [f32; 2], wide: f32, viewport: &Viewport) -> bool {
    let [left, bottom] = NUMBERS;
    x - wide / 2.0 > left
        && x + wide / 2.0 < viewport.width - 4.0
        && y > TEXT
        && y + TEXT / 2.0 < viewport.height - bottom
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Bounds, pt};
    use crate::view::drawing::Item;

    /// Where the word stands for a square seen in this place, at the middle of its left side.
    fn word_at(middle: [f32; 2]) -> [f32; 2] {
        let corners = [pt(0.0, 0.0), pt(0.0, 10.0), pt(10.0, 10.0), pt(10.0, 0.0)].map(|at| (at, 0.0));
        let square = Path::closed(&corners).expect("a path");
        let whole = Viewport::fit(Bounds::of([pt(0.0, 0.0), pt(10.0, 10.0)]), 400.0, 300.0, 20.0);
        let [x, y] = whole.to_view(pt(0.0, 5.0));
        let viewport = whole.panned(middle[0] - x, middle[1] - y);
        let drawing = section_mark(&square, 5.0, &viewport, &Theme::light());
        let word = drawing.items.iter().rev().find_map(|item| match item {
            Item::Text { at, .. } => Some(*at),
            _ => None,
        });
        word.expect("the word")
    }

    #[test]
    fn the_word_stands_ahead_of_the_arrow_and_beside_it_where_the_grid_has_its_numbers() {
        let half = text_width(WORD, TEXT, Weight::Bold) / 2.0;
        let [x, y] = word_at([200.0, 150.0]);
        assert!(x + half < 150.0 && (y - 150.0).abs() < 1e-3, "{x} {y}");
        let [x, y] = word_at([110.0, 150.0]);
        assert!(x - half > NUMBERS[0] && (y - 150.0).abs() > TEXT / 2.0, "{x} {y}");
    }
}
