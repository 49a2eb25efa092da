//! What of a job waits to be confirmed: in its file, in the proof, and when a person changes it.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::sync::Arc;

use blockwright_core::control::PassedWord;
use blockwright_core::finding::{Asks, Code, Severity};
use blockwright_core::job::{Job, Machine, Part, PathSource, read, write};
use blockwright_core::program::{self, Settings};
use blockwright_core::proof::{Beside, Proof, Source, Verdict};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;

const JOB: &str = r#"{"schema":"blockwright-job/1","units":"inch","outline":{"from_pass":"A"},
    "tools":[{"number":1,"form":{"kind":"flat","diameter":0.5},"flutes":4}],
    "passes":[{"name":"A","program":"1001.nc","tool":1,"zero":[0,0,0],"bottom":-0.5},
              {"name":"B","program":"1002.nc","tool":1,"zero":[0,0,0]}],
    "to_confirm":[
      {"tool":1,"key":"form","from":{"kind":"comment","program":"1001.nc","line":4}},
      {"tool":1,"key":"flutes","from":{"kind":"usual"}},
      {"pass":"A","key":"bottom","from":{"kind":"motion","program":"1001.nc","line":9},
       "against":[{"kind":"comment","program":"1001.nc","line":2}],"note":"It says .6 there."},
      {"key":"outline","from":{"kind":"word","word":"T1","program":"1001.nc","line":3}}]}"#;

fn job() -> Job {
    read(JOB.as_bytes()).expect("a job")
}

fn check(job: Job) -> Proof {
    let text: Arc<[u8]> =
        Arc::from(&b"G20 G90\nM3 S1000\nG0 X-1 Y0 Z.1\nG1 Z-.5 F10\nG1 X1\nG0 Z.1\nM30\n"[..]);
    let source =
        Source { programs: vec![text; job.passes.len()], job: Arc::new(job), beside: Beside::default() };
    Prover::new().prove(&source, &Options::default(), Task::quiet(&Cancel::new())).expect("a proof")
}

/// `(tool or pass or nothing, key)` of what waits.
fn waiting(job: &Job) -> Vec<String> {
    job.unconfirmed()
        .map(|entry| match &entry.part {
            Part::Tool(number, key) => format!("{number} {key}"),
            Part::Pass(name, key) => format!("{name} {key}"),
            Part::Job(key) => (*key).to_owned(),
        })
        .collect()
}

#[test]
fn it_comes_back_from_its_file() {
    assert_eq!(waiting(&job()), ["1 form", "1 flutes", "A bottom", "outline"]);
    assert_eq!(read(write(&job()).as_bytes()), Ok(job()));
}

#[test]
fn one_finding_names_all_with_what_they_rest_on() {
    let proof = check(job());
    let found: Vec<_> = proof.findings.iter().filter(|finding| finding.code == Code::Unconfirmed).collect();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].severity, Severity::Look);
    for words in [
        "tool 1: form (the comment on line 4 of 1001.nc), flutes (assumed: nothing says otherwise); pass \"A\": lowest \
         Z (the lowest feed motion, on line 9 of 1001.nc; but the comment on line 2 of 1001.nc says otherwise) [It \
         says .6 there.]; outline (the T1 on line 3 of 1001.nc)",
        "\"to_confirm\"",
    ] {
        assert!(found[0].message.contains(words), "{}", found[0].message);
    }
    assert_ne!(proof.verdict, Verdict::Clear);
    let mut confirmed = job();
    confirmed.confirm(|_| true);
    assert!(!write(&confirmed).contains("to_confirm"));
    assert!(check(confirmed).findings.iter().all(|finding| finding.code != Code::Unconfirmed));
}

