//! Air pass, ready for the control and comparing, in the real window without a screen.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::fs;
use std::path::PathBuf;

use blockwright::app::{Action, App, Ask, Command, Purpose};
use blockwright_core::rewrite::air;
use eframe::egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk_in, first_cut, press, text, wait, wait_for};

fn click(harness: &mut Harness<'static, App>, button: &str) {
    harness.get_by_role_and_label(Role::Button, button).click();
    harness.run_steps(3);
}

/// The file of the first pass, and what is in it.
fn own(harness: &Harness<'static, App>) -> (PathBuf, Vec<u8>) {
    let name = harness.state().proof().expect("proven").job.passes[0].program.clone();
    let file = harness.state().folder().join(name);
    let bytes = fs::read(&file).expect("read");
    (file, bytes)
}

/// A name like that of the first pass's file, with a word behind it.
fn named(harness: &Harness<'static, App>, word: &str) -> PathBuf {
    let (file, _) = own(harness);
    let stem = file.file_stem().expect("a name").to_string_lossy().into_owned();
    file.with_file_name(format!("{stem}-{word}.nc"))
}

/// Types a comment into the first line, so that the text is one that is in no file.
fn edit(harness: &mut Harness<'static, App>) {
    act(harness, Action::Line(first_cut(harness)));
    act(harness, Action::Do(Command::InsertLine));
    act(harness, Action::Program(Ask::Type("(CHECKED)".to_owned())));
    act(harness, Action::Program(Ask::Leave));
}

#[test]
fn an_air_pass_of_the_text_as_edited_is_written_and_only_an_air_pass_replaced() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    edit(&mut harness);
    press(&mut harness, Modifiers::NONE, Key::F6);
    wait_for(&mut harness, "Read back: same motion");
    harness.get_by_label_contains("not saved yet");
    // The demo is in inches; 0.020 in above the top is what is offered.
    harness.get_by_label_contains("Lowest Z");
    harness.get_by_label_contains("Keep a hand on feed hold");
    harness.get_by_label_contains("load the real program before cutting");
    let (posted_file, posted) = own(&harness);
    let target = named(&harness, "air");
    fs::write(&target, &posted).expect("another program in the way");
    click(&mut harness, "Write");
    wait_for(&mut harness, "is already there");
    click(&mut harness, "Replace it");
    wait_for(&mut harness, "is not an air pass");
    assert_eq!(fs::read(&target).expect("read"), posted, "left as it was");
    fs::remove_file(&target).expect("moved away");
    click(&mut harness, "Write");
    wait_for(&mut harness, "Written: ");
    let written = fs::read(&target).expect("written");
    let mark = air::mark(&written).expect("an air pass");
    assert!(air::is_air_pass_of(&mark, text(&harness).as_bytes()), "of the text as it is in the pane");
    assert!(written.windows(9).any(|part| part == b"(CHECKED)"));
    assert_eq!(fs::read(&posted_file).expect("read"), posted, "the program is as it was");
    click(&mut harness, "Done");
    // A second time the older air pass is in the way, and may be replaced.
    press(&mut harness, Modifiers::NONE, Key::F6);
    wait_for(&mut harness, "Read back: same motion");
    click(&mut harness, "Write");
    wait_for(&mut harness, "is already there");
    click(&mut harness, "Replace it");
    wait_for(&mut harness, "Written: ");
    assert_eq!(fs::read(&target).expect("read"), written);
}

#[test]
fn nothing_is_written_over_the_program_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let (file, posted) = own(&harness);
    for command in [Command::AirPass, Command::MakeReady] {
        act(&mut harness, Action::Do(command));
        wait_for(&mut harness, "Read back: same motion");
        act(&mut harness, Action::Chosen(file.clone()));
        click(&mut harness, "Write");
        wait_for(&mut harness, "is a file this is made from");
        assert!(harness.query_by_role_and_label(Role::Button, "Replace it").is_none());
        act(&mut harness, Action::Close);
        assert_eq!(fs::read(&file).expect("read"), posted);
    }
}

#[test]
fn a_refused_air_pass_leads_to_the_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    edit(&mut harness);
    let line = harness.state().line().expect("the new line");
    act(&mut harness, Action::Do(Command::EditLine));
    act(&mut harness, Action::Program(Ask::Type("G1 X#5".to_owned())));
    act(&mut harness, Action::Do(Command::AirPass));
    wait_for(&mut harness, "cannot be followed here");
    act(&mut harness, Action::Line(1));
    harness.get_by_label_contains(&format!("Line {line}, column")).click();
    harness.run_steps(3);
    assert_eq!(harness.state().line(), Some(line));
    assert!(!named(&harness, "air").exists());
    // The window follows what is typed meanwhile.
    act(&mut harness, Action::Do(Command::Undo));
    wait_for(&mut harness, "Read back: same motion");
}

#[test]
fn a_program_is_made_ready_and_moves_the_same() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    press(&mut harness, Modifiers::NONE, Key::F7);
    wait_for(&mut harness, "Read back: same motion, as O");
    let target = named(&harness, "ready");
    click(&mut harness, "Write");
    wait_for(&mut harness, "Written: ");
    assert!(target.exists());
    act(&mut harness, Action::Close);
    act(&mut harness, Action::Use(Purpose::Compare, target));
    wait_for(&mut harness, "Same motion: ");
}

#[test]
fn a_stretch_that_differs_leads_to_its_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let line = first_cut(&harness);
    let other = folder.path().join("other.nc");
    let changed: Vec<String> = (1..)
        .zip(text(&harness).lines())
        .filter(|(at, _)| *at != line)
        .map(|(_, text)| format!("{text}\r\n"))
        .collect();
    fs::write(&other, changed.concat()).expect("written");
    act(&mut harness, Action::Line(1));
    press(&mut harness, Modifiers::NONE, Key::F8);
    harness.run_steps(2);
    harness.get_by_label("Choose what to compare with.");
    act(&mut harness, Action::Chosen(other));
    wait_for(&mut harness, "Differs: ");
    // The window takes the size of its table first; a row must stand still to be clicked.
    harness.run_steps(6);
    let rows: Vec<_> = harness.get_all_by_label_contains(" in A, ").collect();
    rows.first().expect("a stretch").click();
    wait(&mut harness, "the line that differs", |app| {
        app.line().is_some_and(|shown| shown.abs_diff(line) <= 2)
    });
    // A file that is none is told, and the window stays.
    act(&mut harness, Action::Chosen(folder.path().join("none.nc")));
    wait_for(&mut harness, "there is no such file");
    click(&mut harness, "Close");
}

#[test]
fn another_program_of_the_job_is_chosen_from_a_list() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let name = harness.state().proof().expect("proven").job.passes[1].program.clone();
    act(&mut harness, Action::Do(Command::CompareWith));
    harness.run_steps(2);
    harness.get_by_label("Program of this job to compare with").click();
    harness.run_steps(3);
    harness.get_by_label(&format!("Pass 2: {name}")).click();
    harness.run_steps(3);
    wait_for(&mut harness, "Differs: ");
}
