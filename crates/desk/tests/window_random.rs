//! The window worked by seeded keys and clicks at random: it never panics, and no change of the job or of a program is
//! lost without a question.
//!
//!     cargo test --workspace --locked --test window_random                         # 400 keys and clicks
//!     KEYS=20000 SEED=7 cargo test --workspace --locked --test window_random       # as many as you like
//!
//! It works in folders of its own: what the window saves under a name that is typed at random lies there.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on, and a long run how long it was"
)]

#[path = "support/seeded.rs"]
mod seeded;
mod support;

use std::path::Path;

use blockwright::app::{App, Command};
use blockwright_core::job::Job;
use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2, pos2,
    vec2,
};
use egui_kittest::Harness;

use seeded::{Seeded, number};
use support::keeping;

/// Keys that may be pressed besides those of the commands.
const KEYS: [Key; 12] = [
    Key::Tab,
    Key::Enter,
    Key::Escape,
    Key::Space,
    Key::ArrowUp,
    Key::ArrowDown,
    Key::ArrowLeft,
    Key::ArrowRight,
    Key::Backspace,
    Key::Delete,
    Key::PageDown,
    Key::Home,
];

/// What is typed into whatever has the keyboard.
const TYPED: [&str; 10] = ["1", ".5", "-", "12.7mm", "3/8", "X", "G1 X1.", "(", "1e9", "é"];

/// Commands that open a dialog of the system or end the window: they have tests of their own.
fn is_left_out(command: Command) -> bool {
    matches!(command, Command::Quit)
}

fn place(seeded: &mut Seeded) -> Pos2 {
    pos2(seeded.next(1280) as f32, seeded.next(800) as f32)
}

/// One key, click, drag or turn of the wheel, in words.
fn one(harness: &mut Harness<'static, App>, seeded: &mut Seeded) -> String {
    match seeded.next(20) {
        0..6 => {
            let at = place(seeded);
            let button = if seeded.next(8) == 0 { PointerButton::Secondary } else { PointerButton::Primary };
            click(harness, at, button);
            format!("click at {at:?}")
        }
        6..8 => {
            let (from, to) = (place(seeded), place(seeded));
            drag(harness, from, to);
            format!("drag from {from:?} to {to:?}")
        }
        8 => {
            let at = place(seeded);
            harness.hover_at(at);
            let delta = vec2(0.0, seeded.next(400) as f32 - 200.0);
            wheel(harness, delta);
            format!("wheel at {at:?}")
        }
        9..12 => {
            let text = TYPED[seeded.next(TYPED.len() as u64) as usize];
            harness.event(Event::Text(text.to_owned()));
            format!("type {text}")
        }
        12..15 => {
            let key = KEYS[seeded.next(KEYS.len() as u64) as usize];
            harness.key_press(key);
            format!("{key:?}")
        }
        _ => {
            let keyed: Vec<_> = Command::ALL
                .iter()
                .filter(|command| !is_left_out(**command))
                .filter_map(|command| Some((*command, command.shortcut()?)))
                .collect();
            let (command, keys) = keyed[seeded.next(keyed.len() as u64) as usize];
            harness.key_press_modifiers(keys.modifiers, keys.logical_key);
            format!("{command:?}")
        }
    }
}

fn wheel(harness: &Harness<'static, App>, delta: Vec2) {
    harness.event(Event::MouseWheel {
        unit: MouseWheelUnit::Point,
        delta,
        phase: TouchPhase::Move,
        modifiers: Modifiers::NONE,
        source: MouseWheelSource::Unknown,
    });
}

fn click(harness: &Harness<'static, App>, at: Pos2, button: PointerButton) {
    harness.event(Event::PointerMoved(at));
    for pressed in [true, false] {
        harness.event(Event::PointerButton { pos: at, button, pressed, modifiers: Modifiers::NONE });
    }
}

fn drag(harness: &Harness<'static, App>, from: Pos2, to: Pos2) {
    let button = PointerButton::Primary;
    harness.event(Event::PointerMoved(from));
    harness.event(Event::PointerButton { pos: from, button, pressed: true, modifiers: Modifiers::NONE });
    harness.event(Event::PointerMoved(from.lerp(to, 0.5)));
    harness.event(Event::PointerMoved(to));
    harness.event(Event::PointerButton { pos: to, button, pressed: false, modifiers: Modifiers::NONE });
}

/// Whether the job is in a file of the folder, or is the demo's.
fn is_in_a_file(job: &Job, folder: &Path) -> bool {
    let demo = blockwright::open::demo_job().expect("the demo holds together").source.job;
    *job == *demo || jobs_in(folder).contains(job)
}

fn jobs_in(folder: &Path) -> Vec<Job> {
    let mut jobs = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            jobs.extend(jobs_in(&path));
        } else {
            // Saved under whatever name was typed.
            jobs.extend(std::fs::read(&path).ok().and_then(|bytes| blockwright_core::job::read(&bytes).ok()));
        }
    }
    jobs
}

/// Steps within which a question may still be the reason that a change is gone: what it opens is read beside the window.
const SINCE: u64 = 200;

#[test]
fn keys_and_clicks_at_random_break_nothing_and_lose_nothing() {
    let (count, seed) = (number("KEYS", 400), number("SEED", 29).max(1));
    let (folder, state) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    // A name without a folder that is typed at random means the one that the window was started in.
    std::env::set_current_dir(folder.path()).expect("a folder");
    let mut harness = keeping(folder.path(), state.path());
    let mut seeded = Seeded::new(seed);
    // The last state of the job that was found in a file.
    let mut kept = harness.state().job().clone();
    assert!(is_in_a_file(&kept, folder.path()));
    let (mut changes, mut questions, mut asked_at) = (0_u64, 0_u64, None);
    let mut last: Vec<String> = Vec::new();
    for index in 0..count {
        let before = harness.state().job().clone();
        let was_unsaved = !harness.state().unsaved().is_empty();
        last.push(one(&mut harness, &mut seeded));
        if last.len() > 12 {
            last.remove(0);
        }
        harness.step();
        let app = harness.state();
        changes += u64::from(*app.job() != before);
        if app.question().is_some() {
            questions += u64::from(asked_at != Some(index));
            asked_at = Some(index + 1);
        }
        if !app.unsaved().is_empty() || *app.job() == kept {
            continue;
        }
        // Nothing is told as unsaved: then the job is in a file, and what was there before was saved or asked for.
        if !is_in_a_file(app.job(), folder.path()) {
            fail(&last, index, seed, "a changed job is not told as unsaved");
        }
        let asked = asked_at.is_some_and(|at| index - at.min(index) < SINCE);
        if was_unsaved && *app.job() != before && !asked {
            fail(&last, index, seed, "a change is gone without a question");
        }
        kept = app.job().clone();
    }
    println!("{count} keys and clicks, seed {seed}: {changes} changes of the job, {questions} questions");
}

#[expect(clippy::panic, reason = "it says how to get there again")]
fn fail(last: &[String], index: u64, seed: u64, what: &str) -> ! {
    panic!("SEED={seed}, number {index}: {what}; the last were {last:#?}")
}
