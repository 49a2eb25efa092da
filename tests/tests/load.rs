//! The load along the path, for cutters of every form, against closed forms, the published arc of contact, a slow plain
//! measure of the front, and the heightfield's volumes.
//!
//! Sources: references 3.1 (engagement; published) and 4 (sections of slots; derived). A cut's area is that of the
//! overlap of two plane figures; each is named where it is used and is elementary geometry, derived.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::f64::consts::PI;
use std::fmt::Write as _;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use blockwright_core::block::{Removal, blank_field};
use blockwright_core::cutting::engagement_angle;
use blockwright_core::geometry::{Path, Point, pt};
use blockwright_core::measure::load::{Edge, Load};
use blockwright_core::measure::{AlongLoad, LoadRow, Sweep};
use blockwright_core::program::Motion;
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tolerance::Tolerances;
use blockwright_core::tool::Form;
use blockwright_core::track::Track;
use blockwright_core::units::Units;
use blockwright_tests::motions::{FEED, arc, line, track};
use blockwright_tests::{Random, prove};

const THICKNESS: f64 = 1.0;
/// A blank with its upper face at 0.
fn plate(low: Point, high: Point) -> Path {
    let corners = [(low, 0.0), (pt(high.x, low.y), 0.0), (high, 0.0), (pt(low.x, high.y), 0.0)];
    Path::closed(&corners).expect("a rectangle")
}

/// A pass: its motions and its cutter.
type Pass<'a> = (&'a [Motion], &'a Form);

fn with_load<T>(edge: &Path, passes: &[Pass<'_>], ask: impl FnOnce(&Load<'_>) -> T) -> T {
    let tracks: Vec<Track> = passes.iter().map(|(motions, _)| track(motions)).collect();
    let sweeps: Vec<Sweep> =
        tracks.iter().zip(passes).map(|(track, pass)| Sweep::new(track, pass.1)).collect();
    let (own, earlier) = sweeps.split_last().expect("a pass");
    let indexed = Edge::new(edge);
    ask(&Load {
        track: tracks.last().expect("a pass"),
        own,
        earlier: earlier.iter().collect(),
        edge: &indexed,
        bottom: -THICKNESS,
        top: 0.0,
        units: Units::Inch,
        tolerances: Tolerances::for_units(Units::Inch),
    })
}

