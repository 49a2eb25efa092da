//! Every finding just inside and just outside its border, on one small job of which each case changes one thing.
//!
//! The job: a 2 x 1 in outline on a blank 0.1 in larger all round, 0.5 in thick, a 1/2 in end mill. The borders are
//! the named tolerances of the core and the limits of the job itself.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use blockwright_core::finding::{Code, Finding};
use blockwright_core::job;
use blockwright_core::proof::{Proof, Verdict};
use blockwright_core::prover::{Options, Prover, Stage};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::{codes, prove, source, try_prove};

const SOUND: &str = "G20 G17 G90\nT1 M6\nS1000 M3\nG0 Z1.\nG0 X-.8 Y.5\nG0 Z.1\nG1 Z-.5 F5.\nG1 X-.26 F10.\n\
    G1 Y1.\nG2 X0. Y1.26 I.26 J0.\nG1 X2.\nG2 X2.26 Y1. I0. J-.26\nG1 Y0.\nG2 X2. Y-.26 I-.26 J0.\nG1 X0.\n\
    G2 X-.26 Y0. I0. J.26\nG1 Y.6\nG1 X-.8\nG0 Z1.\nM5\nM30\n";

fn job(change: &[(&str, &str)]) -> String {
    let mut text = r#"{ "schema": "blockwright-job/1", "units": "inch",
      "outline": { "vertices": [[0,0],[2,0],[2,1],[0,1]] },
      "blank": { "edge": { "vertices": [[-0.1,-0.1],[2.1,-0.1],[2.1,1.1],[-0.1,1.1]] }, "top": 0, "thickness": 0.5 },
      "bed": { "top": -0.52 }, "contact": { "light_below": 0.01, "heavy_above": 0.1 }, "machine": { "rapid": 100 },
      "tools": [ { "number": 1, "form": { "kind": "flat", "diameter": 0.5 } } ],
      "passes": [ { "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0.01, "bottom": -0.5 } ] }"#
        .to_owned();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    text
}

fn program(change: &[(&str, &str)]) -> String {
    let mut text = SOUND.to_owned();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    text
}

fn proven(in_job: &[(&str, &str)], in_program: &[(&str, &str)]) -> Proof {
    prove(&job(in_job), &[&program(in_program)], Some(0.004))
}

fn found(proof: &Proof, code: Code) -> Vec<&Finding> {
    proof.findings.iter().filter(|finding| finding.code == code).collect()
}

/// What is replaced by what, in the job and in the program.
type Case<'a> = (&'a [(&'a str, &'a str)], &'a [(&'a str, &'a str)]);

/// The change `outside` brings the finding, the change `inside` does not.
#[track_caller]
fn border(code: Code, inside: Case<'_>, outside: Case<'_>) {
    let just_inside = proven(inside.0, inside.1);
    assert!(found(&just_inside, code).is_empty(), "inside: {:?}", found(&just_inside, code));
    let just_outside = proven(outside.0, outside.1);
    assert!(!found(&just_outside, code).is_empty(), "outside: {:?}", codes(&just_outside));
}

#[test]
fn a_sound_job_is_clear() {
    let proof = proven(&[], &[]);
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{:?}", proof.findings);
    assert_eq!(proof.verdict, Verdict::Clear);
}

#[test]
fn depth_against_the_bottom() {
    border(Code::BelowDepth, (&[("-0.5 }", "-0.4996 }")], &[]), (&[("-0.5 }", "-0.4994 }")], &[]));
    border(Code::NotToDepth, (&[("-0.5 }", "-0.5004 }")], &[]), (&[("-0.5 }", "-0.5006 }")], &[]));
}

#[test]
fn the_bed() {
    border(Code::CutsBed, (&[("-0.52", "-0.5")], &[]), (&[("-0.52", "-0.4999")], &[]));
}

#[test]
fn close_to_the_bed() {
    // The tip goes to -.5 and stays .005 above the bed, or a little less.
    border(Code::NearBed, (&[("-0.52", "-0.5051")], &[]), (&[("-0.52", "-0.5049")], &[]));
    border(Code::NearBed, (&[("-0.52", "-0.4999")], &[]), (&[("-0.52", "-0.5")], &[]));
}

/// A dovetail cutter whose axis goes round .26 outside the outline, its tip .01 below the bottom face.
const UNDER: [(&str, &str); 1] = [("G1 Z-.5", "G1 Z-.51")];

fn dovetail(diameter: &'static str) -> [(&'static str, &'static str); 2] {
    [
        ("\"kind\": \"flat\", \"diameter\": 0.5", diameter),
        ("\"bottom\": -0.5", "\"does\": \"undercut\", \"bottom\": -0.51"),
    ]
}

#[test]
fn what_comes_in_under_the_block() {
    let [inside, outside, wide] = [
        dovetail("\"kind\": \"undercut\", \"angle\": 10, \"height\": 0.6, \"diameter\": 0.521"),
        dovetail("\"kind\": \"undercut\", \"angle\": 10, \"height\": 0.6, \"diameter\": 0.523"),
        dovetail("\"kind\": \"undercut\", \"angle\": 10, \"height\": 0.6, \"diameter\": 0.6"),
    ];
    border(Code::UnderBlock, (&inside, &UNDER), (&outside, &UNDER));
    // One that stays above the bottom face comes in under nothing.
    border(Code::UnderBlock, (&wide, &[]), (&wide, &UNDER));
    let proof = proven(&wide, &UNDER);
    let message = &found(&proof, Code::UnderBlock)[0].message;
    for part in
        [".0100 in below the bottom face", "under the block by up to .0400 in.", ".0100 in above the bed"]
    {
        assert!(message.contains(part), "{part}: {message}");
    }
    let told: serde_json::Value = serde_json::from_str(&blockwright_core::proof::json(&proof)).expect("JSON");
    let told = &told["passes"][0]["under_block"];
    for (key, want) in [("tip", -0.51), ("below", 0.01), ("above_bed", 0.01), ("reach", 0.04)] {
        assert!((told[key].as_f64().expect(key) - want).abs() < 1e-9, "{key}: {told}");
    }
}

/// The spacer named as a clamp area: one that ends farther in than the cutter reaches is let be, one farther out is hit.
#[test]
fn a_spacer_under_the_block_is_held_clear_of_the_cutter() {
    let spacer = |low: &'static str| {
        let [form, pass] =
            dovetail("\"kind\": \"undercut\", \"angle\": 10, \"height\": 0.6, \"diameter\": 0.6");
        [form, pass, ("\"contact\"", low)]
    };
    border(
        Code::KeepClear,
        (
            &spacer(
                "\"keep_clear\": [{ \"name\": \"spacer\", \"top\": -0.5, \"area\": { \"vertices\":
                 [[0.046, 0.046], [1.95, 0.046], [1.95, 0.95], [0.046, 0.95]] } }], \"contact\"",
            ),
            &UNDER,
        ),
        (
            &spacer(
                "\"keep_clear\": [{ \"name\": \"spacer\", \"top\": -0.5, \"area\": { \"vertices\":
                 [[0.039, 0.046], [1.95, 0.046], [1.95, 0.95], [0.039, 0.95]] } }], \"contact\"",
            ),
            &UNDER,
        ),
    );
}

