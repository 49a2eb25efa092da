//! The checks over the whole motion: for every finding a case just inside its border and one just outside, proven as
//! whole jobs. (`findings.rs` holds the same for depth, outline, rapids, plunges, words and states.)
//!
//! The job: a 2 x 1 in outline on a blank 0.1 in larger all round and 0.5 in thick, a 1/2 in cutter that goes round it
//! at .26 from the outline. The borders are the named tolerances of the core, the limits of the job, and plane
//! geometry worked out beside each case (derived).
#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::proof::Proof;
use blockwright_tests::{codes, prove};

const CELL: f64 = 0.004;

const BALL: &str = r#""kind": "ball", "diameter": 0.5"#;
const UNDERCUT: &str = r#""kind": "undercut", "diameter": 0.5, "angle": 10, "height": 0.25"#;
const EDGE_ROUND: &str =
    r#""kind": "edge_round", "pilot_diameter": 0.25, "radius": 0.125, "pilot_length": 0.5"#;
const SHORT_PILOT: &str = r#""kind": "edge_round", "pilot_diameter": 0.25, "radius": 0.125"#;
const FLAT: &str = r#""kind": "flat", "diameter": 0.5"#;

/// One job and its program, made from the sound one by replacing what stands in it.
#[derive(Clone)]
struct Case {
    job: String,
    program: String,
}

fn sound() -> Case {
    let job = r#"{ "schema": "blockwright-job/1", "units": "inch",
      "outline": { "vertices": [[0,0],[2,0],[2,1],[0,1]] },
      "blank": { "edge": { "vertices": [[-0.1,-0.1],[2.1,-0.1],[2.1,1.1],[-0.1,1.1]] }, "top": 0, "thickness": 0.5,
                 "material": "aluminum 6061-T6" },
      "bed": { "top": -0.52 }, "contact": { "light_below": 0.01, "heavy_above": 0.1 }, "machine": { "rapid": 100 },
      "tools": [ { "number": 1, "form": { "kind": "flat", "diameter": 0.5 } } ],
      "passes": [ { "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0.01 } ] }"#;
    Case { job: job.to_owned(), program: program(&[-0.5]) }
}

/// Round the outline at each of these depths.
fn program(depths: &[f64]) -> String {
    let mut text = "%\nO1\nG20 G17 G90\nT1 M6\nS1000 M3\nG0 Z1.\nG0 X-.8 Y.5\nG0 Z.1\n".to_owned();
    for depth in depths {
        let round = format!(
            "G1 Z{depth} F5.\nG1 X-.26 F10.\nG1 Y1.\nG2 X0. Y1.26 I.26 J0.\nG1 X2.\nG2 X2.26 Y1. I0. J-.26\nG1 Y0.\n\
             G2 X2. Y-.26 I-.26 J0.\nG1 X0.\nG2 X-.26 Y0. I0. J.26\nG1 Y.6\nG1 X-.8\nG0 Y.5\n"
        );
        text.push_str(&round);
    }
    text + "G0 Z1.\nM5\nM30\n%\n"
}

impl Case {
    /// With this in place of that, in the job.
    #[track_caller]
    fn job(mut self, from: &str, to: &str) -> Self {
        assert!(self.job.contains(from), "{from}");
        self.job = self.job.replace(from, to);
        self
    }

    /// With this in place of that, once in the program.
    #[track_caller]
    fn line(mut self, from: &str, to: &str) -> Self {
        assert!(self.program.contains(from), "{from}");
        self.program = self.program.replacen(from, to, 1);
        self
    }

    fn form(self, form: &str) -> Self {
        self.job(FLAT, form)
    }

    /// With more keys of the tool.
    fn tool(self, keys: &str) -> Self {
        self.job("\"number\": 1, \"form\"", &format!("\"number\": 1, {keys}, \"form\""))
    }

    fn machine(self, keys: &str) -> Self {
        self.job("\"rapid\": 100", &format!("\"rapid\": 100, {keys}"))
    }

    fn control(self, keys: &str) -> Self {
        self.job("\"tools\"", &format!("\"control\": {{ {keys} }}, \"tools\""))
    }

    /// With these depths in place of one round to the bottom of the blank.
    fn depths(self, depths: &[f64]) -> Self {
        Self { program: program(depths), ..self }
    }

    /// With these lines of motion in place of the way round the outline, held against nothing.
    fn moves(self, moves: &str) -> Self {
        let program = format!("%\nO1\nG20 G17 G90\nT1 M6\nS1000 M3\nG0 Z1.\n{moves}G0 Z1.\nM5\nM30\n%\n");
        Self { program, ..self.job(", \"allowance\": 0.01", "") }
    }

    /// With a blank that is larger than the outline by this all round.
    fn blank(self, margin: f64) -> Self {
        let (low, x, y) = (-margin, 2.0 + margin, 1.0 + margin);
        self.job(
            "[[-0.1,-0.1],[2.1,-0.1],[2.1,1.1],[-0.1,1.1]]",
            &format!("[[{low},{low}],[{x},{low}],[{x},{y}],[{low},{y}]]"),
        )
    }

    /// With a clamp beside the block that stands up to .75.
    fn clamp(self) -> Self {
        let clamp = r#""keep_clear": [ { "name": "clamp 1", "top": 0.75,
            "area": { "vertices": [[3,0],[4,0],[4,1],[3,1]] } } ], "bed""#;
        self.job("\"bed\"", clamp)
    }

    fn prove(&self) -> Proof {
        prove(&self.job, &[&self.program], Some(CELL))
    }
}