/// The load along the last of the passes.
fn along(edge: &Path, passes: &[Pass<'_>]) -> AlongLoad {
    let cancel = Cancel::new();
    with_load(edge, passes, |load| load.along(Task::quiet(&cancel))).expect("nobody cancels")
}

/// The load halfway along the first motion of the last of the passes.
fn halfway(edge: &Path, passes: &[Pass<'_>]) -> LoadRow {
    with_load(edge, passes, |load| load.at(0, load.track.placed()[0].length / 2.0)).expect("a motion")
}

/// A block from 0 to 4 by 0 to 2, and a straight way along its near side with the axis at `y`.
fn block() -> Path {
    plate(pt(0.0, 0.0), pt(4.0, 2.0))
}

fn way(y: f64, z: f64) -> [Motion; 1] {
    [line([0.5, y, z], [3.5, y, z])]
}

#[test]
fn a_flat_cutter_along_a_straight_side_has_its_width_exactly() {
    let form = Form::Flat { diameter: 0.5 };
    for (width, depth) in [(0.0005, 0.3), (0.01, 1.0), (0.047, 0.5), (0.25, 0.125), (0.4, 0.02), (0.5, 0.4)] {
        let row = halfway(&block(), &[(&way(width - 0.25, -depth), &form)]);
        assert_abs_diff_eq!(row.width, width, epsilon = 1e-7);
        assert_abs_diff_eq!(row.depth, depth, epsilon = 1e-7);
        assert_relative_eq!(row.area, width * depth, max_relative = 1e-3);
        assert_relative_eq!(row.rate.expect("a feed"), row.area * FEED);
        let published = engagement_angle(width, 0.5).expect("within the cutter");
        assert_abs_diff_eq!(row.engagement, published, epsilon = 0.05);
    }
}

/// Table of references 3.1, derived from acos(1 - 2 ae / D) (El-Hofy p. 174; published).
#[test]
fn the_arc_of_contact_is_the_published_one() {
    for (part, degrees) in [
        (0.05, 25.8419),
        (0.10, 36.8699),
        (0.15, 45.5730),
        (0.20, 53.1301),
        (0.25, 60.0),
        (0.30, 66.4218),
        (0.40, 78.4630),
        (0.50, 90.0),
    ] {
        let row = halfway(&block(), &[(&way(0.75 * part - 0.375, -0.2), &Form::Flat { diameter: 0.75 })]);
        assert_abs_diff_eq!(row.engagement, degrees, epsilon = 1e-3);
    }
    let slot = halfway(&block(), &[(&way(1.0, -0.2), &Form::Flat { diameter: 0.75 })]);
    assert_abs_diff_eq!(slot.engagement, 180.0, epsilon = 1e-6);
}

/// The strip that the pass before left, and a face wider than the cutter and narrower.
#[test]
fn what_earlier_passes_left_and_faces_are_met_as_they_are() {
    let rough = Form::Flat { diameter: 0.5 };
    let finish = Form::Flat { diameter: 0.375 };
    let before = way(-0.20, -0.6);
    let row = halfway(&block(), &[(&before, &rough), (&way(-0.1075, -0.6), &finish)]);
    assert_abs_diff_eq!(row.width, 0.03, epsilon = 1e-9);
    // Deeper than the pass before: the full width under its floor.
    let deeper = halfway(&block(), &[(&before, &rough), (&way(-0.1075, -0.9), &finish)]);
    assert_abs_diff_eq!(deeper.width, 0.08, epsilon = 1e-9);
    assert_relative_eq!(deeper.area, 0.03 * 0.6 + 0.08 * 0.3, max_relative = 1e-6);
    assert_abs_diff_eq!(deeper.depth, 0.9, epsilon = 1e-9);
    let strip = plate(pt(0.0, 0.8), pt(4.0, 1.2));
    let face = halfway(&strip, &[(&way(1.0, -0.01), &Form::Flat { diameter: 2.0 })]);
    assert_abs_diff_eq!(face.width, 0.4, epsilon = 1e-9);
    assert_relative_eq!(face.area, 0.004, max_relative = 1e-6);
    // The arc of a strip in the middle of the cutter: 2 asin(w / D), from the triangle.
    assert_abs_diff_eq!(face.engagement, 2.0 * 0.2_f64.asin().to_degrees(), epsilon = 1e-6);
    // A second time over the same path takes nothing.
    let again = halfway(&block(), &[(&before, &rough), (&before, &rough)]);
    assert_abs_diff_eq!(again.area, 0.0, epsilon = 1e-9);
}

/// Area of a segment of a circle of radius r and height h.
fn segment(r: f64, h: f64) -> f64 {
    r * r * ((r - h) / r).acos() - (r - h) * (2.0 * r * h - h * h).sqrt()
}

#[test]
fn a_slot_of_every_form_has_the_area_of_its_section() {
    let tan = |degrees: f64| degrees.to_radians().tan();
    let cases = [
        ("flat", Form::Flat { diameter: 0.5 }, 0.3, 0.15),
        // References 4: segment area 0.02795595, and half the circle.
        ("ball 0.1 deep", Form::Ball { diameter: 0.5 }, 0.1, 0.027_955_95),
        ("ball to its radius", Form::Ball { diameter: 0.5 }, 0.25, PI * 0.0625 / 2.0),
        // The flat between the corners, the two quarters, and the sides above.
        (
            "bull",
            Form::Bull { diameter: 0.5, corner_radius: 0.0625 },
            0.2,
            0.375 * 0.0625 + PI * 0.0625 * 0.0625 / 2.0 + 0.5 * 0.1375,
        ),
        // A trapezoid, and a neck above it.
        (
            "undercut",
            Form::Undercut { diameter: 0.6, angle: 25.0, height: 0.2 },
            0.3,
            (0.6 - 0.2 * tan(25.0)) * 0.2 + (0.6 - 0.4 * tan(25.0)) * 0.1,
        ),
        // The pilot, then the square less the quarter circle on either side.
        (
            "edge round",
            Form::EdgeRound { pilot_diameter: 0.3, radius: 0.125, pilot_length: 0.1 },
            0.225,
            0.3 * 0.225 + 2.0 * (0.015_625 - PI * 0.015_625 / 4.0),
        ),
        (
            "chamfer",
            Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.2 },
            0.15,
            0.1 * 0.15 + 0.15 * 0.15,
        ),
        ("drill", Form::Drill { diameter: 0.5, point_angle: 90.0 }, 0.3, 0.0625 + 0.5 * 0.05),
        (
            "silhouette, a lollipop of two discs",
            Form::Silhouette { points: vec![[0.3, 0.0], [0.3, 0.1], [0.1, 0.1], [0.1, 0.2], [0.2, 0.3]] },
            0.3,
            0.6 * 0.1 + 0.2 * 0.1 + 0.3 * 0.1,
        ),
    ];
    for (name, form, depth, area) in cases {
        let row = halfway(&block(), &[(&way(1.0, -depth), &form)]);
        println!("{name}: {} of {area}", row.area);
        assert_relative_eq!(row.area, area, max_relative = 0.005);
        assert_abs_diff_eq!(row.depth, depth, epsilon = 2e-4);
        assert_abs_diff_eq!(row.engagement, 180.0, epsilon = 1e-2);
    }
}

/// Cuts along a side, where a form takes less than its own section.
#[test]
fn a_side_cut_of_a_form_has_its_area_and_its_widest_width() {
    let undercut = Form::Undercut { diameter: 0.6, angle: 10.0, height: 0.5 };
    let tan = 10.0_f64.to_radians().tan();
    let cases = [
        // A tip 0.02 in from a wall cut before: the triangle of base d and height d / tan a.
        ("undercut", undercut, -0.28, -0.8, 0.02, 0.02 * 0.02 / tan / 2.0, 0.02 / tan),
        // A chamfer's cone over the edge: the triangle of sides h and h tan a.
        (
            "chamfer",
            Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.3 },
            -0.05,
            -0.08,
            0.08,
            0.0032,
            0.08,
        ),
        // A concave quarter flush with the edge: the square less the quarter circle.
        (
            "edge round",
            Form::EdgeRound { pilot_diameter: 0.3, radius: 0.125, pilot_length: 0.1 },
            -0.15,
            -0.225,
            0.125,
            0.015_625 - PI * 0.015_625 / 4.0,
            0.125,
        ),
        // A ball with its axis over the edge, to its radius: a quarter circle.
        ("ball", Form::Ball { diameter: 0.5 }, 0.0, -0.25, 0.25, PI * 0.0625 / 4.0, 0.25),
        // A ball farther out: half of a segment, its chord upright.
        ("ball aside", Form::Ball { diameter: 0.5 }, -0.2, -0.25, 0.05, segment(0.25, 0.05) / 2.0, 0.15),
        (
            "bull",
            Form::Bull { diameter: 0.5, corner_radius: 0.125 },
            -0.125,
            -0.3,
            0.125,
            PI * 0.015_625 / 4.0 + 0.125 * 0.175,
            0.3,
        ),
    ];
    for (name, form, y, z, width, area, depth) in cases {
        let row = halfway(&block(), &[(&way(y, z), &form)]);
        println!("{name}: width {} area {} of {area}, depth {}", row.width, row.area, row.depth);
        assert_abs_diff_eq!(row.width, width, epsilon = 1e-4);
        assert_relative_eq!(row.area, area, max_relative = 0.01);
        // A thinner cut than the least contact does not count for the depth: near a tangent that is far.
        assert_relative_eq!(row.depth, depth, max_relative = 0.04);
    }
}

