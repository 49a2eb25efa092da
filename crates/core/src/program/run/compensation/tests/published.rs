//! The report's two sample paths, which are the edge of a part and its tool path.

use super::*;

/// First centres: derived from NISTIR 6556, appendix B, the first straight move.
#[test]
fn the_first_move_comes_square_beside_its_end() {
    for (side, from, to, want) in [
        (Side::Left, pt(1.0, 5.0), pt(1.0, 4.0), pt(1.433_013, 4.25)),
        (Side::Right, pt(1.0, 5.0), pt(1.0, 4.0), pt(0.566_987, 4.25)),
        // the simple entry
        (Side::Left, pt(1.5, 4.0), pt(3.0, 3.0), pt(3.151_085, 3.476_627)),
    ] {
        let walked = walk(side, 0.5, from, &[Line(to.x, to.y)]);
        assert_eq!((walked.result, walked.motions.len()), (Ok(()), 1));
        let centre = walked.motions[0].end.plan();
        assert!(centre.distance(want) < 1e-6, "{centre:?}");
        assert_abs_diff_eq!(centre.distance(to), 0.5, epsilon = 1e-12);
        assert_abs_diff_eq!((from - centre).dot(to - centre), 0.0, epsilon = 1e-12);
        assert_eq!((to - from).cross(centre - to) > 0.0, side == Side::Left);
    }
}

/// Table 12 with the tool that table 13 was made for ends every move where table 13 does: published against published.
#[test]
fn the_edge_compensated_is_the_published_tool_path() {
    let walked = walk(Side::Left, 0.5, pt(1.0, 5.0), &TABLE_12);
    assert_eq!(walked.result, Ok(()));
    let ends = walked.starts.iter().skip(1).copied().chain([walked.motions.len()]);
    for (index, (end, want)) in ends.zip(TABLE_13).enumerate().skip(1) {
        let got = walked.motions[end - 1].end.plan();
        assert!(got.distance(want.end()) < 1e-12, "move {index}: {got:?}");
    }
    // one arc round the corner of the entry, 30 degrees, and everything after it is tangent
    assert_eq!(walked.motions.len(), TABLE_12.len() + 1);
    let Curve::Arc { centre, sweep, .. } = walked.motions[1].curve else { panic!("an arc") };
    assert_eq!(centre, pt(1.0, 4.0));
    assert_abs_diff_eq!(sweep, -PI / 6.0, epsilon = 1e-12);
    assert_contour(contour(&walked), 12.0 + 3.0 * PI, 24.0 + 2.25 * PI);
}

/// A table entry of 0 leaves table 13 as it stands.
#[test]
fn radius_0_follows_the_program() {
    let walked = walk(Side::Left, 0.0, pt(1.5, 5.0), &TABLE_13);
    assert_eq!(walked.motions.len(), TABLE_13.len());
    assert_contour(contour(&walked), 12.0 + 3.0 * PI, 24.0 + 2.25 * PI);
    let edge = walk(Side::Right, 0.0, pt(1.0, 5.0), &TABLE_12);
    assert_contour(contour(&edge), 12.0 + TAU, 18.0 + PI);
}

/// NISTIR 6556, appendix B: published that a cutter of 0.97 for a nominal 1.0 has -0.03 in the table. Its centre then
/// runs 0.485 from the edge. The contours: derived.
#[test]
fn a_nominal_path_takes_the_difference_to_the_tool() {
    for (difference, moved_out) in [(-0.03, 0.485), (0.03, 0.515), (-0.2, 0.4)] {
        let nominal = walk(Side::Left, difference / 2.0, pt(1.5, 5.0), &TABLE_13);
        let (perimeter, surface) = table_12_moved_out(moved_out);
        assert_contour(contour(&nominal), perimeter, surface);
        let edge = walk(Side::Left, moved_out, pt(1.0, 5.0), &TABLE_12);
        assert_contour(contour(&edge), perimeter, surface);
    }
}

#[test]
fn the_mirror_image_needs_the_other_side() {
    let (left, right) = (walk(Side::Left, 0.5, pt(1.0, 5.0), &TABLE_12), TABLE_12.map(Go::mirrored));
    for mirrored in [
        walk(Side::Right, 0.5, pt(-1.0, 5.0), &right),
        // a negative radius is the other side
        walk(Side::Left, -0.5, pt(-1.0, 5.0), &right),
    ] {
        assert_eq!(mirrored.motions.len(), left.motions.len());
        for (a, b) in left.motions.iter().zip(&mirrored.motions) {
            assert!(a.end.distance(pt3(-b.end.x, b.end.y, b.end.z)) < 1e-12);
        }
        assert_contour(contour(&mirrored), 12.0 + 3.0 * PI, 24.0 + 2.25 * PI);
    }
}

/// The slow way: the centre is never nearer to the programmed path than the radius, and everywhere just so far.
#[test]
fn the_centre_stays_one_radius_from_the_path() {
    let samples = |motions: &[Motion]| -> Vec<Point> {
        let at = |motion: &Motion| {
            let motion = *motion;
            (0..400).map(move |k| motion.at(f64::from(k) / 400.0).plan())
        };
        motions.iter().flat_map(at).collect()
    };
    let programmed = walk(Side::Left, 0.0, pt(1.0, 5.0), &TABLE_12);
    let edge = samples(contour(&programmed));
    for radius in [0.1, 0.5, 0.9] {
        let walked = walk(Side::Left, radius, pt(1.0, 5.0), &TABLE_12);
        for centre in samples(contour(&walked)) {
            let near = edge.iter().map(|p| p.distance(centre)).fold(f64::INFINITY, f64::min);
            assert!((near - radius).abs() < 1e-3, "{centre:?}: {near} from the edge with {radius}");
        }
    }
}

/// Table 12 on the wrong side: the tool runs inside its arcs of radius 1 and must be smaller.
#[test]
fn the_wrong_side_must_fit_within() {
    let inside = walk(Side::Right, 0.5, pt(1.0, 5.0), &TABLE_12);
    let (perimeter, surface) = table_12_moved_out(-0.5);
    assert_contour(contour(&inside), perimeter, surface);
    let too_large = walk(Side::Right, 1.0, pt(1.0, 5.5), &TABLE_12);
    assert_eq!(too_large.result, Err(CompensationFault::ConcaveArc));
}
