//! Air passes within a job: above block and clamps, at the border of the tool's reach and beyond it.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::job::{Job, Pass, read as read_job};
use blockwright_core::program::{self, Program, Settings};
use blockwright_core::rewrite::NotWritten;
use blockwright_core::rewrite::air::{self, AirOptions, Lifted};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::{codes, prove};

/// A straight pass along X at Y 0, from X -1 to X 5, below a clearance of one inch.
const ALONG: &str =
    "%\nO1001\nG20 G90 G17\nM3 S1000\nG0 X-1. Y0.\nG0 Z1.\nG1 Z-.5 F5.\nX5. F10.\nG0 Z1.\nM30\n%\n";

/// A blank from X 0 to 4 and Y 0 to 3 with its top at 0, and one pass with a tool.
fn job(tool: &str, pass: &str, clear: &str) -> String {
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch",
          "blank": {{ "edge": {{ "vertices": [[0,0],[4,0],[4,3],[0,3]] }}, "top": 0, "thickness": 1 }},
          "keep_clear": [{clear}],
          "tools": [{{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }}{tool} }}],
          "passes": [{{ "name": "a", "program": "1001.nc", "tool": 1{pass} }}] }}"#
    )
}

/// A clamp from X 1 to 2, and from `y` away from the path for half an inch.
fn clamp(name: &str, y: f64, top: f64) -> String {
    let far = y - 0.5;
    format!(
        r#"{{ "name": "{name}", "area": {{ "vertices": [[1,{y}],[1,{far}],[2,{far}],[2,{y}]] }}, "top": {top} }}"#
    )
}

