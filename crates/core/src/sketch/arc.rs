//! Bulges of arcs by what is known of them.
//!
//! The chord of an arc and its tangent at an end enclose half the included angle (Euclid, Elements III.32), and the
//! bulge is the tangent of a quarter of it (published DXF reference).

use crate::geometry::Point;

/// Angles this near to a half turn give no arc: its radius would be beyond all measure.
const STRAIGHT_BACK: f64 = 1e-9;

/// The bulge of the arc from `from` through `via` to `to`; 0 when they lie in line. `None` when two of them coincide
/// or `via` lies in line but not between.
pub fn through(from: Point, via: Point, to: Point) -> Option<f64> {
    let (there, on) = (via - from, to - via);
    if there.length() == 0.0 || on.length() == 0.0 || from == to {
        return None;
    }
    bulge_of_half(there, on)
}

/// The bulge of the arc from `from`, starting in direction `heading`, to `to`; 0 when it lies straight ahead.
/// `None` when it lies straight behind.
pub fn tangent(from: Point, heading: Point, to: Point) -> Option<f64> {
    let chord = to - from;
    if chord.length() == 0.0 || heading.length() == 0.0 {
        return None;
    }
    bulge_of_half(heading, chord)
}

/// tan(a / 2) of the angle a from one direction to another, which is half the included angle.
fn bulge_of_half(a: Point, b: Point) -> Option<f64> {
    let half = a.cross(b).atan2(a.dot(b));
    let bulge = (half / 2.0).tan();
    if half.abs() > std::f64::consts::PI - STRAIGHT_BACK {
        return None;
    }
    Some(if half.abs() < STRAIGHT_BACK { 0.0 } else { bulge })
}

/// The bulge of an arc of this radius over a chord of this length, on the side and of the kind (more or less than
/// half a turn) that `like` has; a line's becomes less than half a turn, counter-clockwise.
///
/// Half the included angle is asin(chord / 2 radius) (definition of the sine).
///
/// # Errors
/// Half the chord, when the radius is less.
pub fn bulge_of_radius(chord: f64, radius: f64, like: f64) -> Result<f64, f64> {
    /// A radius typed with a few digits for half a chord means just that.
    const HAIR: f64 = 1e-6;
    let least = chord / 2.0;
    // Also when the radius is no number.
    let fits = radius >= least * (1.0 - HAIR);
    if !fits {
        return Err(least);
    }
    let small = ((least / radius).min(1.0).asin() / 2.0).tan();
    let size = if like.abs() > 1.0 { 1.0 / small } else { small };
    Ok(if like < 0.0 { -size } else { size })
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::geometry::{Span, pt};

    /// By hand, on the circle of radius 5 about the origin.
    #[test]
    fn an_arc_goes_through_its_three_points() {
        for (from, via, to, sweep) in [
            ((5.0, 0.0), (0.0, 5.0), (-5.0, 0.0), 180.0),
            ((5.0, 0.0), (4.0, 3.0), (3.0, 4.0), 53.130_102),
            ((3.0, 4.0), (4.0, 3.0), (5.0, 0.0), -53.130_102),
            ((5.0, 0.0), (-5.0, 0.0), (0.0, -5.0), 270.0),
            ((5.0, 0.0), (0.0, -5.0), (0.0, 5.0), -270.0),
        ] {
            let (from, via, to) = (pt(from.0, from.1), pt(via.0, via.1), pt(to.0, to.1));
            let bulge = through(from, via, to).expect("an arc");
            let Span::Arc(arc) = Span::with_bulge(from, to, bulge) else { panic!("an arc") };
            assert_abs_diff_eq!(arc.centre.length(), 0.0, epsilon = 1e-9);
            assert_abs_diff_eq!(arc.radius, 5.0, epsilon = 1e-9);
            assert_abs_diff_eq!(arc.sweep.to_degrees(), sweep, epsilon = 1e-5);
            assert_abs_diff_eq!(Span::Arc(arc).nearest(via).1, 0.0, epsilon = 1e-9);
        }
        assert_eq!(through(pt(0.0, 0.0), pt(1.0, 0.0), pt(3.0, 0.0)), Some(0.0), "in line");
        assert_eq!(through(pt(0.0, 0.0), pt(4.0, 0.0), pt(3.0, 0.0)), None, "beyond the end");
        assert_eq!(through(pt(0.0, 0.0), pt(0.0, 0.0), pt(3.0, 0.0)), None);
    }

    #[test]
    fn an_arc_runs_on_the_way_it_is_headed() {
        let (from, to) = (pt(1.0, 1.0), pt(3.0, 2.0));
        for heading in [pt(1.0, 0.0), pt(0.0, 2.0), pt(-1.0, 0.3)] {
            let bulge = tangent(from, heading, to).expect("an arc");
            let start = Span::with_bulge(from, to, bulge).tangent(0.0);
            assert_abs_diff_eq!(start.cross(heading), 0.0, epsilon = 1e-9);
            assert!(start.dot(heading) > 0.0);
        }
        assert_eq!(tangent(from, pt(2.0, 1.0), to), Some(0.0), "straight ahead");
        assert_eq!(tangent(from, pt(-2.0, -1.0), to), None, "straight behind");
    }

    #[test]
    fn a_radius_keeps_side_and_kind() {
        for like in [0.3, -0.3, 3.0, -3.0] {
            let bulge = bulge_of_radius(6.0, 5.0, like).expect("it fits");
            let Span::Arc(arc) = Span::with_bulge(pt(0.0, 0.0), pt(6.0, 0.0), bulge) else {
                panic!("an arc")
            };
            assert_abs_diff_eq!(arc.radius, 5.0, epsilon = 1e-9);
            assert_eq!(bulge.signum(), f64::signum(like));
            assert_eq!(bulge.abs() > 1.0, like.abs() > 1.0);
        }
        assert_eq!(bulge_of_radius(6.0, 2.9, 0.1), Err(3.0));
        assert_eq!(bulge_of_radius(6.0, f64::NAN, 0.1), Err(3.0));
        assert_abs_diff_eq!(bulge_of_radius(6.0, 3.0, 0.0).expect("a half circle"), 1.0, epsilon = 1e-9);
    }
}