#[test]
fn past_the_outline_and_off_the_allowance() {
    // The long side at Y 1.26 leaves .010; the tool's radius is .25.
    let moved = |y: &'static str, back: &'static str| vec![("G1 X2.\n", back), ("Y1.26 I.26 J0.", y)];
    let inside = moved("Y1.26 I.26 J0.\nG1 Y1.2492", "G1 X2.\nG1 Y1.26\n");
    let outside = moved("Y1.26 I.26 J0.\nG1 Y1.2488", "G1 X2.\nG1 Y1.26\n");
    border(Code::PastOutline, (&[], &inside), (&[], &outside));
    border(
        Code::LeaveOffAllowance,
        (&[("0.01, \"bottom\"", "0.0109, \"bottom\"")], &[]),
        (&[("0.01, \"bottom\"", "0.0111, \"bottom\"")], &[]),
    );
    border(
        Code::LeaveOffAllowance,
        (&[("0.01, \"bottom\"", "0.0091, \"bottom\"")], &[]),
        (&[("0.01, \"bottom\"", "0.0089, \"bottom\"")], &[]),
    );
}

#[test]
fn thickness_of_cut_against_the_limits() {
    // The cut is .1 - .01 = .09 all round.
    border(
        Code::LightCut,
        (&[("0.01, \"heavy", "0.0899, \"heavy")], &[]),
        (&[("0.01, \"heavy", "0.0901, \"heavy")], &[]),
    );
    border(
        Code::HeavyCut,
        (&[("0.1 }, \"machine", "0.0901 }, \"machine")], &[]),
        (&[("0.1 }, \"machine", "0.0899 }, \"machine")], &[]),
    );
    // The right side of the blank sawn to what the pass leaves: a cut of .0002 is light, of .00005 none.
    let sawn = |at: &'static str| vec![("[2.1,-0.1],[2.1,1.1]", at)];
    border(
        Code::NoContact,
        (&sawn("[2.0102,-0.1],[2.0102,1.1]"), &[]),
        (&sawn("[2.01005,-0.1],[2.01005,1.1]"), &[]),
    );
    border(
        Code::BlankShort,
        (&sawn("[2.0001,-0.1],[2.0001,1.1]"), &[]),
        (&sawn("[1.9998,-0.1],[1.9998,1.1]"), &[]),
    );
}

