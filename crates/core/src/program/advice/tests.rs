//! Each rule just inside and just outside of its border. The borders are common practice, no source.

use std::sync::Arc;

use super::*;
use crate::control::PlainNumbers;
use crate::demo;
use crate::program::{End, Ending, StartState, Zero, read};
use crate::task::{Cancel, Task};
use crate::units::Units::{self, Inch, Mm};

fn program(text: &str, settings: &Settings) -> Program {
    let mut program = read(text.as_bytes(), settings, Task::quiet(&Cancel::new())).expect("nobody cancels");
    // what is not under test says nothing
    program.start = StartState::default();
    program.ending = Ending { end: End::Word, line: 1, opened_by_mark: false, closed_by_mark: false };
    program.coolant_left_on = None;
    program
}

fn advice(text: &str, settings: &Settings, rapid: Option<f64>) -> Vec<Finding> {
    findings(&program(text, settings), &TextLines::new(Arc::from(text.as_bytes())), settings, rapid)
}

fn codes(found: &[Finding]) -> Vec<(Code, u32, u32)> {
    found.iter().map(|f| (f.code, f.line.unwrap_or(0), f.column.unwrap_or(0))).collect()
}

#[track_caller]
fn check(text: &str, units: Units, want: &[(Code, u32, u32)]) {
    let found = advice(text, &Settings::new(units), None);
    assert_eq!(codes(&found), want, "{text}\n{found:#?}");
}

/// A square of 4 in, cut 0.5 deep, with one line put in before the retract.
fn square(line: &str) -> String {
    format!(
        "S1000 M3\nG0 Z2.\nX-1. Y-1.\nZ.1\nG1 Z-.5 F10.\nX3. F20.\nY3.\nX-1.\nY-1.\n{line}\nG0 Z2.\nX-1.\nY-1.\nM30\n"
    )
}

#[test]
fn a_coordinate_far_from_all_others() {
    // the square is 4 wide in X: eight widths beyond 3 is 35
    check(&square("X35."), Inch, &[]);
    check(&square("X35.01"), Inch, &[(Code::OddNumber, 10, 1)]);
    check(&square("N5 Y-33.01"), Inch, &[(Code::OddNumber, 10, 4)]);
    // two widths when it has no point and the others do
    check(&square("X11"), Inch, &[]);
    check(&square("X12"), Inch, &[(Code::OddNumber, 10, 1)]);
    check(&square("X12."), Inch, &[]);
    // Z spans 2.5
    check(&square("G0 Z102."), Inch, &[]);
    check(&square("G0 Z102.1"), Inch, &[(Code::OddNumber, 10, 4)]);
}

#[test]
fn rapids_may_go_far() {
    for (line, want) in [
        ("G0 X10. Y10.", false),
        ("G0 X10 Y10", false),
        ("G0 X53", false),
        ("G0 X54", true),
        ("G0 X54.", false),
        ("G0 X103.", false),
        ("G0 X104.", true),
    ] {
        let want: &[(Code, u32, u32)] = if want { &[(Code::OddNumber, 10, 4)] } else { &[] };
        check(&square(line), Inch, want);
    }
    check("G0 X1. Y1.\nX5.\nX900.\nX2.\n", Inch, &[]);
}

#[test]
fn numbers_without_a_point_are_sane_where_all_are() {
    let text =
        square("X12").replace("X-1.", "X-1").replace("X3.", "X3").replace("Y3.", "Y3").replace("Y-1.", "Y-1");
    check(&text, Inch, &[]);
}

#[test]
fn plain_numbers_where_the_control_counts_increments() {
    let settings = Settings { plain_numbers: PlainNumbers::Increments, ..Settings::new(Inch) };
    for (line, want) in [("X999", true), ("X1000", false), ("X.0999", false), ("X0", false)] {
        let found = advice(&square(line), &settings, None);
        let want: &[(Code, u32, u32)] = if want { &[(Code::OddNumber, 10, 1)] } else { &[] };
        assert_eq!(codes(&found), want, "{line}");
    }
    assert!(advice("G1 F20.\nX999\nY999\nX-999\nY0\nX0\n", &settings, None).is_empty(), "all are plain");
}

