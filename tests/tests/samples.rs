//! The sample jobs, proven whole.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::f64::consts::PI;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use blockwright_core::geometry::Range;
use blockwright_core::proof::{self, Proof, Verdict};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::wall::PassWall;
use blockwright_tests::{codes, sample};

fn proof_of(folder: &str) -> Proof {
    let cancel = Cancel::new();
    Prover::new()
        .prove(&sample(folder), &Options::default(), Task::quiet(&cancel))
        .expect("a sample can be proven")
}

fn show(proof: &Proof) -> String {
    proof::table(proof)
}

#[test]
fn the_sound_job_has_no_finding_and_its_cuts_are_the_differences_of_its_allowances() {
    let proof = proof_of("round-puck");
    println!("{}", show(&proof));
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Clear);
    assert_eq!(proof::status(&proof), 0);
    // Pass 2 takes what pass 1 left: .062 - .015 = .047 all round (common practice, no source).
    for (pass, leave, cut) in [(0, 0.062, 0.063), (1, 0.015, 0.047), (2, 0.0, 0.015)] {
        let along = proof.passes[pass].along_outline.as_ref().expect("held against the outline");
        for value in [along.leave.least, along.leave.most] {
            assert_abs_diff_eq!(value, leave, epsilon = 0.000_1);
        }
        for value in [along.cut.least, along.cut.most] {
            assert_abs_diff_eq!(value, cut, epsilon = 0.000_1);
        }
        assert_eq!(along.contact.len(), 1, "one stretch all round");
    }
}

#[test]
fn the_demo_loses_contact_and_regains_it() {
    let proof = proof_of("signal-lamp-bezel");
    println!("{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Look, "{}", show(&proof));
    let found = codes(&proof);
    assert!(found.iter().all(|code| ["no-contact", "light-cut"].contains(code)), "{found:?}");
    let none = |pass: usize| proof.passes[pass].contact_length(blockwright_core::measure::Contact::None);
    assert!(none(0).expect("measured") > none(1).expect("measured"), "pass 2 regains some");
    assert_eq!(none(2), Some(0.0), "the finish has contact all round");
    assert!(proof.blank.as_ref().expect("a blank").least_margin > 0.0);
}

#[test]
fn the_second_job_never_cleans_up_at_one_corner() {
    let proof = proof_of("vent-cover-die");
    println!("{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Stop, "{}", show(&proof));
    assert!(codes(&proof).contains(&"blank-short"));
    let blank = proof.blank.as_ref().expect("a blank");
    assert_eq!(blank.short.len(), 1);
    assert_abs_diff_eq!(blank.short[0].most, -blank.least_margin, epsilon = 0.002_5);
}

/// Heights on the wall may be off by this, in: a ten-thousandth of path over the tangent of the side.
const WALL: f64 = 0.001;

fn wall_after(proof: &Proof, pass: usize) -> &PassWall {
    proof.passes[pass].wall.as_deref().expect("the job undercuts its wall")
}

#[track_caller]
fn all_round(range: Option<&Range>, expected: f64) {
    let range = range.expect("measured");
    assert_abs_diff_eq!(range.least, expected, epsilon = WALL);
    assert_abs_diff_eq!(range.most, expected, epsilon = WALL);
}

/// The line of an undercut that steps in by `step` at a tip of height `tip`: z + d / tan a (design, undercut geometry).
fn line(tip: f64, step: f64, angle: f64) -> f64 {
    tip + step / angle.to_radians().tan()
}

#[test]
fn the_demo_s_undercut_meets_its_edge_rounding() {
    let proof = proof_of("signal-lamp-bezel");
    let (tip, first) = (-1.02, line(-1.02, 0.075, 10.0));
    // The faced top at -.030, less the radius, less the land.
    let (rounding, land) = (-0.03 - 0.125, 0.03);
    // d = (t - r - w - z) tan a (design, undercut geometry).
    let step = (rounding - land - tip) * 10_f64.to_radians().tan();
    assert_abs_diff_eq!(step, 0.147_2, epsilon = 0.000_05);
    for (pass, undercut, under) in [(4, first, -0.03), (5, first, rounding), (6, rounding - land, rounding)] {
        let wall = wall_after(&proof, pass);
        all_round(wall.undercut_line.as_ref(), undercut);
        all_round(wall.land.as_ref(), under - undercut);
        assert_eq!(wall.rounding_lower.is_some(), pass > 4, "pass {}", pass + 1);
        assert!(wall.without_undercut.is_empty(), "{:?}", wall.without_undercut);
    }
    all_round(wall_after(&proof, 6).rounding_lower.as_ref(), rounding);
}

#[test]
fn the_bracket_shoe_is_sound_but_its_land_is_too_wide() {
    let proof = proof_of("bracket-shoe");
    println!("{}", show(&proof));
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{}", show(&proof));
    // Stepped in .0808 where .0908 would leave the land of .030 that was meant.
    let (tip, rounding) = (-0.77, -0.093_75);
    assert_abs_diff_eq!((rounding - 0.03 - tip) * 8_f64.to_radians().tan(), 0.090_8, epsilon = 0.000_05);
    all_round(wall_after(&proof, 2).undercut_line.as_ref(), line(tip, 0.045, 8.0));
    let last = wall_after(&proof, 4);
    all_round(last.rounding_lower.as_ref(), rounding);
    all_round(last.undercut_line.as_ref(), line(tip, 0.080_8, 8.0));
    all_round(last.land.as_ref(), 0.101_3);
}

#[test]
fn the_drip_tray_goes_in_by_helix_and_ramp_and_its_pocket_holds_what_it_should() {
    let proof = proof_of("drip-tray-die");
    println!("{}", show(&proof));
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Clear);
    // 40 x 20 with corners of 6, 6 deep, less the fillet of 1.5 all round: Pappus, the fillet's centroid lying
    // r (10 - 3 pi) / (12 - 3 pi) from wall and floor (derived).
    let fillet = 1.5_f64.powi(2) * (1.0 - PI / 4.0);
    let inset = 1.5 * (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI);
    let round = 2.0 * (28.0 + 8.0) + 2.0 * PI * (6.0 - inset);
    let pocket = (40.0 * 20.0 - (4.0 - PI) * 36.0) * 6.0 - fillet * round;
    let removed = proof.passes[2].removal.as_ref().expect("followed").volume();
    assert_relative_eq!(removed, pocket, max_relative = 0.002);
}

/// Corners of the hinge leaf die before they are rounded, and their radii; those at X41 turn inward.
const LEAF: [([f64; 2], f64); 8] = [
    ([0.0, 0.0], 5.0),
    ([36.0, 0.0], 8.0),
    ([41.0, 13.0], -9.0),
    ([108.0, 19.0], 9.0),
    ([108.0, 41.0], 9.0),
    ([41.0, 47.0], -9.0),
    ([36.0, 60.0], 8.0),
    ([0.0, 60.0], 5.0),
];

/// A corner that turns by a, rounded with r, takes 2 r tan(a/2) off the length and gives r a back; of the area it takes
/// r² (tan(a/2) - a/2), which a corner turning inward adds (derived).
fn rounded_size(corners: &[([f64; 2], f64)]) -> (f64, f64) {
    let (mut length, mut area) = (0.0, 0.0);
    for (index, ([x, y], radius)) in corners.iter().enumerate() {
        let [[px, py], [nx, ny]] =
            [corners.len() - 1, 1].map(|step| corners[(index + step) % corners.len()].0);
        let (before, after) = ([x - px, y - py], [nx - x, ny - y]);
        let [cross, dot] =
            [before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]];
        let half = cross.atan2(dot).abs() / 2.0;
        length += after[0].hypot(after[1]) - 2.0 * radius.abs() * (half.tan() - half);
        area += (x * ny - y * nx) / 2.0 - radius * radius.abs() * (half.tan() - half);
    }
    (length, area)
}

