//! How far a place lies outside the outline, found fast for many places.

use rstar::{AABB, PointDistance, RTree, RTreeObject};

use crate::geometry::{Path, Point, Span, envelope, pt};

/// The outline's spans by place.
pub(super) struct Leave<'a> {
    tree: RTree<Near<'a>>,
    outline: &'a Path,
}

struct Near<'a> {
    span: &'a Span,
    index: usize,
}

impl RTreeObject for Near<'_> {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(&self.span.bounds())
    }
}

impl PointDistance for Near<'_> {
    fn distance_2(&self, at: &[f64; 2]) -> f64 {
        self.span.distance(pt(at[0], at[1])).powi(2)
    }
}

impl<'a> Leave<'a> {
    pub(super) fn new(outline: &'a Path) -> Self {
        let spans = outline.spans().iter().enumerate().map(|(index, span)| Near { span, index });
        Self { tree: RTree::bulk_load(spans.collect()), outline }
    }

    /// Distance from the outline, positive outside it.
    pub(super) fn at(&self, p: Point) -> f64 {
        let Some(near) = self.tree.nearest_neighbor(&[p.x, p.y]) else { return 0.0 };
        let (part, distance) = near.span.nearest(p);
        let place = self.outline.place_on(near.index, part * near.span.length());
        if (p - place.at).dot(place.outward) < 0.0 { -distance } else { distance }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_is_positive_and_inside_negative() {
        let corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)].map(|(x, y)| (pt(x, y), 0.0));
        let path = Path::closed(&corners).expect("a square");
        let leave = Leave::new(&path);
        for (x, y, want) in [(2.0, -0.05, 0.05), (2.0, 0.02, -0.02), (4.3, 1.0, 0.3), (4.3, 3.4, 0.5)] {
            assert!((leave.at(pt(x, y)) - want).abs() < 1e-12, "{x} {y}");
        }
    }
}
