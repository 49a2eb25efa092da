//! Where a picture lies in plan.

use crate::geometry::{Point, pt};

/// Turning, scaling and moving: a point p goes to a p + shift, with a and p as complex numbers.
///
/// Places in a picture are in pixels with Y up from its lower left corner, so that it is never mirrored.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similar {
    /// Where a step along X goes: its length is the scale, its direction the turn.
    pub along: Point,
    /// Where the origin goes.
    pub shift: Point,
}

impl Similar {
    /// A picture of this size with its middle at `centre`, as wide as `width`.
    pub fn centred(size: [f64; 2], centre: Point, width: f64) -> Self {
        let along = pt(width / size[0].max(1.0), 0.0);
        let middle = pt(size[0], size[1]) * 0.5;
        Self { along, shift: centre - times(along, middle) }
    }

    /// The one that takes two points where they belong; `None` when either two coincide.
    ///
    /// a = (q1 - q0) / (p1 - p0), a quotient of complex numbers, and shift = q0 - a p0.
    pub fn through(picture: [Point; 2], block: [Point; 2]) -> Option<Self> {
        let (apart, wanted) = (picture[1] - picture[0], block[1] - block[0]);
        let square = apart.dot(apart);
        let along = pt(apart.dot(wanted) / square, apart.cross(wanted) / square);
        let good = along.x.is_finite() && along.y.is_finite() && along.length() > 0.0;
        good.then(|| Self { along, shift: block[0] - times(along, picture[0]) })
    }

    /// Scaled so that two points of the picture lie this far apart; the first stays where it is, and so does the
    /// turn. `None` when the points coincide or the distance is none.
    #[must_use]
    pub fn with_distance(&self, picture: [Point; 2], distance: f64) -> Option<Self> {
        let [first, second] = picture.map(|p| self.point(p));
        let way = (second - first).unit().filter(|_| distance.is_finite() && distance > 0.0)?;
        Self::through(picture, [first, first + way * distance])
    }

    /// Turned to this many degrees, counter-clockwise, about a point of the picture that stays where it is.
    #[must_use]
    pub fn turned_to(&self, degrees: f64, about: Point) -> Self {
        let along = super::direction(degrees) * self.along.length();
        Self { along, shift: self.point(about) - times(along, about) }
    }

    /// Where a place in the picture lies in plan.
    pub fn point(&self, p: Point) -> Point {
        times(self.along, p) + self.shift
    }

    /// Which place in the picture lies at a point in plan.
    pub fn back(&self, q: Point) -> Point {
        let square = self.along.dot(self.along);
        times(pt(self.along.x, -self.along.y), q - self.shift) * (1.0 / square)
    }

    /// Length of a pixel in plan.
    pub fn scale(&self) -> f64 {
        self.along.length()
    }

    /// Turn in degrees, counter-clockwise, from -180 to 180.
    pub fn turn(&self) -> f64 {
        self.along.angle().to_degrees()
    }
}

/// The product as complex numbers.
fn times(a: Point, b: Point) -> Point {
    pt(a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x)
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    fn same(a: Point, b: Point) {
        assert_abs_diff_eq!(a.x, b.x, epsilon = 1e-9);
        assert_abs_diff_eq!(a.y, b.y, epsilon = 1e-9);
    }

    /// By hand: 200 pixels along X are 4 units along Y, so 0.02 a pixel and a quarter turn.
    #[test]
    fn two_points_fix_scale_turn_and_place() {
        let picture = [pt(100.0, 50.0), pt(300.0, 50.0)];
        let similar = Similar::through(picture, [pt(1.0, 2.0), pt(1.0, 6.0)]).expect("two points");
        assert_abs_diff_eq!(similar.scale(), 0.02, epsilon = 1e-12);
        assert_abs_diff_eq!(similar.turn(), 90.0, epsilon = 1e-9);
        same(similar.point(pt(100.0, 150.0)), pt(-1.0, 2.0));
        same(similar.back(pt(-1.0, 2.0)), pt(100.0, 150.0));
        assert_eq!(Similar::through([pt(1.0, 1.0); 2], [pt(0.0, 0.0), pt(1.0, 0.0)]), None);
        assert_eq!(Similar::through(picture, [pt(1.0, 1.0); 2]), None);
    }

    #[test]
    fn a_distance_keeps_the_first_point_and_the_turn() {
        let begun = Similar::centred([400.0, 200.0], pt(2.0, 1.0), 4.0).turned_to(30.0, pt(0.0, 0.0));
        let picture = [pt(10.0, 20.0), pt(310.0, 420.0)];
        let scaled = begun.with_distance(picture, 7.5).expect("a distance");
        same(scaled.point(picture[0]), begun.point(picture[0]));
        assert_abs_diff_eq!(scaled.point(picture[1]).distance(scaled.point(picture[0])), 7.5, epsilon = 1e-9);
        assert_abs_diff_eq!(scaled.turn(), 30.0, epsilon = 1e-9);
        assert_abs_diff_eq!(scaled.scale(), 7.5 / 500.0, epsilon = 1e-12);
        assert!(
            begun.with_distance(picture, 0.0).is_none() && begun.with_distance(picture, f64::NAN).is_none()
        );
    }

    #[test]
    fn a_picture_turns_about_a_place_that_stays() {
        let begun = Similar::centred([400.0, 200.0], pt(2.0, 1.0), 4.0);
        let about = pt(200.0, 100.0);
        same(begun.point(about), pt(2.0, 1.0));
        let turned = begun.turned_to(-90.0, about);
        same(turned.point(about), pt(2.0, 1.0));
        same(turned.point(pt(400.0, 100.0)), pt(2.0, -1.0));
    }
}
