//! The real window without a screen, worked by the names of its parts.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::time::{Duration, Instant};

use blockwright::app::{Action, App, Command};
use blockwright::open;
use eframe::egui::{Key, Modifiers, Pos2, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

/// The desk on the demo job, proven.
fn desk() -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_size([1280.0, 800.0])
        .with_context_setup(blockwright::theme::install)
        .build_ui_state(
            |ui, app: &mut App| {
                let ctx = ui.ctx().clone();
                app.tick(&ctx);
                app.show(ui);
            },
            App::new(open::demo_job().expect("the demo holds together")),
        );
    wait(&mut harness, "the proof", |app| app.proof().is_some());
    harness.step();
    harness
}

/// Steps until it is so, at most a minute.
fn wait(harness: &mut Harness<'static, App>, what: &str, so: impl Fn(&App) -> bool) {
    let start = Instant::now();
    while !so(harness.state()) {
        assert!(start.elapsed() < Duration::from_mins(1), "{what} did not come");
        std::thread::sleep(Duration::from_millis(5));
        harness.step();
    }
}

fn press(harness: &mut Harness<'static, App>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.step();
    harness.step();
}

fn act(harness: &mut Harness<'static, App>, action: Action) {
    let ctx = harness.ctx.clone();
    harness.state_mut().apply(&ctx, action);
    // A small window shows itself once its size is known.
    harness.run_steps(3);
}

#[test]
fn picking_a_pass_sends_the_tool_to_its_end() {
    let mut harness = desk();
    assert!(harness.state().proof().expect("proven").passes.len() > 1);
    harness.get_by_label("Plan");
    harness.get_by_label("Strip");
    harness.get_by_label_contains("Pass 2: Rough").click();
    harness.step();
    harness.step();
    let (pass, distance) = harness.state().place();
    let length = harness.state().proof().expect("proven").passes[1].track.length();
    assert_eq!((pass, distance), (1, length));
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    assert_eq!(harness.state().place().0, 0);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    assert_eq!(harness.state().place().0, 1);
}

#[test]
fn keys_scrub_along_the_pass() {
    let mut harness = desk();
    let length = harness.state().place().1;
    press(&mut harness, Modifiers::NONE, Key::Home);
    assert_eq!(harness.state().place().1, 0.0);
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    let small = harness.state().place().1;
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    let large = harness.state().place().1 - small;
    assert!(small > 0.0 && large > small * 5.0, "{small} {large}");
    press(&mut harness, Modifiers::NONE, Key::End);
    assert_eq!(harness.state().place().1, length);
    press(&mut harness, Modifiers::NONE, Key::Space);
    harness.run_steps(3);
    let running = harness.state().place().1;
    assert!(running > 0.0 && running < length, "the tool started over and runs");
}

#[test]
fn the_pointer_on_the_strip_lights_the_plan() {
    let mut harness = desk();
    let strip = harness.get_by_label("Strip").rect();
    harness.hover_at(strip.center());
    harness.step();
    harness.step();
    let lit = harness.state().lit().expect("a place");
    harness.get_by_label("along the outline").click();
    harness.step();
    harness.hover_at(strip.center() + eframe::egui::vec2(40.0, 0.0));
    harness.step();
    harness.step();
    let on_outline = harness.state().lit().expect("a place");
    assert_ne!(lit, on_outline);
    let outline = harness.state().proof().expect("proven").outline.clone().expect("an outline");
    let nearest = outline.place(outline.nearest(on_outline)).at;
    assert!(nearest.distance(on_outline) < 1e-9, "lit on the outline itself");
    harness.hover_at(Pos2::new(2.0, 2.0));
    harness.step();
    harness.step();
    assert_eq!(harness.state().lit(), None);
}