#[test]
fn a_regained_stretch_is_told() {
    let one = r#"{ "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0.01, "bottom": -0.5 }"#;
    let two = r#"{ "name": "Rough", "program": "1.nc", "tool": 1, "allowance": 0.06, "bottom": -0.5 }, { "name": "Finish", "program": "2.nc", "tool": 1, "allowance": 0.01, "bottom": -0.5 }"#;
    let text = job(&[("[2.1,-0.1],[2.1,1.1]", "[2.05,-0.1],[2.05,1.1]"), (one, two)]);
    let rough = SOUND.replace(".26", ".31");
    let proof = prove(&text, &[&rough, SOUND], Some(0.004));
    let none = found(&proof, Code::NoContact);
    assert_eq!(none.len(), 1, "{:?}", proof.findings);
    assert_eq!(none[0].pass, Some(0));
    assert!(none[0].message.contains("Pass 2 then cuts there all along"), "{}", none[0].message);
    assert!((none[0].station.unwrap_or(0.0) - 2.5).abs() < 0.05, "in the middle of the right side");
    assert_eq!(none[0].line, Some(13), "the line that runs down the right side");
}

#[test]
fn rapids_and_plunges() {
    // Beside the block the tool clears it by two cells of .004, or overlaps it by as much.
    let down = |x: &'static str| vec![("G0 X-.8 Y.5\nG0 Z.1\nG1 Z-.5 F5.", x)];
    border(
        Code::PlungeOnBlock,
        (&[], &down("G0 X-.358 Y.5\nG0 Z.1\nG1 Z-.5 F5.")),
        (&[], &down("G0 X-.342 Y.5\nG0 Z.1\nG1 Z-.5 F5.")),
    );
    border(
        Code::RapidThroughBlock,
        (&[], &down("G0 X-.358 Y.5\nG0 Z-.5\nG1 Z-.5 F5.")),
        (&[], &down("G0 X-.342 Y.5\nG0 Z-.5\nG1 Z-.5 F5.")),
    );
    // Back over the block at the end: on its top it slides, below it cuts.
    let back = |z: &'static str| vec![("G1 X-.8\nG0 Z1.", z)];
    border(
        Code::RapidThroughBlock,
        (&[], &back("G1 X-.8\nG0 Z0.\nG0 X1.\nG0 Z1.")),
        (&[], &back("G1 X-.8\nG0 Z-.001\nG0 X1.\nG0 Z1.")),
    );
}

