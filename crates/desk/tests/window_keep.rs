//! Nothing is lost in the window: each way of losing something by name.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use blockwright::app::{Action, App, Ask, Command, OrderAsk, Purpose};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, desk_in, keeping, wait};

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
            harness.get_by_label("Cancel").click();
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
    harness.get_by_label("Continue without saving").click();
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
    harness.get_by_label("Continue without saving").click();
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

/// Another window, or another program, writes the job's file.
fn changed_elsewhere(harness: &Harness<'static, App>) -> (PathBuf, Vec<u8>) {
    let file = harness.state().folder().join("job.json");
    let job = fs::read_to_string(&file).expect("the job");
    let theirs = job.replacen("\"name\": \"", "\"name\": \"Theirs: ", 1).into_bytes();
    fs::write(&file, &theirs).expect("written");
    (file, theirs)
}

#[test]
fn a_job_that_another_program_has_written_is_not_wiped_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    let (file, theirs) = changed_elsewhere(&harness);
    let save = || Action::Use(Purpose::SaveJob, file.clone());
    act(&mut harness, save());
    harness.get_by_label_contains("was changed by another window or application");
    for answer in ["Replace it with mine", "Choose another name", "Open job.json as it is now"] {
        harness.get_by_label(answer);
    }
    assert_eq!(fs::read(&file).expect("read"), theirs);
    harness.get_by_label("Compare").click();
    harness.run_steps(3);
    let told = harness.state().question().expect("what differs").to_owned();
    assert!(told.contains("gauge height: ") && told.contains("Theirs: "), "{told}");
    assert_eq!(fs::read(&file).expect("read"), theirs);
    // Theirs takes the place of mine only after mine was asked about.
    harness.get_by_label("Open job.json as it is now").click();
    harness.run_steps(3);
    assert!(harness.state().question().is_some_and(|words| words.contains("is not saved")));
    act(&mut harness, Action::Close);
    act(&mut harness, save());
    harness.get_by_label("Replace it with mine").click();
    harness.run_steps(3);
    let mine = blockwright::open::paths(std::slice::from_ref(&file), None).expect("opened");
    assert_eq!(*mine.source.job, *harness.state().job());
    // What was written here is no change by another.
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    act(&mut harness, save());
    assert_eq!(harness.state().question(), None);
    wait(&mut harness, "the save", |app| app.unsaved().is_empty());
}

#[test]
fn a_program_that_another_has_written_is_not_wiped_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let own = harness.state().folder().join("1001.nc");
    act(&mut harness, Action::Line(1));
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Program(Ask::Type("(MINE)".to_owned())));
    fs::write(&own, "O1001\n(THEIRS)\nM30\n").expect("written");
    act(&mut harness, Action::Use(Purpose::SaveProgram, own.clone()));
    assert!(
        harness.state().question().is_some_and(|words| words.contains("was changed by another application"))
    );
    harness.get_by_label("Compare with it");
    assert_eq!(fs::read(&own).expect("read"), b"O1001\n(THEIRS)\nM30\n");
    harness.get_by_label("Replace 1001.nc").click();
    harness.run_steps(3);
    wait(&mut harness, "the save", |app| app.unsaved().is_empty());
    assert!(fs::read_to_string(&own).expect("read").contains("(MINE)"));
}

#[test]
fn a_watched_program_that_is_deleted_is_told_and_can_be_written_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let own = harness.state().folder().join("1001.nc");
    let posted = fs::read(&own).expect("read");
    fs::remove_file(&own).expect("deleted");
    wait(&mut harness, "the notice", |app| app.unsaved() == ["1001.nc"]);
    harness.run_steps(2);
    harness.get_by_label_contains("1001.nc is gone from its folder");
    act(&mut harness, Action::Do(Command::Quit));
    assert!(harness.state().question().is_some(), "what is shown is in no file");
    act(&mut harness, Action::Close);
    harness.get_by_label("Write it again").click();
    harness.run_steps(3);
    wait(&mut harness, "the file", |app| app.unsaved().is_empty());
    assert_eq!(fs::read(&own).expect("written"), posted);
}

#[test]
fn unsaved_work_is_offered_again_after_a_kill() {
    let (folder, state) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let mut harness = keeping(folder.path(), state.path());
    assert_eq!(harness.state().left(), [""; 0]);
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    act(&mut harness, Action::Line(1));
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Program(Ask::Type("(MINE)".to_owned())));
    let job = harness.state().job().clone();
    let is_kept = || {
        let entries = fs::read_dir(state.path()).expect("a folder").flatten();
        let works = entries.filter(|entry| entry.path().extension().is_some_and(|end| end == "work"));
        works.into_iter().any(|work| {
            fs::read(work.path()).is_ok_and(|bytes| String::from_utf8_lossy(&bytes).contains("(MINE)"))
        })
    };
    wait(&mut harness, "the keeping", |_| is_kept());
    let posted = fs::read(harness.state().folder().join("1001.nc")).expect("read");
    // A kill closes nothing: the lock goes, the files stay.
    drop(harness);
    let mut harness = keeping(folder.path(), state.path());
    harness.run_steps(3);
    assert_eq!(harness.state().left().len(), 1, "{:?}", harness.state().left());
    harness.get_by_label_contains("the job, 1001.nc");
    harness.get_by_label("Open unsaved work 1").click();
    harness.run_steps(3);
    assert_eq!(*harness.state().job(), job);
    assert!(support::text(&harness).contains("(MINE)"));
    assert_eq!(harness.state().unsaved(), ["the job", "1001.nc"]);
    assert_eq!(
        fs::read(harness.state().folder().join("1001.nc")).expect("read"),
        posted,
        "nobody's file was touched"
    );
    // Saved, it is not offered any more.
    let file = harness.state().folder().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, file));
    let own = harness.state().folder().join("1001.nc");
    act(&mut harness, Action::Program(Ask::Replace(own)));
    wait(&mut harness, "the save", |app| app.unsaved().is_empty());
    harness.run_steps(3);
    drop(harness);
    let mut harness = keeping(folder.path(), state.path());
    harness.run_steps(3);
    assert_eq!(harness.state().left(), [""; 0]);
}

