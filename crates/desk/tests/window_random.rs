//! The window worked by seeded keys and clicks at random: it never panics, and no change of the job or of a program is
//! lost without a question.
//!
//!     cargo test --workspace --locked --test window_random                         # 400 keys and clicks
//!     KEYS=20000 SEED=7 cargo test --workspace --locked --test window_random       # as many as you like
//!
//! It works in folders of its own, in a process with a home of its own and without the system's dialogs: `support/inside`.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on, and a long run how long it was"
)]

#[path = "support/inside.rs"]
mod inside;
#[path = "support/seeded.rs"]
mod seeded;
mod support;

use std::path::Path;

use blockwright::app::{Action, App, Command};
use blockwright_core::job::Job;
use eframe::egui::accesskit::Role;
use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2, pos2,
    vec2,
};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

use inside::Inside;
use seeded::{Seeded, number};
use support::{act, as_started};

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

/// The paths that small windows ask for, as they stand in their fields.
fn asked_paths(harness: &Harness<'static, App>) -> Vec<String> {
    let fields = ["Path of the file", "Folder"]
        .map(|label| harness.query_all_by_role_and_label(Role::TextInput, label));
    fields.into_iter().flatten().map(|field| field.value().unwrap_or_default()).collect()
}

/// A small window in which a path leads out is closed before anything can be done with it; whether one was.
fn is_taken_back(harness: &mut Harness<'static, App>, inside: &Inside) -> bool {
    if asked_paths(harness).is_empty() {
        return false;
    }
    // What was clicked in the list stands in the field a frame later.
    harness.step();
    let leads_out = asked_paths(harness).iter().any(|path| !inside.holds(path));
    if leads_out {
        act(harness, Action::Close);
    }
    leads_out
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
    Inside::made().run("worked_at_random");
}

#[test]
fn a_click_that_leads_out_is_taken_back() {
    Inside::made().run("led_out");
}

#[test]
#[ignore = "the one above starts it, in a process with a home of its own"]
fn led_out() {
    let inside = Inside::here();
    let mut harness = as_started(&inside.jobs(), &inside.state());
    let save = Action::Do(Command::SaveJob);
    act(&mut harness, save.clone());
    for up in [inside.jobs(), inside.home()] {
        up_one_folder(&mut harness);
        assert!(!is_taken_back(&mut harness, &inside), "{} is inside", up.display());
    }
    up_one_folder(&mut harness);
    assert!(is_taken_back(&mut harness, &inside), "out of the home");
    assert_eq!(asked_paths(&harness), Vec::<String>::new(), "the question for a path is closed");
    for outside in [inside.beside().join("job.json"), "../../job.json".into(), inside.home().join("..")] {
        act(&mut harness, save.clone());
        act(&mut harness, Action::Chosen(outside.clone()));
        assert!(is_taken_back(&mut harness, &inside), "{} is outside", outside.display());
    }
    // The folders that are offered are the job's and the home that the process was given.
    act(&mut harness, save);
    let home = format!("Go to {}", inside.home().display());
    assert!(harness.query_by_label(&home).is_some(), "{home}");
}

/// Once the folder has been read.
fn up_one_folder(harness: &mut Harness<'static, App>) {
    for _ in 0..2_000 {
        if harness.query_by_label("Up one folder").is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
        harness.step();
    }
    harness.get_by_label("Up one folder").click();
    harness.run_steps(2);
}

#[test]
#[ignore = "the first one starts it, in a process with a home of its own"]
fn worked_at_random() {
    let inside = Inside::here();
    let (count, seed) = (number("KEYS", 400), number("SEED", 29).max(1));
    let mut harness = as_started(&inside.jobs(), &inside.state());
    let mut seeded = Seeded::new(seed);
    // The last state of the job that was found in a file.
    let mut kept = harness.state().job().clone();
    assert!(is_in_a_file(&kept, &inside.home()));
    let (mut changes, mut questions, mut asked_at, mut taken_back) = (0_u64, 0_u64, None, 0_u64);
    let mut last: Vec<String> = Vec::new();
    for index in 0..count {
        let before = harness.state().job().clone();
        let was_unsaved = !harness.state().unsaved().is_empty();
        last.push(one(&mut harness, &mut seeded));
        if last.len() > 12 {
            last.remove(0);
        }
        harness.step();
        taken_back += u64::from(is_taken_back(&mut harness, &inside));
        // A run at length that is ended by hand has told how far it came.
        if (index + 1) % 1_000 == 0 {
            println!("{} of {count} keys and clicks, seed {seed}", index + 1);
        }
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
        if !is_in_a_file(app.job(), &inside.home()) {
            fail(&last, index, seed, "a changed job is not told as unsaved");
        }
        let asked = asked_at.is_some_and(|at| index - at.min(index) < SINCE);
        if was_unsaved && *app.job() != before && !asked {
            fail(&last, index, seed, "a change is gone without a question");
        }
        kept = app.job().clone();
    }
    println!(
        "{count} keys and clicks, seed {seed}: {changes} changes of the job, {questions} questions, {taken_back} ways out \
         taken back"
    );
}

#[expect(clippy::panic, reason = "it says how to get there again")]
fn fail(last: &[String], index: u64, seed: u64, what: &str) -> ! {
    panic!("SEED={seed}, number {index}: {what}; the last were {last:#?}")
}