#[test]
fn an_arc_that_is_all_but_straight() {
    // the path is sqrt(16 + 16 + 6.25) = 6.185 across
    check(&square("G2 X-.9 R309"), Inch, &[]);
    check(&square("G2 X-.9 R310"), Inch, &[(Code::OddNumber, 10, 9)]);
    check(&square("G2 X-.9 R61800."), Inch, &[]);
    check(&square("G2 X-.9 R62000."), Inch, &[(Code::OddNumber, 10, 9)]);
}

#[test]
fn a_feed_of_the_other_unit() {
    check(&square("G1 F300. X0."), Inch, &[]);
    check(&square("G1 F301. X0."), Inch, &[(Code::OddFeed, 10, 4)]);
    let metric = "S2400 M3\nG1 X50. F7500.\nY50.\n";
    check(metric, Mm, &[]);
    check(&metric.replace("7500.", "7501."), Mm, &[(Code::OddFeed, 2, 9)]);
    let found = |rapid| codes(&advice(&square("G1 F120. X0."), &Settings::new(Inch), Some(rapid)));
    assert_eq!(found(120.0), []);
    assert_eq!(found(119.0), [(Code::OddFeed, 10, 4)]);
    // 5 mm/min, and 0.01 mm a revolution under 60 mm/min, over more than 2 in
    for (text, want) in [
        ("S1 M3\nG1 X60. F5.", false),
        ("S1 M3\nG1 X60. F4.99", true),
        ("S1 M3\nG1 X50. F4.99", false),
        ("S1 M3\nG1 Z-60. F4.99", false),
        ("S2400 M3\nG1 X60. F24.1", false),
        ("S2400 M3\nG1 X60. F18.", true),
        ("S2400 M3\nG1 X50. F18.", false),
        ("S24000 M3\nG1 X60. F61.", false),
    ] {
        let want: &[(Code, u32, u32)] = if want { &[(Code::OddFeed, 2, 9)] } else { &[] };
        let text = text.replace("Z-60. F", "Z-6. F");
        check(&text, Mm, want);
    }
    // 800 rev/min at 2 in/min is a usual undercut
    check("S800 M3\nG1 X60. F2.", Inch, &[]);
}

#[test]
fn a_feed_far_from_all_others() {
    check(&square("X0. F.21"), Inch, &[]);
    check(&square("X0. F.1"), Inch, &[(Code::OddNumber, 10, 5)]);
    check(&square("X0. F.1"), Mm, &[(Code::OddNumber, 10, 5)]);
    check("G1 X1. F10.\nX2. F250.\nX3. F10.\n", Inch, &[]);
}

#[test]
fn one_dip_below_the_floor() {
    // 16 in are cut at the floor: a twentieth is 0.8
    check(&square("Z-.6\nX-.3\nZ-.5"), Inch, &[(Code::OddDepth, 10, 1)]);
    check(&square("Z-.6\nX-.2\nZ-.5"), Inch, &[]);
    check(&square("Z-.501"), Inch, &[]);
    check(&square("Z-.502"), Inch, &[(Code::OddDepth, 10, 1)]);
    check(&square("Z-.6\nZ-.5\nX0.\nZ-.6"), Inch, &[]);
    check(&square("G0 Z-.6"), Inch, &[(Code::OddDepth, 10, 4)]);
}

#[test]
fn steps_ramps_and_helices_have_no_dip() {
    let lap = "X3.\nY3.\nX-1.\nY-1.\n";
    for (what, text) in [
        ("steps", format!("G1 F10.\nZ-.2\n{lap}Z-.4\n{lap}Z-.6\n{lap}")),
        ("a helix below", square("Z-.5\nG3 I.2 Z-.6\nG1 Z-.5")),
        ("a ramp below", square("X0. Z-.6\nX-1. Z-.5")),
        ("several levels below", square("Z-.6\nZ-.7\nZ-.8\nZ-.5")),
        ("drilling", "G1 F5.\nZ-.5\nG0 Z.1\nX1.\nG1 Z-.6\nG0 Z.1\n".to_owned()),
        ("a long ramp", "G1 F10.\nG91\n".to_owned() + &"X1. Z-.01\nX-1. Z-.01\n".repeat(40)),
    ] {
        let found = advice(&text, &Settings::new(Inch), None);
        assert!(found.iter().all(|f| f.code != Code::OddDepth), "{what}: {found:#?}");
    }
}

