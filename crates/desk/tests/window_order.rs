//! The job changed in the real window without a screen: passes moved and left out, a fit taken over, tools brought in;
//! and every change taken back.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App, Ask, Command, OrderAsk, Purpose};
use blockwright::open;
use blockwright_core::job::{Crib, Job, read_crib, write_crib};
use blockwright_core::tool::{Form, Tool};
use blockwright_core::units::Units;
use eframe::egui::{Key, Modifiers, Role, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, desk_in, press, text, wait, wait_until};

fn names(job: &Job) -> Vec<String> {
    job.passes.iter().map(|pass| pass.name.clone()).collect()
}

/// Waits until the job as it is now has been proven.
fn wait_proven(harness: &mut Harness<'static, App>) {
    wait(harness, "the new proof", |app| {
        app.proof()
            .is_some_and(|proof| *proof.job == *app.job() && proof.wall_passes.len() == proof.passes.len())
    });
    harness.run_steps(2);
}

/// Large cells, for speed.
fn coarser(harness: &mut Harness<'static, App>) {
    for _ in 0..2 {
        act(harness, Action::Do(Command::Coarser));
        let proof = harness.state().proof().map(std::ptr::from_ref).expect("proven");
        wait(harness, "the coarser proof", |app| app.proof().is_some_and(|new| !std::ptr::eq(new, proof)));
    }
}

fn take_back(harness: &mut Harness<'static, App>) {
    press(harness, Modifiers::COMMAND.plus(Modifiers::ALT), Key::Z);
}

fn click(harness: &mut Harness<'static, App>, button: &str) {
    harness.get_by_role_and_label(Role::Button, button).click();
    harness.run_steps(3);
}

#[test]
fn a_pass_is_moved_with_its_program_and_moved_back() {
    let mut harness = desk();
    let before = names(harness.state().job());
    act(&mut harness, Action::Pick(0));
    let program = text(&harness);
    press(&mut harness, Modifiers::ALT, Key::ArrowDown);
    let moved = names(harness.state().job());
    assert_eq!((&moved[0], &moved[1], &moved[2..]), (&before[1], &before[0], &before[2..]));
    assert_eq!(harness.state().place().0, 1, "what is looked at goes with it");
    assert_eq!(text(&harness), program);
    // Before the order is proven its passes stand in their new places as they were measured.
    let proof = harness.state().proof().expect("a stand-in");
    assert_eq!(names(&proof.job), moved);
    wait_proven(&mut harness);
    take_back(&mut harness);
    assert_eq!(names(harness.state().job()), before);
    assert_eq!((harness.state().place().0, text(&harness)), (0, program));
    press(&mut harness, Modifiers::COMMAND.plus(Modifiers::ALT), Key::Y);
    assert_eq!(names(harness.state().job()), moved);
}

#[test]
fn a_pass_is_dragged_in_the_list() {
    let mut harness = desk();
    let before = names(harness.state().job());
    let card = |harness: &Harness<'static, App>, pass: usize| {
        harness.get_by_label_contains(&format!("Pass {pass}: {}", before[pass - 1])).rect()
    };
    let (from, to) = (card(&harness, 1).center(), card(&harness, 3).center_bottom() - vec2(0.0, 8.0));
    harness.drag_at(from);
    harness.run_steps(2);
    harness.hover_at(from + vec2(0.0, 20.0));
    harness.run_steps(2);
    harness.hover_at(to);
    harness.run_steps(2);
    harness.drop_at(to);
    harness.run_steps(3);
    let moved = names(harness.state().job());
    assert_eq!(moved[..3], [before[1].clone(), before[2].clone(), before[0].clone()]);
    take_back(&mut harness);
    assert_eq!(names(harness.state().job()), before);
}

