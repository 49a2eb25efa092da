//! Drawing an outline by hand: what every edit does to the path, and what the pointer catches on. Figures are worked
//! out by hand from plane geometry (derived) unless said otherwise.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::f64::consts::{FRAC_PI_2, PI};

use approx::assert_abs_diff_eq;
use blockwright_core::bring_in::Trouble;
use blockwright_core::geometry::{Path, Point, Span, pt};
use blockwright_core::job::Vertex;
use blockwright_core::sketch::{
    Around, Chain, Edit, Held, Hit, Mark, Refused, Sketch, Snapping, hit, snap, tangent, through,
};
use blockwright_core::units::Units;

/// tan(90 degrees / 4).
const QUARTER: f64 = 0.414_213_562_373_095_03;

fn closed(corners: &[(f64, f64, f64)]) -> Chain {
    let vertex = |(x, y, bulge): &(f64, f64, f64)| Vertex { at: pt(*x, *y), bulge: *bulge };
    Chain::new(corners.iter().map(vertex).collect(), true)
}

/// 4 x 3, counter-clockwise from the origin.
fn rectangle() -> Chain {
    closed(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (4.0, 3.0, 0.0), (0.0, 3.0, 0.0)])
}

fn done(chain: &Chain, edits: &[Edit]) -> Chain {
    edits.iter().fold(chain.clone(), |chain, edit| chain.edited(edit).expect("done"))
}

fn line(x: f64, y: f64) -> Edit {
    Edit::Add { to: pt(x, y), bulge: 0.0 }
}

fn area(chain: &Chain) -> f64 {
    chain.path().expect("closed").area()
}

fn same(a: Point, b: Point) {
    assert!(a.distance(b) < 1e-9, "{a:?} is not {b:?}");
}

#[test]
fn a_path_is_drawn_vertex_by_vertex() {
    let open = done(&Chain::default(), &[line(0.0, 0.0), line(4.0, 0.0), line(4.0, 3.0), line(0.0, 3.0)]);
    assert_eq!((open.span_count(), open.is_closed(), open.gap()), (3, false, Some(3.0)));
    same(open.heading().expect("headed"), pt(-1.0, 0.0));
    // The first vertex clicked again closes, and so does the command.
    for edit in [line(0.0, 0.0), Edit::Close { bulge: 0.0 }] {
        assert_eq!(done(&open, &[edit]), rectangle());
    }
    assert_eq!(rectangle().edited(&line(9.0, 9.0)), Err(Refused::Closed));
    assert_eq!(open.edited(&line(0.0, 3.0)), Err(Refused::NoLength));
    assert_eq!(open.edited(&line(f64::NAN, 3.0)), Err(Refused::NoNumber));
    assert_eq!(open.edited(&line(1e9, 3.0)), Err(Refused::NoNumber));
    let two = done(&Chain::default(), &[line(0.0, 0.0), line(4.0, 0.0)]);
    assert_eq!(two.edited(&Edit::Close { bulge: 0.0 }), Err(Refused::Flat));
    // With a half circle back it encloses one: pi 2^2 / 2.
    assert_abs_diff_eq!(area(&done(&two, &[Edit::Close { bulge: 1.0 }])), 2.0 * PI, epsilon = 1e-9);
}

/// A slot drawn with arcs that run on: 2 long between centres, 1 wide.
#[test]
fn arcs_that_run_on_make_a_slot() {
    let mut chain = done(&Chain::default(), &[line(0.0, 0.0), line(2.0, 0.0)]);
    let arc_to = |chain: &Chain, to: Point| {
        let bulge =
            tangent(chain.end().expect("open"), chain.heading().expect("headed"), to).expect("an arc");
        done(chain, &[Edit::Add { to, bulge }])
    };
    chain = arc_to(&chain, pt(2.0, 1.0));
    chain = done(&chain, &[line(0.0, 1.0)]);
    chain = arc_to(&chain, pt(0.0, 0.0));
    assert_abs_diff_eq!(area(&chain), 2.0 + PI / 4.0, epsilon = 1e-9);
    assert_abs_diff_eq!(chain.length(), 4.0 + PI, epsilon = 1e-9);
    let by_three = through(pt(2.0, 0.0), pt(2.5, 0.5), pt(2.0, 1.0)).expect("an arc");
    assert_abs_diff_eq!(chain.vertices()[1].bulge, by_three, epsilon = 1e-12);
}

