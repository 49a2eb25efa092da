//! A quantity along the tool's path or along the outline.

mod curve;
mod range;
mod scale;
mod sheet;

use super::drawing::{Anchor, Drawing};
use super::theme::Theme;
use crate::proof::Proof;
use sheet::{Sheet, TOP};

pub use curve::{LimitKind, Quantity, StripCurve, StripLimit};
pub use range::StripRange;
pub use scale::StripScale;

/// What the strip runs along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// The tool's own path, rapids included.
    Path,
    /// The outline, by station.
    Outline,
}

/// What the strip shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripState {
    /// Index of the pass.
    pub pass: usize,
    /// What it runs along.
    pub along: Along,
}

const LEFT: f32 = 56.0;
const RIGHT: f32 = 16.0;

/// The thickness of cut along the path or the outline, and where distances lie across it.
pub fn strip(
    proof: &Proof,
    state: &StripState,
    width: f32,
    height: f32,
    theme: &Theme,
) -> (Drawing, StripScale) {
    let curve = &StripCurve::thickness(proof, state.pass, state.along);
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let length = match state.along {
        Along::Path => proof.passes.get(state.pass).map_or(0.0, |pass| pass.track.length()),
        Along::Outline => proof.outline.as_ref().map_or(0.0, |outline| outline.length()),
    };
    let scale = StripScale { left: LEFT, right: (width - RIGHT).max(LEFT + 1.0), length };
    if state.pass >= proof.passes.len() {
        return (drawing, scale);
    }
    let sheet = Sheet::new(scale, height, curve, proof.told, theme);
    let name = match state.along {
        Along::Path => "distance",
        Along::Outline => "station",
    };
    sheet.axes(&mut drawing, name);
    sheet.hatches(&mut drawing, curve);
    sheet.limits(&mut drawing, curve);
    if curve.runs.is_empty() {
        let middle = [f32::midpoint(scale.left, scale.right), f32::midpoint(TOP, sheet.zero)];
        let what = if state.along == Along::Path {
            "No cut was measured along this path"
        } else {
            "This pass was not measured along the outline"
        };
        drawing.text(middle, Anchor::Centre, 12.0, theme.quiet, what);
    }
    sheet.curve(&mut drawing, curve);
    (drawing, scale)
}
