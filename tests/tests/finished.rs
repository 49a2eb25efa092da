//! The finished block: every way of taking metal from it is a stop, with its depth and line, and cutting beside it,
//! under the land, or in a pocket that the job calls one is none. Each border just inside and just outside.
//!
//! The block is 3 x 2 in and 1 in thick, on a blank 0.1 in larger all round. Expected depths are plain geometry. The
//! cells are far too coarse to see any of it: stops come from exact geometry.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "tests say what they stand on"
)]

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::job::Does;
use blockwright_core::proof::{Proof, Verdict};
use blockwright_tests::prove;

const COARSE: f64 = 0.06;

/// A pass: what the job says of it, and its program.
type Pass<'a> = (&'a str, String);

fn job(land: &str, passes: &[&str]) -> String {
    let passes: Vec<String> = passes
        .iter()
        .enumerate()
        .map(|(index, says)| format!(r#"{{ "name": "Pass {index}", "program": "{index}.nc", {says} }}"#))
        .collect();
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "gauge_height": -0.2, {land}
      "outline": {{ "vertices": [[0,0],[3,0],[3,2],[0,2]] }},
      "blank": {{ "edge": {{ "vertices": [[-0.1,-0.1],[3.1,-0.1],[3.1,2.1],[-0.1,2.1]] }}, "top": 0, "thickness": 1 }},
      "tools": [
        {{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }} }},
        {{ "number": 2, "form": {{ "kind": "ball", "diameter": 0.25 }} }},
        {{ "number": 3, "form": {{ "kind": "undercut", "diameter": 0.75, "angle": 10, "height": 0.875 }} }},
        {{ "number": 4, "form": {{ "kind": "edge_round", "pilot_diameter": 0.5, "radius": 0.125, "pilot_length": 0.06 }} }},
        {{ "number": 5, "form": {{ "kind": "chamfer", "tip_diameter": 0.1, "angle": 45, "height": 0.25 }} }},
        {{ "number": 6, "form": {{ "kind": "drill", "diameter": 0.25, "point_angle": 118 }} }},
        {{ "number": 7, "form": {{ "kind": "flat", "diameter": 1.0 }} }}
      ],
      "passes": [{}] }}"#,
        passes.join(",\n")
    )
}

fn program(moves: &str) -> String {
    format!("G20 G17 G90\nS1000 M3\nG0 Z1.\nG0 X-.8 Y-.8\n{moves}\nG0 Z1.\nM5\nM30\n")
}

/// Round the outline with the axis `off` outside it, at each of these heights, begun beside the block.
fn round(off: f64, depths: &[f64]) -> String {
    let (low, right, high) = (-off, 3.0 + off, 2.0 + off);
    let level = |z: &f64| {
        format!(
            "G0 X-.8 Y-.8\nG1 Z{z:.5} F10.\nG1 X{low:.5} Y{low:.5}\nG1 X{right:.5}\nG1 Y{high:.5}\nG1 X{low:.5}\n\
             G1 Y{low:.5}\nG1 X-.8 Y-.8\nG0 Z.5"
        )
    };
    program(&depths.iter().map(level).collect::<Vec<_>>().join("\n"))
}

/// Sawtooth over the whole top with the 1 in mill.
fn face(z: f64) -> String {
    let rows: Vec<String> = (0..5)
        .map(|row| {
            let y = -0.2 + 0.6 * f64::from(row);
            let x = if row % 2 == 0 { "3.8" } else { "-.8" };
            format!("G1 Y{y:.3}\nG1 X{x}")
        })
        .collect();
    program(&format!("G0 Y-1.\nG1 Z{z:.5} F10.\n{}\nG1 Y3.5", rows.join("\n")))
}

const FINISH: &str = r#""tool": 1, "allowance": 0"#;

fn sound() -> Pass<'static> {
    (FINISH, round(0.25, &[-1.02]))
}

