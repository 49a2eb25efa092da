//! The best fit of the outline on the blank: known optima, plain searches, limits; and corners too tight for a tool.

#![expect(clippy::expect_used, clippy::panic, reason = "the helpers of a test may fail it")]

use std::f64::consts::{PI, TAU};

use blockwright_core::demo;
use blockwright_core::fit::{
    Fit, Handling, Limits, Reach, best, build_up, fitting, instruction, margin_at, reach, taken_over,
    tightest_inner,
};
use blockwright_core::geometry::{Path, Point, pt};
use blockwright_core::job::{self, Job, PathSource};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;

/// Known optima must be met to this (in).
const MET: f64 = 0.0005;

/// A fixed-seed generator, so that a failure comes again.
struct Random(u64);
impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }
}

fn polygon(corners: &[(f64, f64)]) -> Path {
    let corners: Vec<(Point, f64)> = corners.iter().map(|(x, y)| (pt(*x, *y), 0.0)).collect();
    Path::closed(&corners).expect("a polygon")
}

fn rectangle(w: f64, h: f64) -> Path {
    polygon(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
}

fn circle(centre: Point, radius: f64) -> Path {
    let side = pt(radius, 0.0);
    Path::closed(&[(centre - side, 1.0), (centre + side, 1.0)]).expect("a circle")
}

/// A rectangle with rounded corners.
fn rounded(w: f64, h: f64, r: f64) -> Path {
    let b = (PI / 8.0).tan();
    let corners = [
        (pt(r, 0.0), 0.0),
        (pt(w - r, 0.0), b),
        (pt(w, r), 0.0),
        (pt(w, h - r), b),
        (pt(w - r, h), 0.0),
        (pt(r, h), b),
        (pt(0.0, h - r), 0.0),
        (pt(0.0, r), b),
    ];
    Path::closed(&corners).expect("a rounded rectangle")
}

fn fit(outline: &Path, edge: &Path, limits: &Limits) -> Fit {
    let cancel = Cancel::new();
    let fit = best(outline, edge, limits, Units::Inch, Task::quiet(&cancel)).expect("not cancelled");
    let there = margin_at(&fit.moved(outline), edge, Units::Inch);
    assert!((there - fit.least_margin).abs() < 2e-5, "moved it has {there}, told {}", fit.least_margin);
    assert!(fit.bound >= fit.least_margin && fit.present <= fit.bound + 1e-9, "{fit:?}");
    fit
}

/// Optima by formula. The rectangles and their turned extents, and the Chebyshev centre of Boyd and Vandenberghe,
/// *Convex Optimization*, 4.3.1, whose numbers are published; the rest derived.
#[test]
fn known_optima_are_met_and_proven() {
    let ten = 10.0_f64.to_radians();
    let tilted = rectangle(6.0, 4.0).placed(pt(1.0, -2.0), ten);
    let chebyshev = polygon(&[(0.5, 0.0), (0.2, 0.6), (-1.0, 0.0), (0.2, -0.6)]);
    let corner = polygon(&[(0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.5, 2.0), (2.5, 6.0), (0.0, 6.0)]);
    let upright = Limits { turn: 0.0, ..Limits::default() };
    let any = Limits::default();
    let extent = |w: f64, h: f64, by: f64| (w * by.cos() + h * by.sin(), w * by.sin() + h * by.cos());
    let (wide, high) = extent(5.0, 3.0, ten);
    for (name, outline, edge, limits, margin) in [
        ("5x3 in 6x4", rectangle(5.0, 3.0), rectangle(6.0, 4.0), any, 0.5),
        ("5x3 in 6x4 turned", rectangle(5.0, 3.0), tilted.clone(), any, 0.5),
        (
            "upright",
            rectangle(5.0, 3.0).placed(pt(0.0, 0.0), ten),
            rectangle(6.0, 4.0),
            upright,
            ((6.0 - wide) / 2.0).min((4.0 - high) / 2.0),
        ),
        ("long slot, free to slide", rectangle(5.0, 3.0), rectangle(9.0, 4.0), any, 0.5),
        ("Chebyshev centre", circle(pt(3.0, 3.0), 0.1), chebyshev, any, 1.0 / 5.0_f64.sqrt() - 0.1),
        ("round in square", circle(pt(0.0, 0.0), 1.0), rectangle(3.0, 3.0), any, 0.5),
        ("round in round", circle(pt(2.0, 0.0), 1.0), circle(pt(0.0, 0.0), 1.75), any, 0.75),
        ("short in height", rectangle(5.0, 3.0), rectangle(6.0, 2.8), any, -0.1),
        ("short both ways", rectangle(5.0, 3.0), rectangle(4.9, 2.8), any, -0.1),
        ("rounded, short", rounded(5.0, 3.0, 0.5), rectangle(6.0, 2.9), any, -0.05),
        ("inner corner", rectangle(5.5, 1.5), corner, upright, 0.25),
    ] {
        let fit = fit(&outline, &edge, &limits);
        assert!((fit.least_margin - margin).abs() <= MET, "{name}: {fit:?}, should be {margin}");
        assert!(fit.is_proven(Units::Inch), "{name}: gap {} of {fit:?}", fit.gap());
        assert!(!fit.binding.is_empty(), "{name}");
    }
    let turned = fit(&rectangle(5.0, 3.0), &tilted, &any);
    assert!((turned.turn - 10.0).abs() < 0.05, "{turned:?}");
}

/// A sawn blank: points round an ellipse, each off by a little.
fn sawn(random: &mut Random, count: usize, rough: f64) -> Path {
    let corners: Vec<(f64, f64)> = (0..count)
        .map(|index| {
            let angle = TAU * index as f64 / count as f64;
            let (x, y) = (2.9 * angle.cos(), 2.1 * angle.sin());
            (x + random.between(-rough, rough), y + random.between(-rough, rough))
        })
        .collect();
    polygon(&corners)
}

/// The margin by its definition, from the exact distance between paths, for outlines inside the edge.
fn plain_margin(outline: &Path, edge: &Path) -> f64 {
    let inside = |p: Point| {
        blockwright_core::geometry::Ray { origin: p, along: pt(1.0, 0.0) }
            .inside(edge)
            .iter()
            .any(|(from, to)| *from <= 0.0 && *to > 0.0)
    };
    let places = outline.points(1e-4);
    if !places.iter().all(|p| inside(*p)) {
        return f64::NEG_INFINITY;
    }
    let corners = edge.vertices().iter().map(|v| outline.distance(*v));
    places.iter().map(|p| edge.distance(*p)).chain(corners).fold(f64::INFINITY, f64::min)
}

/// Random blanks, concave here and there, against a search that tries random moves and climbs from the best.
#[test]
fn no_plain_search_finds_a_better_fit() {
    for seed in 1..=6 {
        let mut random = Random(seed);
        let edge = sawn(&mut random, 9 + 7 * seed as usize, 0.02 * seed as f64);
        let outline = rounded(3.2, 2.1, 0.4).placed(pt(-1.3, -1.2), random.between(-0.3, 0.3));
        let found = fit(&outline, &edge, &Limits { turn: 30.0, ..Limits::default() });
        let moved =
            |lie: [f64; 3]| Fit { dx: lie[0], dy: lie[1], turn: lie[2], ..found.clone() }.moved(&outline);
        let mut top = (f64::NEG_INFINITY, [0.0; 3]);
        let mut step = [0.6, 0.6, 30.0];
        for round in 0..2500 {
            let from = if round < 400 { [0.0; 3] } else { top.1 };
            let lie = [0, 1, 2].map(|axis| from[axis] + random.between(-step[axis], step[axis]));
            let margin =
                if lie[2].abs() > 30.0 { f64::NEG_INFINITY } else { plain_margin(&moved(lie), &edge) };
            if margin > top.0 {
                top = (margin, lie);
            }
            if round >= 400 {
                step = step.map(|s| s * 0.997);
            }
        }
        assert!(top.0 > 0.1, "seed {seed}: the plain search found {top:?}");
        assert!(found.least_margin >= top.0 - 2e-4, "seed {seed}: {found:?}, plain {top:?}");
        assert!(found.bound >= top.0 - 2e-5, "seed {seed}: {found:?}, plain {top:?}");
        assert!(found.gap() <= 0.002, "seed {seed}: gap {}", found.gap());
    }
}

#[test]
fn limits_are_kept() {
    let outline = rectangle(5.0, 3.0).placed(pt(1.2, 0.9), 0.05);
    let edge = rectangle(6.0, 4.0);
    let free = Limits::default();
    for limits in [
        Limits { turn: 0.0, ..free },
        Limits { x: false, ..free },
        Limits { y: false, turn: 0.0, ..free },
        Limits { shift: Some(0.3), ..free },
        Limits { turn: 1.0, shift: Some(0.7), ..free },
        Limits { x: false, y: false, turn: 0.0, shift: None },
    ] {
        let found = fit(&outline, &edge, &limits);
        assert!(found.turn.abs() <= limits.turn + 1e-9, "{limits:?}: {found:?}");
        assert!(limits.x || found.dx == 0.0, "{limits:?}: {found:?}");
        assert!(limits.y || found.dy == 0.0, "{limits:?}: {found:?}");
        assert!(found.dx.hypot(found.dy) <= limits.shift.unwrap_or(9.0) + 1e-9, "{limits:?}: {found:?}");
        assert!(found.least_margin >= found.present - 1e-9, "{limits:?}: {found:?}");
    }
    // 6 less the turned extent, shared out: only X may move, so Y keeps what it has.
    let still = fit(&outline, &edge, &Limits { x: false, y: false, turn: 0.0, shift: None });
    assert!((still.least_margin - still.present).abs() < 1e-9);
    let only_x = fit(&outline, &edge, &Limits { y: false, turn: 0.0, ..free });
    assert!(only_x.least_margin > still.least_margin && only_x.least_margin < 0.5);
}

#[test]
fn the_search_can_be_stopped() {
    let cancel = Cancel::new();
    cancel.raise();
    let stopped = best(
        &rectangle(5.0, 3.0),
        &rectangle(6.0, 4.0),
        &Limits::default(),
        Units::Inch,
        Task::quiet(&cancel),
    );
    assert!(stopped.is_err());
}

/// A job of a rounded outline on a blank that lies askew.
fn askew(at: &str) -> Job {
    let text = format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "tools": [], "passes": [],
            "outline": {{ "vertices": [[0.5, 0], [4.5, 0, 0.414213562373], [5, 0.5], [5, 3], [0, 3], [0, 0.5, 0.4142135]] }},
            "blank": {{ "edge": {{ "vertices": [[0, 0], [6, 0.1], [6.1, 3.9], [0.1, 4]] }},
                        "top": 0, "thickness": 1{at} }} }}"#
    );
    job::read(text.as_bytes()).expect("a job")
}

