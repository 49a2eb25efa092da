//! The blank in another position, over the plan.

use super::super::drawing::{Anchor, Dash, Drawing, Weight};
use super::super::label::{Words, haloed};
use super::super::plan::{closed_line, seen};
use super::super::theme::Theme;
use super::super::viewport::Viewport;
use crate::fit::Fit;
use crate::geometry::Path;

/// Drawn over a plan: the edge as it would lie with the fit taken over. The outline stays where it is.
pub fn ghost(edge: &Path, fit: &Fit, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    let line = closed_line(&fit.edge_moved(edge), viewport);
    let top = line.iter().copied().min_by(|a, b| a[1].total_cmp(&b[1]));
    let lines = seen(&[line], viewport, 4.0);
    drawing.stroke(lines.clone(), theme.paper, 4.0, Dash::Solid);
    drawing.stroke(lines, theme.accent, 1.8, Dash::Dashed);
    if let Some([x, y]) = top {
        let at = [x.clamp(90.0, (viewport.width - 90.0).max(90.0)), (y - 11.0).max(46.0)];
        let words =
            Words { at, anchor: Anchor::Centre, size: 11.5, weight: Weight::Plain, ink: theme.accent };
        haloed(&mut drawing, words, theme.paper, "edge in the best position");
    }
    drawing
}
