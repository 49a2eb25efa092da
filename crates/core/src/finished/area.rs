//! How deep a place in plan lies inside a closed path.

use rstar::{AABB, PointDistance, RTree, RTreeObject};

use crate::geometry::{Path, Point, Span, pt};

/// Up to so many spans are looked at one by one: sooner done than finding them by place.
const FEW: usize = 24;

/// One span with its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Side {
    span: Span,
    from: Point,
    to: Point,
}

impl RTreeObject for Side {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        let bounds = self.span.bounds().with(self.from).with(self.to);
        AABB::from_corners([bounds.low.x, bounds.low.y], [bounds.high.x, bounds.high.y])
    }
}

impl PointDistance for Side {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        let off = self.span.nearest(pt(point[0], point[1])).1;
        off * off
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

/// The area inside a closed path.
#[derive(Debug)]
pub struct Area {
    sides: Vec<Side>,
    tree: Option<RTree<Side>>,
}

impl Area {
    /// The area inside `path`.
    pub fn new(path: &Path) -> Self {
        let vertices = path.vertices();
        let next = vertices.iter().cycle().skip(1);
        let sides: Vec<Side> = path
            .spans()
            .iter()
            .zip(vertices.iter().zip(next))
            .map(|(span, (from, to))| Side { span: *span, from: *from, to: *to })
            .collect();
        let tree = (sides.len() > FEW).then(|| RTree::bulk_load(sides.clone()));
        Self { sides, tree }
    }

    /// Distance from `p` to the path: positive inside, negative outside. It changes no faster than `p` moves.
    pub fn depth(&self, p: Point) -> f64 {
        let inside =
            self.sides.iter().fold(false, |inside, side| inside ^ side.is_right_of(p) ^ side.bulges_over(p));
        let least = |nearest: f64, side: &Side| nearest.min(side.span.nearest(p).1);
        let off = match &self.tree {
            Some(tree) => {
                let nearest = tree.nearest_neighbor(&[p.x, p.y]);
                nearest.map_or(f64::INFINITY, |side| side.span.nearest(p).1)
            }
            None => self.sides.iter().fold(f64::INFINITY, least),
        };
        if inside { off } else { -off }
    }
}