#[test]
fn spindle_feed_and_tool() {
    border(Code::SpindleStopped, (&[], &[("S1000 M3", "M3 S1000")]), (&[], &[("S1000 M3", "S1000")]));
    border(Code::SpindleStopped, (&[], &[]), (&[], &[("G1 X2.\n", "M5\nG1 X2.\n")]));
    // Stopped only once it is clear of the metal again.
    border(
        Code::SpindleStopped,
        (&[], &[("G1 Y.6\n", "G1 Y.6\nM5\n")]),
        (&[], &[("G1 X2.\n", "M5\nG1 X2.\n")]),
    );
    border(Code::NoFeed, (&[], &[("F5.", "F.1")]), (&[], &[(" F5.", ""), (" F10.", "")]));
    border(Code::WrongTool, (&[], &[("T1 M6\n", "")]), (&[], &[("T1 M6", "T2 M6")]));
}

#[test]
fn arcs_and_words() {
    // The ends of the first arc differ from its radius of .26 by a hair under and over .0002 in.
    let first = |end: &'static str| vec![("X0. Y1.26 I.26 J0.", end)];
    border(Code::ArcMismatch, (&[], &first("X0. Y1.26019 I.26 J0.")), (&[], &first("X0. Y1.26021 I.26 J0.")));
    border(Code::BadNumber, (&[], &[("F10.", "F+10.")]), (&[], &[("F10.", "F1.0.")]));
    border(Code::UnprovenWord, (&[], &[("G90", "G90 G94")]), (&[], &[("G90", "G90 G68")]));
    let unproven = proven(&[], &[("G90", "G90 G68")]);
    assert_eq!(unproven.verdict, Verdict::Unproven);
    let finding = found(&unproven, Code::UnprovenWord)[0];
    assert_eq!((finding.line, finding.column), (Some(1), Some(13)));
}

#[test]
fn a_pass_that_takes_nothing() {
    // Lifted clear of the block, or biting a thousandth into its top... which the pass before has not taken.
    border(Code::CutsNothing, (&[], &[("G1 Z-.5", "G1 Z-.001")]), (&[], &[("G1 Z-.5", "G1 Z0.")]));
}

#[test]
fn what_the_job_does_not_say_is_said_to_be_left_out() {
    let text = job(&[("\"bed\": { \"top\": -0.52 }, ", "")]);
    let proof = prove(&text, &[SOUND], Some(0.004));
    let notes = found(&proof, Code::NotChecked);
    let bed = notes.iter().filter(|note| note.message.contains("bed")).count();
    assert_eq!(bed, 1, "{notes:?}");
    assert_eq!(proof.verdict, Verdict::Clear, "a note is nothing to look at");
}

#[test]
fn an_edit_works_out_only_what_it_touches() {
    let mut prover = Prover::new();
    let cancel = Cancel::new();
    let first = source(&job(&[]), &[SOUND]);
    let mut worked = |job_text: &str| {
        let job = job::read(job_text.as_bytes()).expect("a job");
        // The text of the program is the same piece of memory, as in the window.
        let source = blockwright_core::proof::Source {
            job: job.into(),
            programs: first.programs.clone(),
            beside: first.beside.clone(),
        };
        prover
            .prove(&source, &Options { cell: Some(0.01), ..Options::default() }, Task::quiet(&cancel))
            .expect("provable");
        prover.worked().to_vec()
    };
    assert!(worked(&job(&[])).contains(&Stage::Removal(0)));
    assert_eq!(worked(&job(&[])), []);
    assert_eq!(worked(&job(&[("0.01, \"heavy", "0.02, \"heavy")])), [], "limits are only looked up");
    let moved_bed = worked(&job(&[("-0.52", "-0.51")]));
    assert_eq!(moved_bed, [], "so is the bed");
    let tool = worked(&job(&[("\"diameter\": 0.5", "\"diameter\": 0.4")]));
    assert!(tool.contains(&Stage::Removal(0)) && !tool.contains(&Stage::Program(0)), "{tool:?}");
    assert!(!tool.contains(&Stage::Blank), "{tool:?}");
}