#[test]
fn unsaved_work_is_thrown_away_when_that_is_said_and_kept_when_it_is_not() {
    let (folder, state) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let kept = || {
        let entries = fs::read_dir(state.path()).expect("a folder").flatten();
        entries.filter(|entry| entry.path().extension().is_some_and(|end| end == "work")).count()
    };
    let mut harness = keeping(folder.path(), state.path());
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    wait(&mut harness, "the keeping", |_| kept() == 1);
    drop(harness);
    let mut harness = keeping(folder.path(), state.path());
    harness.run_steps(3);
    harness.get_by_label("Ask again at the next start").click();
    harness.run_steps(3);
    drop(harness);
    let mut harness = keeping(folder.path(), state.path());
    harness.run_steps(3);
    harness.get_by_label("Discard unsaved work 1").click();
    harness.run_steps(3);
    wait(&mut harness, "the end of it", |_| kept() == 0);
    // Quitting without saving, and said so, gives it up.
    let change = gauge_lower(harness.state());
    act(&mut harness, change);
    wait(&mut harness, "the keeping", |_| kept() == 1);
    act(&mut harness, Action::Do(Command::Quit));
    harness.get_by_label("Quit without saving").click();
    harness.run_steps(3);
    wait(&mut harness, "the end of it", |_| kept() == 0);
}

#[test]
fn a_pass_is_added_by_opening_a_program_into_the_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let away = folder.path().join("extra.nc");
    fs::write(&away, "%\nO55\nG20 G90 G17\nG0 X0 Y0 Z1.\nM30\n%\n").expect("written");
    let before = harness.state().job().clone();
    act(&mut harness, Action::Use(Purpose::AddPass, away.clone()));
    wait(&mut harness, "the pass", |app| app.job().passes.len() > before.passes.len());
    let pass = harness.state().job().passes.last().expect("added").clone();
    let last = before.passes.last().expect("a pass");
    assert_eq!((pass.name.as_str(), pass.program.as_str(), pass.allowance), ("extra", "extra.nc", None));
    assert_eq!(pass.zero, last.zero);
    assert_eq!(harness.state().place().0, before.passes.len(), "it is shown");
    assert!(support::text(&harness).contains("O55"));
    act(&mut harness, Action::Close);
    wait(&mut harness, "the proof", |app| {
        app.proof().is_some_and(|proof| proof.job.passes.len() == app.job().passes.len())
    });
    // The job takes the program into its folder when it is saved.
    let file = harness.state().folder().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, file.clone()));
    assert_eq!(harness.state().message(), None);
    assert_eq!(fs::read(file.with_file_name("extra.nc")).expect("written"), fs::read(&away).expect("read"));
    act(&mut harness, Action::Do(Command::TakeBack));
    assert_eq!(*harness.state().job(), before);
    act(&mut harness, Action::Do(Command::DoAgain));
    // Another program of that name is refused, a job is none.
    let other = folder.path().join("other/extra.nc");
    fs::create_dir_all(folder.path().join("other")).expect("made");
    fs::write(&other, "O56\nM30\n").expect("written");
    for (path, says) in [(&other, "name of another program"), (&file, "is a job")] {
        act(&mut harness, Action::Use(Purpose::AddPass, path.clone()));
        wait(&mut harness, "the message", |app| app.message().is_some());
        let said = harness.state().message().expect("a message").to_string();
        assert!(said.contains(says), "{said}");
        act(&mut harness, Action::Close);
    }
    assert_eq!(harness.state().job().passes.len(), before.passes.len() + 1);
}

#[test]
fn an_instruction_stays_in_view_until_it_is_ticked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = support::desk_on_sample(folder.path(), "hinge-pad-die");
    act(&mut harness, Action::Do(Command::BlankFit));
    wait(&mut harness, "the fit", |app| app.best_fit().is_some());
    let fit = harness.state().best_fit().expect("found").clone();
    act(&mut harness, Action::OfFit(blockwright::app::FitAsk::TakeOver(Box::new(fit))));
    let words = harness.state().to_do();
    assert!(words.len() == 1 && words[0].contains("work zero"), "{words:?}");
    harness.get_by_label_contains("To do at the machine: ");
    let file = harness.state().folder().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, file));
    assert_eq!(harness.state().unsaved(), [""; 0]);
    act(&mut harness, Action::Do(Command::Quit));
    assert!(
        harness.state().question().is_some_and(|asked| asked.contains(&words[0])),
        "nobody has said that it is done"
    );
    act(&mut harness, Action::Close);
    act(&mut harness, Action::Do(Command::TakeBack));
    assert_eq!(harness.state().to_do(), [""; 0], "the position was taken back");
    act(&mut harness, Action::Do(Command::DoAgain));
    harness.get_by_label("Done").click();
    harness.run_steps(3);
    assert_eq!(harness.state().to_do(), [""; 0]);
    assert!(harness.query_by_label_contains("To do at the machine: ").is_none());
}