/// A rounded corner of 90 degrees takes r of each side, leaves r^2 (1 - pi / 4) out, and touches both.
#[test]
fn a_corner_is_rounded_and_the_round_touches() {
    for (vertex, radius) in [(0, 0.5), (1, 1.0), (2, 1.5), (3, 2.9)] {
        let round = done(&rectangle(), &[Edit::Fillet { vertex, radius }]);
        assert_abs_diff_eq!(area(&round), 12.0 - radius * radius * (1.0 - PI / 4.0), epsilon = 1e-9);
        smooth(&round, radius);
    }
    // A side that is used up is gone: three corners and the two ends of the round, less one.
    assert_eq!(done(&rectangle(), &[Edit::Fillet { vertex: 0, radius: 3.0 }]).vertices().len(), 4);
    let refused = rectangle().edited(&Edit::Fillet { vertex: 0, radius: 3.01 });
    let Err(Refused::TooLarge { most: Some(most) }) = refused else { panic!("{refused:?}") };
    assert_abs_diff_eq!(most, 3.0, epsilon = 1e-9);
    assert!(Refused::TooLarge { most: Some(most) }.message(Units::Inch).contains("3.0000 in is the largest"));
    let straight = done(&rectangle(), &[Edit::Insert { span: 0, part: 0.5 }]);
    assert_eq!(straight.edited(&Edit::Fillet { vertex: 1, radius: 0.1 }), Err(Refused::NoCorner));
}

/// The arc of this radius meets its neighbours without a corner.
fn smooth(chain: &Chain, radius: f64) {
    let is_round = |span: &Span| matches!(span, Span::Arc(arc) if (arc.radius - radius).abs() < 1e-9);
    let spans: Vec<Span> = chain.spans().collect();
    let place = spans.iter().position(is_round).expect("a round");
    let (before, after) =
        (&spans[(place + spans.len() - 1) % spans.len()], &spans[(place + 1) % spans.len()]);
    same(before.tangent(1.0), spans[place].tangent(0.0));
    same(spans[place].tangent(1.0), after.tangent(0.0));
}

/// Corners between arcs and lines, convex and concave, both ways round: the round touches both and the corner is
/// gone.
#[test]
fn corners_of_arcs_are_rounded_too() {
    // A half circle of radius 2 on a rectangle; its two corners with the upper side are concave or convex.
    let dome = closed(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (4.0, 1.0, 0.6), (0.0, 1.0, 0.0)]);
    // Two arcs that meet in a point.
    let lens = closed(&[(0.0, 0.0, 0.5), (4.0, 0.0, 0.5)]);
    // A bite out of the upper side.
    let bite = closed(&[
        (0.0, 0.0, 0.0),
        (4.0, 0.0, 0.0),
        (4.0, 3.0, 0.0),
        (3.0, 3.0, -0.8),
        (1.0, 3.0, 0.0),
        (0.0, 3.0, 0.0),
    ]);
    for (chain, vertices) in [(&dome, vec![2, 3]), (&lens, vec![0, 1]), (&bite, vec![3, 4])] {
        for vertex in vertices {
            for backward in [false, true] {
                let chain = if backward { reversed(chain) } else { chain.clone() };
                let at = if backward {
                    (chain.vertices().len() - vertex) % chain.vertices().len()
                } else {
                    vertex
                };
                let round = done(&chain, &[Edit::Fillet { vertex: at, radius: 0.2 }]);
                smooth(&round, 0.2);
                assert_eq!(round.vertices().len(), chain.vertices().len() + 1);
            }
        }
    }
}

/// The same path run the other way, from the same vertex.
fn reversed(chain: &Chain) -> Chain {
    let vertices = chain.vertices();
    let count = vertices.len();
    let vertex = |index: usize| {
        let own = (count - index) % count;
        Vertex { at: vertices[own].at, bulge: -vertices[(own + count - 1) % count].bulge }
    };
    Chain::new((0..count).map(vertex).collect(), true)
}

