//! Lines and circles without ends, and where they meet.

use std::f64::consts::PI;

use super::{Point, Span};

/// Angles are the same within this, in radians.
const ROUNDING: f64 = 1e-7;

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

    /// In which direction from `p` it lies within a distance, and by how much that may be off to either side, in radians:
    /// all of it that is no farther away is seen there.
    pub fn seen_within(&self, p: Point, distance: f64) -> (f64, f64) {
        let all_round = (0.0, PI);
        let Some(foot) = self.foot(p).filter(|foot| *foot != p) else { return all_round };
        let (middle, near) = ((foot - p).angle(), foot.distance(p));
        let aside = match *self {
            Self::Line { .. } => (near / distance).min(1.0).acos(),
            Self::Circle { centre, radius } => {
                let away = centre.distance(p);
                // Where the circle is so far away, seen from the direction to its centre (law of cosines).
                let there = (distance * distance + away * away - radius * radius) / (2.0 * distance * away);
                let there = there.clamp(-1.0, 1.0).acos();
                let touched = away * away - radius * radius;
                if away <= radius {
                    PI - there
                } else if distance * distance >= touched {
                    // beyond where it is touched by the line of sight nothing of it lies farther aside
                    (radius / away).asin()
                } else {
                    there
                }
            }
        };
        (middle, aside + ROUNDING)
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
    use crate::testing::Random;

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

    #[test]
    fn all_of_it_that_is_near_is_seen_in_the_directions_told() {
        let mut random = Random::new(31);
        let mut place = || pt(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
        for case in 0..400 {
            let (p, a, b) = (place(), place(), place());
            let rail = if case % 2 == 0 {
                Rail::through(a, b).unwrap()
            } else {
                Rail::Circle { centre: a, radius: b.length() }
            };
            let near = rail.foot(p).unwrap().distance(p);
            let distance = near * (1.0 + b.x.abs());
            let (middle, aside) = rail.seen_within(p, distance);
            let mut widest = 0.0_f64;
            for step in 0..4000 {
                let part = f64::from(step) / 4000.0;
                let at = match rail {
                    Rail::Line { origin, along } => origin + along * (40.0 * part - 20.0),
                    Rail::Circle { centre, radius } => centre + Point::at_angle(part * 2.0 * PI) * radius,
                };
                if at.distance(p) < distance {
                    let off = ((at - p).angle() - middle).abs();
                    widest = widest.max(off.min(2.0 * PI - off));
                }
            }
            assert!(widest <= aside, "case {case}: seen {widest} aside, {aside} told");
            assert!(aside < widest + 0.6, "case {case}: seen {widest} aside, {aside} told");
        }
    }
}
