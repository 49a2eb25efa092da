//! Corners that turn towards the tool, on a control that looks at the move ahead.

use super::*;
use crate::testing::Random;

fn ahead(side: Side, radius: f64, from: Point, path: &[Go]) -> Walked {
    walk_from(on(side, radius).looking_ahead(), from, path)
}

#[track_caller]
fn assert_at(place: Point3, x: f64, y: f64) {
    assert!(place.plan().distance(pt(x, y)) < 1e-12, "{place:?} for {x}, {y}");
}

/// Round the inside of a square corner the centre turns at a radius from both sides.
#[test]
fn a_square_corner_is_cut_from_side_to_side() {
    for (side, up) in [(Side::Left, 1.0), (Side::Right, -1.0)] {
        let path = [Line(0.0, 0.0), Line(2.0, 0.0), Line(2.0, 3.0 * up), Line(0.0, 3.0 * up)];
        let walked = ahead(side, 0.5, pt(-5.0, 0.0), &path);
        assert_eq!(walked.result, Ok(()));
        let ends: Vec<Point3> = walked.motions.iter().map(|motion| motion.end).collect();
        // The way in, a little arc about its end, and the three sides.
        assert_eq!(ends.len(), 5);
        let ends = &ends[1..];
        assert_at(ends[1], 1.5, 0.5 * up);
        assert_at(ends[2], 1.5, 2.5 * up);
        assert_at(ends[3], 0.0, 2.5 * up);
    }
}

/// A line to an arc and back: the centre meets the arc's parallel, of radius 2 - .5, at a height of .5 over the first side.
#[test]
fn corners_with_arcs_are_cut_where_the_ways_meet() {
    // The arc goes from (2, 0) round (0, 0) to (0, 2), with the tool inside, then straight in.
    let path = [Line(1.0, 0.0), Line(2.0, 0.0), Anticlockwise(0.0, 2.0, -2.0, 0.0), Line(0.0, 0.7)];
    let walked = ahead(Side::Left, 0.5, pt(-5.0, 0.0), &path);
    assert_eq!(walked.result, Ok(()));
    let far = (1.5_f64 * 1.5 - 0.25).sqrt();
    let [.., side, arc, inward] = walked.motions[..] else { panic!("{:?}", walked.motions) };
    assert_at(side.end, far, 0.5);
    assert_at(arc.end, 0.5, far);
    assert_arcs_close(&walked.motions);
    assert_at(inward.end, 0.5, 0.7);
}

/// The move that comes onto the path ends square beside where the first side starts.
#[test]
fn a_square_way_in_ends_beside_the_side() {
    let walked = ahead(Side::Left, 0.25, pt(-2.0, 0.5), &[Line(0.0, 0.5), Line(0.0, 3.0)]);
    assert_eq!(walked.result, Ok(()));
    assert_at(walked.motions[0].end, -0.25, 0.5);
    assert_at(walked.motions[1].end, -0.25, 3.0);
}

#[test]
fn a_corner_without_room_for_the_tool_is_refused_still() {
    // The second side is shorter than what the tool leaves of it.
    for length in [0.4, 0.49] {
        let path = [Line(0.0, 0.0), Line(2.0, 0.0), Line(2.0, length), Line(5.0, length)];
        let walked = ahead(Side::Left, 0.5, pt(-5.0, 0.0), &path);
        assert_eq!(walked.result.err(), Some(CompensationFault::ConcaveCorner), "{length}");
    }
}

/// The way of the centre round the inside of a convex polygon encloses A - P r + r^2 times the sum of the cotangents of the
/// half angles (derived: each corner takes two right triangles of height r off what the sides' strips take).
#[test]
fn inside_a_polygon_the_centre_encloses_what_the_formula_says() {
    let mut random = Random::new(19);
    for case in 0..200 {
        let count = 3 + case % 7_u32;
        let mut angles: Vec<f64> = (0..count)
            .map(|index| (f64::from(index) + random.between(-0.3, 0.3)) * TAU / f64::from(count))
            .collect();
        angles.sort_by(f64::total_cmp);
        let corners: Vec<Point> = angles.iter().map(|angle| Point::at_angle(*angle) * 3.0).collect();
        let radius = random.between(0.02, 0.15);
        let corner = |index: usize| corners[index % corners.len()];
        // Begun in the middle of a side, twice round: the second lap is closed.
        let middle = corner(0).toward(corner(1), 0.5);
        let mut path = vec![Line(middle.x, middle.y)];
        for _ in 0..2 {
            path.extend((1..=corners.len()).map(|index| Line(corner(index).x, corner(index).y)));
            path.push(Line(middle.x, middle.y));
        }
        let from = middle - (corner(1) - corner(0)).unit().expect("a side") * 0.5;
        let walked = ahead(Side::Left, radius, from, &path);
        assert_eq!(walked.result, Ok(()), "case {case}");
        let round = &walked.motions[walked.starts[2 + corners.len()]..];
        let twice: f64 = (0..corners.len()).map(|index| corner(index).cross(corner(index + 1))).sum();
        let perimeter: f64 = (0..corners.len()).map(|index| corner(index).distance(corner(index + 1))).sum();
        let cotangent = |index: usize| {
            let (back, on) = (corner(index) - corner(index + 1), corner(index + 2) - corner(index + 1));
            let angle = back.cross(on).abs().atan2(back.dot(on));
            1.0 / (angle / 2.0).tan()
        };
        let corners_take: f64 = (0..corners.len()).map(cotangent).sum();
        let want = twice / 2.0 - perimeter * radius + radius * radius * corners_take;
        assert_abs_diff_eq!(area(round), want, epsilon = 1e-9);
        let (first, last) = (round[0].start, round[round.len() - 1].end);
        assert!(first.distance(last) < 1e-9, "case {case}: it closes");
    }
}
