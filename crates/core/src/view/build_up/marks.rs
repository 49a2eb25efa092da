//! The stretches on the plan, with their numbers.

use super::super::drawing::{Anchor, Dash, Drawing, circle};
use super::super::plan::{seen, stretch};
use super::super::theme::Theme;
use super::super::viewport::Viewport;
use super::BuildUpState;

/// How far out the numbers lie, and how large their discs are.
const OUT: f64 = 26.0;
const DISC: f32 = 10.0;
/// Steps outward in which a number looks for a place of its own.
const TRIES: u32 = 6;

/// Drawn over a plan: the stretches that are short, each with its number.
pub fn build_up_marks(state: &BuildUpState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    for short in state.stretches {
        let lines = seen(&[stretch(state.outline, short.from, short.to, viewport)], viewport, 8.0);
        drawing.stroke(lines.clone(), theme.ink, 7.0, Dash::Solid);
        drawing.stroke(lines, theme.none, 5.0, Dash::Solid);
    }
    let mut taken: Vec<[f32; 2]> = Vec::new();
    for (index, short) in state.stretches.iter().enumerate() {
        let place = state.outline.place(short.most_at);
        let from = viewport.to_view(place.at);
        let way = |step: u32| {
            let out = (OUT + f64::from(step) * f64::from(DISC) * 2.2) / viewport.scale;
            viewport.to_view(place.at + place.outward * out)
        };
        let free =
            |at: &[f32; 2]| taken.iter().all(|other| (at[0] - other[0]).hypot(at[1] - other[1]) > DISC * 2.0);
        let at = (0..TRIES).map(way).find(free).unwrap_or_else(|| way(0));
        taken.push(at);
        drawing.line(from, at, theme.ink, 1.1, Dash::Solid);
        drawing.fill(circle(at, DISC), theme.panel);
        drawing.ring(circle(at, DISC), theme.ink, 1.4);
        drawing.bold(at, Anchor::Centre, 11.5, theme.ink, (index + 1).to_string());
    }
    drawing
}