#[test]
fn work_stops_when_asked() {
    let cancel = Cancel::new();
    cancel.raise();
    let outcome =
        Prover::new().prove(&source(&job(&[]), &[SOUND]), &Options::default(), Task::quiet(&cancel));
    assert_eq!(outcome.err().map(|error| error.to_string()), Some("stopped before it was done".to_owned()));
}

#[test]
fn an_absurd_cell_is_refused_with_a_message() {
    let refused = try_prove(&job(&[]), &[SOUND], Some(1e-6)).expect_err("too many cells");
    assert!(refused.to_string().contains("million cells"), "{refused}");
}

#[test]
fn the_machine_is_not_taken_to_start_at_the_programs_zero() {
    // A blank that stands above program zero: moving to the start of the pass in X and Y first must not cut a slot.
    let above = [("\"top\": 0, \"thickness\": 0.5", "\"top\": 0.05, \"thickness\": 0.55")];
    let proof = proven(&above, &[("G0 Z1.\nG0 X-.8 Y.5\nG0 Z.1", "G0 X-.8 Y.5\nG0 Z.1")]);
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{:?}", proof.findings);
    // Once all three are stated, a rapid at that height does cut.
    let proof = proven(&above, &[("G0 Z1.\nG0 X-.8 Y.5", "G0 X3. Y.5 Z.04\nG0 X-.8")]);
    assert!(codes(&proof).contains(&"rapid-through-block"), "{:?}", codes(&proof));
}

#[test]
fn a_blank_that_misses_a_whole_end_is_short_all_along_it() {
    // The blank ends at x = 1.5; the outline goes on to 2: its right side, and half an inch of both long sides.
    let proof = proven(&[("[2.1,-0.1],[2.1,1.1]", "[1.5,-0.1],[1.5,1.1]")], &[]);
    let blank = proof.blank.as_ref().expect("measured");
    let outline = proof.outline.as_ref().expect("an outline");
    let length: f64 = blank.short.iter().map(|short| outline.way(short.from, short.to)).sum();
    assert!((length - 2.0).abs() < 0.02, "{:?}", blank.short);
    assert!((blank.least_margin + 0.5).abs() < 0.02 || blank.least_margin < -0.5, "{}", blank.least_margin);
}

#[test]
fn what_cannot_be_measured_is_not_called_clear_without_a_word() {
    let high = proven(&[("\"contact\"", "\"gauge_height\": 0.2, \"contact\"")], &[]);
    assert!(found(&high, Code::NotChecked)[0].message.contains("gauge height"), "{:?}", high.findings);
    assert!(high.passes[0].along_outline.is_none());
    let pass = r#"{ "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0.01, "bottom": -0.5 }"#;
    let none = prove(&job(&[(pass, "")]), &[], Some(0.01));
    assert!(found(&none, Code::NotChecked)[0].message.contains("no passes"));
    let empty = prove(&job(&[]), &[""], Some(0.01));
    assert!(found(&empty, Code::NotToDepth)[0].message.contains("no feed motion"));
}

#[test]
fn the_heaviest_findings_come_first_and_a_lifted_pass_is_told_from_a_short_blank() {
    let proof = proven(&[("\"bed\": { \"top\": -0.52 }, ", "")], &[("G1 Z-.5", "G1 Z.02"), ("T1", "T2")]);
    let weights: Vec<_> = proof.findings.iter().map(|finding| finding.severity).collect();
    assert!(weights.is_sorted_by(|a, b| a >= b), "{weights:?}");
    assert!(found(&proof, Code::NoContact)[0].message.contains("does not reach it"));
}

#[test]
fn the_reference_says_what_every_kind_of_finding_means() {
    let reference = include_str!("../../assets/reference.md");
    for code in Code::ALL {
        let usual = code.usual();
        let row = format!("| {} | `{}` | {} | {} |", code.title(), code.text(), usual.means, usual.done);
        assert!(reference.contains(&row), "the reference lacks: {row}");
    }
}
