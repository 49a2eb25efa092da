//! Single moves: refusals, tangents, Z, and numbers that are none.

use std::f64::consts::FRAC_PI_2;

use super::*;

#[test]
fn corners_and_arcs_that_cannot_be_cut_are_refused() {
    let from = pt(-5.0, 0.0);
    for (path, left, right) in [
        // a square corner to the left
        (&[Line(0.0, 0.0), Line(1.0, 0.0), Line(1.0, 1.0)][..], Some(CompensationFault::ConcaveCorner), None),
        (&[Line(0.0, 0.0), Line(1.0, 0.0), Line(1.0, -1.0)], None, Some(CompensationFault::ConcaveCorner)),
        // an arc of the tool's own radius, and one just larger, to the left
        (
            &[Line(0.0, 0.0), Line(1.0, 0.0), Anticlockwise(1.5, 0.5, 0.0, 0.5)],
            Some(CompensationFault::ConcaveArc),
            None,
        ),
        (&[Line(0.0, 0.0), Line(1.0, 0.0), Anticlockwise(1.501, 0.501, 0.0, 0.501)], None, None),
        // a full circle
        (
            &[Line(0.0, 0.0), Line(1.0, 0.0), Anticlockwise(1.0, 0.0, 0.0, 0.4)],
            Some(CompensationFault::ConcaveArc),
            None,
        ),
        (&[Line(0.0, 0.0), Line(1.0, 0.0), Anticlockwise(1.0, 0.0, 0.0, 2.0)], None, None),
        // straight back: half a turn round the end on either side
        (&[Line(0.0, 0.0), Line(1.0, 0.0), Line(0.5, 0.0)], None, None),
        // ends under the tool
        (&[Line(-4.6, 0.0)], Some(CompensationFault::Gouging), Some(CompensationFault::Gouging)),
        (&[Line(-4.5, 0.0)], Some(CompensationFault::Gouging), Some(CompensationFault::Gouging)),
        (
            &[Clockwise(0.0, 0.0, 2.5, 0.0)],
            Some(CompensationFault::ArcFirst),
            Some(CompensationFault::ArcFirst),
        ),
    ] {
        for (side, fault) in [(Side::Left, left), (Side::Right, right)] {
            let walked = walk(side, 0.5, from, path);
            assert_eq!(walked.result.err(), fault, "{side:?} {path:?}");
            if let Some(fault) = fault {
                let why = why(&fault);
                assert!(why.len() > 40 && why.ends_with('.'), "{why}");
            }
        }
    }
}

#[test]
fn nearly_tangent_corners_need_no_arc() {
    for turn in [-0.9 * TANGENT, 0.9 * TANGENT, 0.0] {
        let (sin, cos) = turn.sin_cos();
        let line = walk(
            Side::Left,
            0.5,
            pt(-5.0, 0.0),
            &[Line(0.0, 0.0), Line(1.0, 0.0), Line(1.0 + 2.0 * cos, 2.0 * sin)],
        );
        assert_eq!(line.result, Ok(()));
        let last = line.motions.last().expect("a motion");
        assert_eq!((last.curve, line.starts[2] + 1), (Curve::Straight, line.motions.len()), "{turn}");
        // an arc still has both ends on it, also all the way round
        let round = walk(
            Side::Left,
            0.5,
            pt(-5.0, 0.0),
            &[Line(0.0, 0.0), Line(1.0, 0.0), Clockwise(1.0, 0.0, 2.0 * sin, -2.0 * cos)],
        );
        assert_eq!(round.result, Ok(()));
        assert_arcs_close(&round.motions);
        let aside = length(&round.motions[round.starts[2]..]) - TAU * 2.5;
        assert!((0.0..=0.5 * TANGENT).contains(&(aside + 1e-9)), "{turn}: {aside}");
    }
}

#[test]
fn z_goes_with_the_main_move_and_waits_round_corners() {
    let mut state = on(Side::Left, 0.25);
    let mut pieces = Vec::new();
    let mut at = pt3(-2.0, 0.0, 1.0);
    let mut programmed = at;
    let arc = Programmed::Arc { centre: pt(-1.0, -2.0), sweep: -FRAC_PI_2 };
    for (to, shape) in [
        // nothing in plan yet: still the first move after it
        (pt3(-2.0, 0.0, 0.5), Programmed::Line),
        (pt3(0.0, 0.0, 0.0), Programmed::Line),
        (pt3(0.0, 0.0, -1.0), Programmed::Line),
        (pt3(0.0, 0.0, -1.0), Programmed::Line),
        (pt3(0.0, -2.0, -2.0), Programmed::Line),
        (pt3(-1.0, -3.0, -3.0), arc),
    ] {
        assert_eq!(state.advance(at, programmed, to, shape, &mut pieces), Ok(None));
        at = pieces.last().expect("a piece").end;
        programmed = to;
    }
    let levels: Vec<f64> = pieces.iter().map(|piece| piece.end.z).collect();
    // down, the first move, down, round the corner, the line, the tangent arc
    assert_eq!(levels, [0.5, 0.0, -1.0, -1.0, -2.0, -3.0]);
    assert!(matches!(pieces[3].curve, Curve::Arc { .. }));
    assert_eq!(pieces[2].end.plan(), pieces[1].end.plan());
    assert!(at.plan().distance(pt(-1.0, -3.25)) < 1e-12);
}

/// After a refusal the next move comes in anew from wherever the tool was left.
#[test]
fn a_refused_move_starts_over() {
    let mut state = on(Side::Left, 0.5);
    let mut pieces = vec![Piece { end: Point3::default(), curve: Curve::Straight }];
    let (a, b) = (level(pt(0.0, 0.0)), level(pt(0.3, 0.0)));
    assert_eq!(state.advance(a, a, b, Programmed::Line, &mut pieces), Err(CompensationFault::Gouging));
    assert_eq!(pieces.len(), 1, "what was there stays");
    let c = level(pt(5.0, 0.0));
    assert_eq!(state.advance(b, b, c, Programmed::Line, &mut pieces), Ok(None));
    assert_abs_diff_eq!(pieces[1].end.plan().distance(c.plan()), 0.5, epsilon = 1e-12);
}

#[test]
fn no_input_makes_it_panic_or_go_nowhere() {
    let odd = [0.0, -0.0, 1.0, -1.0, 0.5, 1e-300, 1e-12, 1e9, 1e300, -1e300, f64::NAN, f64::INFINITY];
    let mut random = Random(5);
    let mut number = || {
        let pick = random.between(0.0, odd.len() as f64) as usize;
        odd.get(pick).copied().unwrap_or(0.0)
    };
    let mut pieces = Vec::new();
    for _ in 0..20_000 {
        let mut state = on(Side::Left, number());
        let mut at = pt3(number(), number(), 0.0);
        let mut from = at;
        for _ in 0..4 {
            let to = pt3(number(), number(), 0.0);
            let centre = pt(number(), number());
            let shape =
                if number() > 0.5 { Programmed::Arc { centre, sweep: number() } } else { Programmed::Line };
            pieces.clear();
            let result = state.advance(at, from, to, shape, &mut pieces);
            assert!(pieces.len() <= 3 && (result.is_ok() || pieces.is_empty()));
            at = pieces.last().map_or(to, |piece| piece.end);
            from = to;
        }
    }
}
