//! What of a path lies under the pointer.

use super::Chain;
use crate::geometry::Point;

/// What lies under the pointer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hit {
    /// A vertex.
    Vertex(usize),
    /// A span.
    Span {
        /// Which.
        span: usize,
        /// How far along it, from 0 to 1.
        part: f64,
    },
}

/// What of the chain lies within `reach` of a point: the nearest vertex, else the nearest span.
pub fn hit(chain: &Chain, p: Point, reach: f64) -> Option<Hit> {
    let vertices = chain.vertices().iter().enumerate().map(|(index, vertex)| (index, vertex.at.distance(p)));
    let nearest = vertices.min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((index, _)) = nearest.filter(|(_, distance)| *distance <= reach) {
        return Some(Hit::Vertex(index));
    }
    let spans = chain.spans().enumerate().map(|(span, line)| (span, line.nearest(p)));
    let (span, (part, _)) =
        spans.min_by(|a, b| a.1.1.total_cmp(&b.1.1)).filter(|(_, (_, distance))| *distance <= reach)?;
    Some(Hit::Span { span, part })
}
