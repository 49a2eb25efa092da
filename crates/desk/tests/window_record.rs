//! The record written from the window, and what was measured typed in, in the real window without a screen.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::cell::Cell;
use std::fs;
use std::path::Path;
use std::time::Duration;

use blockwright::app::Action;
use blockwright::app::{App, CentreAsk, Command, Purpose};
use blockwright_core::job::{Quantity, read, write};
use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, OutputCommand};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk_in, desk_on_sample, press, wait, wait_for, wait_until};

fn click(harness: &mut Harness<'static, App>, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(3);
}

fn files(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").file_name());
    let mut names: Vec<String> = entries.map(|name| name.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn the_record_is_written_beside_the_job_and_replaced_only_when_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_on_sample(folder.path(), "round-puck");
    let target = folder.path().join("round-puck/round-puck-record");
    act(&mut harness, Action::Do(Command::Record));
    // The folder is named after the job, beside it.
    let field = harness.get_by_role_and_label(Role::TextInput, "Folder");
    assert_eq!(field.value().as_deref(), Some(target.to_str().expect("a name")));
    click(&mut harness, "Write");
    wait_for(&mut harness, "The record lies in");
    let written = files(&target);
    for name in
        ["record.html", "record.pdf", "record-checked.json", "record-block-3.stl", "record-pass-1-plan.png"]
    {
        assert!(written.iter().any(|file| file == name), "{name}: {written:?}");
    }
    assert!(harness.query_all_by_label_contains(&format!("{} files", written.len())).next().is_some());
    click(&mut harness, "Close");

    // A second time nothing is touched before it is asked for.
    let page = target.join("record.html");
    fs::write(&page, "<!doctype html><title>the record before</title>").expect("written");
    act(&mut harness, Action::Use(Purpose::Record, target.clone()));
    assert!(harness.state().question().expect("a question").contains("record.html is already there"));
    assert!(fs::read_to_string(&page).expect("read").contains("the record before"));
    click(&mut harness, "Replace the older record");
    wait_for(&mut harness, "The record lies in");
    assert!(!fs::read_to_string(&page).expect("read").contains("the record before"));

    // What is no page is not replaced by one, even then.
    fs::write(&page, "G0 X1.\nG1 Z-1.\nM30\n").expect("written");
    act(&mut harness, Action::Replace(Purpose::Record, target.clone()));
    assert!(harness.state().message().is_some(), "it is said");
    assert_eq!(fs::read_to_string(&page).expect("read"), "G0 X1.\nG1 Z-1.\nM30\n");
}

#[test]
fn a_stopped_record_writes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_on_sample(folder.path(), "round-puck");
    let target = folder.path().join("elsewhere");
    act(&mut harness, Action::Use(Purpose::Record, target.clone()));
    click(&mut harness, "Stop");
    for _ in 0..100 {
        std::thread::sleep(Duration::from_millis(5));
        harness.step();
    }
    assert!(!target.exists(), "{:?}", files(&target));
    assert!(harness.state().message().is_none(), "whoever stopped it knows");
}

#[test]
fn what_was_measured_stays_in_the_job_beside_what_was_expected() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_on_sample(folder.path(), "round-puck");
    act(&mut harness, Action::Do(Command::Measured));
    // The puck is 3 in wide and pass 1 leaves .062 all round.
    harness.get_by_label("3.1240");
    click(&mut harness, "Over all along X, at the gauge height: measured");
    harness.get_by_label("Over all along X, at the gauge height").focus();
    harness.run_steps(3);
    for letter in "3.1222".chars() {
        harness.event(Event::Text(letter.to_string()));
        harness.run_steps(2);
    }
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(3);
    harness.get_by_label("-.0018");
    click(&mut harness, "Add the station");
    click(&mut harness, "Save in the job");
    let measured = &harness.state().job().passes[0].measured;
    assert_eq!((measured.len(), measured[0].what, measured[0].value), (2, Quantity::OverX, 3.1222));
    assert_eq!((measured[1].what, measured[1].station), (Quantity::StockLeft, Some(0.0)));
    assert!(!harness.state().unsaved().is_empty(), "the job is changed");
    let again = read(write(harness.state().job()).as_bytes()).expect("it is read");
    assert_eq!(again.passes[0].measured, *measured);

    // Checked anew, the place that was added has its expectation; undone, the job is as it was.
    wait(&mut harness, "the check", |app| {
        app.proof().is_some_and(|proof| !proof.job.passes[0].measured.is_empty())
    });
    act(&mut harness, Action::Do(Command::Measured));
    harness.get_by_label("Stock left outside the line, station .000, X .500, Y .000");
    act(&mut harness, Action::Close);
    act(&mut harness, Action::Do(Command::TakeBack));
    assert!(harness.state().job().passes[0].measured.is_empty());
}