#[test]
fn a_span_takes_a_typed_length_and_angle() {
    let chain = done(&Chain::default(), &[line(1.0, 1.0), line(2.0, 1.0), line(3.0, 2.0)]);
    for (length, angle, end) in [
        (2.5, 0.0, (3.5, 1.0)),
        (2.0, 90.0, (1.0, 3.0)),
        (2.0, -180.0, (-1.0, 1.0)),
        (2.0, 30.0, (1.0 + 3.0_f64.sqrt(), 2.0)),
    ] {
        let longer = done(&chain, &[Edit::Reach { span: 0, length, angle }]);
        same(longer.vertices()[1].at, pt(end.0, end.1));
        same(longer.vertices()[2].at, pt(3.0, 2.0));
    }
    assert_eq!(chain.edited(&Edit::Reach { span: 0, length: 0.0, angle: 1.0 }), Err(Refused::NoLength));
    assert_eq!(chain.edited(&Edit::Reach { span: 2, length: 1.0, angle: 1.0 }), Err(Refused::NoSuch));
    let from = pt(1.0, 1.0);
    for (length, angle, pointer, end) in [
        (None, None, (4.0, 5.0), (4.0, 5.0)),
        (Some(10.0), None, (4.0, 5.0), (7.0, 9.0)),
        (None, Some(90.0), (4.0, 5.0), (1.0, 5.0)),
        (None, Some(90.0), (4.0, -5.0), (1.0, 1.0)),
        (Some(1.25), Some(180.0), (4.0, 5.0), (-0.25, 1.0)),
        (Some(-2.0), Some(0.0), (4.0, 5.0), (-1.0, 1.0)),
    ] {
        let held = Held { length, angle };
        same(held.end(from, pt(pointer.0, pointer.1)), pt(end.0, end.1));
    }
}

#[test]
fn vertices_and_spans_move_and_go() {
    let moved = done(&rectangle(), &[Edit::MoveVertex { vertex: 2, to: pt(5.0, 4.0) }]);
    assert_abs_diff_eq!(area(&moved), 12.0 + 3.5, epsilon = 1e-9);
    let moved = done(&rectangle(), &[Edit::MoveSpan { span: 3, by: pt(-1.0, 0.0) }]);
    assert_abs_diff_eq!(area(&moved), 15.0, epsilon = 1e-9);
    assert_eq!(rectangle().edited(&Edit::MoveVertex { vertex: 2, to: pt(4.0, 0.0) }), Err(Refused::NoLength));
    assert_abs_diff_eq!(area(&done(&rectangle(), &[Edit::Delete(1)])), 6.0, epsilon = 1e-9);
    let triangle = done(&rectangle(), &[Edit::Delete(1)]);
    assert!(!done(&triangle, &[Edit::Delete(1)]).is_closed(), "two vertices without a bulge enclose nothing");
    let end = done(&Chain::default(), &[line(0.0, 0.0), Edit::Add { to: pt(1.0, 0.0), bulge: 1.0 }]);
    assert_eq!(done(&end, &[Edit::Delete(1)]).vertices(), [Vertex { at: pt(0.0, 0.0), bulge: 0.0 }]);
}

/// A vertex put into an arc changes nothing, and taking it out again brings the arc back.
#[test]
fn a_vertex_in_an_arc_keeps_its_form() {
    let round = closed(&[(-1.0, 0.0, 1.0), (1.0, 0.0, 1.0)]);
    for part in [0.25, 0.5, 0.9] {
        let more = done(&round, &[Edit::Insert { span: 1, part }]);
        assert_abs_diff_eq!(area(&more), PI, epsilon = 1e-9);
        assert_abs_diff_eq!(more.vertices()[2].at.length(), 1.0, epsilon = 1e-12);
        let back = done(&more, &[Edit::Delete(2)]);
        assert_abs_diff_eq!(area(&back), PI, epsilon = 1e-9);
        assert_eq!(back.vertices().len(), 2);
    }
    assert_eq!(round.edited(&Edit::Insert { span: 1, part: 0.0 }), Err(Refused::NoLength));
}

