//! Where in plan the wall is looked at.

use super::drawing::{Anchor, Dash, Drawing, Weight};
use super::label::{Words, haloed};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::Path;

/// From where to where the tick reaches inward and outward of the outline, view points: what is thin there stays free.
const INWARD: [f32; 2] = [30.0, 46.0];
const OUTWARD: [f32; 2] = [30.0, 50.0];
const TEXT: f32 = 11.0;

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
    let (anchor, by) = if out[0] > 0.4 {
        (Anchor::Left, far + 6.0)
    } else if out[0] < -0.4 {
        (Anchor::Right, far + 6.0)
    } else {
        (Anchor::Centre, far + 10.0)
    };
    let words = Words { at: along(by, 0.0), anchor, size: TEXT, weight: Weight::Bold, ink: theme.ink };
    haloed(&mut drawing, words, theme.paper, "section");
    drawing
}
