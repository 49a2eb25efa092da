//! The section in little, to be laid beside others: metal, the faces before and the outline's line, without cutter and
//! words.

use super::{WallState, faces, metal};
use crate::geometry::{Bounds, pt};
use crate::view::drawing::Drawing;
use crate::view::label::centre_line;
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;

/// How much of the block's height is shown inward and outward of the outline, and below and above it. It is less than in
/// the large section: what walls differ by lies near the outline.
const INWARD: f64 = 0.42;
const OUTWARD: f64 = 0.5;
const BELOW: f64 = 0.08;
const ABOVE: f64 = 0.12;
/// Free at the sides, view points.
const ROOM: f32 = 2.0;

/// The section after a pass in little.
pub fn wall_small(state: &WallState<'_>, width: f32, height: f32, theme: &Theme) -> Drawing {
    let (bottom, top) = faces(state.section);
    let thickness = top - bottom;
    let bounds = Bounds {
        low: pt(-thickness * INWARD, bottom - thickness * BELOW),
        high: pt(thickness * OUTWARD, top + thickness * ABOVE),
    };
    let viewport = Viewport::fit(bounds, width, height, ROOM);
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    metal::bed(&mut drawing, state, width, &viewport, theme);
    metal::faces_before(&mut drawing, state, &viewport, theme);
    metal::shown(&mut drawing, state, &viewport, theme);
    let x = viewport.to_view(pt(0.0, 0.0))[0];
    centre_line(&mut drawing, [x, 2.0], [x, height - 2.0], theme.accent, 1.2);
    drawing
}