fn placed_paths(job: &Job) -> (Path, Path) {
    let path = |source: &PathSource| {
        let PathSource::Vertices(vertices) = source else { panic!("typed vertices") };
        let vertices: Vec<(Point, f64)> = vertices.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
        Path::closed(&vertices).expect("closed")
    };
    let blank = job.blank.as_ref().expect("a blank");
    let [x, y, turn] = blank.at.unwrap_or_default();
    let outline = path(job.outline.as_ref().expect("an outline"));
    (outline, path(&blank.edge).placed(pt(x, y), turn.to_radians()))
}

/// Moving the blank instead gives the same lie of one on the other, and changes nothing else in the job.
#[test]
fn taking_a_fit_over_moves_the_blank_alone() {
    for at in ["", r#", "at": [-0.3, -0.6, 2.5]"#, r#", "at": [0.2, 0.1, -1]"#] {
        let job = askew(at);
        let (outline, edge) = placed_paths(&job);
        let found = fit(&outline, &edge, &Limits::default());
        let taken = taken_over(&job, &found);
        let (same, moved) = placed_paths(&taken);
        assert_eq!(same, outline);
        let margin = margin_at(&outline, &moved, Units::Inch);
        assert!((margin - found.least_margin).abs() < 1e-9, "{margin} {found:?}");
        assert!(margin_at(&outline, &found.edge_moved(&edge), Units::Inch) > margin - 1e-9);
        let read_back = job::read(job::write(&taken).as_bytes()).expect("a job");
        let mut blank = taken.blank.clone().expect("a blank");
        assert_eq!(read_back.blank.as_ref(), Some(&blank));
        blank.at = job.blank.as_ref().and_then(|blank| blank.at);
        assert_eq!(Job { blank: Some(blank), ..taken }, job, "only where the blank lies has changed");
    }
}

