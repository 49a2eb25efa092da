//! The desk on the demo job, and hands to work it with.

#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(unreachable_pub, reason = "shared by the test files alone")]

use std::path::Path;
use std::time::{Duration, Instant};

use blockwright::app::{Action, App};
use blockwright::arrangement::Arrangement;
use blockwright::open;
use eframe::egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

/// The desk on the demo job, proven.
pub fn desk() -> Harness<'static, App> {
    desk_on(open::demo_job().expect("the demo holds together"))
}

/// The desk on what was opened, proven.
fn desk_on(opened: open::Opened) -> Harness<'static, App> {
    harness_on(App::new(opened))
}

/// The demo job in a folder, with its unsaved work kept in another.
pub fn keeping(folder: &Path, state: &Path) -> Harness<'static, App> {
    let job = written(folder, blockwright_core::demo::JOB);
    let store = blockwright::recover::Store::open(state).expect("a place");
    harness_on(App::keeping(open::at_once(&[job], None).expect("the demo holds together"), store))
}

/// The demo job in a folder and the rest as at a start of the program: unsaved work, the arrangement and the folders used
/// last kept in another.
pub fn as_started(folder: &Path, state: &Path) -> Harness<'static, App> {
    let job = written(folder, blockwright_core::demo::JOB);
    let store = blockwright::recover::Store::open(state).expect("a place");
    let place = Arrangement::place(state);
    let opened = open::at_once(&[job], None).expect("the demo holds together");
    harness_on(App::keeping(opened, store).arranged(&Arrangement::read(&place), place))
}

/// One of the sample jobs in a folder.
pub fn desk_on_sample(folder: &Path, name: &str) -> Harness<'static, App> {
    let job = written(folder, &format!("{name}/job.json"));
    desk_on(open::at_once(&[job], None).expect("the sample holds together"))
}

/// The samples in a folder, those that are not there yet; the file of one of them.
fn written(folder: &Path, name: &str) -> std::path::PathBuf {
    for (name, bytes) in blockwright_core::demo::files() {
        let target = folder.join(name);
        if !target.exists() {
            std::fs::create_dir_all(target.parent().expect("in a folder")).expect("made");
            std::fs::write(target, bytes).expect("written");
        }
    }
    folder.join(name)
}

/// As [`as_started`], with nothing checked yet.
pub fn just_started(folder: &Path, state: &Path) -> Harness<'static, App> {
    let job = written(folder, blockwright_core::demo::JOB);
    let store = blockwright::recover::Store::open(state).expect("a place");
    unchecked(App::keeping(open::at_once(&[job], None).expect("the demo holds together"), store))
}

fn harness_on(app: App) -> Harness<'static, App> {
    let mut harness = unchecked(app);
    wait(&mut harness, "the proof", |app| app.proof().is_some());
    harness.step();
    harness
}

fn unchecked(app: App) -> Harness<'static, App> {
    Harness::builder()
        .with_size([1280.0, 800.0])
        .with_context_setup(blockwright::theme::install)
        .build_ui_state(
            |ui, app: &mut App| {
                let ctx = ui.ctx().clone();
                app.tick(&ctx);
                app.show(ui);
            },
            app,
        )
}

/// Steps until it is so, at most four minutes: a shop computer with other work to do is slow, and that is no fault.
pub fn wait(harness: &mut Harness<'static, App>, what: &str, so: impl Fn(&App) -> bool) {
    wait_until(harness, what, |harness| so(harness.state()));
}

/// Steps until a label with these words is there.
pub fn wait_for(harness: &mut Harness<'static, App>, words: &str) {
    wait_until(harness, words, |harness| harness.query_all_by_label_contains(words).next().is_some());
}

/// Steps until it is so, at most four minutes. The window is drawn less and less often meanwhile: what is waited for
/// needs the processor.
pub fn wait_until(
    harness: &mut Harness<'static, App>,
    what: &str,
    so: impl Fn(&Harness<'static, App>) -> bool,
) {
    let start = Instant::now();
    while !so(harness) {
        let waited = start.elapsed();
        assert!(waited < Duration::from_mins(4), "{what}: did not come");
        std::thread::sleep((waited / 8).clamp(Duration::from_millis(5), Duration::from_millis(200)));
        harness.step();
    }
    // What has come may still move what lies below it; a hand waits for that.
    harness.run_steps(2);
}

pub fn press(harness: &mut Harness<'static, App>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.step();
    harness.step();
}

pub fn act(harness: &mut Harness<'static, App>, action: Action) {
    let ctx = harness.ctx.clone();
    harness.state_mut().apply(&ctx, action);
    // A small window shows itself once its size is known.
    harness.run_steps(3);
}

/// The demo job written into a folder and opened from there.
pub fn desk_in(folder: &Path) -> Harness<'static, App> {
    for (name, bytes) in blockwright_core::demo::files() {
        let target = folder.join(name);
        std::fs::create_dir_all(target.parent().expect("in a folder")).expect("made");
        std::fs::write(target, bytes).expect("written");
    }
    let job = folder.join(blockwright_core::demo::JOB);
    desk_on(open::at_once(&[job], None).expect("the demo holds together"))
}

pub fn text(harness: &Harness<'static, App>) -> String {
    String::from_utf8_lossy(&harness.state().program_text().expect("a program")).into_owned()
}

/// Line of the first feed motion of the first pass, and where the pass's tool is at its end.
pub fn first_cut(harness: &Harness<'static, App>) -> u32 {
    let proof = harness.state().proof().expect("proven");
    let placed = proof.passes[0].track.placed();
    let cut = placed.iter().find(|placed| placed.motion.kind == blockwright_core::program::Kind::Feed);
    cut.expect("it cuts").motion.line
}