#[test]
fn a_span_bends_by_bulge_or_radius() {
    let bent = done(&rectangle(), &[Edit::Bulge { span: 1, bulge: QUARTER }]);
    // A segment of a quarter circle over a chord of 3: r^2 (pi / 2 - 1) / 2 with r = 3 / sqrt 2.
    assert_abs_diff_eq!(area(&bent), 12.0 + 4.5 * (FRAC_PI_2 - 1.0) / 2.0, epsilon = 1e-9);
    let by_radius = done(&rectangle(), &[Edit::Radius { span: 1, radius: 3.0 / 2.0_f64.sqrt() }]);
    assert_abs_diff_eq!(area(&by_radius), area(&bent), epsilon = 1e-9);
    assert_eq!(
        rectangle().edited(&Edit::Radius { span: 1, radius: 1.4 }),
        Err(Refused::TooSmall { least: 1.5 })
    );
}

#[test]
fn a_path_is_opened_and_begun_elsewhere() {
    let open = done(&rectangle(), &[Edit::OpenAt(1)]);
    assert_eq!((open.is_closed(), open.span_count()), (false, 3));
    same(open.vertices()[0].at, pt(4.0, 3.0));
    same(open.end().expect("open"), pt(4.0, 0.0));
    let begun = done(&rectangle(), &[Edit::BeginAt(2)]);
    same(begun.vertices()[0].at, pt(4.0, 3.0));
    assert_abs_diff_eq!(area(&begun), 12.0);
    assert!(matches!(open.edited(&Edit::BeginAt(1)), Err(Refused::Open { .. })));
}

#[test]
fn only_a_path_that_can_be_followed_is_finished() {
    assert_eq!(rectangle().finished().expect("sound").len(), 4);
    let open = done(&rectangle(), &[Edit::OpenAt(1)]);
    assert_eq!(open.finished(), Err(Refused::Open { gap: 3.0 }));
    assert_eq!(open.troubles(), [Trouble::OpenEnd { at: pt(4.0, 0.0), nearest: Some(3.0) }]);
    let crossed = closed(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (1.0, 3.0, 0.0), (4.0, 4.0, 0.0)]);
    assert!(matches!(crossed.finished(), Err(Refused::Crosses { .. })), "{:?}", crossed.finished());
    // The line that would close it crosses it, but is not there yet.
    let open = Chain::new(crossed.vertices().to_vec(), false);
    assert!(open.troubles().iter().all(|trouble| !matches!(trouble, Trouble::SelfCrossing { .. })));
    let bow = done(&Chain::default(), &[line(0.0, 0.0), line(4.0, 4.0), line(4.0, 0.0), line(0.0, 4.0)]);
    let crossing = bow.troubles();
    let crossing: Vec<_> = crossing.iter().filter(|t| matches!(t, Trouble::SelfCrossing { .. })).collect();
    assert_eq!(crossing.len(), 1);
    same(crossing[0].at().expect("placed"), pt(2.0, 2.0));
    assert_eq!(Chain::default().finished(), Err(Refused::Flat));
}

#[test]
fn every_step_is_taken_back_and_done_again() {
    let mut sketch = Sketch::new(rectangle());
    let edits = [
        Edit::Fillet { vertex: 1, radius: 0.5 },
        Edit::MoveSpan { span: 0, by: pt(0.0, -1.0) },
        Edit::Delete(0),
        Edit::Clear,
        line(1.0, 1.0),
    ];
    let mut states = vec![sketch.chain().clone()];
    for edit in &edits {
        sketch.apply(edit).expect("done");
        states.push(sketch.chain().clone());
    }
    assert_eq!(sketch.undo_words(), Some("add a vertex"));
    for state in states.iter().rev().skip(1) {
        assert!(sketch.undo());
        assert_eq!(sketch.chain(), state);
    }
    assert!(!sketch.undo() && !sketch.is_changed());
    assert_eq!(sketch.redo_words(), Some("round a corner"));
    for state in states.iter().skip(1) {
        assert!(sketch.redo());
        assert_eq!(sketch.chain(), state);
    }
    sketch.undo();
    assert!(sketch.apply(&Edit::Delete(7)).is_err());
    assert!(sketch.redo(), "what is refused changes nothing");
    sketch.undo();
    sketch.apply(&line(2.0, 2.0)).expect("done");
    assert!(!sketch.redo(), "another way was taken");
}