/// The definition at one height, sample by sample: a place on the front counts when no place of the path so far, nor
/// of an earlier pass, lies within the radius, and the blank reaches there.
fn plain_width(
    edge: (Point, Point),
    path: &[Point],
    earlier: &[Point],
    at: (Point, Point),
    radius: f64,
) -> f64 {
    const STEPS: u32 = 1000;
    let (axis, heading) = at;
    let taken = |p: Point| {
        path.iter().chain(earlier).any(|centre| centre.distance(p) < radius - 1e-7)
            || p.x < edge.0.x
            || p.y < edge.0.y
            || p.x > edge.1.x
            || p.y > edge.1.y
    };
    let met = (0..STEPS).filter(|step| {
        let across = radius * (2.0 * (f64::from(*step) + 0.5) / f64::from(STEPS) - 1.0);
        let ahead = (radius * radius - across * across).sqrt();
        !taken(axis + heading * ahead + heading.left() * across)
    });
    met.count() as f64 * 2.0 * radius / f64::from(STEPS)
}

#[test]
fn random_corners_and_arcs_meet_what_a_plain_measure_meets() {
    let mut random = Random(29);
    let form = Form::Flat { diameter: 0.5 };
    let (low, high) = (pt(0.0, 0.0), pt(4.0, 2.0));
    for case in 0..12 {
        let mut at = || [random.between(-0.3, 4.3), random.between(-0.3, 2.3), -0.2];
        let (a, b, c, d) = (at(), at(), at(), at());
        let centre = pt(f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1]));
        let motions = [arc(a, b, centre, PI), line(b, c), line(c, d)];
        let earlier = [line(at(), at())];
        let points = |track: &Track, until: f64| -> Vec<Point> {
            let steps = (until / 0.002).max(0.0) as u32;
            (0..=steps)
                .filter_map(|step| track.at(f64::from(step) * until / f64::from(steps.max(1))))
                .map(|p| p.tip.plan())
                .collect()
        };
        let before = track(&earlier);
        let swept = points(&before, before.length());
        with_load(&plate(low, high), &[(&earlier, &form), (&motions, &form)], |load| {
            for part in [0.1, 0.35, 0.5, 0.62, 0.77, 0.9] {
                let distance = load.track.length() * part;
                let motion = load.track.index_at(distance);
                let row = load.at(motion, distance).expect("a row");
                let position = load.track.on(motion, distance).expect("a place");
                let path = points(load.track, distance - 1e-6);
                let plain =
                    plain_width((low, high), &path, &swept, (position.tip.plan(), position.heading), 0.25);
                assert!(
                    (row.width - plain).abs() < 0.008,
                    "case {case} at {part}: {} for {plain}",
                    row.width
                );
            }
        });
    }
}

