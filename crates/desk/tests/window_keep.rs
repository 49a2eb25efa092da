//! Nothing is lost in the window: each way of losing something by name.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use blockwright::app::{Action, App, Ask, Command, OrderAsk, Purpose};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, desk_in, wait};

/// Every way of leaving the job that is open.
fn ways_out(folder: &Path) -> [(&'static str, Action); 5] {
    let other = folder.join("round-puck/job.json");
    [
        ("quit", Action::Do(Command::Quit)),
        ("demo", Action::Do(Command::OpenDemo)),
        ("open", Action::Use(Purpose::Open, other.clone())),
        ("drop", Action::OpenPaths(vec![other])),
        ("drop several", Action::OpenPaths(vec![folder.join("a.nc"), folder.join("b.nc")])),
    ]
}

fn gauge_lower(app: &App) -> Action {
    let mut job = app.job().clone();
    job.gauge_height = Some(job.gauge_height.unwrap_or_default() - 0.01);
    Action::Edit(Box::new(job))
}

/// What changes the job, by name.
fn changes(app: &App) -> Vec<(&'static str, Action)> {
    let mut tools = app.job().clone();
    tools.tools[0].name = Some("another".to_owned());
    let mut outline = app.job().clone();
    outline.outline = None;
    vec![
        ("edited job", gauge_lower(app)),
        ("tools", Action::Edit(Box::new(tools))),
        ("outline", Action::Edit(Box::new(outline))),
        ("order", Action::Do(Command::PassDown)),
        ("left out", Action::Do(Command::LeaveOut)),
    ]
}

#[test]
fn a_changed_job_is_guarded_on_every_way_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    for (change, action) in changes(harness.state()) {
        assert_eq!(harness.state().unsaved(), [""; 0], "{change}");
        assert!(!harness.state().title().starts_with('*'));
        act(&mut harness, action);
        let job = harness.state().job().clone();
        assert_eq!(harness.state().unsaved(), ["the job"], "{change}");
        assert!(harness.state().title().starts_with("* "), "{}", harness.state().title());
        harness.get_by_label("not saved");
        for (way, out) in ways_out(folder.path()) {
            act(&mut harness, out);
            let asked = harness.state().question().unwrap_or_default().to_owned();
            assert_eq!(asked, "The job has been changed and is not saved.", "{change}, {way}");
            harness.get_by_label("Go back").click();
            harness.run_steps(3);
            assert_eq!(*harness.state().job(), job, "{change}, {way}");
        }
        act(&mut harness, Action::Do(Command::TakeBack));
    }
}

#[test]
fn a_changed_job_is_left_when_that_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    act(&mut harness, Action::OpenPaths(vec![folder.path().join("round-puck/job.json")]));
    harness.get_by_label("Go on without saving").click();
    harness.run_steps(3);
    wait(&mut harness, "the other job", |app| app.folder().ends_with("round-puck"));
    assert_eq!(harness.state().unsaved(), [""; 0]);
}

#[test]
fn what_changes_while_another_job_is_being_read_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let other =
        blockwright::open::at_once(&[folder.path().join("round-puck/job.json")], None).expect("opened");
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    act(&mut harness, Action::Opened(Box::new(other)));
    assert!(harness.state().question().is_some());
    harness.get_by_label("Go on without saving").click();
    harness.run_steps(3);
    assert!(harness.state().folder().ends_with("round-puck"));
}

#[test]
fn saving_confirms_itself_and_takes_the_mark_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    let file = harness.state().folder().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, file.clone()));
    harness.get_by_label("Saved job.json");
    assert_eq!(harness.state().unsaved(), [""; 0]);
    assert!(harness.state().title().contains(", job.json - Blockwright"), "{}", harness.state().title());
    let saved = blockwright::open::paths(&[file], None).expect("opened");
    assert_eq!(*saved.source.job, *harness.state().job());
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    assert!(harness.query_by_label("Saved job.json").is_none(), "not what is shown any more");
    let picture = folder.path().join("plan.png");
    act(&mut harness, Action::Use(Purpose::Plan, picture.clone()));
    // The change is proven first.
    if harness.state().message().is_some() {
        act(&mut harness, Action::Close);
        wait(&mut harness, "the proof", |app| app.proof().is_some_and(|proof| *proof.job == *app.job()));
        act(&mut harness, Action::Use(Purpose::Plan, picture.clone()));
    }
    wait(&mut harness, "the picture", |_| picture.exists());
}

