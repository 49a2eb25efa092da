//! The wall: the section of the metal at one station after a pass, to scale, outward to the right.

mod heights;
mod labels;
mod metal;
mod sizes;
mod small;

use super::drawing::{Dash, Drawing};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Bounds, pt};
use crate::tool::Tool;
use crate::units::Told;
use crate::wall::Section;
pub use small::wall_small;

/// What the wall view shows.
#[derive(Debug, Clone, Copy)]
pub struct WallState<'a> {
    /// The section.
    pub section: &'a Section,
    /// Index of the pass after which the metal is shown; the faces before it are fine lines.
    pub pass: usize,
    /// The tool of each pass, as far as known.
    pub tools: &'a [Option<&'a Tool>],
    /// Whether the cutters of the passes before stand in the section as well.
    pub every_tool: bool,
    /// Z of the top of what is under the block.
    pub bed: Option<f64>,
    /// The height at which stock left is measured.
    pub gauge: Option<f64>,
    /// How lengths are told.
    pub units: Told,
}

/// How much of the block's height is shown inward and outward of the outline, and below and above it.
const INWARD: f64 = 0.8;
const OUTWARD: f64 = 0.75;
const BELOW: f64 = 0.16;
const ABOVE: f64 = 0.22;

/// Width of the column of labels in a view this wide.
fn column(width: f32) -> f32 {
    (width * 0.4).clamp(96.0, 168.0).min(width)
}

/// A viewport that shows the whole wall beside its column of labels. Its x is the distance outward from the outline,
/// its y the height.
pub fn wall_viewport(state: &WallState<'_>, width: f32, height: f32) -> Viewport {
    let (bottom, top) = faces(state.section);
    let thickness = top - bottom;
    let low = state.bed.unwrap_or(bottom).min(bottom).max(bottom - thickness) - thickness * BELOW;
    let bounds =
        Bounds { low: pt(-thickness * INWARD, low), high: pt(thickness * OUTWARD, top + thickness * ABOVE) };
    let shown = Viewport::fit(bounds, width - column(width), height, 4.0);
    let right = f64::from(column(width)) / 2.0 / shown.scale;
    Viewport { centre: shown.centre + pt(right, 0.0), width, height, ..shown }
}

/// The section after a pass, its tool as it goes by, the bed, and the heights on the wall in a column of labels.
pub fn wall(state: &WallState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    drawing.panel([0.0, 0.0, viewport.width, viewport.height], theme.paper);
    let left = viewport.width - column(viewport.width);
    heights::lines(&mut drawing, state.units, left, viewport, theme);
    metal::bed(&mut drawing, state, left, viewport, theme);
    metal::faces_before(&mut drawing, state, viewport, theme);
    metal::shown(&mut drawing, state, viewport, theme);
    metal::tools(&mut drawing, state, viewport, theme);
    labels::gauge(&mut drawing, state, left, viewport, theme);
    labels::outline(&mut drawing, left, viewport, theme);
    let numbers = heights::places_of_numbers(state.units, viewport);
    sizes::draw(&mut drawing, state, (left, numbers), viewport, theme);
    drawing.panel([left, 0.0, viewport.width, viewport.height], theme.paper);
    drawing.line([left, 0.0], [left, viewport.height], theme.line, 1.0, Dash::Solid);
    labels::column(&mut drawing, state, left, viewport, theme);
    heights::numbers(&mut drawing, state.units, viewport, theme);
    heights::scale_bar(&mut drawing, state.units, left, viewport, theme);
    drawing
}

/// Z of the lower and the upper face of the blank at the station; of the metal there ever was, else of nothing.
fn faces(section: &Section) -> (f64, f64) {
    section.faces().unwrap_or((-1.0, 0.0))
}