/// Area of cut summed along the path: between rows by the trapezoid rule.
fn volume(load: &AlongLoad) -> f64 {
    let pairs = load.rows.windows(2).map(|pair| (&pair[0], &pair[1]));
    pairs
        .filter(|(a, b)| a.motion == b.motion)
        .map(|(a, b)| (b.distance - a.distance) * f64::midpoint(a.area, b.area))
        .sum()
}

/// The two are independent: areas from plane geometry, volumes from the heightfield.
#[test]
fn area_along_the_path_sums_up_to_the_volume_the_heightfield_loses() {
    let round = |z: f64| {
        vec![
            line([-0.5, 0.1, z], [3.6, 0.1, z]),
            arc([3.6, 0.1, z], [3.9, 0.4, z], pt(3.6, 0.4), PI / 2.0),
            line([3.9, 0.4, z], [3.9, 1.9, z]),
            line([3.9, 1.9, z], [1.0, 1.2, z]),
            line([1.0, 1.2, z], [2.5, 0.8, z]),
        ]
    };
    let down = vec![
        line([1.0, 1.0, 0.1], [1.0, 1.0, -0.2]),
        line([1.0, 1.0, -0.2], [2.0, 1.0, -0.4]),
        line([2.0, 1.0, -0.4], [1.0, 1.0, -0.4]),
    ];
    let cases: [(&str, Form, Vec<Motion>); 9] = [
        ("flat round", Form::Flat { diameter: 0.5 }, round(-0.3)),
        ("ball round", Form::Ball { diameter: 0.5 }, round(-0.3)),
        ("bull round", Form::Bull { diameter: 0.5, corner_radius: 0.1 }, round(-0.2)),
        ("undercut round", Form::Undercut { diameter: 0.5, angle: 15.0, height: 0.3 }, round(-0.35)),
        ("chamfer round", Form::Chamfer { tip_diameter: 0.2, angle: 45.0, height: 0.3 }, round(-0.2)),
        (
            "edge round",
            Form::EdgeRound { pilot_diameter: 0.3, radius: 0.125, pilot_length: 0.05 },
            round(-0.15),
        ),
        ("flat down", Form::Flat { diameter: 0.5 }, down.clone()),
        ("ball down", Form::Ball { diameter: 0.5 }, down.clone()),
        ("drill down", Form::Drill { diameter: 0.5, point_angle: 118.0 }, down[..1].to_vec()),
    ];
    for (name, form, motions) in cases {
        let edge = block();
        let start = blank_field(&edge, 0.0, -THICKNESS, 0.005, Units::Inch).expect("fits");
        let cancel = Cancel::new();
        let removed = Removal::run(&start, &track(&motions), &form, Task::quiet(&cancel))
            .expect("nobody cancels")
            .volume();
        let load = along(&edge, &[(&motions, &form)]);
        let summed = volume(&load);
        println!("{name}: {summed} of {removed}, {} rows", load.rows.len());
        assert_relative_eq!(summed, removed, max_relative = 0.02);
    }
}

