//! The blank's sawn edge, its spans found by place.

use rstar::{AABB, RTree, RTreeObject};

use crate::geometry::{Bounds, Path, Point, Ray, Span, pt};
use crate::measure::sweep::{OnRay, envelope};

/// One span with its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Side {
    span: Span,
    from: Point,
    to: Point,
    bounds: Bounds,
}

impl RTreeObject for Side {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(&self.bounds)
    }
}

impl Side {
    /// Whether a point lies between the chord and the arc.
    fn bulges_over(&self, p: Point) -> bool {
        let Span::Arc(arc) = self.span else { return false };
        let beside = (self.to - self.from).cross(p - self.from);
        // A counter-clockwise arc lies to the right of its chord.
        let on_side = if arc.sweep > 0.0 { beside < 0.0 } else { beside > 0.0 };
        on_side && p.distance(arc.centre) < arc.radius
    }

    /// Whether the chord is crossed on the way from a point straight to the right.
    fn is_right_of(&self, p: Point) -> bool {
        let (a, b) = (self.from, self.to);
        (a.y > p.y) != (b.y > p.y) && a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) > p.x
    }
}

/// The blank's edge, its spans found by place.
#[derive(Debug)]
pub struct Edge<'a> {
    path: &'a Path,
    tree: RTree<Side>,
}

impl<'a> Edge<'a> {
    /// The edge along this path.
    pub fn new(path: &'a Path) -> Self {
        let vertices = path.vertices();
        let next = vertices.iter().cycle().skip(1);
        let sides = path.spans().iter().zip(vertices.iter().zip(next)).map(|(span, (from, to))| {
            let bounds = span.bounds().with(*from).with(*to);
            Side { span: *span, from: *from, to: *to, bounds }
        });
        Self { path, tree: RTree::bulk_load(sides.collect()) }
    }

    /// The path.
    pub const fn path(&self) -> &'a Path {
        self.path
    }

    /// The spans that may reach into a box.
    pub(super) fn near(&self, bounds: &Bounds) -> Vec<Span> {
        self.tree.locate_in_envelope_intersecting(&envelope(bounds)).map(|side| side.span).collect()
    }

    /// Whether a point lies inside the edge: inside the polygon of the chords, but on the other side of it as often as
    /// it lies between a chord and its arc.
    pub fn contains(&self, p: Point) -> bool {
        let ray = Ray { origin: p, along: pt(1.0, 0.0) };
        let reach = (0.0, f64::INFINITY);
        let sides = self.tree.locate_with_selection_function(OnRay { ray: &ray, reach });
        sides.fold(false, |inside, side| inside ^ side.is_right_of(p) ^ side.bulges_over(p))
    }
}