#[test]
fn a_finding_leads_to_its_pass_and_line() {
    let mut harness = desk();
    let proof = harness.state().proof().expect("proven").clone();
    let (index, finding) = proof
        .findings
        .iter()
        .enumerate()
        .find(|(_, finding)| finding.pass.is_some() && (finding.line.is_some() || finding.station.is_some()))
        .expect("the demo has a finding with a place");
    let words: String = finding.message.chars().take(40).collect();
    if index < 2 {
        harness.get_all_by_label_contains(&words).next().expect("listed").click();
        harness.step();
    } else {
        act(&mut harness, Action::Follow(index));
    }
    harness.step();
    assert_eq!(Some(harness.state().place().0), finding.pass);
    harness.get_by_label("All passes").click();
    harness.step();
    harness.step();
    harness.get_by_label_contains("Row 1:");
}

#[test]
fn a_program_line_sends_the_tool_there() {
    let mut harness = desk();
    press(&mut harness, Modifiers::NONE, Key::Home);
    let proof = harness.state().proof().expect("proven").clone();
    let line = proof.passes[0].track.placed()[0].motion.line;
    harness.get_by_label_contains(&format!("Line {line}:")).click();
    harness.step();
    harness.step();
    assert_eq!(harness.state().place().1, proof.passes[0].track.distance_of_line(line));
}

#[test]
fn a_wrong_file_gives_one_calm_message_and_the_proof_stays() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    act(&mut harness, Action::OpenPaths(vec![folder.path().join("none.json")]));
    assert!(harness.state().message().expect("a message").what.contains("no such file"));
    harness.get_by_label_contains("There is no such file");
    harness.get_by_role_and_label(Role::Button, "Close").click();
    harness.step();
    harness.step();
    assert_eq!(harness.state().message(), None);
    let empty = folder.path().join("empty.nc");
    std::fs::write(&empty, "").expect("written");
    act(&mut harness, Action::OpenPaths(vec![empty]));
    assert!(harness.state().message().expect("a message").what.contains("nothing in it"));
    assert!(harness.state().proof().is_some());
}

#[test]
fn a_bare_program_shows_its_path_and_asks_for_the_rest() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    let program = folder.path().join("1.nc");
    std::fs::write(&program, "G20 G90\nM3 S1000\nG0 X-1 Y0 Z.1\nG1 Z-.2 F10\nG1 X1\nG0 Z.1\nM30\n")
        .expect("written");
    act(&mut harness, Action::OpenPaths(vec![program]));
    wait(&mut harness, "the path", |app| app.proof().is_some_and(|proof| proof.job.blank.is_none()));
    harness.run_steps(3);
    harness.get_by_label("Prove with this").click();
    harness.step();
    wait(&mut harness, "the cut", |app| app.proof().is_some_and(|proof| proof.job.blank.is_some()));
    let job = folder.path().join("job.json");
    act(&mut harness, Action::Use(blockwright::app::Purpose::SaveJob, job.clone()));
    assert_eq!(harness.state().message(), None);
    assert!(open::paths(&[job], None).is_ok(), "what was saved can be opened");
}

#[test]
fn every_window_opens_and_every_control_in_it_has_a_name() {
    let mut harness = desk();
    for command in [
        Command::Open,
        Command::SaveJob,
        Command::EditJob,
        Command::PictureOfPlan,
        Command::Cautions,
        Command::Keys,
    ] {
        act(&mut harness, Action::Do(command));
        harness.run_steps(2);
        press(&mut harness, Modifiers::NONE, Key::Escape);
    }
    act(&mut harness, Action::Do(Command::Dark));
    harness.get_by_label("Job").click();
    harness.run_steps(2);
    harness.get_by_label_contains("Edit job");
}

#[test]
fn an_edit_is_proven_in_the_background() {
    let mut harness = desk();
    let mut job = (*harness.state().proof().expect("proven").job).clone();
    job.gauge_height = job.gauge().map(|gauge| gauge - 0.01);
    act(&mut harness, Action::Edit(Box::new(job.clone())));
    assert!(harness.state().proof().is_some(), "the proof before stays on the screen");
    wait(&mut harness, "the new proof", |app| app.proof().is_some_and(|proof| *proof.job == job));
}