#[test]
fn a_pass_left_out_comes_back_with_the_edits_made_meanwhile() {
    let mut harness = desk();
    let before = names(harness.state().job());
    let second = {
        act(&mut harness, Action::Pick(1));
        text(&harness)
    };
    act(&mut harness, Action::Pick(0));
    act(&mut harness, Action::Line(1));
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Program(Ask::Type("(checked)".to_owned())));
    act(&mut harness, Action::Program(Ask::Leave));
    act(&mut harness, Action::Do(Command::LeaveOut));
    assert_eq!(names(harness.state().job()), before[1..]);
    assert_eq!(text(&harness), second, "the pass behind it is shown with its own program");
    wait_proven(&mut harness);
    assert_eq!(harness.state().proof().expect("proven").passes.len(), before.len() - 1);
    take_back(&mut harness);
    assert_eq!(names(harness.state().job()), before);
    act(&mut harness, Action::Pick(0));
    assert!(text(&harness).contains("(checked)"));
    wait(&mut harness, "its proof", |app| {
        app.proof().is_some_and(|proof| {
            *proof.job == *app.job()
                && (1..4).any(|line| proof.passes[0].text.line(line).contains("(checked)"))
        })
    });
    // The last one stays.
    act(&mut harness, Action::OfOrder(OrderAsk::Arrange(Vec::new())));
    assert!(harness.state().message().expect("a message").what.contains("The job needs at least one pass"));
}

#[test]
fn another_order_is_laid_beside_and_used() {
    let mut harness = desk();
    let before = names(harness.state().job());
    coarser(&mut harness);
    act(&mut harness, Action::Do(Command::PassOrder));
    harness.run_steps(3);
    let first = &before[0];
    harness.get_by_label(&format!("Run {first} later")).click();
    harness.run_steps(3);
    harness.get_by_label(&format!("Run {} in the other order", before[2])).click();
    harness.run_steps(3);
    assert_eq!(names(harness.state().job()), before, "the job itself is as it was");
    wait_label(&mut harness, "being checked", false);
    assert!(harness.query_all_by_label_contains("now ").count() > 2, "what differs is said");
    harness.get_by_label("left out");
    click(&mut harness, "Use this order");
    let mut expected = before.clone();
    expected.swap(0, 1);
    expected.remove(2);
    assert_eq!(names(harness.state().job()), expected);
    act(&mut harness, Action::Close);
    take_back(&mut harness);
    assert_eq!(names(harness.state().job()), before, "in one step");
}

#[test]
fn it_is_said_which_pass_could_be_left_out() {
    let mut harness = desk();
    coarser(&mut harness);
    act(&mut harness, Action::Do(Command::PassOrder));
    harness.run_steps(3);
    click(&mut harness, "Which could be left out?");
    wait_label(&mut harness, " is needed: ", true);
    harness
        .get_all_by_label_contains(" alone could be left out: ")
        .next()
        .expect("the demo has one to spare");
}

#[test]
fn a_fit_is_taken_over_in_one_step_and_taken_back() {
    let mut harness = desk();
    let before = harness.state().job().clone();
    let least = |app: &App| {
        app.proof().and_then(|proof| proof.blank.as_ref()).map_or(0.0, |blank| blank.least_margin)
    };
    let margin = least(harness.state());
    act(&mut harness, Action::Do(Command::BlankFit));
    wait(&mut harness, "the fit", |app| app.best_fit().is_some());
    harness.run_steps(3);
    let fit = harness.state().best_fit().expect("found").clone();
    assert!(fit.least_margin > margin + 0.001, "{fit:?}");
    harness.get_by_label_contains("Move the work zero by");
    harness.get_by_label("Use this position").click();
    harness.run_steps(3);
    let mut expected = before.clone();
    expected.blank.as_mut().expect("a blank").at = Some(fit.blank_at(None));
    assert_eq!(*harness.state().job(), expected, "nothing but the lie of the blank");
    wait_proven(&mut harness);
    let after = least(harness.state());
    assert!(after >= fit.least_margin - 1e-4, "{after} {fit:?}");
    take_back(&mut harness);
    assert_eq!(*harness.state().job(), before);
    wait_proven(&mut harness);
    assert!((least(harness.state()) - margin).abs() < 1e-12);
}

#[test]
fn a_short_stretch_centres_the_plan() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::BlankFit));
    harness.run_steps(2);
    harness.get_by_label("Metal to add for a margin of").focus();
    harness.run_steps(2);
    wait(&mut harness, "the fit", |app| app.best_fit().is_some());
    act(&mut harness, Action::OfFit(blockwright::app::FitAsk::Centre(2.0)));
    let proof = harness.state().proof().expect("proven");
    let at = proof.outline.as_ref().expect("an outline").place(2.0).at;
    assert!(harness.state().seen().expect("drawn").centre.distance(at) < 1e-9);
}