/// Where the edge comes from makes no difference.
#[test]
fn a_fit_is_taken_over_whatever_the_edge_is_made_from() {
    let (outline, edge) = placed_paths(&askew(""));
    let found = fit(&outline, &edge, &Limits::default());
    let mut job = askew("");
    let drawn = PathSource::File { file: "edge.dxf".to_owned(), layer: None, units: None };
    job.blank.as_mut().expect("a blank").edge = drawn.clone();
    let taken = taken_over(&job, &found).blank.expect("a blank");
    assert_eq!((taken.edge, taken.at), (drawn, Some(found.blank_at(None))));
    job.blank = None;
    assert_eq!(taken_over(&job, &found), job);
}

/// The work zero moved on the blank as it lies and the blank then turned about it: seen from the new zero the blank
/// must lie to the outline as the fit says.
#[test]
fn what_the_operator_does_gives_the_fit() {
    for (at, zero) in [("", pt(0.0, 0.0)), (r#", "at": [-0.3, -0.6, 2.5]"#, pt(1.5, -0.75))] {
        let (outline, edge) = placed_paths(&askew(at));
        let found = fit(&outline, &edge, &Limits::default());
        let handling = Handling::of(&found, zero);
        let new_zero = zero + handling.zero;
        let about_it = edge.placed(pt(0.0, 0.0) - new_zero, 0.0).placed(zero, handling.turn.to_radians());
        let margin = margin_at(&outline, &about_it, Units::Inch);
        assert!((margin - found.least_margin).abs() < 1e-9, "{margin} {found:?}");
    }
}

#[test]
fn instructions_are_what_an_operator_does() {
    for (x, y, turn, words) in [
        (0.0, 0.0, 0.0, "leave the work zero where it is"),
        (0.25, -0.0312, 0.0, "move the work zero by X .2500 in, Y -.0312 in"),
        (0.0, 0.0, -1.5, "rotate the blank 1.500° clockwise seen from above, about the work zero"),
        (
            0.1,
            0.0,
            0.25,
            "move the work zero by X .1000 in, Y .0000 in, then rotate the blank 0.250° counter-clockwise seen from \
             above, about the new work zero",
        ),
    ] {
        assert_eq!(Handling { zero: pt(x, y), turn }.words(Units::Inch), words);
    }
}

fn moved_by(dx: f64, dy: f64, turn: f64) -> Fit {
    let (present, least_margin) = if (dx, dy, turn) == (0.0, 0.0, 0.0) { (0.05, 0.05) } else { (0.0, 0.05) };
    let centroid = pt(2.0, 1.0);
    Fit { dx, dy, turn, centroid, least_margin, bound: least_margin, present, binding: Vec::new() }
}

/// Derived: a quarter turn about (2, 1) takes the origin to (3, -1). A shift is the same for every zero.
#[test]
fn a_work_zero_goes_round_the_centroid_with_the_outline() {
    let by = Handling::of(&moved_by(0.5, 0.25, 90.0), pt(0.0, 0.0));
    assert!(by.zero.distance(pt(3.5, -0.75)) < 1e-12 && (by.turn + 90.0).abs() < 1e-12, "{by:?}");
    for zero in [pt(0.0, 0.0), pt(7.0, -3.0)] {
        assert!(Handling::of(&moved_by(0.5, 0.25, 0.0), zero).zero.distance(pt(0.5, 0.25)) < 1e-12);
    }
}

/// The blank turned once, about the new zero of one pass, and the zero of another moved by as much as that one.
#[test]
fn another_zero_moves_by_as_much_as_the_one_that_is_turned_about() {
    let (outline, edge) = placed_paths(&askew(""));
    let found = fit(&outline, &edge, &Limits::default());
    let (first, other) = (pt(0.0, 0.0), pt(1.5, -0.75));
    let by = Handling::of(&found, first);
    let new = first + by.zero;
    let turned = edge.placed(pt(0.0, 0.0) - new, 0.0).placed(new, by.turn.to_radians());
    let program = outline.placed(pt(0.0, 0.0) - other, 0.0);
    let margin = margin_at(&program.placed(other + by.zero, 0.0), &turned, Units::Inch);
    assert!((margin - found.least_margin).abs() < 1e-9, "{margin} {found:?}");
}

/// Which zero the blank is turned about is said where passes start from different ones, and not otherwise.
#[test]
fn an_instruction_names_the_passes_where_their_zeros_differ() {
    let mut job = job::read(demo::file(demo::JOB).expect("embedded")).expect("readable");
    let (none, shift, turn) =
        (moved_by(0.0, 0.0, 0.0), moved_by(0.0123, -0.0045, 0.0), moved_by(0.0, 0.0, 0.5));
    assert_eq!(instruction(&job, &none, job.units), "leave the work zero where it is");
    assert_eq!(instruction(&job, &shift, job.units), "move the work zero by X .0123 in, Y -.0045 in");
    assert!(
        instruction(&job, &turn, job.units)
            .ends_with("0.500° clockwise seen from above, about the new work zero")
    );
    job.passes.truncate(3);
    job.passes[1].zero.origin = [1.0, 0.0, 0.0];
    assert_eq!(instruction(&job, &none, job.units), "leave the work zero where it is");
    assert_eq!(instruction(&job, &shift, job.units), "move every work zero by X .0123 in, Y -.0045 in");
    let told = instruction(&job, &turn, job.units);
    assert!(told.starts_with("move every work zero by X "), "{told}");
    assert!(told.ends_with(", about the new work zero of passes 1, 3"), "{told}");
    job.passes[2].zero.origin = [0.0, 1.0, 0.0];
    assert!(
        instruction(&job, &turn, job.units).ends_with(" new work zero of pass 1"),
        "{}",
        instruction(&job, &turn, job.units)
    );
}

/// 5 x 3 on 6 x 2.8, in the middle: both long sides short by 0.1, and by 0.35 of an allowance of 0.25.
#[test]
fn build_up_says_where_and_how_much() {
    let outline = rectangle(5.0, 3.0);
    let edge = rectangle(6.0, 2.8).placed(pt(-0.5, 0.1), 0.0);
    let cancel = Cancel::new();
    for (allowance, most) in [(0.0, 0.1), (0.25, 0.35)] {
        let short =
            build_up(&outline, &edge, allowance, Units::Inch, Task::quiet(&cancel)).expect("not cancelled");
        let worst = short.iter().map(|short| short.most).fold(0.0, f64::max);
        assert!((worst - most).abs() < 1e-6, "{short:?}");
        let length: f64 = short.iter().map(|short| short.length).sum();
        assert!((length - 10.0).abs() < 0.5, "{short:?}");
    }
}

/// A corner sawn off where the outline begins: what is short on both of its sides is one stretch, over the first vertex.
/// The sawn side runs through X .8 and Y .8, so it is .8 / sqrt 2 away from the corner.
#[test]
fn a_stretch_over_the_first_vertex_is_one() {
    let outline = rectangle(5.0, 3.0);
    let edge = polygon(&[(1.0, -0.2), (5.2, -0.2), (5.2, 3.2), (-0.2, 3.2), (-0.2, 1.0)]);
    let cancel = Cancel::new();
    let short = build_up(&outline, &edge, 0.0, Units::Inch, Task::quiet(&cancel)).expect("not cancelled");
    let [one] = short[..] else { unreachable!("one stretch: {short:?}") };
    assert!((one.from - 15.2).abs() < 1e-3 && (one.to - 0.8).abs() < 1e-3, "{one:?}");
    assert!((one.length - 1.6).abs() < 2e-3, "{one:?}");
    assert!((one.most - 0.8 / 2.0_f64.sqrt()).abs() < 1e-6 && one.at.length() < 1e-9, "{one:?}");
}

/// The same blank off by 0.3: it lies short, and cleans up once it is moved; nothing is measured that need not be.
#[test]
fn before_and_after_a_fit() {
    let cancel = Cancel::new();
    let outline = rectangle(5.0, 3.0);
    let of = |edge: &Path, wanted: f64| {
        fitting(&outline, edge, &Limits::default(), wanted, Units::Inch, Task::quiet(&cancel)).expect("found")
    };
    let off = of(&rectangle(6.0, 4.0).placed(pt(0.3, -0.5), 0.0), 0.0);
    assert!(off.cleans_up() && off.least_build_up() == 0.0, "{off:?}");
    // The left side is off the blank, and 0.3 round both of its corners: one stretch, on past the first vertex.
    let [stretch] = off.before[..] else { unreachable!("one stretch: {:?}", off.before) };
    assert!((stretch.most - 0.3).abs() < 1e-6 && (stretch.length - 3.6).abs() < 0.01, "{stretch:?}");
    assert!((stretch.from - 12.7).abs() < 0.01 && (stretch.to - 0.3).abs() < 0.01, "{stretch:?}");
    assert!(stretch.at.x.abs() < 1e-9 && stretch.most_at >= stretch.from, "{stretch:?}");
    // Half an inch all round at best; 0.6 is wanted.
    let greedy = of(&rectangle(6.0, 4.0).placed(pt(0.3, -0.5), 0.0), 0.6);
    assert!((greedy.least_build_up() - 0.1).abs() < 2e-4, "{greedy:?}");
    let good = of(&rectangle(6.0, 4.0).placed(pt(-0.5, -0.5), 0.0), 0.0);
    assert!(good.before.is_empty() && !good.fit.gains(Units::Inch), "{good:?}");
}

/// What a tool that rolls round an outline cannot reach.
fn reached(outline: &Path, radius: f64) -> Vec<Reach> {
    reach(outline, radius, Units::Inch, &Cancel::new()).expect("nobody stops it").expect("reach")
}

/// A right-angled inner corner leaves r (sqrt 2 - 1) at its point and is touched again r from it; a round of radius
/// s < r between two sides leaves (r - s)(sqrt 2 - 1) (derived).
#[test]
fn inner_corners_tighter_than_the_tool_are_told() {
    let sharp = polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0)]);
    let eased = |s: f64| {
        let bulge = -(PI / 8.0).tan();
        Path::closed(&[
            (pt(0.0, 0.0), 0.0),
            (pt(4.0, 0.0), 0.0),
            (pt(4.0, 2.0), 0.0),
            (pt(2.0 + s, 2.0), bulge),
            (pt(2.0, 2.0 + s), 0.0),
            (pt(2.0, 4.0), 0.0),
            (pt(0.0, 4.0), 0.0),
        ])
        .expect("an angle")
    };
    let root = 2.0_f64.sqrt() - 1.0;
    let found = reached(&sharp, 0.25);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0].most - 0.25 * root).abs() < 1e-6, "{found:?}");
    // Next to where the tool touches again it leaves only x squared / 2 r: the ends are told a little short.
    assert!((found[0].from - 7.75).abs() < 0.02 && (found[0].to - 8.25).abs() < 0.02, "{found:?}");
    let found = reached(&eased(0.1), 0.25);
    assert!((found[0].most - 0.15 * root).abs() < 1e-5, "{found:?}");
    // Just inside and just outside the border.
    assert!(reached(&eased(0.25), 0.25).is_empty());
    assert!(reached(&eased(0.251), 0.25).is_empty());
    let found = reached(&eased(0.249), 0.25);
    assert!((found[0].most - 0.001 * root).abs() < 2e-5, "{found:?}");
    assert!(reached(&eased(0.3), 0.25).is_empty());
    assert!(reached(&rounded(4.0, 3.0, 0.5), 0.5).is_empty());
    let tightest = |path: &Path| tightest_inner(path).map(|inner| (inner.radius, inner.station));
    assert_eq!(tightest(&sharp), Some((0.0, 8.0)));
    assert_eq!(tightest(&rounded(4.0, 3.0, 0.5)), None);
    let (radius, station) = tightest(&eased(0.3)).expect("an inner corner");
    assert!((radius - 0.3).abs() < 1e-9 && (station - (7.7 + 0.3 * PI / 4.0)).abs() < 1e-9);
}

#[test]
fn a_raised_flag_stops_the_rolling_round() {
    let (cancel, l) =
        (Cancel::new(), [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (2.0, 3.0), (2.0, 1.0), (0.0, 1.0)]);
    let outline = Path::closed(&l.map(|(x, y)| (pt(x, y), 0.0))).expect("an L");
    cancel.raise();
    assert!(reach(&outline, 0.25, Units::Inch, &cancel).is_err());
}
