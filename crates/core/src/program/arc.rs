//! Centre and sweep of an arc from what a program says about it.

use std::f64::consts::{PI, TAU};

use crate::geometry::Point;

/// Ends closer than this are one point: far below the least increment of any control, far above rounding.
const SAME: f64 = 1e-7;

/// An arc whose ends lie exactly on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fitted {
    /// Centre, moved to where both ends are equally far from it.
    pub centre: Point,
    /// Angle swept in radians, positive counter-clockwise.
    pub sweep: f64,
    /// By how much the words disagreed: the difference of the two radii, or what a radius is short of the chord.
    pub mismatch: f64,
}

/// The arc about a centre; a full circle when its ends are one point. `None` when nothing is left of its radius.
pub(super) fn about_centre(start: Point, end: Point, centre: Point, ccw: bool) -> Option<Fitted> {
    let turn = if ccw { TAU } else { -TAU };
    let mismatch = (start.distance(centre) - end.distance(centre)).abs();
    let along = (end - start).unit().filter(|_| start.distance(end) > SAME);
    let Some(along) = along else {
        return (start.distance(centre) > SAME).then_some(Fitted { centre, sweep: turn, mismatch });
    };
    let fitted = centre - along * (centre - start.toward(end, 0.5)).dot(along);
    let (from, to) = (start - fitted, end - fitted);
    let least = from.cross(to).atan2(from.dot(to));
    // half a turn may come out as pi from either side
    let sweep = match ccw {
        true if least <= 0.0 => least + TAU,
        false if least >= 0.0 => least - TAU,
        _ => least,
    };
    Some(Fitted { centre: fitted, sweep, mismatch })
}

/// The arc of a radius: at most half a turn when it is positive, at least half a turn when it is negative. A radius
/// short of half the chord gives half a turn. `None` when the ends are one point.
pub(super) fn with_radius(start: Point, end: Point, radius: f64, ccw: bool) -> Option<Fitted> {
    let chord = start.distance(end);
    let along = (end - start).unit().filter(|_| chord > SAME)?;
    let (half, size) = (chord / 2.0, radius.abs());
    let mismatch = (half - size).max(0.0);
    let rise = ((size - half) * (size + half)).max(0.0).sqrt();
    let to_left = ccw == (radius >= 0.0);
    let middle = start.toward(end, 0.5);
    let centre = middle + along.left() * if to_left { rise } else { -rise };
    let short = if size > half { 2.0 * (half / size).asin() } else { PI };
    let size_of_sweep = if radius >= 0.0 { short } else { TAU - short };
    Some(Fitted { centre, sweep: if ccw { size_of_sweep } else { -size_of_sweep }, mismatch })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    #[test]
    fn quarter_half_and_full_turns() {
        let turn = |end: Point, ccw| {
            about_centre(pt(1.0, 0.0), end, pt(0.0, 0.0), ccw).map_or(0.0, |arc| arc.sweep / (PI / 2.0))
        };
        for (end, ccw, cw) in [
            (pt(0.0, 1.0), 1.0, -3.0),
            (pt(-1.0, 0.0), 2.0, -2.0),
            (pt(0.0, -1.0), 3.0, -1.0),
            (pt(1.0, 0.0), 4.0, -4.0),
        ] {
            assert!(
                (turn(end, true) - ccw).abs() < 1e-12 && (turn(end, false) - cw).abs() < 1e-12,
                "{end:?}"
            );
        }
    }

    #[test]
    fn both_ends_are_equally_far_from_a_moved_centre() {
        let arc = about_centre(pt(1.0, 0.0), pt(0.0, 1.001), pt(0.0, 0.0), true).expect("it has a radius");
        assert!((arc.mismatch - 0.001).abs() < 1e-12);
        let (a, b) = (arc.centre.distance(pt(1.0, 0.0)), arc.centre.distance(pt(0.0, 1.001)));
        assert!((a - b).abs() < 1e-12);
        assert!(arc.centre.length() < 0.001, "the nearest such point");
    }

    #[test]
    fn radius_and_centre_agree() {
        let (start, end) = (pt(2.0, -1.0), pt(3.5, 0.5));
        for radius in [1.2, 5.0, -1.2, -5.0] {
            for ccw in [true, false] {
                let by_radius = with_radius(start, end, radius, ccw).expect("ends differ");
                let by_centre = about_centre(start, end, by_radius.centre, ccw).expect("it has a radius");
                assert!((by_radius.sweep - by_centre.sweep).abs() < 1e-9, "{radius} {ccw}");
                assert!((by_radius.centre.distance(start) - radius.abs()).abs() < 1e-12);
                assert_eq!(by_radius.sweep.abs() <= PI, radius > 0.0);
            }
        }
    }

    #[test]
    fn nothing_is_made_of_nothing() {
        let p = pt(1.0, 1.0);
        assert_eq!(about_centre(p, p, p, true), None);
        assert_eq!(with_radius(p, p, 1.0, true), None);
    }
}