#[test]
fn what_one_field_changes_in_a_row_is_one_step() {
    let mut harness = desk();
    let before = harness.state().job().clone();
    let mut job = before.clone();
    let grip = eframe::egui::Id::unique("a field");
    for step in 1..5 {
        job.gauge_height = before.gauge_height.map(|gauge| gauge - 0.001 * f64::from(step));
        act(&mut harness, Action::TypeIn(Box::new(job.clone()), grip));
    }
    act(&mut harness, Action::Close);
    job.name = Some("another".to_owned());
    act(&mut harness, Action::Edit(Box::new(job)));
    take_back(&mut harness);
    assert_eq!(harness.state().job().name, before.name);
    take_back(&mut harness);
    assert_eq!(*harness.state().job(), before);
    act(&mut harness, Action::Do(Command::TakeBack));
    assert_eq!(*harness.state().job(), before, "there is nothing more to take back");
}

#[test]
fn a_material_gets_a_figure_of_the_shop() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::EditJob));
    let name = harness.state().job().blank.as_ref().and_then(|blank| blank.material.clone());
    // What is known, and where it is from, stands there before.
    harness.get_by_label_contains("0.3300 hp for each in³/min: a handbook value");
    harness.get_by_role_and_label(Role::CheckBox, "Own figure for its power").click();
    harness.run_steps(3);
    let figures = harness.state().job().materials.clone();
    assert_eq!(figures.len(), 1);
    assert_eq!((Some(&figures[0].name), figures[0].unit_power), (name.as_ref(), 0.33));
    harness.get_by_label("Where the figure comes from");
    // Another material is not what the figure was for; back at its own it counts again.
    for (material, own) in [("aluminum 7075-T6", false), ("aluminum 6061-T6", true)] {
        click(&mut harness, "Known ones");
        click(&mut harness, material);
        let job = harness.state().job();
        assert_eq!(job.blank.as_ref().and_then(|blank| blank.material.as_deref()), Some(material));
        assert_eq!(job.materials, figures);
        assert_eq!(harness.query_by_label("Where the figure comes from").is_some(), own, "{material}");
    }
    harness.get_by_role_and_label(Role::CheckBox, "Own figure for its power").click();
    harness.run_steps(3);
    assert_eq!(harness.state().job().materials, []);
}

fn cutter(number: u32, diameter: f64) -> Tool {
    Tool {
        number,
        name: Some(format!("crib cutter {number}")),
        form: Form::Flat { diameter },
        flutes: Some(2),
        flute_length: None,
        shank_diameter: None,
        stickout: None,
        holder_diameter: None,
    }
}

/// Steps until a label with these words is there, or is not, for a while.
fn wait_label(harness: &mut Harness<'static, App>, words: &str, there: bool) {
    wait_until(harness, words, |harness| {
        harness.query_all_by_label_contains(words).next().is_some() == there
    });
    harness.run_steps(3);
}

#[test]
fn tools_of_a_crib_come_into_the_job_and_a_clash_is_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let before = harness.state().job().clone();
    let path = harness.state().folder().join("shop.json");
    // Number 1 is the job's own already; 77 is free. The crib is in millimetres, the job in inches.
    let crib =
        Crib { units: Units::Mm, tools: vec![cutter(1, 25.4), cutter(77, 50.8)], materials: Vec::new() };
    std::fs::write(&path, write_crib(&crib)).expect("written");
    act(&mut harness, Action::Use(Purpose::Crib, path));
    wait_label(&mut harness, "crib cutter", true);
    harness.get_by_label("77  crib cutter 77").click();
    harness.get_by_label("1  crib cutter 1").click();
    harness.run_steps(3);
    harness.get_by_label_contains("The job has another tool 1");
    click(&mut harness, "Add 2 tools");
    let job = harness.state().job();
    assert_eq!(job.tool(77).map(|tool| tool.form.radius()), Some(1.0));
    assert_eq!(job.tool(1), before.tool(1), "the job's own stays");
    let brought = job.tools.iter().find(|tool| tool.name.as_deref() == Some("crib cutter 1"));
    assert_eq!(before.tool(brought.expect("brought in").number), None, "with a number that was free");
    take_back(&mut harness);
    assert_eq!(*harness.state().job(), before, "both in one step");
}