fn proven_with(land: &str, passes: &[Pass<'_>]) -> Proof {
    let says: Vec<&str> = passes.iter().map(|pass| pass.0).collect();
    let programs: Vec<&str> = passes.iter().map(|pass| pass.1.as_str()).collect();
    prove(&job(land, &says), &programs, Some(COARSE))
}

fn proven(passes: &[Pass<'_>]) -> Proof {
    proven_with("", passes)
}

fn stops(proof: &Proof) -> Vec<&Finding> {
    proof.findings.iter().filter(|finding| finding.severity == Severity::Stop).collect()
}

#[track_caller]
fn no_stop(what: &str, proof: &Proof) {
    assert!(stops(proof).is_empty(), "{what}: {:?}", stops(proof));
}

/// One stop of this code, on this line of the last pass, so deep at its deepest.
#[track_caller]
fn one_stop(what: &str, proof: &Proof, (code, text): (Code, &str), depth: f64) -> Finding {
    let found = stops(proof);
    let [finding] = found[..] else { panic!("{what}: one stop, not {found:?}") };
    assert_eq!(finding.code, code, "{what}: {finding:?}");
    let pass = proof.job.passes.len() - 1;
    assert_eq!(finding.pass, Some(pass), "{what}");
    let line = finding.line.expect("a line");
    let own = proof.passes[pass].text.line(line as usize);
    assert!(own.contains(text), "{what}: on line {line}, {own}");
    let deepest = proof.passes[pass].entered.iter().map(|entered| entered.depth).fold(0.0, f64::max);
    assert!((deepest - depth).abs() < 2e-4, "{what}: {deepest} deep and not {depth}");
    finding.clone()
}

#[test]
fn a_sound_job_stops_nowhere() {
    let proof = proven(&[sound()]);
    no_stop("a finish profile", &proof);
    assert_eq!(proof.passes[0].purpose.as_ref().map(|purpose| purpose.does), Some(Does::Profile));
    let levels = round(0.31, &[-0.34, -0.68, -1.02]);
    no_stop(
        "three levels, then the profile",
        &proven(&[(r#""tool": 1, "allowance": 0.06"#, levels), sound()]),
    );
    let ramp = "G0 Y-.3\nG0 Z.1\nG1 X2. Z-.34 F10.\nG1 X-.5 Z-.68\nG1 X2. Z-1.02\nG1 X-.8";
    no_stop("ramps beside the line", &proven(&[(r#""tool": 1, "allowance": 0.05"#, program(ramp)), sound()]));
}

#[test]
fn a_groove_right_across_is_as_deep_as_it_is_cut() {
    let groove = |z: f64| program(&format!("G0 X-.8 Y1.\nG1 Z{z:.5} F10.\nG1 X4."));
    for first in [sound(), (r#""tool": 1, "allowance": 0.05"#, round(0.3, &[-1.02]))] {
        let proof = proven(&[first, (r#""tool": 1"#, groove(-0.45))]);
        let finding = one_stop("groove", &proof, (Code::CutsFinishedBlock, "X4."), 0.45);
        assert!(finding.message.contains(".4500 in deep"), "{}", finding.message);
        assert_eq!(proof.verdict, Verdict::Stop);
    }
    one_stop(
        "just too deep",
        &proven(&[sound(), (r#""tool": 1"#, groove(-0.0011))]),
        (Code::CutsFinishedBlock, "X4."),
        0.0011,
    );
    no_stop("just not", &proven(&[sound(), (r#""tool": 1"#, groove(-0.0009))]));
    let ball = proven(&[sound(), (r#""tool": 2"#, groove(-0.05))]);
    one_stop("with a ball end", &ball, (Code::CutsFinishedBlock, "X4."), 0.05);
}

#[test]
fn a_groove_told_once_is_not_told_again() {
    let groove = program("G0 X-.8 Y1.\nG1 Z-.45 F10.\nG1 X4.");
    let proof = proven(&[
        sound(),
        (r#""tool": 1"#, groove.clone()),
        (r#""tool": 1"#, groove.replace("G1 X4.", "G1 X4.\nG1 X-.8")),
    ]);
    let told: Vec<Option<usize>> = stops(&proof).iter().map(|finding| finding.pass).collect();
    assert_eq!(told, [Some(1)], "{:?}", stops(&proof));
}

#[test]
fn a_feed_across_the_finished_top() {
    let across = program("G0 X-.8 Y1.\nG1 Z-.031 F10.\nG1 X3.8 Y1.5");
    let faced = |says| (says, face(-0.03));
    for says in [r#""tool": 7, "does": "face""#, r#""tool": 7, "bottom": -0.03"#] {
        let proof = proven(&[sound(), faced(says), (FINISH, round(0.25, &[-1.02]))]);
        no_stop("faced", &proof);
        assert_eq!(proof.passes[1].purpose.as_ref().map(|purpose| purpose.does), Some(Does::Face), "{says}");
        let proof = proven(&[sound(), faced(says), (r#""tool": 1"#, across.replace("-.031", "-.0312"))]);
        one_stop("0.0012 under it", &proof, (Code::CutsFinishedBlock, "Y1.5"), 0.0012);
        no_stop(
            "0.0008 under it",
            &proven(&[sound(), faced(says), (r#""tool": 1"#, across.replace("-.031", "-.0308"))]),
        );
    }
    let deeper = proven(&[sound(), (r#""tool": 7, "does": "face", "bottom": -0.03"#, face(-0.05))]);
    let codes: Vec<Code> = stops(&deeper).iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::BelowDepth], "a face cut below its bottom is one event");
}

#[test]
fn a_face_cut_that_nobody_calls_one_is_asked_about() {
    let asked =
        |proof: &Proof| proof.findings.iter().filter(|finding| finding.code == Code::DoesNotSay).count();
    assert_eq!(asked(&proven(&[sound(), (r#""tool": 7"#, face(-0.03))])), 1);
    assert_eq!(asked(&proven(&[sound(), (r#""tool": 7, "does": "face""#, face(-0.03))])), 0);
    let not_all = face(-0.03).replace("G1 Y1.000\nG1 X3.8\n", "");
    let proof = proven(&[sound(), (r#""tool": 7"#, not_all)]);
    assert_eq!(
        stops(&proof)[0].code,
        Code::CutsFinishedBlock,
        "what does not cover the block is no face cut"
    );
}

#[test]
fn a_ramp_and_a_plunge_onto_the_block() {
    let ramp = program("G0 X-.8 Y1.\nG0 Z.1\nG1 X1.5 Z-.2 F10.\nG0 Z1.");
    one_stop("ramp", &proven(&[sound(), (r#""tool": 1"#, ramp)]), (Code::CutsFinishedBlock, "Z-.2"), 0.2);
    for aside in ["1.5", "1.5001", "1.51"] {
        let plunge = program(&format!("G0 X1.5 Y1.\nG0 Z.1\nG1 X{aside} Z-.2 F10."));
        let proof = proven(&[sound(), (FINISH, plunge)]);
        one_stop("plunge", &proof, (Code::PlungeOnBlock, "Z-.2"), 0.2);
    }
    let helix = program("G0 X1.25 Y1.\nG0 Z0.\nG2 X1.25 Y1. I.25 J0. Z-.1 F10.");
    one_stop("helix", &proven(&[sound(), (FINISH, helix)]), (Code::CutsFinishedBlock, "Z-.1"), 0.1);
    let upright = program("G0 X-.8 Y1.\nG0 Z0.\nG18 G2 X3.8 Z0. I2.3 K6. F10.\nG17");
    let found = proven(&[sound(), (r#""tool": 1"#, upright)]);
    let rise = (6.0_f64 * 6.0 + 2.3 * 2.3).sqrt() - 6.0;
    let deepest = found.passes[1].entered.iter().map(|entered| entered.depth).fold(0.0, f64::max);
    assert!(
        !stops(&found).is_empty() && (deepest - rise).abs() < 1e-3,
        "{deepest}, {rise}: {:?}",
        stops(&found)
    );
}

#[test]
fn cuts_inside_the_line_of_the_wall() {
    let gouge = |off: f64| {
        program(&format!("G1 Z-1.02 F10.\nG1 X1. Y-.25\nG1 X1.2 Y-{off:.5}\nG1 X2. Y-.25\nG1 Y-.8"))
    };
    let proof = proven(&[(FINISH, gouge(0.2488))]);
    let finding = one_stop("gouge", &proof, (Code::PastOutline, "X1.2"), 0.0012);
    assert!((finding.station.expect("a station") - 1.2).abs() < 0.02, "{finding:?}");
    no_stop("within rounding", &proven(&[(FINISH, gouge(0.2492))]));
    let meant = r#""tool": 1, "allowance": -0.02"#;
    no_stop("an allowance below 0 says so", &proven(&[(meant, round(0.23, &[-1.02]))]));
    let proof = proven(&[(meant, round(0.2288, &[-1.02]))]);
    assert_eq!(one_stop("but no farther", &proof, (Code::PastOutline, "G1"), 0.0012).code, Code::PastOutline);
}

#[test]
fn a_pocket_is_confirmed_and_may_not_leave_the_outline() {
    let pocket = "G0 X1. Y1.\nG0 Z.1\nG1 X2. Z-.2 F5.\nG1 X1.\nG1 Y1.3\nG1 X2.\n";
    let proof = proven(&[sound(), (r#""tool": 1"#, program(pocket))]);
    no_stop("a pocket", &proof);
    let asked: Vec<&Finding> =
        proof.findings.iter().filter(|finding| finding.code == Code::DoesNotSay).collect();
    assert!(asked.len() == 1 && asked[0].message.contains("\"does\": \"inside\""), "{asked:?}");
    assert_eq!(asked[0].severity, Severity::Look);
    let called = proven(&[sound(), (r#""tool": 1, "does": "inside""#, program(pocket))]);
    assert!(
        called
            .findings
            .iter()
            .all(|finding| finding.code != Code::DoesNotSay && finding.severity < Severity::Stop)
    );
    let through = program(&format!("{pocket}G1 X4.\n"));
    for says in [r#""tool": 1"#, r#""tool": 1, "does": "inside""#] {
        let proof = proven(&[sound(), (says, through.clone())]);
        assert!(
            stops(&proof).iter().any(|finding| finding.code == Code::CutsFinishedBlock),
            "{says}: {:?}",
            stops(&proof)
        );
    }
    let named = job("", &[FINISH, r#""tool": 1"#]).replace("Pass 1", "Rough profile");
    let proof = prove(&named, &[&sound().1, &program(pocket)], Some(COARSE));
    assert!(!stops(&proof).is_empty(), "a pass whose name says profile is no pocket");
    let after = program("G0 X1.5 Y1.15\nG0 Z-.1\nG1 Z-.2 F5.\nG1 X1.6");
    no_stop(
        "what a pocket took is gone",
        &proven(&[sound(), (r#""tool": 1, "does": "inside""#, program(pocket)), (FINISH, after)]),
    );
}

#[test]
fn holes() {
    let hole = program("G0 X1.5 Y1.\nG0 Z.1\nG1 Z-.4 F5.\nG0 Z.1");
    no_stop("called one", &proven(&[sound(), (r#""tool": 6, "does": "inside""#, hole.clone())]));
    let proof = proven(&[sound(), (r#""tool": 6, "allowance": 0"#, hole)]);
    let finding = one_stop("held against the line", &proof, (Code::PlungeOnBlock, "Z-.4"), 0.4);
    assert!(finding.message.contains(".4000 in deep"), "{}", finding.message);
    assert!(
        !blockwright_core::proof::json(&proof).contains("\"past_outline\""),
        "a hole is not past the outline"
    );
}

#[test]
fn rapids_meet_metal_whatever_the_cell() {
    let first = "G20 G17 G90\nG0 X1. Y1. Z-.3\nG0 Z1.\nS1000 M3\nG0 X-.8 Y-.8\nG1 Z-1.02 F10.\nG1 X4.\nM30\n"
        .to_owned();
    let proof = proven(&[(FINISH, first)]);
    one_stop("the first rapid ends inside", &proof, (Code::RapidThroughBlock, "G0"), 0.3);
    let along = |over: f64| {
        let y = -0.25 + over;
        program(&format!("G1 Z-1.02 F10.\nG1 X-.3 Y-.25\nG1 X3.3\nG1 Y-.4\nG0 X1.\nG0 Y{y:.5}\nG0 Y-.8"))
    };
    one_stop(
        "0.0002 into the wall",
        &proven(&[(FINISH, along(0.0002))]),
        (Code::RapidThroughBlock, "G0"),
        0.0002,
    );
    no_stop("along the wall", &proven(&[(FINISH, along(0.0))]));
    no_stop("a rounding into it", &proven(&[(FINISH, along(0.00009))]));
    let over = |z: f64| program(&format!("G0 X-.8 Y1.\nG0 Z{z:.5}\nG0 X3.8"));
    one_stop(
        "over the top",
        &proven(&[sound(), (FINISH, over(-0.0008))]),
        (Code::RapidThroughBlock, "G0"),
        0.0008,
    );
    no_stop("on it", &proven(&[sound(), (FINISH, over(-0.0004))]));
}

#[test]
fn undercuts_before_and_after_the_profile() {
    let undercut = r#""tool": 3"#;
    // The tip at -1.02, stepped in by 0.075: the line lies at -1.02 + 0.075 / tan 10.
    let cut = |step: f64| round(0.375 - step, &[-1.02]);
    let edge = (r#""tool": 4"#, round(0.25, &[-0.185]));
    let land = r#""land": 0.030, "#;
    for passes in [
        vec![sound(), (undercut, cut(0.075)), edge.clone()],
        vec![(undercut, cut(0.075)), sound(), edge.clone()],
        vec![edge.clone(), (undercut, cut(0.05)), sound(), (undercut, cut(0.075))],
    ] {
        no_stop("undercut", &proven_with(land, &passes));
    }
    // The line may go up to -0.125 - 0.030, which a step of 0.865 tan 10 reaches.
    let tangent = 10.0_f64.to_radians().tan();
    let most = 0.865 * tangent;
    no_stop("just up to it", &proven_with(land, &[sound(), edge.clone(), (undercut, cut(most + 0.0004))]));
    let proof = proven_with(land, &[sound(), edge.clone(), (undercut, cut(most + 0.0012))]);
    let found = stops(&proof);
    assert_eq!(found.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::TakesLand], "{found:?}");
    let climb = format!("{:.4}", 0.0012 / tangent);
    let climb = climb.trim_start_matches('0');
    assert!(found[0].message.contains(climb), "{climb}: {}", found[0].message);
    // Without a land it may go up to the rounding.
    no_stop("no land asked for", &proven(&[sound(), edge.clone(), (undercut, cut(most + 0.0012))]));
    let proof = proven(&[sound(), edge, (undercut, cut(0.895 * tangent + 0.002))]);
    assert_eq!(stops(&proof).iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::TakesLand]);
    // Stepped in by 0.15 the neck over the cone runs into the wall.
    let neck = proven(&[sound(), (undercut, program("G1 Z-1.02 F10.\nG1 X1. Y-.1\nG1 X2.\nG1 Y-.8"))]);
    let codes: Vec<Code> = stops(&neck).iter().map(|finding| finding.code).collect();
    assert!(codes.contains(&Code::TakesLand) || codes.contains(&Code::ShankContact), "{:?}", stops(&neck));
}

#[test]
fn an_edge_is_taken_off_as_its_cutter_is_made() {
    let at = |z: f64, off: f64| proven(&[sound(), (r#""tool": 4"#, round(off, &[z]))]);
    no_stop("rounding", &at(-0.185, 0.25));
    no_stop("a touch-off within rounding", &at(-0.1858, 0.25));
    no_stop("higher and farther out", &at(-0.15, 0.27));
    assert!(!stops(&at(-0.1862, 0.25)).is_empty(), "0.0012 too deep");
    assert!(!stops(&at(-0.185, 0.2488)).is_empty(), "0.0012 too far in");
    let chamfer = |z: f64, off: f64, bottom: &str| {
        let says = format!(r#""tool": 5, "bottom": {bottom}"#);
        let pass = (says.as_str(), round(off, &[z]));
        let proof = proven(&[sound(), pass]);
        stops(&proof).iter().map(|finding| finding.code).collect::<Vec<_>>()
    };
    assert_eq!(chamfer(-0.1, 0.05, "-0.1"), [], "its tip at the line");
    assert_eq!(chamfer(-0.2, 0.15, "-0.2"), [], "lower and farther out");
    assert!(!chamfer(-0.102, 0.05, "-0.1").is_empty(), "deeper than its bottom");
    assert!(!chamfer(-0.1, 0.0485, "-0.1").is_empty(), "farther in than its tip is wide");
}

/// The chamfer reaches farther in than the groove is deep: what counts is how deep it is under the top.
#[test]
fn a_groove_across_a_chamfered_block_is_a_stop_however_shallow() {
    for deep in [0.002, 0.03, 0.1, 0.19] {
        let across = format!("\nG0 X-.8 Y1.\nG1 Z{:.4} F10.\nG1 X3.8\nG0 Z1.\nM5", -deep);
        let text = round(0.05, &[-0.2]).replace("\nG0 Z1.\nM5", &across);
        let proof = proven(&[sound(), (r#""tool": 5, "bottom": -0.2"#, text)]);
        let found = stops(&proof);
        let codes: Vec<Code> = found.iter().map(|finding| finding.code).collect();
        assert_eq!(codes, [Code::CutsFinishedBlock], "{deep}: {found:?}");
        assert!((found[0].amount.expect("a depth") - deep).abs() < 1e-4, "{deep}: {:?}", found[0]);
    }
}
