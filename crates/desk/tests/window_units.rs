//! Inch and millimeter in the window: told in either, the job and what is found stay as they are.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App, Command};
use blockwright_core::units::Units;
use eframe::egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, desk_in, press, wait};

/// Tells lengths in the other unit, and waits until the messages do.
fn other_unit(harness: &mut Harness<'static, App>) {
    let before = harness.state().proof().expect("checked").told;
    press(harness, Modifiers::NONE, Key::U);
    wait(harness, "the other unit", |app| app.proof().is_some_and(|proof| proof.told != before));
    harness.run_steps(3);
}

#[test]
fn a_key_tells_every_figure_in_the_other_unit() {
    let mut harness = desk();
    let proof = harness.state().proof().expect("checked").clone();
    assert_eq!(proof.told.shown(), Units::Inch);
    // .368 in without contact is 9.35 mm.
    harness.get_by_label_contains(
        "Card: Check, No contact, pass 1, line 18, station 11.219. Pass 1: no contact for .368 in",
    );
    other_unit(&mut harness);
    let told = harness.state().proof().expect("checked").clone();
    assert_eq!((told.told.of(), told.told.shown()), (Units::Inch, Units::Mm));
    harness.get_by_label_contains(
        "Card: Check, No contact, pass 1, line 18, station 284.96. Pass 1: no contact for 9.35 mm",
    );
    harness.get_by_label_contains("Here: ");
    // Nothing was measured anew, and nothing else is found.
    let kinds = |proof: &blockwright_core::proof::Proof| -> Vec<_> {
        proof.findings.iter().map(|finding| (finding.code, finding.line, finding.amount)).collect()
    };
    assert_eq!(kinds(&told), kinds(&proof));
    assert_eq!(told.verdict, proof.verdict);
    assert!(harness.state().unsaved().is_empty(), "the job is as it was");
    other_unit(&mut harness);
    harness.get_by_label_contains(
        "Card: Check, No contact, pass 1, line 18, station 11.219. Pass 1: no contact for .368 in",
    );
}

#[test]
fn a_field_takes_and_shows_the_unit_that_is_told() {
    let mut harness = desk();
    other_unit(&mut harness);
    act(&mut harness, Action::Do(Command::EditJob));
    let bed = harness.state().job().bed_top.expect("the demo has a bed");
    let thickness = harness.state().job().blank.as_ref().expect("a blank").thickness;
    let field = harness.get_by_label("Thickness of the blank");
    assert!(
        field.value().is_some_and(|text| text.contains(&format!("{}", thickness * 25.4))),
        "{:?}",
        field.value()
    );
    field.focus();
    harness.run_steps(3);
    harness.event(eframe::egui::Event::Text("31.75".to_owned()));
    harness.run_steps(2);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    act(&mut harness, Action::Close);
    assert_eq!(harness.state().job().blank.as_ref().expect("a blank").thickness, 1.25, "inches in the job");
    assert_eq!(harness.state().job().bed_top, Some(bed), "and nothing else has changed");
}

#[test]
fn the_record_is_told_in_the_unit_of_the_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    other_unit(&mut harness);
    let target = folder.path().join("record");
    act(&mut harness, Action::Use(blockwright::app::Purpose::Record, target.clone()));
    let page = target.join("record.html");
    wait(&mut harness, "the record", |_| page.exists());
    let text = std::fs::read_to_string(page).expect("a page");
    assert!(text.contains(".368 in") && !text.contains("9.35 mm"));
}