#[test]
fn a_job_that_shares_a_crib_is_saved_and_opened_with_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let path = harness.state().folder().join("shop.json");
    std::fs::write(
        &path,
        write_crib(&Crib { units: Units::Mm, tools: vec![cutter(77, 50.8)], materials: Vec::new() }),
    )
    .expect("written");
    act(&mut harness, Action::Use(Purpose::Crib, path));
    wait_label(&mut harness, "crib cutter", true);
    click(&mut harness, "Share the file");
    let mut job = harness.state().job().clone();
    job.passes[0].tool = 77;
    act(&mut harness, Action::Edit(Box::new(job.clone())));
    // Saved elsewhere, the crib goes with it.
    let other = folder.path().join("elsewhere");
    std::fs::create_dir(&other).expect("made");
    let target = other.join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, target.clone()));
    assert_eq!(harness.state().message(), None);
    let opened = open::paths(std::slice::from_ref(&target), None).expect("it opens").source.job;
    assert_eq!(opened.tool(77), job.tool(77));
    assert!(opened.tools.iter().all(|tool| tool.number != 77), "it is the crib's alone");
    // A crib with another tool of that number is not mixed up with it.
    let differs = Crib { units: Units::Inch, tools: vec![cutter(77, 0.5)], materials: Vec::new() };
    let shared = other.join("shop.json");
    std::fs::write(&shared, write_crib(&differs)).expect("written");
    act(&mut harness, Action::Use(Purpose::SaveJob, target.clone()));
    assert!(harness.state().message().expect("a message").what.contains("has other tools"));
    let refused =
        || open::paths(std::slice::from_ref(&target), None).expect_err("it can't be used").to_string();
    std::fs::write(&shared, "{}").expect("written");
    assert!(refused().contains("the crib cannot be used"), "{}", refused());
    std::fs::write(&shared, write_crib(&Crib { tools: Vec::new(), ..differs })).expect("written");
    assert!(refused().contains("names tool 77"), "{}", refused());
    std::fs::remove_file(&shared).expect("removed");
    assert!(refused().contains("the crib of the job"), "{}", refused());
}

#[test]
fn tools_are_saved_as_a_crib_and_one_that_is_there_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk();
    let path = folder.path().join("crib.json");
    act(&mut harness, Action::Use(Purpose::SaveCrib, path.clone()));
    let crib = read_crib(&std::fs::read(&path).expect("written")).expect("a crib");
    assert_eq!(crib.tools, harness.state().job().tools);
    std::fs::write(&path, "another").expect("written");
    act(&mut harness, Action::Use(Purpose::SaveCrib, path.clone()));
    assert!(harness.state().question().is_some());
    assert_eq!(std::fs::read(&path).expect("read"), b"another");
    act(&mut harness, Action::Replace(Purpose::SaveCrib, path.clone()));
    assert!(read_crib(&std::fs::read(&path).expect("read")).is_ok());
}

#[test]
fn tools_are_added_removed_and_refused_in_their_window() {
    let mut harness = desk();
    let before = harness.state().job().clone();
    act(&mut harness, Action::Do(Command::Tools));
    harness.run_steps(3);
    click(&mut harness, "Remove");
    harness.get_by_label_contains("give the pass another tool first");
    assert_eq!(*harness.state().job(), before);
    click(&mut harness, "Add a tool");
    let job = harness.state().job().clone();
    assert_eq!(job.tools.len(), before.tools.len() + 1);
    let number = job.tools.last().expect("added").number;
    harness.get_by_label("Name").focus();
    harness.run_steps(2);
    for letters in ["odd", " one"] {
        harness.get_by_label("Name").type_text(letters);
        harness.run_steps(3);
    }
    assert_eq!(harness.state().job().tool(number).and_then(|tool| tool.name.as_deref()), Some("odd one"));
    click(&mut harness, "Remove");
    assert_eq!(*harness.state().job(), before);
    act(&mut harness, Action::Close);
    take_back(&mut harness);
    take_back(&mut harness);
    assert_eq!(harness.state().job().tool(number), job.tool(number), "typing the name was one step");
}