/// Files that the job reads, and others, beside the job that is open.
fn others(harness: &Harness<'static, App>) -> (Vec<PathBuf>, Vec<PathBuf>) {
    let folder = harness.state().folder();
    let reads = ["1002.nc", "1003.nc"].map(|name| folder.join(name)).to_vec();
    let others: [(&str, &[u8]); 4] = [
        ("other.json", b"{ \"schema\": \"blockwright-job/1\" }"),
        ("other.nc", b"O77\nG20 G90\nG0 Z5.\nM30\n"),
        ("other.png", b"\x89PNG\r\n\x1a\n"),
        ("other.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"),
    ];
    for (name, bytes) in others {
        fs::write(folder.join(name), bytes).expect("written");
    }
    (reads, others.map(|(name, _)| folder.join(name)).to_vec())
}

#[test]
fn no_save_writes_over_what_the_job_reads_and_any_other_file_is_asked_for_by_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let (reads, others) = others(&harness);
    let job = harness.state().folder().join("job.json");
    let saves = [
        Purpose::SaveJob,
        Purpose::SaveCrib,
        Purpose::SaveProgram,
        Purpose::Window,
        Purpose::Plan,
        Purpose::Strip,
        Purpose::BuildUp,
        Purpose::Wall,
        Purpose::Block,
    ];
    for purpose in saves {
        for file in reads.iter().chain((purpose != Purpose::SaveJob).then_some(&job)) {
            let before = fs::read(file).expect("read");
            for action in [Action::Use(purpose, file.clone()), Action::Replace(purpose, file.clone())] {
                act(&mut harness, action);
                let said = harness.state().message().expect("a message").what.clone();
                assert!(said.contains("that the job reads"), "{purpose:?} over {}: {said}", file.display());
                assert_eq!(fs::read(file).expect("read"), before);
            }
        }
        for file in &others {
            let name = file.file_name().expect("a name").to_string_lossy().into_owned();
            let before = fs::read(file).expect("read");
            act(&mut harness, Action::Use(purpose, file.clone()));
            harness.get_by_label(&format!("Replace {name}"));
            assert!(harness.state().question().is_some_and(|words| words.contains(&name)), "{purpose:?}");
            assert_eq!(fs::read(file).expect("read"), before, "{purpose:?} over {name}");
            act(&mut harness, Action::Close);
        }
    }
    act(&mut harness, Action::Use(Purpose::SaveCrib, others[0].clone()));
    harness.get_by_label("Replace other.json").click();
    harness.run_steps(3);
    assert!(fs::read_to_string(&others[0]).expect("read").contains("blockwright-crib/1"), "once it was said");
}

#[test]
fn a_job_is_saved_while_a_program_has_edits_and_those_stay_unsaved() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let program = harness.state().folder().join("1001.nc");
    let posted = fs::read(&program).expect("read");
    act(&mut harness, Action::Line(1));
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Program(Ask::Type("(CHECKED)".to_owned())));
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    wait(&mut harness, "the text", |app| {
        app.proof().is_some_and(|proof| proof.passes[0].text.line(2).contains("CHECKED"))
    });
    let job = harness.state().folder().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, job));
    assert_eq!(harness.state().message(), None);
    assert_eq!(harness.state().unsaved(), ["1001.nc"]);
    assert_eq!(fs::read(&program).expect("read"), posted);
    // Elsewhere the job takes them with it.
    let away = tempfile::tempdir().expect("another folder");
    act(&mut harness, Action::Use(Purpose::SaveJob, away.path().join("job.json")));
    assert_eq!(harness.state().unsaved(), [""; 0]);
    let taken = fs::read_to_string(away.path().join("1001.nc")).expect("written");
    assert!(taken.contains("(CHECKED)"), "{taken}");
    assert_eq!(fs::read(&program).expect("read"), posted);
}

#[test]
fn a_demo_that_is_changed_is_guarded_too() {
    let mut harness = desk();
    act(&mut harness, Action::OfOrder(OrderAsk::Move(0, 2)));
    act(&mut harness, Action::Do(Command::Quit));
    assert!(harness.state().question().is_some());
}
