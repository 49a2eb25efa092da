//! Where metal has to be built up on the blank: the plan with the stretches numbered, and the list that goes with it.

mod ghost;
mod list;
mod marks;

pub use ghost::ghost;
pub use marks::build_up_marks;

use super::drawing::{Anchor, Dash, Drawing, Ink, Weight};
use super::label::{Words, haloed};
use super::plan::{closed_line, seen};
use super::plan_marks::{grid, grid_numbers, scale_bar};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::fit::{BuildUp, Fit};
use crate::geometry::{Bounds, Path};
use crate::units::Told;

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct BuildUpState<'a> {
    /// The outline in block coordinates.
    pub outline: &'a Path,
    /// The edge of the blank as it lies.
    pub edge: &'a Path,
    /// Where the blank is short, in the order of their numbers.
    pub stretches: &'a [BuildUp],
    /// A better position, to be drawn over it.
    pub better: Option<&'a Fit>,
    /// The job's unit.
    pub units: Told,
}

/// Width of the list beside the plan, and the least that must be left for the plan.
const LIST: f32 = 300.0;
const LEAST_PLAN: f32 = 320.0;
/// Where the key ends on the right, roughly: the scale bar keeps clear of it.
const KEY: f32 = 330.0;
/// Where it ends below.
const KEY_LOW: f32 = 32.0;
/// Where it begins, and how far down its next row is.
const KEY_FROM: [f32; 2] = [16.0, 18.5];
const KEY_ROW: f32 = 17.0;
/// Room under the key and on the other sides for numbers: what is drawn is as large as it can be.
const ROOM_ON_PAGE: [f32; 2] = [44.0, 34.0];
/// Height of a row of the list.
const ROW: f32 = 19.0;

/// The plan with the stretches numbered, their list beside it or under it.
pub fn build_up(state: &BuildUpState<'_>, theme: &Theme, [width, height]: [f32; 2]) -> Drawing {
    let mut page = Drawing::new(width, height);
    page.panel([0.0, 0.0, width, height], theme.paper);
    let beside = width >= LIST + LEAST_PLAN;
    // Title, heads and the free line at the end stand over and under them.
    let rows = ROW * (state.stretches.len() as f32 + 4.0);
    let under = if beside { 0.0 } else { rows.min(height / 2.0) };
    let (wide, high) = (if beside { width - LIST } else { width }, height - under);
    page.place(build_up_plan(state, theme, [wide, high]), 0.0, 0.0);
    let (left, top) = if beside { (wide, 0.0) } else { (0.0, high) };
    page.panel([left, top, width, height], theme.panel);
    list::list(&mut page, state, [left, top, width, height], theme);
    page
}

fn plan(state: &BuildUpState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    let edge = closed_line(state.edge, viewport);
    drawing.fill(edge.clone(), theme.metal);
    grid(&mut drawing, state.units, viewport, theme);
    drawing.stroke(seen(&[edge], viewport, 4.0), theme.metal_edge, 1.4, Dash::Solid);
    let outline = closed_line(state.outline, viewport);
    drawing.stroke(seen(&[outline], viewport, 4.0), theme.ink, 1.6, Dash::Solid);
    if let Some(fit) = state.better {
        drawing.place(ghost::unnamed(state.edge, fit, viewport, theme), 0.0, 0.0);
    }
    drawing.place(build_up_marks(state, viewport, theme), 0.0, 0.0);
    key(&mut drawing, theme, state.better.is_some());
    grid_numbers(&mut drawing, state.units, viewport, theme);
    scale_bar(&mut drawing, state.units, [KEY, KEY_LOW], viewport, theme);
    drawing
}

/// The plan alone, for a page that has the list beside it.
pub fn build_up_plan(state: &BuildUpState<'_>, theme: &Theme, [width, height]: [f32; 2]) -> Drawing {
    let moved = state.better.map_or(Bounds::EMPTY, |fit| fit.edge_moved(state.edge).bounds());
    let bounds = state.outline.bounds().join(state.edge.bounds()).join(moved);
    let [over, beside] = ROOM_ON_PAGE;
    let over = if state.better.is_some() { over + KEY_ROW } else { over };
    // The key stands over what is drawn: the middle lies so much lower.
    let down = over - beside;
    let fitted = Viewport::fit(bounds, width, height - down, beside);
    let viewport = Viewport { height, ..fitted }.panned(0.0, down / 2.0);
    plan(state, &viewport, theme)
}