#[test]
fn rapids_that_slant_down() {
    let after = |line: &str| format!("G0 X0. Y0. Z2.\n{line}\n");
    check(&after("X1. Z1."), Inch, &[(Code::SlantingRapid, 2, 5)]);
    check(&after("X1. Z1.999"), Inch, &[]);
    check(&after("X1. Z3."), Inch, &[]);
    check(&after("Z1."), Inch, &[]);
    check("G0 X1. Y1. Z-1.\n", Inch, &[]);
    let twice = after("Y1. Z1.\nX2. Z0.5");
    let found = advice(&twice, &Settings::new(Inch), None);
    assert!(found[0].message.contains("1 more"), "{}", found[0].message);
}

#[test]
fn a_spindle_that_turns_backwards() {
    check("S500 M4\nG0 Z1.\nG1 X1. F10.\n", Inch, &[(Code::SpindleBackwards, 3, 0)]);
    check("S500 M4\nG0 Z1.\nG1 Z0. F10.\n", Inch, &[(Code::SpindleBackwards, 3, 0)]);
    check("S500 M4\nG0 Z1.\nM3\nG1 X1. F10.\n", Inch, &[]);
    check("S500 M3\nG1 Z-1. F10.\nM4\nZ0.\n", Inch, &[]);
}

#[test]
fn a_spindle_without_a_speed() {
    check("N5 M3\nG1 X1. F10.\n", Inch, &[(Code::NoSpeed, 1, 4)]);
    check("M03\nG1 X1. F10.\nS500\n", Inch, &[(Code::NoSpeed, 1, 1)]);
    check("M3 S0\nG1 X1. F10.\n", Inch, &[(Code::NoSpeed, 1, 1)]);
    check("M3\nS500\nG1 X1. F10.\n", Inch, &[]);
    check("(M3)\nG1 X1. F10.\n", Inch, &[]);
    check("M3\nM5\nG1 X1. F10.\n", Inch, &[]);
    check("M3\nG0 X1.\n", Inch, &[]);
}

#[test]
fn what_a_program_relies_on() {
    let text = "G1 X1. F10.\nG2 X2. R1.\n";
    let settings = Settings::new(Inch);
    let with = |start| {
        let program = Program { start, ..program(text, &settings) };
        findings(&program, &TextLines::new(Arc::from(text.as_bytes())), &settings, None)
    };
    assert_eq!(with(StartState::default()), []);
    let found = with(StartState {
        units: Some(1),
        plane: Some(2),
        distance: Some(1),
        system: Some(1),
        feed_mode: Some(3),
        retract: Some(4),
    });
    let shown: Vec<_> = found.iter().map(|f| (f.code, f.severity, f.line)).collect();
    assert_eq!(
        shown,
        [(Code::StartState, Severity::Look, Some(1)), (Code::StartState, Severity::Note, Some(1))]
    );
    assert!(found[0].message.contains("the plane (line 2)") && found[0].message.contains("has G20 G17 G90"));
    assert!(found[1].message.contains("has G54 G94 G98"), "{}", found[1].message);
}