#[test]
fn a_wall_is_marked_for_the_record_and_the_mark_taken_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_on_sample(folder.path(), "round-puck");
    act(&mut harness, CentreAsk::Station(3.25).into());
    act(&mut harness, Action::Do(Command::ShowWall));
    click(&mut harness, "Mark this wall for the record");
    assert_eq!(harness.state().job().walls, [3.25]);
    let again = read(write(harness.state().job()).as_bytes()).expect("it is read");
    assert_eq!(again.walls, [3.25]);
    act(&mut harness, Action::Do(Command::TakeBack));
    assert!(harness.state().job().walls.is_empty());
    act(&mut harness, Action::Do(Command::DoAgain));
    act(&mut harness, Action::Do(Command::MarkWall));
    assert!(harness.state().job().walls.is_empty(), "asked again, it is no longer marked");
}

#[test]
fn a_picture_lies_on_the_clipboard_and_is_called_after_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_on_sample(folder.path(), "round-puck");
    act(&mut harness, CentreAsk::Station(3.25).into());
    act(&mut harness, Action::Do(Command::ShowWall));
    act(&mut harness, Action::Do(Command::CopyPicture));
    let copied = |harness: &Harness<'static, App>| {
        harness.output().platform_output.commands.iter().find_map(|command| match command {
            OutputCommand::CopyImage(image) => Some(image.size),
            _ => None,
        })
    };
    // It is handed over in one frame alone.
    let size = Cell::new(None);
    wait_until(&mut harness, "the picture", |harness| {
        size.set(size.get().or_else(|| copied(harness)));
        size.get().is_some()
    });
    assert_eq!(size.get(), Some([2400, 1800]));
    act(&mut harness, Action::Do(Command::PictureOfWall));
    let field = harness.get_by_role_and_label(Role::TextInput, "Path of the file");
    let name = field.value().expect("a name");
    assert!(name.ends_with("wall-station-3-250.png") && name.contains("round-puck"), "{name}");
}

#[test]
fn a_file_is_chosen_from_what_lies_in_its_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    act(&mut harness, Action::Do(Command::AddPass));
    wait_for(&mut harness, "File 1002.nc");
    let named = |harness: &Harness<'static, App>| {
        let field = harness.get_by_role_and_label(Role::TextInput, "Path of the file");
        field.value().unwrap_or_default()
    };
    assert!(harness.query_by_label("File job.json").is_none(), "no program");
    click(&mut harness, "File 1002.nc");
    assert!(named(&harness).ends_with("1002.nc"), "{}", named(&harness));
    // Up, and down again into the folder it came from.
    click(&mut harness, "Up one folder");
    let own = harness.state().folder();
    let own = own.file_name().expect("a name").to_string_lossy().into_owned();
    wait_for(&mut harness, &format!("Folder {own}"));
    click(&mut harness, &format!("Folder {own}"));
    wait_for(&mut harness, "File 1003.nc");
    let passes = harness.state().job().passes.len();
    click(&mut harness, "File 1003.nc");
    click(&mut harness, "Add");
    wait(&mut harness, "the pass", move |app| app.job().passes.len() == passes + 1);
}