#[test]
fn entries_that_name_nothing_are_refused_at_their_place() {
    for (old, new, key, part) in [
        (
            r#""pass":"A","key":"bottom""#,
            r#""pass":"C","key":"bottom""#,
            "to_confirm[2].pass",
            "no pass \"C\"",
        ),
        (r#""tool":1,"key":"flutes""#, r#""tool":7,"key":"flutes""#, "to_confirm[1].tool", "no tool 7"),
        (r#""key":"flutes""#, r#""key":"flute""#, "to_confirm[1].key", "flutes"),
        (r#""key":"outline""#, r#""key":"blank""#, "to_confirm[3].key", "no \"blank\""),
        (r#""tool":1,"key":"form""#, r#""tool":1,"pass":"A","key":"form""#, "to_confirm[0].pass", "exclude"),
        (r#"{"kind":"usual"}"#, r#"{"kind":"hearsay"}"#, "to_confirm[1].from.kind", "usual"),
        (r#"{"kind":"usual"}"#, r#"{"kind":"usual","line":1}"#, "to_confirm[1].from.line", "unknown key"),
    ] {
        assert!(JOB.contains(old), "{old}");
        let error = read(JOB.replacen(old, new, 1).as_bytes()).expect_err(new);
        assert_eq!(error.key, key, "{error}");
        assert!(error.message.contains(part), "{error}");
    }
}

/// A change to the job, and what still waits afterwards.
type Change = (fn(&mut Job), &'static [&'static str]);

#[test]
fn what_a_person_has_changed_waits_no_more() {
    const ALL: &[&str] = &["1 form", "1 flutes", "A bottom", "outline"];
    let changes: [Change; 8] = [
        (|job| job.name = Some("x".to_owned()), ALL),
        (|job| job.tools[0].form = Form::Ball { diameter: 0.5 }, &["1 flutes", "A bottom", "outline"]),
        (|job| job.tools[0].flutes = Some(2), &["1 form", "A bottom", "outline"]),
        (|job| job.passes[0].bottom = Some(-0.6), &["1 form", "1 flutes", "outline"]),
        (|job| job.passes[0].allowance = Some(0.1), ALL),
        (|job| job.outline = None, &["1 form", "1 flutes", "A bottom"]),
        (|job| job.passes.retain(|pass| pass.name == "B"), &["1 form", "1 flutes", "outline"]),
        (|job| job.rename_pass(0, "Rough"), &["1 form", "1 flutes", "Rough bottom", "outline"]),
    ];
    for (index, (change, left)) in changes.into_iter().enumerate() {
        let mut changed = job();
        change(&mut changed);
        changed.confirm_changes(&job());
        assert_eq!(waiting(&changed), left, "change {index}");
    }
}

#[test]
fn a_new_name_of_a_pass_holds_for_the_outline_too() {
    let mut renamed = job();
    renamed.rename_pass(0, "Finish");
    assert_eq!(renamed.outline, Some(PathSource::FromPass("Finish".to_owned())));
    assert_eq!(read(write(&renamed).as_bytes()), Ok(renamed));
}

#[test]
fn a_pass_taken_out_takes_its_entries_out_of_the_file() {
    let mut shorter = job();
    shorter.outline = None;
    shorter.passes.remove(0);
    let back = read(write(&shorter).as_bytes()).expect("its own file can be read");
    assert_eq!(waiting(&back), ["1 form", "1 flutes"]);
}

/// Whatever is left open asks for itself, and no longer once the job answers.
#[test]
fn findings_ask_for_what_the_job_does_not_say() {
    let asked = |job: &Job| -> Vec<Asks> {
        check(job.clone()).findings.iter().flat_map(|finding| finding.asks.clone()).collect()
    };
    let mut answered = job();
    for asks in [Asks::Confirm, Asks::Blank, Asks::Bed, Asks::Contact, Asks::Rapid] {
        assert!(asked(&answered).contains(&asks), "{asks:?}");
        assert!(!answered.answers(asks), "{asks:?}");
    }
    answered.confirm(|_| true);
    answered.bed_top = Some(-1.0);
    answered.machine = Some(Machine { rapid: Some(100.0), ..Machine::default() });
    for asks in [Asks::Confirm, Asks::Bed, Asks::Rapid] {
        assert!(!asked(&answered).contains(&asks), "{asks:?}");
        assert!(answered.answers(asks), "{asks:?}");
    }
}

/// What a program makes a finding ask for; the offsets of the control's tables by their rows.
#[test]
fn what_a_control_would_look_up_is_asked_for() {
    let asked = |text: &str| -> Vec<Asks> {
        let settings = Settings::new(Units::Inch).with_tool(1);
        let program = program::read(text.as_bytes(), &settings, Task::quiet(&Cancel::new())).expect("read");
        program.findings.iter().flat_map(|finding| finding.asks.clone()).collect()
    };
    let passed = |text: &str| PassedWord::parse(text).expect("a word");
    let start = "G20 G90 G54\nM3 S1000\nG0 X0 Y0 Z1\nG1 Z-1 F10\n";
    for (text, wanted) in [
        ("G41 D7 X1", vec![Asks::DiameterOffset(7)]),
        ("M98 P1002", vec![Asks::Subprograms]),
        ("G55 X1", vec![Asks::WorkOffset(0), Asks::WorkOffset(1)]),
        ("G4 P500", vec![Asks::Dwell]),
        ("G187 P1", vec![Asks::MovesNothing(passed("G187"))]),
        ("M31", vec![Asks::MovesNothing(passed("M31"))]),
        ("M19", vec![Asks::MovesNothing(passed("M19"))]),
        ("M198 P2", vec![]),
        ("G68.2 X0 Y0", vec![]),
        ("X1", vec![]),
    ] {
        assert_eq!(asked(&format!("{start}{text}\nM30\n")), wanted, "{text}");
    }
}
