//! Reading programs, held against the published language: T. R. Kramer, F. M. Proctor, E. Messina, *The NIST
//! RS274NGC Interpreter - Version 3*, NISTIR 6556, 17 Aug 2000. Beside each value stands where it comes from, and
//! whether it was read there ("published") or follows from what was read there by plain arithmetic ("derived").

#![expect(clippy::expect_used, clippy::panic, reason = "the helpers of a test may fail it")]

use blockwright_core::control::{ArcCenters, PlainNumbers};
use blockwright_core::finding::{Code, Severity};
use blockwright_core::geometry::{Point3, pt, pt3};
use blockwright_core::program::{Curve, Kind, Motion, Plane, Program, Settings, read};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units::{self, Inch, Mm};

fn run_with(text: &str, settings: &Settings) -> Program {
    read(text.as_bytes(), settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

fn run(text: &str, units: Units) -> Program {
    run_with(text, &Settings { strict: true, ..Settings::new(units) })
}

/// The motions of a program in which everything can be followed.
fn motions(text: &str, units: Units) -> Vec<Motion> {
    let program = run(text, units);
    assert_eq!(program.findings, [], "{text}");
    assert!(!program.unproven && program.motions.iter().all(|motion| motion.proven), "{text}");
    program.motions
}

fn last(text: &str, units: Units) -> Motion {
    *motions(text, units).last().expect("there is a motion")
}

fn ends(text: &str, units: Units) -> Vec<Point3> {
    motions(text, units).iter().map(|motion| motion.end).collect()
}

fn near(got: f64, want: f64, within: f64, what: &str) {
    assert!((got - want).abs() <= within, "{what}: {got} is not {want}");
}

/// Plane, centre (as the plane's pair), sweep in degrees.
fn arc(motion: &Motion) -> (Plane, f64, f64, f64) {
    match motion.curve {
        Curve::Arc { plane, centre, sweep } => (plane, centre.x, centre.y, sweep.to_degrees()),
        Curve::Straight => panic!("{motion:?} is no arc"),
    }
}

fn codes(program: &Program) -> Vec<(Code, u32, u32)> {
    let place = |n: Option<u32>| n.expect("a finding has a line and a column");
    program.findings.iter().map(|f| (f.code, place(f.line), place(f.column))).collect()
}

fn tools(program: &Program) -> Vec<(u32, u32)> {
    program.tools.iter().map(|call| (call.number, call.line)).collect()
}

// --- arcs: NISTIR 6556, 3.5.3 ------------------------------------------------------------------------------------

#[test]
fn check_a_centre_form_helix() {
    // 3.5.3.2: from (7,7); centre (10,11), radius 5 [published]; sweep and length [derived]
    let motion = last("G0 X7 Y7 Z0\nG17 G2 x10 y16 i3 j4 z9", Mm);
    let (plane, x, y, sweep) = arc(&motion);
    assert_eq!(plane, Plane::Xy);
    near(x, 10.0, 1e-12, "centre x");
    near(y, 11.0, 1e-12, "centre y");
    near(motion.start.plan().distance(pt(x, y)), 5.0, 1e-12, "radius");
    near(sweep, -143.1301, 5e-5, "sweep");
    // plan length 5 times the sweep, with the plan length alone 12.490458 [derived]; the helix adds z
    let plan = 5.0 * sweep.abs().to_radians();
    near(plan, 12.490_458, 5e-7, "plan length");
    near(motion.length(), plan.hypot(9.0), 1e-9, "helix length");
}

#[test]
fn check_b_radius_form() {
    // table 10: end (0,1), centre (1.5, 7.8476), clockwise, z 0.5 [published]; sweep, lengths [derived]. The published
    // line writes x as an expression, x[6-[4*3/2]], which is 0: written x0 here.
    let motion = last("G0 X3 Y1 Z0\ng2 x0 y1 r7.01 z0.5", Mm);
    let (_, x, y, sweep) = arc(&motion);
    assert_eq!(motion.end, pt3(0.0, 1.0, 0.5));
    near(x, 1.5, 1e-12, "centre x");
    near(sweep, -24.7114, 5e-5, "sweep");
    near(7.01 * sweep.abs().to_radians(), 3.023_379, 5e-7, "plan length");
    near(motion.length(), 3.064_444, 5e-7, "helix length");
    // clockwise from (3,1) to (0,1), less than half a turn: seen from above the tool goes left below its centre
    near(y, 1.0 + (7.01_f64.powi(2) - 2.25).sqrt(), 1e-12, "centre y");
    near(y, 7.8476, 5e-5, "centre y as published");
}

#[test]
fn check_c_radius_form() {
    // 3.5.3.1: ends at (10,15,5), radius 20 [published]
    let motion = last("G17 G2 x10 y15 r20 z5", Mm);
    let (_, x, y, sweep) = arc(&motion);
    assert_eq!(motion.end, pt3(10.0, 15.0, 5.0));
    for end in [motion.start, motion.end] {
        near(end.plan().distance(pt(x, y)), 20.0, 1e-12, "radius");
    }
    assert!(sweep < 0.0 && sweep > -180.0);
}

#[test]
fn a_negative_radius_takes_the_long_way() {
    // 3.5.3.1: +R half a turn or less, -R half a turn to 359.999 degrees [published]; sweeps [derived]
    for (text, want) in [
        ("G2 X1 Y1 R1", -90.0),
        ("G2 X1 Y1 R-1", -270.0),
        ("G3 X1 Y1 R1", 90.0),
        ("G3 X1 Y1 R-1", 270.0),
        ("G2 X2 R1", -180.0),
        ("G3 X2 R-1", 180.0),
    ] {
        near(arc(&last(text, Inch)).3, want, 1e-9, text);
    }
}

#[test]
fn arcs_of_the_other_planes_turn_as_seen_from_their_axis() {
    // 3.5.3: counter-clockwise seen from the positive end of the axis; pairs Z,X and Y,Z [published]
    let zx = last("G0 X0 Z1\nG18 G3 X1 Z0 Y2 I0 K-1", Inch);
    assert_eq!(arc(&zx), (Plane::Zx, 0.0, 0.0, 90.0));
    near(zx.length(), std::f64::consts::FRAC_PI_2.hypot(2.0), 1e-12, "helix along Y");
    let yz = last("G0 Y1\nG19 G3 Y0 Z1 J-1", Inch);
    assert_eq!(arc(&yz), (Plane::Yz, 0.0, 0.0, 90.0));
    near(arc(&last("G0 X0 Z1\nG18 G2 X1 Z0 R1", Inch)).3, -90.0, 1e-9, "G2 in G18");
}

#[test]
fn the_five_arcs_of_the_first_sample_program() {
    // appendix C.1: the lines [published], where each starts and the sums [derived]. The rest of that program is not
    // in our references, so its straight moves are not held against anything.
    let lines = [
        ("G0 X16 Y2.5", "g3 x13.5 y0 i-2.5", 11.780_972),
        ("G0 X32.5 Y0", "g2 x32.5 j2.5", 15.707_963),
        ("G0 X57.5 Y0", "g2 x57.5 j2.5", 15.707_963),
        ("G0 X64 Y4", "g2 x69 r4", 5.401_052),
        ("G0 X79.5 Y0", "g2 j2.5 y5", 7.853_982),
    ];
    let mut text = "g21 g90 g17\nf20\n".to_owned();
    for (start, line, _) in lines {
        text.extend([start, "\n", line, "\n"]);
    }
    let arcs: Vec<Motion> = motions(&text, Mm).into_iter().filter(|m| m.kind == Kind::Feed).collect();
    for (motion, (_, line, length)) in arcs.iter().zip(lines) {
        near(motion.length(), length, 5e-7, line);
    }
    near(arcs.iter().map(Motion::length).sum(), 56.451_933, 5e-7, "all arcs");
    let (_, x, y, sweep) = arc(&arcs[3]);
    near(x, 66.5, 1e-12, "r4 centre x");
    near(y, 0.877_501, 5e-7, "r4 centre y");
    near(sweep, -77.3644, 5e-5, "r4 sweep");
    // 56.451933 mm at F20
    let seconds: f64 = arcs.iter().filter_map(|motion| motion.seconds(None)).sum();
    near(seconds, 56.451_933 / 20.0 * 60.0, 1e-5, "time");
}

#[test]
fn the_arc_tolerance_is_that_of_the_unit_in_force() {
    // 3.5.3.2: more than 0.0002 inch in inch mode, more than 0.002 mm in mm mode [published]
    for (units, text, inside) in [
        (Inch, "G20 G2 X1.0002 Y1 I1", true),
        (Inch, "G20 G2 X1.0 Y1.0002 I1", true),
        (Inch, "G20 G2 X1.0 Y1.00021 I1", false),
        (Mm, "G21 G2 X1 Y1.002 I1", true),
        (Mm, "G21 G2 X1 Y1.0021 I1", false),
        (Inch, "G21 G2 X1 Y1.002 I1", true),
        (Inch, "G21 G2 X1 Y1.0021 I1", false),
        (Mm, "G20 G2 X1 Y1.0002 I1", true),
        (Mm, "G20 G2 X1 Y1.00021 I1", false),
        (Inch, "G20 G2 X2 R0.9998", true),
        (Inch, "G20 G2 X2 R0.9997", false),
        (Mm, "G21 G2 X2 R0.998", true),
        (Mm, "G21 G2 X2 R-0.9979", false),
    ] {
        let program = run(text, units);
        let found = codes(&program);
        assert_eq!(found.is_empty(), inside, "{text}: {found:?}");
        assert!(found.iter().all(|(code, ..)| *code == Code::ArcMismatch), "{text}");
        // either way the motion is an arc with its ends where the program puts them
        let motion = program.motions[0];
        let (_, x, y, _) = arc(&motion);
        let (a, b) = (motion.start.plan().distance(pt(x, y)), motion.end.plan().distance(pt(x, y)));
        near(a, b, 1e-9, text);
        near(motion.at(1.0).distance(motion.end), 0.0, 1e-12, text);
    }
}

#[test]
fn a_mismatch_says_how_much_and_what_is_allowed() {
    let program = run("G20\nG1 X1 F5\n N9 G2 X2. Y1.01 I1.", Inch);
    assert_eq!(codes(&program), [(Code::ArcMismatch, 3, 18)]);
    let finding = &program.findings[0];
    assert_eq!(finding.severity, Severity::Stop);
    assert!(
        finding.message.contains(".0100 in") && finding.message.contains(".0002 in"),
        "{}",
        finding.message
    );
    let loose = Settings { arc_tolerance: Some(0.0101), ..Settings::new(Inch) };
    assert_eq!(run_with("G2 X1 Y1.01 I1", &loose).findings, []);
    assert!(run("G20 G2 X4 R1.5", Inch).findings[0].message.contains(".5000 in"));
}

#[test]
fn full_circles() {
    // 3.5.3.2: end point equal to start is a full circle in centre form [published], an error in radius form
    for (text, sweep) in
        [("G2 X0 Y0 I1", -360.0), ("G3 X0 J-2 Z1", 360.0), ("G91 G3 X0 Y0 I.5", 360.0), ("G2 I1", -360.0)]
    {
        near(arc(&last(text, Inch)).3, sweep, 1e-9, text);
    }
    for text in ["G2 X0 Y0 R1", "G2 R1", "G2 X0 Y0 I0 J0"] {
        let program = run(text, Inch);
        assert_eq!(program.findings[0].code, Code::ArcMismatch, "{text}");
        assert!(program.unproven, "{text}");
    }
}

#[test]
fn arc_centres_as_the_control_takes_them() {
    let absolute = Settings { arc_centers: ArcCenters::Absolute, ..Settings::new(Inch) };
    let program = run_with("G0 X3 Y1\nG3 X2 Y2 I2 J1", &absolute);
    assert_eq!((program.findings.len(), arc(&program.motions[1])), (0, (Plane::Xy, 2.0, 1.0, 90.0)));
    assert_eq!(codes(&run_with("G0 X3 Y1\nG3 X2 Y2 I2", &absolute)), [(Code::UnprovenState, 2, 10)]);
    // 3.5.3: I, J, K are always from the start point, whatever G90 or G91 [published]
    let motion = last("G0 X3 Y1\nG91 G3 X-1 Y1 I-1", Inch);
    assert_eq!((arc(&motion), motion.end), ((Plane::Xy, 2.0, 1.0, 90.0), pt3(2.0, 2.0, 0.0)));
}

// --- order of execution: NISTIR 6556, table 8 --------------------------------------------------------------------

#[test]
fn words_act_in_the_published_order_wherever_they_stand() {
    // F (3), S (4), T (5), M6 (6), M3 (7), G21 (12), then the move (20) [published]
    let program = run("G1 X1 F10 G21 M3 S500 T2 M6", Inch);
    let motion = program.motions[0];
    assert_eq!(motion.end, pt3(1.0 / 25.4, 0.0, 0.0));
    assert_eq!((motion.feed, motion.spindle, motion.tool), (10.0, 500.0, 2));
    assert_eq!(tools(&program), [(2, 1)]);
    // F before G21 is what the table says, but not what every control does
    assert_eq!(codes(&program), [(Code::UnprovenState, 1, 11)]);
    assert_eq!((program.findings[0].severity, program.unproven), (Severity::Look, false));
    // the same in any order
    let turned = run("M6 T2 S500 M3 G21 F10 X1 G1", Inch);
    assert_eq!(turned.motions, program.motions);
}

#[test]
fn stopping_words_act_after_the_move() {
    // M0, M1, M2, M30 are last (21) [published]; text after M2, M30 is not run (3.2)
    for stop in ["M2", "M30"] {
        let program = run(&format!("G0 X1 {stop}\nG0 X2\n"), Inch);
        assert_eq!(program.motions.len(), 1, "{stop}");
        assert_eq!((program.lines, program.unproven), (2, false));
        assert_eq!(program.findings[0].severity, Severity::Note, "said, but nothing to stop for");
    }
    assert_eq!(ends("M0 G0 X1\nM1 X2", Inch), [pt3(1.0, 0.0, 0.0), pt3(2.0, 0.0, 0.0)]);
    // G41 is on before the move (13) [published]: without its diameter the move of its line proves nothing
    let program = run("G0 X1\nG41 G1 Y4", Inch);
    assert_eq!(codes(&program), [(Code::UnprovenState, 2, 1)]);
    assert_eq!(program.motions.iter().map(|m| m.proven).collect::<Vec<_>>(), [true, false]);
}

#[test]
fn the_plane_and_the_distance_mode_are_set_before_the_move() {
    assert_eq!(ends("G0 X1\nG0 X1 G91\nX1", Inch)[2], pt3(3.0, 0.0, 0.0));
    assert_eq!(arc(&last("G0 Z1\nX1 Z0 R1 G2 G18", Inch)).0, Plane::Zx);
}

// --- modal groups: NISTIR 6556, table 4 --------------------------------------------------------------------------

#[test]
fn two_words_of_one_group_contradict() {
    // 3.4, table 4 [published]
    for (text, column) in [
        ("G0 G1 X1", 4),
        ("G1 G1 X1", 4),
        ("G80 G2 X1 R1", 5),
        ("G17 G18", 5),
        ("G90 G91", 5),
        ("G20 G21", 5),
        ("M0 M30", 4),
        ("M3 M5", 4),
        ("M6 M6", 4),
        ("M7 M9", 4),
        ("M8 M9", 4),
        ("G1 X1 X2", 7),
        ("F1 F2", 4),
        ("T1 M3 T2", 7),
        ("G2 X2 I1 I1", 10),
    ] {
        assert_eq!(codes(&run(text, Inch)), [(Code::UnprovenWord, 1, column)], "{text}");
    }
}

#[test]
fn words_of_different_groups_go_together() {
    let program = run("N10 G0 G17 G20 G90 G94 G40 G49\nG80\nM3 M7 M8 S100 T1\nM6\nM9", Inch);
    assert_eq!((tools(&program), program.findings), (vec![(1, 4)], vec![]));
}

#[test]
fn axis_words_without_a_motion_in_force_are_not_run() {
    // 3.5.1: G80 with axis words is an error [published]
    for (text, place) in [("X1", (1, 1)), ("G1 X1\nG80 X2", (2, 5)), ("G1 X1\nG80\nY3", (3, 1))] {
        let program = run(text, Inch);
        assert_eq!(codes(&program), [(Code::UnprovenState, place.0, place.1)], "{text}");
        assert!(program.unproven);
    }
    assert_eq!(ends("G1 X1\nG80\nG0 Y3", Inch)[1], pt3(1.0, 3.0, 0.0));
}

// --- lines and numbers: NISTIR 6556, 3.3 -------------------------------------------------------------------------

#[test]
fn blanks_and_case_mean_nothing() {
    // 3.3.1: `g0x +0. 12 34y 7` is `g0 x+0.1234 y7` [published]
    assert_eq!(ends("g0x +0. 12 34y 7", Inch), ends("g0 x+0.1234 y7", Inch));
    assert_eq!(ends("g0x +0. 12 34y 7", Inch), [pt3(0.1234, 7.0, 0.0)]);
    assert_eq!(ends("\tG\t00 x -.5\tY5.Z-0.", Inch), [pt3(-0.5, 5.0, 0.0)]);
}

#[test]
fn word_order_on_a_line_means_nothing() {
    // 3.3.4: the same in all orders [published]; here with words that can be followed
    let words = ["g40", "g1", "x3", "y2", "(foo)"];
    let want = ends("g40 g1 x3 y2", Inch);
    for first in 0..words.len() {
        for second in 0..words.len() {
            let mut line = words.to_vec();
            line.swap(first, second);
            line.rotate_left(second);
            assert_eq!(ends(&line.join(" "), Inch), want, "{line:?}");
        }
    }
}

#[test]
fn comments_run_to_their_end_on_the_same_line() {
    // 3.3.4: no nesting, closed on the line [published]
    assert_eq!(ends("(G0 X9; %)G0(X8)X1(MSG, hello)", Inch), [pt3(1.0, 0.0, 0.0)]);
    assert_eq!(codes(&run("G0 X1 (open\nX2", Inch)), [(Code::UnprovenWord, 1, 7)]);
    assert_eq!(codes(&run("G0 X1 (a (b) c)", Inch)), [(Code::UnprovenWord, 1, 10)]);
    // a character that takes two bytes is one column
    assert_eq!(codes(&run("(\u{f6}\u{f6}) G5", Inch)), [(Code::UnprovenWord, 1, 6)]);
}

#[test]
fn line_ends_marks_and_tape_ends() {
    let want = [pt3(1.0, 0.0, 0.0), pt3(2.0, 0.0, 0.0)];
    for text in [
        "%\nO1001\nG0 X1\nX2\nM30\n%\n",
        "%\r\nO1001\r\nG0 X1\r\nX2\r\nM30\r\n%\r\n\0\0\0",
        "%\rO1001\rG0 X1\rX2\r%",
        "O1001\nG0 X1\n\n  \nX2",
        "\n(opening)\n%\nO1001 (name)\nN1G0X1\nN123456X2\nN7\n%\nthis is not run",
    ] {
        let program = run(text, Inch);
        let stops = program.findings.iter().filter(|f| f.severity != Severity::Note).count();
        assert_eq!((program.number, stops, program.unproven), (Some(1001), 0, false), "{text:?}");
        assert_eq!(program.motions.iter().map(|m| m.end).collect::<Vec<_>>(), want, "{text:?}");
    }
    assert_eq!(run("G0 X1\nX2", Inch).number, None);
}

#[test]
fn deleted_lines_are_run_unless_the_switch_is_on() {
    // 3.3.1 [published]
    let text = "G0 X1\n/X2\n / G1 Y1";
    assert_eq!(run(text, Inch).motions.len(), 3);
    let on = Settings { block_delete: true, ..Settings::new(Inch) };
    assert_eq!(run_with(text, &on).motions.len(), 1);
}

// --- units, feed, spindle, tool ----------------------------------------------------------------------------------

#[test]
fn units_are_those_of_the_result() {
    assert_eq!(ends("G20 G0 X1\nG21 Y25.4", Mm), [pt3(25.4, 0.0, 0.0), pt3(25.4, 25.4, 0.0)]);
    assert_eq!(ends("G0 X1\nG21\nY25.4\nG91 G20 Y1", Inch)[2], pt3(1.0, 2.0, 0.0));
    let feeds: Vec<f64> =
        motions("G20\nG1 X1 F2\nG0 X2\nG1 X3\nG21\nF254\nX4", Inch).iter().map(|m| m.feed).collect();
    assert_eq!(feeds, [2.0, 0.0, 2.0, 10.0]);
    assert_eq!(last("G1 X1", Inch).feed, 0.0);
}

#[test]
fn plain_numbers_may_be_increments() {
    let settings = Settings { plain_numbers: PlainNumbers::Increments, ..Settings::new(Inch) };
    let program = run_with("G0 X1234 Y1.\nG21\nG1 X2540 F100\nG2 X2540 Y0 I1000 J0", &settings);
    let want = [pt3(0.1234, 1.0, 0.0), pt3(0.1, 1.0, 0.0)];
    for (motion, want) in program.motions.iter().zip(want) {
        near(motion.end.distance(want), 0.0, 1e-15, "end");
    }
    near(program.motions[1].feed, 100.0 / 25.4, 1e-12, "F is in units a minute");
    near(arc(&program.motions[2]).1, 0.1 + 1.0 / 25.4, 1e-12, "I is an increment too");
}

#[test]
fn spindle_and_tool_are_carried_by_the_motions() {
    let text = "G0 X1\nS800 M3\nX2\nM4\nX3\nM5\nX4\nT3\nM3 X5\nT4 M6\nX6\nM3 S1\nX7";
    let carried: Vec<(f32, u16)> = motions(text, Inch).iter().map(|m| (m.spindle, m.tool)).collect();
    assert_eq!(
        carried,
        [(0.0, 0), (800.0, 0), (-800.0, 0), (0.0, 0), (800.0, 3), (0.0, 4), (1.0, 4)],
        "M6 stops the spindle (3.6.3 [published])"
    );
    assert_eq!(tools(&run(text, Inch)), [(4, 10)], "T alone only chooses (3.7.3 [published])");
    assert_eq!(tools(&run("T3\nG0 X1", Inch)), [(3, 1)], "a shop without a changer writes no M6");
    assert_eq!(last("M3 G0 X1", Inch).spindle, 0.0);
    assert_eq!(last("N5 G1 X1", Inch).line, 1);
}
