//! One span of a closed path with its ends, and what it says of which places the path encloses.

use rstar::{AABB, PointDistance, RTreeObject};

use super::{Bounds, Path, Point, Span, envelope, pt};

/// One span of a closed path with its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// The line or arc.
    pub span: Span,
    /// The vertex it starts from.
    pub from: Point,
    /// The vertex it leads to.
    pub to: Point,
    /// The smallest upright box round it and its ends.
    pub bounds: Bounds,
}

impl Side {
    /// The sides of a path in order.
    pub fn of(path: &Path) -> impl Iterator<Item = Self> {
        let vertices = path.vertices();
        let ends = vertices.iter().zip(vertices.iter().cycle().skip(1));
        path.spans().iter().zip(ends).map(|(span, (from, to))| Self {
            span: *span,
            from: *from,
            to: *to,
            bounds: span.bounds().with(*from).with(*to),
        })
    }

    /// Whether this side, of all sides of a path, tells inside from outside once more: a point lies inside where it
    /// does so an odd number of times. That is the polygon of the chords, but for where a point lies between a chord
    /// and its arc.
    pub fn encloses(&self, p: Point) -> bool {
        self.is_right_of(p) != self.bulges_over(p)
    }

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

impl RTreeObject for Side {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(&self.bounds)
    }
}

impl PointDistance for Side {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        self.span.distance(pt(point[0], point[1])).powi(2)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// Arcs of all sweeps, both ways round, against the angles of [`Span::nearest`].
    #[test]
    fn distances_are_those_of_the_span() {
        for bulge in [-2.5, -1.0, -0.4, -1e-4, 0.0, 1e-4, 0.2, 1.0, 3.0] {
            let vertices = [(pt(0.0, 0.0), bulge), (pt(2.0, 0.5), 0.3), (pt(1.0, 3.0), -0.2)];
            let path = Path::closed(&vertices).expect("a path");
            for side in Side::of(&path) {
                for step in 0..900 {
                    let p = pt(f64::from(step % 30) * 0.31 - 4.0, f64::from(step / 30) * 0.29 - 4.0);
                    assert_abs_diff_eq!(side.span.distance(p), side.span.nearest(p).1, epsilon = 1e-8);
                }
            }
        }
    }
}
