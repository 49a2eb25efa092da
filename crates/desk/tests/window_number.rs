//! Fields for numbers, worked by hand.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App, Command};
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, press};

/// The window in which the job is edited, with the keyboard in this field.
fn editing(field: &str) -> Harness<'static, App> {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::EditJob));
    harness.get_by_label(field).focus();
    harness.run_steps(3);
    harness
}

fn type_in(harness: &mut Harness<'static, App>, text: &str) {
    harness.event(Event::Text(text.to_owned()));
    harness.run_steps(2);
}

fn thickness(harness: &Harness<'static, App>) -> f64 {
    harness.state().job().blank.as_ref().expect("a blank").thickness
}

#[test]
fn a_length_is_taken_as_it_is_meant() {
    for (text, inches) in
        [("12.7mm", 0.5), ("1 1/2", 1.5), ("1.25-.062", 1.188), ("3/8", 0.375), ("1 mm", 1.0 / 25.4)]
    {
        let mut harness = editing("Thickness of the blank");
        // Letter by letter: on the way there it cannot be read, or means another length.
        for letter in text.chars() {
            type_in(&mut harness, &letter.to_string());
        }
        press(&mut harness, Modifiers::NONE, Key::Enter);
        assert!((thickness(&harness) - inches).abs() < 1e-9, "{text}: {}", thickness(&harness));
        assert!(harness.query_by_label_contains("cannot be read").is_none(), "{text}");
    }
}

#[test]
fn what_cannot_be_read_is_said_at_the_field_and_changes_nothing() {
    for (text, says) in [("1.2.3", "cannot be read"), ("1-3/8", "two ways"), ("1/0", "divided by 0")] {
        let mut harness = editing("Thickness of the blank");
        let before = thickness(&harness);
        for letter in text.chars() {
            type_in(&mut harness, &letter.to_string());
        }
        harness.get_by_label_contains(says);
        assert_eq!(thickness(&harness), before, "{text}");
        press(&mut harness, Modifiers::NONE, Key::Enter);
        harness.run_steps(2);
        harness.get_by_label_contains(says);
        assert_eq!(thickness(&harness), before, "{text}, entered");
        assert_eq!(harness.state().unsaved(), [""; 0], "{text}");
    }
}

#[test]
fn limits_that_contradict_each_other_are_said_at_the_field() {
    let mut harness = desk();
    let mut job = harness.state().job().clone();
    job.contact =
        Some(blockwright_core::job::ContactLimits { light_below: Some(0.2), heavy_above: Some(0.1) });
    act(&mut harness, Action::Edit(Box::new(job)));
    act(&mut harness, Action::Do(Command::EditJob));
    harness.get_by_label_contains("no cut would be full");
}

#[test]
fn digits_typed_fast_stay_in_their_field() {
    let mut harness = editing("Top of the blank");
    let tab = Event::Key {
        key: Key::Tab,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    // All of it within one frame of a slow computer.
    for event in [Event::Text(".25".to_owned()), tab.clone(), Event::Text("1.5".to_owned()), tab] {
        harness.input_mut().events.push(event);
    }
    harness.run_steps(6);
    let blank = harness.state().job().blank.clone().expect("a blank");
    assert_eq!((blank.top, blank.thickness), (0.25, 1.5));
}
