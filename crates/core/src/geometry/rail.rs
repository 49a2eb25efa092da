//! Lines and circles without ends, and where they meet.

use super::{Point, Span};

/// A line or a circle without ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rail {
    /// A straight line.
    Line {
        /// A place on it.
        origin: Point,
        /// Its direction, of length 1.
        along: Point,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius.
        radius: f64,
    },
}

impl Rail {
    /// What a span lies on; `None` for one without length.
    pub fn of(span: &Span) -> Option<Self> {
        match span {
            Span::Line { from, to } => Self::through(*from, *to),
            Span::Arc(arc) => Some(Self::Circle { centre: arc.centre, radius: arc.radius }),
        }
    }

    /// The line through two points; `None` where they are one.
    pub fn through(from: Point, to: Point) -> Option<Self> {
        (to - from).unit().map(|along| Self::Line { origin: from, along })
    }

    /// The place nearest to `p`; `None` from the centre of a circle, which has no nearest.
    pub fn foot(&self, p: Point) -> Option<Point> {
        match *self {
            Self::Line { origin, along } => Some(origin + along * (p - origin).dot(along)),
            Self::Circle { centre, radius } => (p - centre).unit().map(|spoke| centre + spoke * radius),
        }
    }

    /// Its direction at a place on it, of length 1; `None` at the centre of a circle without size.
    pub fn along(&self, place: Point) -> Option<Point> {
        match *self {
            Self::Line { along, .. } => Some(along),
            Self::Circle { centre, .. } => (place - centre).unit().map(Point::left),
        }
    }

    /// Where two of them meet: none, one or two places, the same one twice where they touch.
    pub fn meet(&self, other: &Self) -> impl Iterator<Item = Point> + use<> {
        self.pair(other).into_iter().flatten().filter(|place| place.x.is_finite() && place.y.is_finite())
    }

    fn pair(&self, other: &Self) -> [Option<Point>; 2] {
        match (*self, *other) {
            (Self::Line { origin, along }, Self::Line { origin: other, along: way }) => {
                let across = along.cross(way);
                [Some(origin + along * ((other - origin).cross(way) / across)), None]
            }
            (Self::Line { origin, along }, Self::Circle { centre, radius })
            | (Self::Circle { centre, radius }, Self::Line { origin, along }) => {
                let middle = origin + along * (centre - origin).dot(along);
                beside(middle, along, radius * radius - middle.distance(centre).powi(2))
            }
            (Self::Circle { centre, radius }, Self::Circle { centre: other, radius: second }) => {
                let apart = other - centre;
                let distance = apart.length();
                let Some(unit) = apart.unit() else { return [None; 2] };
                let along = (distance * distance + radius * radius - second * second) / (2.0 * distance);
                beside(centre + unit * along, unit.left(), radius * radius - along * along)
            }
        }
    }
}

/// The places on either side of a middle whose distance from it has this square.
fn beside(middle: Point, along: Point, square: f64) -> [Option<Point>; 2] {
    let away = along * square.max(0.0).sqrt();
    if square < 0.0 { [None; 2] } else { [Some(middle + away), Some(middle - away)] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    /// The right triangle of 3, 4 and 5 (Euclid, Elements I 47).
    #[test]
    fn what_meets_and_what_does_not() {
        let circle = |x: f64, radius: f64| Rail::Circle { centre: pt(x, 0.0), radius };
        let upright = |x: f64| Rail::through(pt(x, -1.0), pt(x, 2.0)).unwrap();
        let level = Rail::through(pt(0.0, 4.0), pt(1.0, 4.0)).unwrap();
        let places = |a: Rail, b: Rail| {
            let mut found: Vec<Point> = a.meet(&b).collect();
            found.sort_by(|a, b| a.y.total_cmp(&b.y));
            found
        };
        assert_eq!(places(circle(0.0, 5.0), upright(3.0)), [pt(3.0, -4.0), pt(3.0, 4.0)]);
        assert_eq!(places(upright(3.0), circle(0.0, 5.0)), [pt(3.0, -4.0), pt(3.0, 4.0)]);
        assert_eq!(places(circle(0.0, 5.0), circle(6.0, 5.0)), [pt(3.0, -4.0), pt(3.0, 4.0)]);
        assert_eq!(places(upright(3.0), level), [pt(3.0, 4.0)]);
        assert_eq!(places(circle(0.0, 5.0), upright(5.5)), []);
        assert_eq!(places(circle(0.0, 5.0), circle(12.0, 5.0)), []);
        assert_eq!(places(circle(0.0, 5.0), circle(0.0, 5.0)), []);
        assert_eq!(places(upright(3.0), upright(4.0)), []);
        assert_eq!(circle(0.0, 5.0).foot(pt(0.0, 2.0)), Some(pt(0.0, 5.0)));
        assert_eq!(circle(0.0, 5.0).foot(pt(0.0, 0.0)), None);
        assert_eq!(level.foot(pt(7.0, 1.0)), Some(pt(7.0, 4.0)));
    }
}