/// A plunge takes the plan area of its end, and a hole made before leaves nothing to take.
#[test]
fn a_plunge_takes_its_plan_area_and_a_peck_nothing_twice() {
    let form = Form::Flat { diameter: 0.5 };
    let pecks = [
        line([1.0, 1.0, 0.1], [1.0, 1.0, -0.2]),
        line([1.0, 1.0, -0.2], [1.0, 1.0, 0.1]),
        line([1.0, 1.0, 0.1], [1.0, 1.0, -0.4]),
    ];
    with_load(&block(), &[(&pecks, &form)], |load| {
        for (distance, share) in [(0.05, 0.0), (0.2, 1.0), (0.45, 0.0), (0.75, 0.0), (1.0, 1.0)] {
            let row = load.at(load.track.index_at(distance), distance).expect("a row");
            assert_abs_diff_eq!(row.area, share * PI * 0.0625, epsilon = 1e-9);
            assert_abs_diff_eq!(row.width, share * 0.5, epsilon = 1e-9);
            assert_abs_diff_eq!(row.engagement, share * 360.0, epsilon = 1e-9);
        }
    });
}

/// A block of 4 by 2 in whose far side is cut with a programmed path in the air, at its outline, and past it.
fn job(units: &str, extra_tool: &str, material: &str) -> String {
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "{units}",
          "outline": {{ "vertices": [[0,0],[4,0],[4,2],[0,2]] }},
          "blank": {{ "edge": {{ "vertices": [[-0.05,-0.05],[4.05,-0.05],[4.05,2.05],[-0.05,2.05]] }},
                     "top": 0, "thickness": 1{material} }},
          "tools": [ {{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }}{extra_tool} }},
                     {{ "number": 2, "flutes": 2, "form": {{ "kind": "undercut", "diameter": 0.5, "angle": 5, "height": 0.6 }} }} ],
          "passes": [ {{ "name": "Round", "program": "1.nc", "tool": 1, "allowance": 0 }},
                      {{ "name": "Undercut", "program": "2.nc", "tool": 2 }} ] }}"#
    )
}

const ROUND: &str = "G90 G20 G17 G40\nS800 M3\nG0 X-.25 Y-.8 Z.5\nG1 Z-1. F50\nG1 X-.25 Y2.25 F2\nX4.25\nY-.25\nX-.25\nG0 Z1.\nM30\n";
const UNDERCUT: &str = "G90 G20 G17 G40\nS1600 M3\nG0 X-.8 Y-.24 Z.5\nG1 Z-.8 F50\nG1 X4.24 F4\nY2.24\nX-.24\nY-.24\nG0 Z1.\nM30\n";