#[test]
fn what_lies_under_the_pointer_is_a_vertex_first() {
    let chain = rectangle();
    assert_eq!(hit(&chain, pt(0.1, 0.05), 0.2), Some(Hit::Vertex(0)));
    assert_eq!(hit(&chain, pt(1.0, 0.1), 0.2), Some(Hit::Span { span: 0, part: 0.25 }));
    assert_eq!(hit(&chain, pt(-0.1, 1.5), 0.2), Some(Hit::Span { span: 3, part: 0.5 }));
    assert_eq!(hit(&chain, pt(2.0, 1.5), 0.2), None);
    assert_eq!(hit(&Chain::default(), pt(0.0, 0.0), 9.0), None);
}

const ALL: Snapping =
    Snapping { ends: true, middles: true, centres: true, square: true, other: true, grid: Some(0.5) };

/// An edge round the rectangle, with a round corner about (4, 3).
fn edge() -> Path {
    let corners = [
        (pt(-1.0, -1.0), 0.0),
        (pt(5.0, -1.0), 0.0),
        (pt(5.0, 3.0), QUARTER),
        (pt(4.0, 4.0), 0.0),
        (pt(-1.0, 4.0), 0.0),
    ];
    Path::closed(&corners).expect("an edge")
}

/// Each case: pointer, where it ends up, by what. The order is ends, middles and centres, square, other path, axes,
/// grid.
#[test]
fn the_pointer_catches_in_order() {
    let chain = done(&Chain::default(), &[line(0.0, 0.0), line(4.03, 0.0), line(4.03, 2.17)]);
    let edge = edge();
    let guides = [pt(4.03, 2.17), pt(0.0, 0.0)];
    let around = Around {
        chain: &chain,
        other: Some(&edge),
        from: chain.end(),
        moved: None,
        guides: &guides,
        reach: 0.1,
    };
    for (pointer, at, mark) in [
        ((0.05, 0.05), (0.0, 0.0), Mark::End),
        ((5.05, -0.95), (5.0, -1.0), Mark::End),
        ((2.03, 0.02), (2.015, 0.0), Mark::Middle),
        ((4.0, 2.95), (4.0, 3.0), Mark::Centre),
        ((5.04, 2.2), (5.0, 2.17), Mark::Square),
        ((4.97, 0.7), (5.0, 0.7), Mark::Other),
        ((0.04, 2.2), (0.0, 2.17), Mark::Corner),
        ((2.2, 2.2), (2.2, 2.17), Mark::Level),
        ((2.45, 2.2), (2.5, 2.17), Mark::Level),
        ((0.05, 1.45), (0.0, 1.5), Mark::Upright),
        ((1.52, 1.47), (1.5, 1.5), Mark::Grid),
        ((1.3, 1.25), (1.3, 1.25), Mark::Free),
    ] {
        let snapped = snap(pt(pointer.0, pointer.1), &ALL, &around);
        assert_eq!(snapped.mark, mark, "at {pointer:?}: {snapped:?}");
        same(snapped.at, pt(at.0, at.1));
    }
    let none =
        Snapping { ends: false, middles: false, centres: false, square: false, other: false, grid: None };
    assert_eq!(snap(pt(0.01, 0.01), &none, &around).mark, Mark::Free);
    // A vertex being moved catches neither on itself nor on its spans.
    let around = Around { moved: Some(0), from: None, other: None, guides: &[], ..around };
    let only = Snapping { grid: None, ..ALL };
    assert_eq!(snap(pt(0.01, 0.01), &only, &around).mark, Mark::Free);
    assert_eq!(snap(pt(2.015, 0.01), &only, &around).mark, Mark::Free);
}

/// What the job file states comes back as drawn.
#[test]
fn a_path_becomes_a_chain_again() {
    let chain = Chain::of_path(&edge());
    assert!(chain.is_closed());
    assert_abs_diff_eq!(area(&chain), edge().area(), epsilon = 1e-12);
    assert_abs_diff_eq!(chain.vertices()[2].bulge, QUARTER, epsilon = 1e-12);
    let turned = chain.placed(pt(1.0, 2.0), FRAC_PI_2);
    same(turned.vertices()[1].at, pt(2.0, 7.0));
}