#[test]
fn how_a_program_ends() {
    let text = "G1 X1. F10.\nN9 M8\n";
    let settings = Settings::new(Inch);
    let with = |ending, coolant_left_on| {
        let program = Program { ending, coolant_left_on, ..program(text, &settings) };
        findings(&program, &TextLines::new(Arc::from(text.as_bytes())), &settings, None)
    };
    let marks = |end, opened_by_mark, closed_by_mark| Ending { end, line: 2, opened_by_mark, closed_by_mark };
    for (ending, count) in [
        (marks(End::Word, false, false), 0),
        (marks(End::Word, true, true), 0),
        (marks(End::Word, true, false), 1),
        (marks(End::Text, false, false), 1),
        (marks(End::Text, true, false), 2),
        (marks(End::Mark, true, true), 1),
        (marks(End::Return, false, false), 0),
    ] {
        let found = with(ending, None);
        assert_eq!(found.len(), count, "{ending:?}");
        assert!(found.iter().all(|f| (f.code, f.severity, f.line) == (Code::NoEnd, Severity::Look, Some(2))));
    }
    let found = with(marks(End::Word, false, false), Some(2));
    assert_eq!(codes(&found), [(Code::CoolantLeftOn, 2, 4)]);
    assert_eq!(found[0].severity, Severity::Note);
    assert_eq!(advice("M5\n", &settings, None), [], "nothing moves");
    // A subprogram behind the end, and the mark behind that.
    for (mark, count) in [("%\n", 0), ("", 1)] {
        let text = format!("%\nO1\nG1 X1. F10.\nM30\nO2\nG1 X2.\nM99\n{mark}");
        let cancel = Cancel::new();
        let read = read(text.as_bytes(), &settings, Task::quiet(&cancel)).expect("nobody cancels");
        let found = findings(&read, &TextLines::new(Arc::from(text.as_bytes())), &settings, None);
        assert_eq!(found.iter().filter(|found| found.code == Code::NoEnd).count(), count, "{mark:?}");
    }
}

#[test]
fn programs_of_a_job_side_by_side() {
    let settings = Settings::new(Inch);
    let first = program("O1\nG1 X1. F10.\nG2 X2. R1.\n", &settings);
    let faster = program("O2\nN10 G1 X1.0 F20.\nG2 X2. R1.\n", &settings);
    let longer = program("O1\nG1 X1. F10.\nG2 X2. R-1.\n", &settings);
    let other = program("O3\nG0 X1.\nG2 X2. R1. F10.\n", &settings);
    let nothing = program("O1\n", &settings);
    let zero = |x| Zero { origin: [x, 0.0, 0.0], turn: 0.0 };
    let codes = |passes: &[(&str, f64, &Program)]| -> Vec<(Code, Severity, Option<usize>)> {
        let passes: Vec<RunPass<'_>> = passes
            .iter()
            .enumerate()
            .map(|(index, (file, x, program))| RunPass { index, file, zero: zero(*x), program })
            .collect();
        across(&passes).iter().map(|f| (f.code, f.severity, f.pass)).collect()
    };
    assert_eq!(codes(&[("a", 0.0, &first), ("b", 0.0, &other)]), []);
    assert_eq!(
        codes(&[("a", 0.0, &first), ("b", 0.0, &faster)]),
        [(Code::SameMotion, Severity::Look, Some(1))]
    );
    assert_eq!(
        codes(&[("a", 0.0, &first), ("a", 1.0, &first)]),
        [(Code::SameMotion, Severity::Note, Some(1))]
    );
    assert_eq!(
        codes(&[("a", 0.0, &first), ("b", 0.0, &longer)]),
        [(Code::NumberTwice, Severity::Look, Some(1))]
    );
    assert_eq!(
        codes(&[("a", 0.0, &first), ("b", 0.0, &other), ("c", 0.0, &first), ("d", 0.0, &longer)]),
        [(Code::SameMotion, Severity::Look, Some(2)), (Code::NumberTwice, Severity::Look, Some(3))]
    );
    assert_eq!(codes(&[("a", 0.0, &nothing), ("b", 0.0, &nothing)]), []);
}

#[test]
fn sane_programs_make_no_finding() {
    let mut seen = 0;
    for (name, text) in demo::files().iter().filter(|(_, text)| text.starts_with(b"%")) {
        let text = std::str::from_utf8(text).expect("samples are text");
        let units = if text.contains("G20") { Inch } else { Mm };
        let settings = Settings::new(units);
        let read = read(text.as_bytes(), &settings, Task::quiet(&Cancel::new())).expect("nobody cancels");
        let found = findings(&read, &TextLines::new(Arc::from(text.as_bytes())), &settings, None);
        // that G54 and G94 are not said is worth a note, no more
        let notes = |f: &Finding| f.code == Code::StartState && f.severity == Severity::Note;
        assert!(found.iter().all(notes), "{name}: {found:#?}");
        assert_eq!(advice(text, &settings, None), [], "{name}");
        seen += 1;
    }
    assert!(seen >= 10, "{seen}");
}