/// What the lines are, at the top left; in a row of its own the edge in a better position, where it is drawn.
fn key(drawing: &mut Drawing, theme: &Theme, better: bool) {
    let [mut x, y] = KEY_FROM;
    let lines = [
        ("outline", theme.ink, 1.6),
        ("sawn edge", theme.metal_edge, 1.4),
        ("metal to add", theme.none, 5.0),
    ];
    for (word, ink, width) in lines {
        x = keyed(drawing, theme, [x, y], (word, ink, width, Dash::Solid));
    }
    if better {
        let at = [KEY_FROM[0], y + KEY_ROW];
        keyed(drawing, theme, at, (ghost::CALLED, theme.accent, ghost::WIDTH, Dash::Dashed));
    }
}

/// One line of the key; where the next one begins.
fn keyed(
    drawing: &mut Drawing,
    theme: &Theme,
    [x, y]: [f32; 2],
    (word, ink, width, dash): (&str, Ink, f32, Dash),
) -> f32 {
    drawing.line([x, y], [x + 24.0, y], ink, width, dash);
    let at = [x + 32.0, y];
    let words = Words { at, anchor: Anchor::Left, size: 11.5, weight: Weight::Plain, ink: theme.ink };
    haloed(drawing, words, theme.paper, word);
    at[0] + text_width(word, 11.5, Weight::Plain) + 22.0
}

#[cfg(test)]
mod tests {
    use super::super::drawing::Item;
    use super::*;
    use crate::geometry::pt;

    fn square(low: f64, high: f64) -> Path {
        let corners = [(low, low), (high, low), (high, high), (low, high)].map(|(x, y)| (pt(x, y), 0.0));
        Path::closed(&corners).expect("a square")
    }

    fn texts(drawing: &Drawing) -> Vec<String> {
        let text = |item: &Item| match item {
            Item::Text { text, .. } => Some(text.clone()),
            _ => None,
        };
        drawing.items.iter().filter_map(text).collect()
    }

    #[test]
    fn every_stretch_has_its_number_and_its_row() {
        let (outline, edge) = (square(0.0, 4.0), square(0.25, 5.0));
        let stretch = |from: f64, at| BuildUp {
            from,
            to: from + 4.0,
            length: 4.0,
            most: 0.25,
            most_at: from + 1.0,
            at,
        };
        let stretches = [stretch(0.0, pt(1.0, 0.0)), stretch(12.0, pt(0.0, 3.0))];
        let state = BuildUpState {
            outline: &outline,
            edge: &edge,
            stretches: &stretches,
            better: None,
            units: crate::units::Units::Inch.into(),
        };
        for size in [[900.0, 600.0], [420.0, 700.0]] {
            let texts = texts(&build_up(&state, &Theme::light(), size));
            for wanted in ["1", "2", "4.000", ".2500", "12.000"] {
                assert!(texts.iter().any(|text| text == wanted), "{wanted} at {size:?}: {texts:?}");
            }
        }
        let fit = Fit {
            dx: 0.25,
            dy: 0.25,
            turn: 0.0,
            centroid: pt(2.0, 2.0),
            least_margin: 0.25,
            bound: 0.25,
            present: -0.25,
            binding: Vec::new(),
        };
        let better = BuildUpState { better: Some(&fit), ..state };
        let words = texts(&build_up(&better, &Theme::light(), [900.0, 600.0]));
        assert!(words.iter().any(|text| text == "edge in the best position"), "{words:?}");
        let clean = BuildUpState { stretches: &[], ..state };
        let texts = texts(&build_up(&clean, &Theme::dark(), [900.0, 600.0]));
        assert!(texts.iter().any(|text| text.contains("No metal to add")), "{texts:?}");
    }

    #[test]
    fn more_stretches_than_there_is_room_for_are_counted() {
        let (outline, edge) = (square(0.0, 4.0), square(0.25, 5.0));
        let stretches: Vec<BuildUp> = (0..200)
            .map(|index| {
                let from = f64::from(index) * 0.08;
                let at = outline.place(from).at;
                BuildUp { from, to: from + 0.04, length: 0.04, most: 0.01, most_at: from, at }
            })
            .collect();
        let state = BuildUpState {
            outline: &outline,
            edge: &edge,
            stretches: &stretches,
            better: None,
            units: crate::units::Units::Mm.into(),
        };
        let texts = texts(&build_up(&state, &Theme::light(), [900.0, 600.0]));
        assert!(texts.iter().any(|text| text.contains("more in the table")), "{texts:?}");
    }
}
