//! The blank in another position, over the plan.

use super::super::drawing::{Anchor, Dash, Drawing, Weight};
use super::super::label::{Words, haloed};
use super::super::plan::{closed_line, seen};
use super::super::theme::Theme;
use super::super::viewport::Viewport;
use crate::fit::Fit;
use crate::geometry::Path;

/// What it is called.
pub(super) const CALLED: &str = "edge in the best position";
/// How thick its line is.
pub(super) const WIDTH: f32 = 1.8;

/// Drawn over a plan: the edge as it would lie with the fit taken over, and what it is. The outline stays where it is.
pub fn ghost(edge: &Path, fit: &Fit, viewport: &Viewport, theme: &Theme) -> Drawing {
    let line = closed_line(&fit.edge_moved(edge), viewport);
    let top = line.iter().copied().min_by(|a, b| a[1].total_cmp(&b[1]));
    let mut drawing = unnamed(edge, fit, viewport, theme);
    if let Some([x, y]) = top {
        let at = [x.clamp(90.0, (viewport.width - 90.0).max(90.0)), (y - 11.0).max(46.0)];
        let words =
            Words { at, anchor: Anchor::Centre, size: 11.5, weight: Weight::Plain, ink: theme.accent };
        haloed(&mut drawing, words, theme.paper, CALLED);
    }
    drawing
}

/// The line alone, where the key says what it is.
pub(super) fn unnamed(edge: &Path, fit: &Fit, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    let lines = seen(&[closed_line(&fit.edge_moved(edge), viewport)], viewport, 4.0);
    drawing.stroke(lines.clone(), theme.paper, 4.0, Dash::Solid);
    drawing.stroke(lines, theme.accent, WIDTH, Dash::Dashed);
    drawing
}
