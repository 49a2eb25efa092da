//! A tool's silhouette as polygons about its axis.

use crate::geometry::{Point, Span, pt};
use crate::tool::Tool;
use crate::tool::drawing::{PartKind, outline};

/// How far a chord may leave an arc, in parts of its radius.
const CHORD: f64 = 0.002;

/// One part of a tool, both halves.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Silhouette {
    pub(super) kind: PartKind,
    /// x is the distance from the axis, y the height above the tip.
    pub(super) points: Vec<Point>,
    /// Height of its upper end.
    pub(super) top: f64,
    /// Whether all its lengths were given.
    pub(super) known: bool,
}

impl Silhouette {
    /// Largest distance from the axis.
    pub(super) fn radius(&self) -> f64 {
        self.points.iter().map(|p| p.x).fold(0.0, f64::max)
    }
}

/// Cutter, shank and holder, as far as they are known, from the tip up.
pub(super) fn silhouettes(tool: &Tool) -> Vec<Silhouette> {
    let part = |part: crate::tool::drawing::Part| {
        let half = half(&part.pieces);
        let mirrored = half.iter().rev().filter(|p| p.x > 0.0).map(|p| pt(-p.x, p.y));
        let points = half.iter().copied().chain(mirrored).collect();
        Silhouette { kind: part.kind, points, top: part.top, known: part.known }
    };
    outline(tool).into_iter().map(part).collect()
}

fn half(pieces: &[Span]) -> Vec<Point> {
    let mut points: Vec<Point> = pieces.first().map(|piece| piece.at(0.0)).into_iter().collect();
    for piece in pieces {
        let steps = match piece {
            Span::Line { .. } => 1,
            Span::Arc(arc) => arc.steps(arc.radius * CHORD).clamp(2, 200),
        };
        points.extend((1..=steps).map(|step| piece.at(step as f64 / steps as f64)));
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tool::Form;

    #[test]
    fn both_halves_of_a_ball_have_its_width_and_height() {
        let tool = Tool {
            number: 1,
            name: None,
            form: Form::Ball { diameter: 0.5 },
            flutes: None,
            flute_length: Some(1.0),
            shank_diameter: Some(0.375),
            stickout: Some(1.5),
            holder_diameter: None,
        };
        let parts = silhouettes(&tool);
        assert_eq!(
            parts.iter().map(|part| part.kind).collect::<Vec<_>>(),
            [PartKind::Cutter, PartKind::Shank]
        );
        let cutter = &parts[0];
        assert!((cutter.radius() - 0.25).abs() < 1e-12 && cutter.top == 1.0 && cutter.known);
        let leftmost = cutter.points.iter().map(|p| p.x).fold(0.0, f64::min);
        assert!((leftmost + 0.25).abs() < 1e-12);
        // The nose is a quarter circle about (0, radius).
        let nose = cutter.points.iter().filter(|p| p.y < 0.249 && p.x > 0.0);
        assert!(nose.clone().count() > 5);
        assert!(nose.into_iter().all(|p| (p.distance(pt(0.0, 0.25)) - 0.25).abs() < 1e-9));
    }
}