/// 2 in/min at 800 rev/min is .0025 in a revolution (exact arithmetic), and falls to each of the flutes; the feed down
/// through the air beside the block is no cut. The rate is that of a strip .05 by 1 in, the power .33 hp for each
/// in³/min of rolled aluminium (Machinery's Handbook; from memory).
#[test]
fn a_proof_tells_chip_load_rate_power_and_wall() {
    let tool = r#", "flutes": 1"#;
    let material = r#", "material": "aluminum 6061-T6""#;
    let proof = prove(&job("inch", tool, material), &[ROUND, UNDERCUT], Some(0.02));
    let (round, undercut) = (&proof.passes[0], &proof.passes[1]);
    let (least, most) = round.chip_load.expect("flutes, feed and speed");
    assert_abs_diff_eq!(least, 0.0025, epsilon = 1e-12);
    assert_abs_diff_eq!(most, 0.0025, epsilon = 1e-12);
    let rate = round.rate_most.expect("a feed");
    // At a corner the cutter meets a little more than the strip beside it: it comes round with its front.
    println!("rate {rate}");
    assert!((0.0999..0.3).contains(&rate), "{rate}");
    assert_relative_eq!(round.power_most.expect("a material"), rate * 0.33, max_relative = 1e-3);
    assert_abs_diff_eq!(undercut.chip_load.expect("flutes, feed and speed").0, 4.0 / 3200.0, epsilon = 1e-12);
    // z + d / tan a of the design's undercut geometry.
    let line = undercut.wall.as_ref().and_then(|wall| wall.undercut_line).expect("an undercut");
    assert_abs_diff_eq!(line.most, -0.8 + 0.01 / 5.0_f64.to_radians().tan(), epsilon = 1e-4);
    let load = undercut.load.as_ref().expect("a blank");
    let side = load.rows.iter().filter(|row| row.motion == 2 && row.distance > 3.0 && row.distance < 4.0);
    for row in side {
        assert_abs_diff_eq!(row.width, 0.01, epsilon = 1e-6);
    }
    let section = proof.wall().expect("an outline and a blank").section(2.0);
    assert_eq!(section.passes.len(), 2);

    let value: serde_json::Value =
        serde_json::from_str(&blockwright_core::proof::json(&proof)).expect("it is JSON");
    let pass = |index: usize| &value["passes"][index];
    for key in ["chip_load", "removal_rate_most", "power_most"] {
        assert!(pass(0).get(key).is_some(), "{key}");
    }
    assert!(pass(0).get("undercut_line").is_none(), "there is none before the second pass");
    assert!(pass(1)["land"]["most"].as_f64().is_some_and(|land| land > 0.6));
    assert!(value["material"]["source"].as_str().is_some_and(|source| source.contains("from memory")));

    // A shop's own figure counts before what is known, and is told with its source.
    let own = r#""materials": [{ "name": "aluminum 6061-T6", "unit_power": 0.5, "source": "spindle meter" }], "tools""#;
    let own = job("inch", tool, material).replacen("\"tools\"", own, 1);
    let metered = prove(&own, &[ROUND, UNDERCUT], Some(0.02));
    let power = metered.passes[0].power_most.expect("a material");
    assert_relative_eq!(power, rate * 0.5, max_relative = 1e-9);
    let text = blockwright_core::proof::table(&metered);
    assert!(
        text.contains("Power for aluminum 6061-T6: 0.5000 hp for each in³/min; spindle meter."),
        "{text}"
    );

    let unknown = prove(&job("inch", "", ""), &[ROUND, UNDERCUT], Some(0.02));
    let text = blockwright_core::proof::json(&unknown);
    let value: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
    for key in ["chip_load", "power_most"] {
        assert!(value["passes"][0].get(key).is_none(), "{key} needs what the job does not say");
    }
}

/// Straight ways over a jagged blank, each in one move or cut into several at random places.
fn ways(random: &mut Random, pieces: usize, ends: &[[f64; 4]]) -> String {
    let mut text = "G90 G20 G17 G40\nS2000 M3\nG0 Z.5\n".to_owned();
    for [x, y, to_x, to_y] in ends {
        let _ = write!(text, "G0 X{x:.4} Y{y:.4}\nG1 Z-.3 F20.\n");
        let mut parts: Vec<f64> = (1..pieces).map(|_| random.between(0.05, 0.95)).collect();
        parts.sort_by(f64::total_cmp);
        parts.push(1.0);
        for part in parts {
            let _ = writeln!(text, "G1 X{:.6} Y{:.6} F10.", x + (to_x - x) * part, y + (to_y - y) * part);
        }
        text += "G0 Z.5\n";
    }
    text + "M30\n"
}

#[test]
fn the_greatest_rate_does_not_hang_on_how_a_way_is_cut_into_moves() {
    let mut random = Random(41);
    for case in 0..24 {
        let teeth: Vec<String> = (0..7)
            .map(|tooth| {
                let angle = (f64::from(tooth) + random.between(0.0, 0.6)) / 7.0 * std::f64::consts::TAU;
                let radius = random.between(0.5, 1.6);
                format!("[{:.5},{:.5}]", angle.cos() * radius, angle.sin() * radius)
            })
            .collect();
        let job = format!(
            r#"{{ "schema": "blockwright-job/1", "units": "inch",
              "blank": {{ "edge": {{ "vertices": [{}] }}, "top": 0, "thickness": 1 }},
              "tools": [{{ "number": 1, "form": {{ "kind": "flat", "diameter": {:.3} }} }}],
              "passes": [{{ "name": "a", "program": "1.nc", "tool": 1 }}] }}"#,
            teeth.join(","),
            random.between(0.2, 0.6)
        );
        let ends: Vec<[f64; 4]> =
            (0..3).map(|_| [-2.2, random.between(-1.2, 1.2), 2.2, random.between(-1.2, 1.2)]).collect();
        let mut rate = |pieces: usize| {
            let text = ways(&mut random, pieces, &ends);
            prove(&job, &[&text], Some(0.02)).passes[0].rate_most.unwrap_or(0.0)
        };
        let (whole, three, many) = (rate(1), rate(3), rate(9));
        for cut in [three, many] {
            assert!((cut / whole - 1.0).abs() < 0.005, "{case}: {whole} in one, {cut} cut up");
        }
    }
}