fn found(proof: &Proof, code: Code) -> Vec<Finding> {
    proof.findings.iter().filter(|finding| finding.code == code).cloned().collect()
}

/// `inside` has no finding of this code and weight, `outside` exactly one, with its pass and a line. Returns that one.
#[track_caller]
fn border(what: &str, code: Code, severity: Severity, inside: &Case, outside: &Case) -> Finding {
    let mut just_inside = found(&inside.prove(), code);
    just_inside.retain(|finding| finding.severity >= severity);
    assert!(just_inside.is_empty(), "{what}, inside: {just_inside:?}");
    let proof = outside.prove();
    let just_outside = found(&proof, code);
    assert_eq!(just_outside.len(), 1, "{what}, outside: {just_outside:?} among {:?}", codes(&proof));
    let finding = just_outside[0].clone();
    assert_eq!((finding.severity, finding.pass), (severity, Some(0)), "{what}: {finding:?}");
    finding
}

fn stop(what: &str, code: Code, inside: &Case, outside: &Case) -> Finding {
    let finding = border(what, code, Severity::Stop, inside, outside);
    assert!(finding.line.is_some() && finding.at.is_some(), "{what}: {finding:?}");
    finding
}

#[test]
fn the_sound_job_is_clear_and_says_what_it_could_not_check() {
    let proof = sound().prove();
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{:?}", proof.findings);
    let whole = sound().tool(r#""flute_length": 0.5, "stickout": 1, "holder_diameter": 1.5"#).prove();
    assert_eq!(found(&whole, Code::NotChecked), [], "with all of the tool known there is nothing left out");
    let notes = found(&proof, Code::NotChecked);
    assert!(notes.len() == 1 && notes[0].message.contains("tool 1"), "{notes:?}");
}

#[test]
fn the_bed_is_reached_by_the_tip_of_every_form() {
    for form in [FLAT, BALL, UNDERCUT, EDGE_ROUND] {
        let inside = sound().form(form).job("-0.52", "-0.5");
        let outside = sound().form(form).job("-0.52", "-0.4999");
        let finding = stop(form, Code::CutsBed, &inside, &outside);
        assert!(finding.message.contains(".0001 in below"), "{}", finding.message);
    }
}

#[test]
fn metal_past_the_flutes() {
    // The tip is .5 under the top of the block.
    for form in [FLAT, BALL] {
        let flutes = |length: &str| sound().form(form).tool(&format!("\"flute_length\": {length}"));
        let finding = stop(form, Code::PastFlutes, &flutes("0.4996"), &flutes("0.499"));
        assert!(finding.message.contains("up to .0010 in above"), "{}", finding.message);
        assert_eq!(finding.line, Some(10), "where the tool comes into the block");
    }
    // In two steps of .25 each meets no more than .25.
    let steps = |length: &str| sound().depths(&[-0.25, -0.5]).tool(&format!("\"flute_length\": {length}"));
    stop("in steps", Code::PastFlutes, &steps("0.25"), &steps("0.249"));
    // The body above the rounding begins .625 over the tip: at the top of the block, or a little under it.
    let deep = |z: f64| {
        let lower = sound().job("-0.52", "-1").form(EDGE_ROUND).tool("\"flute_length\": 0.625");
        lower.depths(&[z])
    };
    stop("edge rounding", Code::PastFlutes, &deep(-0.625), &deep(-0.627));
    // A ramp: the metal at its end is met at the depth the tool has there, not at the lowest of the whole way.
    let ramp = |length: &str| {
        let slope = "G0 X-.8 Y.5\nG0 Z.1\nG1 Z-.1 F5.\nG1 X1. Z-.5\n";
        sound().moves(slope).tool(&format!("\"flute_length\": {length}"))
    };
    // The front of the tool is .25 ahead of its axis; it comes to the edge at -.1 with the axis at -.35, Z -.2, and at
    // the end it stands in metal of .5 in height.
    stop("down a ramp", Code::PastFlutes, &ramp("0.505"), &ramp("0.49"));
}

#[test]
fn the_neck_of_an_undercut_cutter() {
    // A cone of 10 degrees and .25 in leaves a neck of .25 - .25 tan 10 = .2059 in, its axis .26 from the outline: a lip
    // that stands .05 out is clear by .004, one of .06 is hit by .006.
    let along = "G0 X-.26 Y-1.\nG1 Z-.5 F5.\nG1 Y2. F10.\n";
    let lip = |margin: f64| sound().form(UNDERCUT).blank(margin).moves(along);
    let finding = stop("neck", Code::ShankContact, &lip(0.05), &lip(0.06));
    assert!(
        finding.message.contains("neck") && finding.message.contains(".2500 in above"),
        "{}",
        finding.message
    );
    // A lip that ends lower than the neck begins, .25 over the tip, is not hit.
    let under = |z: &str| {
        let low = sound().form(UNDERCUT).blank(0.06).job("\"top\": 0,", "\"top\": -0.25,");
        low.moves(&along.replace("Z-.5", z))
    };
    stop("lip under the neck", Code::ShankContact, &under("Z-.5"), &under("Z-.502"));
}

/// What is no flute is shank, also where a silhouette draws it: a relieved neck plows through what stands above the
/// flutes.
#[test]
fn a_neck_drawn_in_a_silhouette() {
    let drawn = |flutes: &str, keys: &str| {
        let points = format!("[[0.25,0],[0.25,{flutes}],[0.15,{flutes}],[0.15,0.8],[0.25,0.8]]");
        let case = sound().form(&format!(r#""kind": "silhouette", "points": {points}"#));
        if keys.is_empty() { case } else { case.tool(keys) }
    };
    let finding = stop("neck", Code::ShankContact, &drawn("0.4996", ""), &drawn("0.499", ""));
    assert!(finding.message.contains("up to .0010 in above"), "{}", finding.message);
    // Flutes that are stated shorter than the body drawn above them end where they are stated to.
    let stated = |length: &str| drawn("0.6", &format!("\"flute_length\": {length}"));
    stop("stated", Code::ShankContact, &stated("0.4996"), &stated("0.499"));
}

#[test]
fn a_shank_wider_than_its_cutter() {
    // In two steps, so that the flutes themselves are long enough; the shank begins at the top of the block or below.
    let shank = |flutes: &str, diameter: &str| {
        let keys = format!("\"flute_length\": {flutes}, \"shank_diameter\": {diameter}");
        sound().depths(&[-0.25, -0.5]).tool(&keys)
    };
    stop("in height", Code::ShankContact, &shank("0.5", "0.7"), &shank("0.499", "0.7"));
    // The wall stands .25 from the axis; a cell is .004.
    stop("in plan", Code::ShankContact, &shank("0.3", "0.504"), &shank("0.3", "0.52"));
}

#[test]
fn the_holder() {
    let stickout = |length: &str| sound().tool(&format!("\"stickout\": {length}, \"holder_diameter\": 1.5"));
    stop("in height", Code::HolderContact, &stickout("0.5"), &stickout("0.499"));
    // Past the blank at .7 from its edge, as rapid and as feed.
    for word in ["G0", "G1"] {
        let beside = |diameter: &str| {
            let moves = format!("G0 X-.8 Y-1.\nG1 Z-.5 F10.\n{word} Y2.\n");
            sound().moves(&moves).tool(&format!("\"stickout\": 0.3, \"holder_diameter\": {diameter}"))
        };
        stop(word, Code::HolderContact, &beside("1.39"), &beside("1.42"));
    }
}

#[test]
fn areas_to_be_kept_clear() {
    // The cutter's radius is .25, the clamp's side at X 3.
    for word in ["G0", "G1 F10."] {
        let past = |x: &str| sound().clamp().moves(&format!("G0 X{x} Y-1.\nG0 Z.5\n{word} Y2.\n"));
        let finding = stop(word, Code::KeepClear, &past("2.75"), &past("2.7501"));
        assert!(finding.message.contains("cutter comes .0001 in into"), "{}", finding.message);
        assert!(finding.message.contains("clamp 1"), "{}", finding.message);
        assert_eq!(finding.line, Some(9), "the line that goes past");
        let over = |z: &str| sound().clamp().moves(&format!("G0 X2. Y.5\nG0 Z{z}\n{word} X5.\n"));
        stop(word, Code::KeepClear, &over(".75"), &over(".7499"));
    }
    let down = |z: &str| sound().clamp().moves(&format!("G0 X2.8 Y.5\nG1 Z{z} F10.\n"));
    stop("straight down", Code::KeepClear, &down(".75"), &down(".7499"));
    // An arc about (2, .5) whose easternmost point is .25 from the clamp.
    let arc = |radius: f64| {
        let (low, high) = (0.5 - radius, 0.5 + radius);
        sound().clamp().moves(&format!("G0 X2. Y{low}\nG0 Z.2\nG3 X2. Y{high} I0. J{radius} F10.\n"))
    };
    stop("an arc", Code::KeepClear, &arc(0.75), &arc(0.7501));
    // A ball .1 under the clamp's top is sqrt(.25^2 - .15^2) = .2 wide there.
    let ball = |x: &str| sound().form(BALL).clamp().moves(&format!("G0 X{x} Y-1.\nG0 Z.65\nG1 Y2. F10.\n"));
    stop("ball", Code::KeepClear, &ball("2.8"), &ball("2.8001"));
    // A concave quarter of .125 on a pilot of .125, .05 up: .25 - sqrt(.125^2 - .05^2) = .13544.
    let round =
        |x: &str| sound().form(SHORT_PILOT).clamp().moves(&format!("G0 X{x} Y-1.\nG0 Z.7\nG1 Y2. F10.\n"));
    stop("edge rounding", Code::KeepClear, &round("2.8645"), &round("2.8646"));
    // An undercut cutter is widest at its tip.
    let under =
        |x: &str| sound().form(UNDERCUT).clamp().moves(&format!("G0 X{x} Y-1.\nG0 Z.2\nG1 Y2. F10.\n"));
    stop("undercut", Code::KeepClear, &under("2.75"), &under("2.7501"));
}

#[test]
fn shank_and_holder_keep_clear_as_well() {
    for (keys, what) in [
        (r#""flute_length": 0.3, "shank_diameter": 1.5"#, "shank"),
        (r#""stickout": 0.3, "holder_diameter": 1.5"#, "holder"),
    ] {
        // .3 above the tip, .75 wide: at Z .45 it begins at the clamp's top.
        let at = |x: &str, z: &str| {
            sound().tool(keys).clamp().moves(&format!("G0 X{x} Y-1.\nG0 Z{z}\nG1 Y2. F10.\n"))
        };
        let finding = stop(what, Code::KeepClear, &at("2.4", ".45"), &at("2.4", ".4499"));
        assert!(finding.message.contains(what), "{}", finding.message);
        stop(what, Code::KeepClear, &at("2.25", ".3"), &at("2.2501", ".3"));
    }
}

/// What a touch-off may be wrong by is .005.
#[test]
fn a_clamp_that_is_only_just_cleared() {
    for (word, far, near) in [
        ("over", "G0 X2. Y.5\nG0 Z.7551\nX5.\n", "G0 X2. Y.5\nG0 Z.7549\nX5.\n"),
        ("beside", "G0 X2.7449 Y-1.\nG0 Z.5\nG0 Y2.\n", "G0 X2.7451 Y-1.\nG0 Z.5\nG0 Y2.\n"),
    ] {
        let [far, near] = [far, near].map(|moves| sound().clamp().moves(moves));
        let finding = border(word, Code::KeepClear, Severity::Look, &far, &near);
        assert!(finding.message.contains("by less than .0050 in") && finding.line.is_some(), "{finding:?}");
    }
}

/// From (5.7, -1) past the clamp, which reaches from (3, 0) to (4, 1). Where X and Y move each at full speed they go at 45
/// degrees until one of them is there (common practice, no source).
#[test]
fn a_rapid_that_the_machine_may_not_keep_straight() {
    let past = |moves: &str| sound().clamp().moves(&format!("G0 X5.7 Y-1.\nG0 Z.2\n{moves}"));
    let clear = past("G0 Y2.\nG0 X2.7 Y2.\n");
    assert!(found(&clear.prove(), Code::KeepClear).is_empty());
    // On a straight way from (5.7, -1) to (5., 4.) it keeps 1. off; bent it goes by (5., -.3), .75 off.
    assert!(found(&past("G0 X5. Y4.\n").prove(), Code::KeepClear).is_empty());
    // To (4.2, 4.): straight it is at X 4.9 where the clamp ends, bent at X 4.2 from Y .5, and the cutter reaches .25.
    let bent = found(&past("G0 X4.2 Y4.\n").prove(), Code::KeepClear);
    assert_eq!(bent.len(), 1, "{bent:?}");
    assert!((bent[0].amount.expect("an amount") - 0.05).abs() < 1e-9, "{bent:?}");
    assert_eq!((bent[0].severity, bent[0].line), (Severity::Look, Some(9)));
    // The same past the block, .1 larger than the outline all round: to (2.3, 4.), .05 into its side.
    let block = sound().moves("G0 X3.7 Y-1.\nG0 Z-.2\nG0 X2.3 Y4.\nG0 Z1.\nG1 X2. Z-.1 F10.\n");
    let bent = found(&block.prove(), Code::RapidThroughBlock);
    assert_eq!(bent.len(), 1, "{bent:?}");
    assert!((bent[0].amount.expect("an amount") - 0.05).abs() < 3e-4, "{bent:?}");
    assert_eq!((bent[0].severity, bent[0].line), (Severity::Look, Some(9)));
}

/// A rapid that slants up past the edge of the block: `t` below the top it comes in as far as at the top less `slope t`,
/// and there is `t` of metal above it. It is deepest where both are the same.
#[test]
fn how_deep_a_slanting_rapid_goes() {
    for (at_top, slope) in [(0.25, 1.0), (0.05, 1.0), (0.01, 0.5), (0.2, 2.0)] {
        // The blank's side is at X -.1, the cutter's radius .25: it goes up to where it would be at Z .1.
        let (low, high) = (-0.35 + at_top - slope * 0.4, -0.35 + at_top + slope * 0.1);
        let moves = format!("G0 X{low} Y.5\nG0 Z-.4\nG0 X{high} Z.1\n");
        let finding = found(&sound().moves(&moves).prove(), Code::RapidThroughBlock);
        assert_eq!(finding.len(), 1, "{finding:?}");
        let want = at_top / (1.0 + slope);
        let told = finding[0].amount.expect("an amount");
        // Metal counts from .0005 above the tip.
        assert!((told - want).abs() < 8e-4, "{told} for {want}");
        assert_eq!(finding[0].severity, Severity::Stop);
    }
}

/// A chamfer along a short part of a side, between long ways in and out: what it is meant to be is what its straight part
/// makes, and a dip by .005 into the same side is not meant.
#[test]
fn a_chamfer_along_a_part_of_a_side() {
    let vee = r#""kind": "chamfer", "tip_diameter": 0, "angle": 30, "height": 0.3"#;
    let case = |between: &str| {
        let moves = format!(
            "G0 X-.5 Y-.1\nG0 Z.1\nG1 Z-.05 F5.\nG1 X-.52 F10.\nG3 X-.02 Y.4 I0. J.5\n{between}G1 Y.6\nG3 X-.52 Y1.1 I-.5 J0.\n"
        );
        let case = sound().moves(&moves).form(vee);
        case.job(r#""tool": 1 }"#, r#""tool": 1, "does": "edge", "bottom": -0.05 }"#)
    };
    let finding = stop(
        "a dip",
        Code::PastOutline,
        &case("G1 Y.5\n"),
        &case("G1 Y.5\nG1 X-.015 Y.51\nG1 Y.52\nG1 X-.02 Y.53\n"),
    );
    assert_eq!(finding.line, Some(14), "{finding:?}");
}

#[test]
fn the_machine_s_travel() {
    let x = |offset: &str| {
        let machine = sound().machine(r#""travel": { "x": [-12, 12] }"#);
        machine.control(&format!(r#""work_offsets": {{ "G54": [{offset}, 0, 0] }}"#))
    };
    // The program goes from X -.8 to X 2.26.
    let low = stop("lower end", Code::OffTravel, &x("-11.2"), &x("-11.2001"));
    assert!(low.message.contains("X goes .0001 in past the lower end"), "{}", low.message);
    assert_eq!(low.at.map(|at| at.x), Some(-0.8));
    let high = stop("upper end", Code::OffTravel, &x("9.74"), &x("9.7401"));
    assert!(high.message.contains("upper"), "{}", high.message);
    // Z goes up to 1.; the spindle's nose stands 3. above the tip once its length is in force.
    let z = |offset: &str, lengths: &str| {
        let machine = sound().machine(r#""travel": { "z": [-9, 0] }"#);
        machine.control(&format!(r#""work_offsets": {{ "G54": [0, 0, {offset}] }}{lengths}"#))
    };
    stop("Z", Code::OffTravel, &z("-1", ""), &z("-0.9999", ""));
    let long = |offset: &str| z(offset, r#", "length_offsets": [[1, 3]]"#).line("G0 Z1.", "G43 H1 G0 Z1.");
    stop("Z with a length", Code::OffTravel, &long("-4"), &long("-3.9999"));
    // The offsets of another system are not those of this program.
    let other = |system: &str| x("-11.3").line("G20 G17", &format!("{system} G20 G17"));
    assert!(found(&other("G55").prove(), Code::OffTravel).is_empty());
    assert_eq!(found(&other("G54").prove(), Code::OffTravel).len(), 1);
}

/// What is set after the last move, or for a system that is never called, moves nothing of this program.
#[test]
fn travel_is_looked_at_whatever_zero_is_set_and_not_used() {
    let x = |offset: &str, from: &str, to: &str| {
        let machine = sound().machine(r#""travel": { "x": [-12, 12] }"#);
        machine.control(&format!(r#""work_offsets": {{ "G54": [{offset}, 0, 0] }}"#)).line(from, to)
    };
    for (what, from, to) in [
        ("a late G92", "G0 Z1.\nM5", "G0 Z1.\nG92 X0. Y0.\nM5"),
        ("a G10 of another system", "G0 Z1.", "G10 L2 P3 X5. Y5. Z0.\nG0 Z1."),
    ] {
        stop(what, Code::OffTravel, &x("-11.2", from, to), &x("-11.2001", from, to));
    }
}

#[test]
fn travel_without_work_offsets_is_held_against_the_length_of_the_way() {
    let long = |length: &str| sound().machine(&format!(r#""travel": {{ "x": [0, {length}] }}"#));
    stop("length", Code::OffTravel, &long("3.06"), &long("3.0599"));
    let notes = found(&long("12").prove(), Code::NotChecked);
    assert!(notes.iter().any(|note| note.message.contains("no work offsets")), "{notes:?}");
}

#[test]
fn spindle_and_feed_too_fast() {
    let spindle = |most: &str| sound().machine(&format!("\"spindle_max\": {most}"));
    border("spindle", Code::TooFast, Severity::Look, &spindle("1000"), &spindle("999"));
    let rapid = |most: &str| sound().job("\"rapid\": 100", &format!("\"rapid\": {most}"));
    border("feed", Code::TooFast, Severity::Look, &rapid("10"), &rapid("9.9"));
    assert!(found(&rapid("9.9").prove(), Code::OddFeed).is_empty(), "told once");
}

#[test]
fn chip_load_against_the_usual() {
    // .10 mm is usual for 12 to 16 mm, .003937 in; two flutes at S1000 make F2000 times the chip load. The borders are
    // a quarter and twice of it: F1.9685 and F15.748.
    let feed = |feed: &str| sound().tool("\"flutes\": 2").line("F10.", feed);
    border("heavy", Code::ChipLoad, Severity::Look, &feed("F15.74"), &feed("F15.76"));
    border("light", Code::ChipLoad, Severity::Note, &feed("F1.97"), &feed("F1.96"));
    assert!(found(&sound().line("F10.", "F90.").prove(), Code::ChipLoad).is_empty(), "no flutes given");
    // A full circle ends where it began and still cuts: here .05 into the blank.
    let circle = |feed: &str| {
        let round = format!("G2 I.25 J0. {feed}\nG1 X-.26 F10.");
        sound().tool("\"flutes\": 2").line("G1 X-.26 F10.", &round)
    };
    let finding = border("circle", Code::ChipLoad, Severity::Look, &circle("F15.74"), &circle("F15.76"));
    assert_eq!(finding.line, Some(10));
}

#[test]
fn power_against_the_spindle() {
    // At the end of the way in, the front of the cutter stands .09 past the edge, .16 from its axis: a chord of
    // 2 sqrt(.25^2 - .16^2) = .3842, .5 deep at 10 in/min, is 1.921 in3/min; at .33 hp each that takes .634 hp.
    let power = |there: &str| sound().machine(&format!("\"power\": {there}"));
    let finding = border("power", Code::OverPower, Severity::Look, &power("0.64"), &power("0.628"));
    assert!(finding.message.contains("hp") && finding.line == Some(10), "{finding:?}");
    let unknown = power("0.1").job(",\n                 \"material\": \"aluminum 6061-T6\"", "");
    assert!(found(&unknown.prove(), Code::OverPower).is_empty(), "no material, no power");
}

/// The right side is passed over in the air.
fn lifted() -> Case {
    sound().line("G1 Y0.\n", "G0 Z.1\nG0 Y0.\nG1 Z-.5\n")
}

#[test]
fn metal_left_by_the_last_pass() {
    // .010 is meant, .001 more is within the tolerance.
    let right = |x: &str| lifted().job("[2.1,-0.1],[2.1,1.1]", &format!("[{x},-0.1],[{x},1.1]"));
    let finding = border("left", Code::MetalLeft, Severity::Look, &right("2.0109"), &right("2.0112"));
    assert!(finding.line.is_some() && finding.at.is_some() && finding.station.is_some(), "{finding:?}");
    let proof = right("2.1").prove();
    assert!(found(&proof, Code::LeaveOffAllowance).is_empty(), "told once: {:?}", codes(&proof));
    assert!(found(&proof, Code::MetalLeft)[0].message.contains(".0900 in more"), "{:?}", proof.findings);
    // A later pass without an allowance takes it.
    let more = right("2.1").job(
        r#""allowance": 0.01 }"#,
        r#""allowance": 0.01 }, { "name": "Again", "program": "2.nc", "tool": 1 }"#,
    );
    let proof = prove(&more.job, &[&more.program, &program(&[-0.5])], Some(CELL));
    assert!(found(&proof, Code::MetalLeft).is_empty(), "{:?}", proof.findings);
}

#[test]
fn a_pass_that_is_meant_to_cut_inside_the_outline() {
    // .20 from the outline, with a radius of .25.
    let inside = |allowance: &str| {
        let case = sound().job("\"allowance\": 0.01", &format!("\"allowance\": {allowance}"));
        Case { program: case.program.replace(".26", ".20"), ..case }
    };
    let finding = stop("past", Code::PastOutline, &inside("-0.0491"), &inside("-0.0489"));
    assert!(finding.message.contains("where .0489 in is meant"), "{}", finding.message);
}

#[test]
fn a_pass_that_is_light_all_round() {
    // It takes .09 all round.
    let light = |below: &str| sound().job("\"light_below\": 0.01", &format!("\"light_below\": {below}"));
    border("light", Code::NotNeeded, Severity::Note, &light("0.0899"), &light("0.0901"));
}

#[test]
fn a_cut_that_runs_out_is_one_event() {
    // The right side of the blank leans from .0 to .1 outside the outline: none up to .010, light up to .020, then full.
    let leaning = sound().job("[2.1,-0.1],[2.1,1.1]", "[1.99,-0.1],[2.11,1.1]").prove();
    let none = found(&leaning, Code::NoContact);
    assert_eq!(none.len(), 1, "{:?}", leaning.findings);
    assert!(none[0].message.contains("The cut is light"), "{}", none[0].message);
    assert!(found(&leaning, Code::LightCut).is_empty(), "{:?}", leaning.findings);
    // A corner sawn off at the first vertex: one stretch over it, not two.
    let corner = sound().job("[[-0.1,-0.1],", "[[-0.1,0.3],[0.3,-0.1],").prove();
    let none = found(&corner, Code::NoContact);
    assert_eq!(none.len(), 1, "{:?}", corner.findings);
    assert!(none[0].message.contains("on both sides"), "{}", none[0].message);
    let station = none[0].station.expect("a station");
    assert!(!(0.02..=5.98).contains(&station), "{station}");
}
