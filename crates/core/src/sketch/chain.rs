//! The path as it stands.

use super::{MOST_VERTICES, Refused};
use crate::bring_in::{Trouble, crossings_of};
use crate::geometry::{Bounds, Path, Point, Span};
use crate::job::Vertex;

/// Part of the path's length squared; a path that encloses less is a line there and back.
const FLAT: f64 = 1e-12;

/// Vertices in a row, each with the bulge of the span that starts there; open, or closed back to the first.
///
/// In an open chain the last vertex only ends the span before it; its bulge is 0.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chain {
    pub(super) vertices: Vec<Vertex>,
    pub(super) closed: bool,
}

impl Chain {
    /// A chain of these vertices.
    pub fn new(mut vertices: Vec<Vertex>, closed: bool) -> Self {
        if !closed && let Some(last) = vertices.last_mut() {
            last.bulge = 0.0;
        }
        Self { vertices, closed }
    }

    /// The chain of a closed path.
    pub fn of_path(path: &Path) -> Self {
        let bulge = |span: &Span| match span {
            Span::Line { .. } => 0.0,
            Span::Arc(arc) => (arc.sweep / 4.0).tan(),
        };
        let vertices = path.vertices().iter().zip(path.spans());
        Self::new(vertices.map(|(at, span)| Vertex { at: *at, bulge: bulge(span) }).collect(), true)
    }

    /// The vertices in order.
    pub fn vertices(&self) -> &[Vertex] {
        &self.vertices
    }

    /// Whether a span leads from the last vertex to the first.
    pub const fn is_closed(&self) -> bool {
        self.closed
    }

    /// Whether there is nothing yet.
    pub fn is_empty(&self) -> bool {
        self.vertices.is_empty()
    }

    /// How many spans there are.
    pub fn span_count(&self) -> usize {
        if self.closed { self.vertices.len() } else { self.vertices.len().saturating_sub(1) }
    }

    /// The index of the vertex at which a span ends.
    pub fn end_of(&self, span: usize) -> usize {
        if span + 1 < self.vertices.len() { span + 1 } else { 0 }
    }

    /// The span that starts at this vertex.
    pub fn span(&self, index: usize) -> Option<Span> {
        if index >= self.span_count() {
            return None;
        }
        let (from, to) = (self.vertices.get(index)?, self.vertices.get(self.end_of(index))?);
        Some(Span::with_bulge(from.at, to.at, from.bulge))
    }

    /// All spans in order.
    pub fn spans(&self) -> impl Iterator<Item = Span> + '_ {
        (0..self.span_count()).filter_map(|index| self.span(index))
    }

    /// The spans that end and start at a vertex, where there are both.
    pub fn round(&self, vertex: usize) -> Option<(usize, usize)> {
        let before = if vertex > 0 { vertex - 1 } else { self.vertices.len().checked_sub(1)? };
        let both = vertex < self.span_count() && (vertex > 0 || self.closed);
        both.then_some((before, vertex))
    }

    /// Where the next span of an open chain starts.
    pub fn end(&self) -> Option<Point> {
        if self.closed { None } else { self.vertices.last().map(|vertex| vertex.at) }
    }

    /// The way an open chain is headed at its end.
    pub fn heading(&self) -> Option<Point> {
        if self.closed { None } else { Some(self.span(self.span_count().checked_sub(1)?)?.tangent(1.0)) }
    }

    /// Length of all spans.
    pub fn length(&self) -> f64 {
        self.spans().map(|span| span.length()).sum()
    }

    /// The smallest box round the chain.
    pub fn bounds(&self) -> Bounds {
        let ends = Bounds::of(self.vertices.iter().map(|vertex| vertex.at));
        self.spans().fold(ends, |all, span| all.join(span.bounds()))
    }

    /// The closed path, once it is closed and encloses something.
    pub fn path(&self) -> Option<Path> {
        if !self.closed {
            return None;
        }
        let corners: Vec<(Point, f64)> =
            self.vertices.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
        Path::closed(&corners).filter(|path| path.area() > FLAT * path.length().powi(2))
    }

    /// From the last vertex of an open chain to its first.
    pub fn gap(&self) -> Option<f64> {
        Some(self.end()?.distance(self.vertices.first()?.at)).filter(|_| self.vertices.len() > 1)
    }

    /// What keeps the path from being followed, placed: its gap while it is open, and where it crosses or runs
    /// along itself.
    pub fn troubles(&self) -> Vec<Trouble> {
        self.open_end().into_iter().chain(self.crossings()).collect()
    }

    fn crossings(&self) -> Vec<Trouble> {
        let spans: Vec<Span> = self.spans().collect();
        crossings_of(&spans)
    }

    fn open_end(&self) -> Option<Trouble> {
        Some(Trouble::OpenEnd { at: self.end()?, nearest: Some(self.gap()?) })
    }

    /// The vertices as a job states an outline or an edge.
    ///
    /// # Errors
    /// Why it is none yet.
    pub fn finished(&self) -> Result<Vec<Vertex>, Refused> {
        if !self.closed {
            return Err(if self.vertices.len() < 3 {
                Refused::Flat
            } else {
                Refused::Open { gap: self.gap().unwrap_or_default() }
            });
        }
        if self.spans().any(|span| span.length() == 0.0) {
            return Err(Refused::NoLength);
        }
        if let Some(at) = self.crossings().iter().find_map(Trouble::at) {
            return Err(Refused::Crosses { at });
        }
        self.path().ok_or(Refused::Flat)?;
        Ok(self.vertices.clone())
    }

    /// The chain with every vertex turned by `angle` radians about the origin, then moved by `shift`.
    #[must_use]
    pub fn placed(&self, shift: Point, angle: f64) -> Self {
        let place = |vertex: &Vertex| Vertex { at: vertex.at.turned(angle) + shift, ..*vertex };
        Self { vertices: self.vertices.iter().map(place).collect(), closed: self.closed }
    }

    pub(super) fn checked(self) -> Result<Self, Refused> {
        /// Farther than any machine reaches, in either unit.
        const FAR: f64 = 1e6;
        if self.vertices.len() > MOST_VERTICES {
            return Err(Refused::Full);
        }
        let good =
            |vertex: &Vertex| vertex.at.x.abs() < FAR && vertex.at.y.abs() < FAR && vertex.bulge.abs() < FAR;
        if !self.vertices.iter().all(good) {
            return Err(Refused::NoNumber);
        }
        let ends = |index: usize| (self.vertices.get(index), self.vertices.get(self.end_of(index)));
        let short = |index: usize| matches!(ends(index), (Some(a), Some(b)) if a.at == b.at);
        if (0..self.span_count()).any(short) { Err(Refused::NoLength) } else { Ok(self) }
    }
}