/// Outline from a drawing of loose lines and arcs, edge from a list of measured points.
#[test]
fn the_hinge_leaf_comes_from_a_drawing_and_a_list_of_points() {
    let proof = proof_of("hinge-leaf-die");
    println!("{}", show(&proof));
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{}", show(&proof));
    assert!(
        !proof.findings.iter().any(|finding| finding.code.text().starts_with("drawing")),
        "{}",
        show(&proof)
    );
    let outline = proof.outline.as_ref().expect("from the drawing");
    let (length, area) = rounded_size(&LEAF);
    assert_abs_diff_eq!(outline.length(), length, epsilon = 1e-9);
    assert_abs_diff_eq!(outline.area(), area, epsilon = 1e-8);
    assert_eq!(outline.spans().len(), 16);
    // The arc at the first corner has its middle r (sqrt 2 - 1) from it.
    let round = 5.0 * (2.0_f64.sqrt() - 1.0) / 2.0_f64.sqrt();
    assert_abs_diff_eq!(outline.distance(blockwright_core::geometry::pt(round, round)), 0.0, epsilon = 1e-9);
    assert_eq!(proof.edge.as_ref().expect("from the list").vertices().len(), 14);
    for (pass, allowance) in [(0, 0.5), (1, 0.0)] {
        let leave = &proof.passes[pass].along_outline.as_ref().expect("held against it").leave;
        // Programs are posted to a thousandth.
        assert_abs_diff_eq!(leave.least, allowance, epsilon = 0.001_5);
        assert_abs_diff_eq!(leave.most, allowance, epsilon = 0.001_5);
    }
}
