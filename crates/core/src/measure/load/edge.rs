//! The blank's sawn edge, its spans found by place.

use rstar::RTree;

use crate::geometry::{Bounds, OnRay, Path, Point, Ray, Side, Span, envelope, pt};

/// The blank's edge, its spans found by place.
#[derive(Debug)]
pub struct Edge<'a> {
    path: &'a Path,
    tree: RTree<Side>,
}

impl<'a> Edge<'a> {
    /// The edge along this path.
    pub fn new(path: &'a Path) -> Self {
        Self { path, tree: RTree::bulk_load(Side::of(path).collect()) }
    }

    /// The path.
    pub const fn path(&self) -> &'a Path {
        self.path
    }

    /// The spans that may reach into a box.
    pub(super) fn near(&self, bounds: &Bounds) -> Vec<Span> {
        self.tree.locate_in_envelope_intersecting(&envelope(bounds)).map(|side| side.span).collect()
    }

    /// Whether a point lies inside the edge.
    pub fn contains(&self, p: Point) -> bool {
        let ray = Ray { origin: p, along: pt(1.0, 0.0) };
        let reach = (0.0, f64::INFINITY);
        let sides = self.tree.locate_with_selection_function(OnRay { ray: &ray, reach });
        sides.filter(|side| side.encloses(p)).count() % 2 == 1
    }
}