fn read(text: &[u8]) -> Program {
    let settings = Settings::new(Units::Inch);
    program::read(text, &settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

fn lift(program: &str, job: &str, above: f64) -> Result<Lifted, String> {
    let job: Job = read_job(job.as_bytes()).expect("a job");
    let passes: Vec<&Pass> = job.passes.iter().collect();
    let options = AirOptions::for_job(above, &job, passes);
    let settings = Settings::for_job(job.units, job.control.as_ref());
    let cancel = Cancel::new();
    air::lift(program.as_bytes(), "1001.nc", &options, &settings, Task::quiet(&cancel)).map_err(|error| {
        match error {
            NotWritten::Refused(refusal) => refusal.to_string(),
            NotWritten::Cancelled(_) => unreachable!("nobody cancels"),
        }
    })
}

#[test]
fn an_air_pass_goes_above_the_clamps_in_its_way_and_no_other() {
    // The cutter's side runs at Y -.25; with a shank or a holder known, theirs.
    for (tool, reach) in [
        ("", 0.25),
        (r#", "shank_diameter": 0.75"#, 0.375),
        (r#", "stickout": 2, "holder_diameter": 1.5"#, 0.75),
        (r#", "holder_diameter": 1.5"#, 0.75),
    ] {
        for (beyond, counts) in [(-0.1, true), (-1e-6, true), (0.0, true), (0.0001, false), (1.0, false)] {
            let clear = clamp("clamp 1", -reach - beyond, 0.75);
            let text = job(tool, "", &clear);
            let lifted = lift(ALONG, &text, 0.1).unwrap_or_else(|why| unreachable!("{tool} {beyond}: {why}"));
            let (top, what) = if counts { (0.75, "clamp 1") } else { (0.0, "the block") };
            assert_eq!((lifted.over.top, lifted.over.what.as_str()), (top, what), "{tool} {beyond}");
            assert!((lifted.lowest - top - 0.1).abs() < 1e-9, "{tool} {beyond}: {}", lifted.lowest);
            let told = lifted
                .notes
                .iter()
                .any(|note| note.contains("Out of the tool's reach") && note.contains("clamp 1"));
            assert_eq!(told, !counts, "{:?}", lifted.notes);
            // Run within the job, what was written comes into no clamp.
            let written = String::from_utf8(lifted.text).expect("text");
            let proof = prove(&text, &[&written], Some(0.1));
            let into =
                |finding: &Finding| finding.code == Code::KeepClear && finding.severity == Severity::Stop;
            assert!(!proof.findings.iter().any(into), "{tool} {beyond}: {:?}", codes(&proof));
        }
    }
}

/// A program along the block beside a clamp: lifted above the block alone it would run through the clamp.
#[test]
fn lifted_above_the_block_alone_it_would_run_through_the_clamp() {
    let text = job("", "", &clamp("clamp 1", -0.2, 0.75));
    let alone = lift(ALONG, &job("", "", ""), 0.02).expect("lifted");
    let written = String::from_utf8(alone.text).expect("text");
    assert!(codes(&prove(&text, &[&written], Some(0.1))).contains(&"keep-clear"), "the check sees it");
    let lifted = lift(ALONG, &text, 0.02).expect("lifted");
    let lowest = read(&lifted.text).motions.iter().skip(2).map(|motion| motion.end.z).fold(9.0, f64::min);
    assert!((lowest - 0.77).abs() < 1e-9, "{lowest}");
}

#[test]
fn the_highest_of_many_counts_and_the_pass_s_own_zero() {
    let three = [clamp("low", -0.2, 0.3), clamp("high", -0.1, 0.9), clamp("far", -3.0, 2.0)].join(",");
    // Touched off .25 below the block's zero, half an inch back in Y, and turned a quarter: then the pass runs along Y.
    for (pass, top, what) in [
        ("", 0.9, "high"),
        (r#", "zero": [0, 0, -0.25]"#, 1.15, "high"),
        (r#", "zero": [0, -2.8, 0]"#, 2.0, "far"),
        (r#", "zero": [1.5, -4, 0], "turn": 90"#, 2.0, "far"),
        (r#", "zero": [0, 1, 0]"#, 0.0, "the block"),
    ] {
        let lifted = lift(ALONG, &job("", pass, &three), 0.1).expect("lifted");
        assert!((lifted.over.top - top).abs() < 1e-12, "{pass}: {:?}", lifted.over);
        assert_eq!(lifted.over.what, what, "{pass}");
    }
}

/// Only the way itself counts: not the line from where the machine may have stood, but all that follows, rapids too.
#[test]
fn the_way_that_counts_begins_where_the_program_sends_the_tool() {
    let clear = clamp("clamp 1", 0.0, 0.75);
    for (program, counts) in [
        // from an unknown place past the clamp: nobody knows the way
        ("O1\nG20 G90\nG0 X5. Y-1.\nZ1.\nG1 Z-.5 F5.\nY-2.\nG0 Z1.\nM30\n", false),
        // X first, then Y: the place before both are said is unknown
        ("O1\nG20 G90\nG0 X1.5\nY-3.\nZ1.\nG1 Z-.5 F5.\nY-2.\nG0 Z1.\nM30\n", false),
        // both said, then across the clamp while Z is still open
        ("O1\nG20 G90\nG0 X5. Y-.2\nX-3.\nZ1.\nG1 Z-.5 F5.\nY-2.\nG0 Z1.\nM30\n", true),
        // never both: it may stand anywhere
        ("O1\nG20 G90\nG0 Z1.\nG1 Z-.5 F5.\nX1.\nG0 Z1.\nM30\n", true),
        // a rapid across it on the way home
        ("O1\nG20 G90\nG0 X5. Y-.2\nZ1.\nG1 Z-.5 F5.\nY-2.\nG0 Z1.\nY-.3\nX-3.\nM30\n", true),
    ] {
        let lifted = lift(program, &job("", "", &clear), 0.1).expect("lifted");
        assert_eq!(lifted.over.what == "clamp 1", counts, "{program}: {:?}", lifted.over);
    }
}

#[test]
fn a_job_without_a_blank_asks_for_the_top() {
    let text = job("", "", &clamp("clamp 1", -0.2, 0.75));
    let without = text.lines().filter(|line| !line.contains("blank")).collect::<Vec<_>>().join("\n");
    let why = lift(ALONG, &without, 0.1).expect_err("refused");
    assert!(why.contains("states no blank"), "{why}");
    let job: Job = read_job(without.as_bytes()).expect("a job");
    let settings = Settings::new(Units::Inch);
    for (top, expected) in [(0.2, 0.75), (0.9, 0.9)] {
        let options = AirOptions { top: Some(top), ..AirOptions::for_job(0.1, &job, &job.passes) };
        let cancel = Cancel::new();
        let lifted =
            air::lift(ALONG.as_bytes(), "a", &options, &settings, Task::quiet(&cancel)).expect("lifted");
        assert_eq!(lifted.over.top, expected, "the higher of the two");
    }
}

#[test]
fn without_a_job_it_says_that_clamps_were_not_considered() {
    let settings = Settings::new(Units::Inch);
    let cancel = Cancel::new();
    let lift = |top| {
        let options = AirOptions { top, above: 0.1, ..AirOptions::default() };
        air::lift(ALONG.as_bytes(), "a", &options, &settings, Task::quiet(&cancel))
    };
    let lifted = lift(Some(0.0)).expect("lifted");
    assert!(
        lifted.notes.iter().any(|note| note.contains("Clamps were not considered")),
        "{:?}",
        lifted.notes
    );
    assert!(String::from_utf8_lossy(&lifted.text).contains("(CLAMPS WERE NOT CONSIDERED)"));
    assert!(lift(None).is_err(), "and the top is asked for");
}

/// What stands between `G0 Z1.` and `G0 Z2.` of a program; how it stands in the air pass, lifted by 1.1 from a top of 0.
const LIFTED: &[(&str, &str)] = &[
    // ways home stay, by G91 and by the machine's own coordinates
    ("G91 G28 Z0.\nG90\n", "G91 G28 Z0.\nG90\n"),
    ("G91 G30 Z0. M5\nG28 X0. Y0.\nG90\nG0 X1. Y1.\n", "G91 G30 Z0. M5\nG28 X0. Y0.\nG90\nG0 X1. Y1.\n"),
    ("G53 G0 Z0\n", "G53 G0 Z0\n"),
    ("G0 G53 Z0.\nG53 X0. Y0.\nG0 X1. Y1.\n", "G0 G53 Z0.\nG53 X0. Y0.\nG0 X1. Y1.\n"),
    // in G90 the way goes by a stated height, which must not lie below the others
    ("G28 Z0.\n", "G28 Z1.1\n"),
    ("G28 X0. Y0. Z.5\nG0 X1. Y1.\n", "G28 X0. Y0. Z1.6\nG0 X1. Y1.\n"),
    // a zero that is set where the tool stands higher reads higher
    ("G92 Z.25\nG1 Z-.25 F5.\nG92.1\n", "G92 Z1.35\nG1 Z.85 F5.\nG92.1\n"),
    ("G92 X0. Y0.\nG1 Z-.5 F5.\nG92.1\n", "G92 X0. Y0.\nG1 Z.6 F5.\nG92.1\n"),
    ("G91\nG1 Z-1.5 F5.\nZ.5\nG90\n", "G91\nG1 Z-1.5 F5.\nZ.5\nG90\n"),
    ("G43 H1 Z.5\nG1 Z-.5 F5.\n", "G43 H1 Z1.6\nG1 Z.6 F5.\n"),
    ("G98 G81 X1. Y1. Z-.5 R.1 F5.\nR.2 X2.\nG80\n", "G98 G81 X1. Y1. Z.6 R1.2 F5.\nR1.3 X2.\nG80\n"),
    ("G91 G99 G81 X1. Z-.5 R-.8 L2 F5.\nG80 G90\n", "G91 G99 G81 X1. Z-.5 R-.8 L2 F5.\nG80 G90\n"),
    ("#1=-.5\nG1 Z#1 F5.\nZ[#1/2]\n", "#1=-.5\nG1 Z[#1+1.1000] F5.\nZ[[#1/2]+1.1000]\n"),
    ("G18 G90.1\nG2 X1. Z1. I.5 K1. F5.\nG91.1 G17\n", "G18 G90.1\nG2 X1. Z2.1 I.5 K2.1 F5.\nG91.1 G17\n"),
    ("G17 G2 X0. Y0. Z-.5 I.5 J0. F5.\n", "G17 G2 X0. Y0. Z.6 I.5 J0. F5.\n"),
    ("G80 G0 Z.5\nG0 G40 G80\nX1.\nG1 Z-.5 F5.\n", "G80 G0 Z1.6\nG0 G40 G80\nX1.\nG1 Z.6 F5.\n"),
];

#[test]
fn retreats_stay_and_all_else_is_lifted() {
    for (body, expected) in LIFTED {
        let text = format!(
            "O1\nG20 G90 G17 G54\nT1 M6\nS1000 M3\nG0 X0. Y0.\nG0 Z1.\n{body}G0 Z2.\nG1 X0. Y0. Z-1. F5.\nG0 Z2.\nM30\n"
        );
        let settings = Settings::new(Units::Inch);
        let before = read(text.as_bytes());
        assert!(!before.unproven, "{body}: {:?}", before.findings);
        let options = AirOptions { top: Some(0.0), above: 0.1, ..AirOptions::default() };
        let cancel = Cancel::new();
        let lifted = air::lift(text.as_bytes(), "a", &options, &settings, Task::quiet(&cancel));
        let lifted = lifted.unwrap_or_else(|why| unreachable!("{body}: {why}"));
        let written = String::from_utf8_lossy(&lifted.text).into_owned();
        let from = written.find("G0 Z2.1\n").expect("the opening") + 8;
        let to = written.find("G0 Z3.1\n").expect("the end");
        assert_eq!(&written[from..to], *expected, "{body}");
        let by_way = lifted.notes.iter().any(|note| note.contains("by a stated Z"));
        assert_eq!(by_way, body.starts_with("G28"), "{:?}", lifted.notes);
    }
}

/// A place that a lift does not move must lie high enough as it is.
#[test]
fn places_of_the_machine_that_lie_too_low_are_refused() {
    let control = |z: f64| {
        format!(
            r#"{{ "schema": "blockwright-job/1", "units": "inch", "tools": [], "passes": [],
              "control": {{ "work_offsets": {{ "G54": [0, 0, {z}] }}, "home": [0, 0, 0] }} }}"#
        )
    };
    let text = "O1\nG20 G90 G17 G54\nG0 X0. Y0.\nG0 Z1.\nG1 Z-1. F5.\nG0 Z1.\nG53 G0 Z0\nX5.\nZ1.\nM30\n";
    for (z, fits) in [(-8.0, true), (-0.1, true), (-0.0999, false), (1.0, false)] {
        let job: Job = read_job(control(z).as_bytes()).expect("a job");
        let settings = Settings::for_job(job.units, job.control.as_ref());
        let options = AirOptions { top: Some(0.0), above: 0.1, ..AirOptions::default() };
        let cancel = Cancel::new();
        let lifted = air::lift(text.as_bytes(), "a", &options, &settings, Task::quiet(&cancel));
        assert_eq!(lifted.is_ok(), fits, "{z}: {lifted:?}");
        if let Err(NotWritten::Refused(refusal)) = lifted {
            assert_eq!(refusal.line, Some(7), "{refusal}");
        }
    }
}

fn with_calls() -> Settings {
    let job = r#"{ "schema": "blockwright-job/1", "units": "inch", "tools": [], "passes": [],
        "control": { "subprograms": "count_in_l" } }"#;
    let job: Job = read_job(job.as_bytes()).expect("a job");
    Settings::for_job(job.units, job.control.as_ref())
}

/// The air pass calls lifted copies, by numbers that no program has.
#[test]
fn called_programs_are_lifted_under_numbers_of_their_own() {
    let options = AirOptions { top: Some(0.0), above: 0.1, taken: vec![2001, 2002], ..AirOptions::default() };
    let lift = |text: &str, settings: &Settings| {
        let cancel = Cancel::new();
        air::lift(text.as_bytes(), "a", &options, settings, Task::quiet(&cancel))
            .map_err(|why| why.to_string())
    };
    let main = "%\nO1000\nG20 G90 G17 G54\nG0 X0. Y0.\nG0 Z1.\nM98 P2000 L3\nG90 G0 Z1.\nM30\n";
    let called = "O2000\nG90 G1 Z-.5 F5.\nG91 X.1\nG90 Z.1\nM99\n";
    let within = lift(&format!("{main}{called}%\n"), &with_calls()).expect("lifted");
    let written = String::from_utf8_lossy(&within.text).into_owned();
    assert!(written.contains("M98 P2003 L3\n") && written.contains("O2003\nG90 G1 Z.1 F5.\n"), "{written}");
    assert!(!written.contains("2000"), "{written}");
    assert!(within.notes.iter().any(|note| note.contains("O2000 as O2003")), "{:?}", within.notes);
    // The same from a file beside it, which is copied in.
    let beside = vec![program::Subprogram {
        number: 2000,
        file: "2000.nc".to_owned(),
        text: format!("%\n{called}%\n").into_bytes().into(),
    }];
    let settings = Settings { beside, ..with_calls() };
    let copied = lift(&format!("{main}%\n"), &settings).expect("lifted");
    let (a, b) = (String::from_utf8_lossy(&copied.text).into_owned(), written);
    let body = |text: &str| text[text.find("G20").expect("the opening")..].to_owned();
    assert_eq!(body(&a), body(&b));
    let mark = air::mark(&copied.text).expect("an air pass");
    assert!(air::is_air_pass_of(&mark, format!("{main}%\n").as_bytes()), "of the program as it is");
    // A height that would have to be lifted once and left the other time is refused.
    let both = "O2000\nG1 Z-.5 F5.\nG91\nM99\n";
    let why = lift(&format!("{main}{both}%\n"), &with_calls()).expect_err("refused");
    assert!(why.contains("run more than once"), "{why}");
}
