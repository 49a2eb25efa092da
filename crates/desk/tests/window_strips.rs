//! Cards, strips, the enlarged place, the line under the picture and the panes, worked by the names of their parts.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App};
use eframe::egui::{Key, Modifiers, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use support::{act, desk, press, wait};

type Desk = Harness<'static, App>;

/// What the line under the picture says.
fn here(harness: &Desk) -> String {
    let line = harness.get_by_label_contains("Here: ");
    let node = line.accesskit_node();
    node.label().or_else(|| node.value()).unwrap_or_default()
}

#[test]
fn every_pass_along_the_outline_has_a_strip_and_a_click_goes_there() {
    let mut harness = desk();
    harness.get_by_label("Graph");
    let proof = harness.state().proof().expect("proven").clone();
    for (index, pass) in proof.passes.iter().enumerate().skip(1) {
        let strips = harness.query_all_by_label_contains(&format!("Graph of pass {}", index + 1)).count();
        assert_eq!(strips, usize::from(pass.along_outline.is_some()), "pass {}", index + 1);
    }
    let strip = harness.get_by_label_contains("Graph of pass 2");
    let at = strip.rect().lerp_inside([0.25, 0.5]);
    strip.click();
    harness.run_steps(3);
    let (pass, distance) = harness.state().place();
    let length = proof.passes[1].track.length();
    assert!(pass == 1 && distance > 0.0 && distance < length, "{pass} {distance}");
    harness.get_by_label_contains("Graph of pass 1: cut .0000 to");
    harness.hover_at(at);
    harness.run_steps(2);
    assert!(harness.state().lit().is_some());
}

#[test]
fn the_wheel_brings_a_strip_near_and_a_double_click_shows_all() {
    let mut harness = desk();
    let middle = harness.get_by_label("Graph").rect().center();
    let value = |harness: &Desk| {
        let lit = harness.state().lit().expect("a place");
        let proof = harness.state().proof().expect("proven");
        proof.outline.as_ref().expect("an outline").nearest(lit)
    };
    let beside = middle + eframe::egui::vec2(100.0, 0.0);
    let apart = |harness: &mut Desk| {
        harness.hover_at(middle);
        harness.run_steps(2);
        let at = value(harness);
        harness.hover_at(beside);
        harness.run_steps(2);
        value(harness) - at
    };
    let before = apart(&mut harness);
    harness.hover_at(middle);
    harness.run_steps(2);
    harness.event(eframe::egui::Event::MouseWheel {
        unit: eframe::egui::MouseWheelUnit::Point,
        delta: [0.0, 240.0].into(),
        phase: eframe::egui::TouchPhase::Move,
        source: eframe::egui::MouseWheelSource::Wheel,
        modifiers: Modifiers::NONE,
    });
    harness.run_steps(12);
    let near = apart(&mut harness);
    assert!(near < before * 0.8, "{near} {before}");
    harness.hover_at(middle);
    // Every event has a step of its own here, a quarter of a second long.
    harness.ctx.options_mut(|options| options.input_options.max_double_click_delay = 2.0);
    for pressed in [true, false, true, false] {
        harness.event(eframe::egui::Event::PointerButton {
            pos: middle,
            button: eframe::egui::PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        });
    }
    harness.run_steps(12);
    let all = apart(&mut harness);
    assert!((all - before).abs() < before * 0.05, "{all} {before}");
}

#[test]
fn arrows_walk_the_cards_while_one_is_selected() {
    let mut harness = desk();
    press(&mut harness, Modifiers::NONE, Key::N);
    assert_eq!(harness.state().finding(), Some(0), "the first card");
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    assert_eq!(harness.state().finding(), Some(1));
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    assert_eq!(harness.state().finding(), Some(0));
    press(&mut harness, Modifiers::NONE, Key::N);
    press(&mut harness, Modifiers::SHIFT, Key::N);
    assert_eq!(harness.state().finding(), Some(0));
    // The selected card is whole.
    let height = |harness: &Desk, title: &str| harness.get_by_label_contains(title).rect().height();
    let (open, shut) =
        (height(&harness, "Card: Check, No contact"), height(&harness, "Card: Check, Light cut"));
    assert!(open > shut + 20.0, "{open} {shut}");
    // A pass picked in the list gives the arrows back to the passes.
    harness.get_by_label_contains("Pass 2: Rough").click();
    harness.run_steps(2);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    assert_eq!((harness.state().finding(), harness.state().place().0), (None, 2));
}

#[test]
fn what_has_been_seen_is_ticked_and_counted() {
    let mut harness = desk();
    harness.get_by_label("0 of 2 seen");
    harness.get_by_label_contains("Seen: No contact").click();
    harness.run_steps(2);
    harness.get_by_label("1 of 2 seen");
    harness.get_by_label_contains("Seen: No contact").click();
    harness.run_steps(2);
    harness.get_by_label("0 of 2 seen");
}

#[test]
fn notes_are_quiet_cards_with_what_they_ask_for() {
    let mut harness = desk();
    assert_eq!(harness.query_all_by_label_contains("Card: Note").count(), 0);
    harness.get_by_label("3 notes").click();
    harness.run_steps(2);
    assert!(harness.query_all_by_label_contains("Card: Note").count() > 0);
    harness.get_by_label_contains("Enter where G54 lies");
    harness.get_by_label("Hide 3 notes").click();
    harness.run_steps(2);
    assert_eq!(harness.query_all_by_label_contains("Card: Note").count(), 0);
}

#[test]
fn a_finding_opens_its_place_enlarged_and_escape_closes_it() {
    let mut harness = desk();
    let whole = harness.state().seen().expect("drawn").scale;
    harness.get_by_label_contains("Card: Check, No contact").click();
    harness.run_steps(3);
    assert!(harness.state().is_magnified());
    assert!(harness.state().seen().expect("drawn").scale > whole * 2.0, "brought near");
    // What is meant less what stands: .0620 - .0199.
    harness.get_by_label_contains("cutter misses the metal by .0421");
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert!(!harness.state().is_magnified() && harness.state().finding().is_some());
    act(&mut harness, Action::Follow(0));
    harness.get_by_label("Close the enlarged view").click();
    harness.run_steps(2);
    assert!(!harness.state().is_magnified());
}

#[test]
fn the_line_under_the_picture_follows_tool_and_pointer() {
    let mut harness = desk();
    press(&mut harness, Modifiers::NONE, Key::Home);
    let start = here(&harness);
    assert!(start.contains("cut -") && start.contains("station -"), "{start}");
    act(&mut harness, Action::Follow(0));
    let found = here(&harness);
    assert!(found.contains("left .0199") && found.contains("line 18"), "{found}");
    let graph = harness.get_by_label("Graph").rect();
    harness.hover_at(graph.left_center() + eframe::egui::vec2(graph.width() * 0.3, 0.0));
    harness.run_steps(3);
    let pointed = here(&harness);
    assert!(pointed != found && pointed.contains("left .0620"), "{pointed}");
    harness.hover_at(Pos2::new(2.0, 2.0));
    harness.run_steps(3);
    assert_eq!(here(&harness), found);
}

#[test]
fn panes_hide_and_come_back_and_are_told_to_the_next_start() {
    let mut harness = desk();
    let plan = harness.get_by_label("Plan").rect().width();
    press(&mut harness, Modifiers::COMMAND, Key::Num1);
    assert_eq!(harness.state().panes(), [false, true, true]);
    assert_eq!(harness.state().arrangement(false).hidden, [true, false, false]);
    let wide = harness.query_all_by_label("Plan").map(|plan| plan.rect().width()).fold(0.0, f32::max);
    assert!(wide > plan + 100.0, "{wide} {plan}");
    press(&mut harness, Modifiers::NONE, Key::P);
    assert_eq!(harness.state().panes(), [false; 3]);
    press(&mut harness, Modifiers::NONE, Key::P);
    harness.get_by_label("Findings and passes").click();
    harness.run_steps(2);
    assert_eq!(harness.state().panes(), [true; 3]);
    let kept = harness.state().arrangement(true);
    assert!(kept.window == Some([1280.0, 800.0]) && kept.dark && kept.panes.iter().all(Option::is_some));
}

#[test]
fn the_best_position_is_a_click_from_the_blank() {
    let mut harness = desk();
    harness.get_by_label("Try the best position").click();
    wait(&mut harness, "the fit", |app| app.best_fit().is_some());
    harness.run_steps(3);
    harness.get_by_label("Use this position");
}

#[test]
fn the_line_under_the_picture_tells_coordinates_of_the_block_or_of_the_program() {
    let mut harness = desk();
    let zero = |harness: &Desk, pass: usize| harness.state().job().passes[pass].zero.origin;
    // Touched off on the top that a face cut has left.
    let lower = (0..harness.state().job().passes.len()).find(|pass| zero(&harness, *pass)[2] != 0.0);
    let pass = lower.expect("the demo touches a tool off on the new top");
    act(&mut harness, Action::Pick(pass));
    let proof = harness.state().proof().expect("checked").clone();
    let tip = proof.passes[pass].track.at(proof.passes[pass].track.length()).expect("its end").tip;
    let (block, program) = (proof.told.plain(tip.z), proof.told.plain(tip.z - zero(&harness, pass)[2]));
    assert_ne!(block, program);
    let line = here(&harness);
    assert!(line.contains(&format!("Z {block}, program X")), "{line}");
    assert!(line.contains(&format!("Z {program}, left")), "{line}");
    harness.get_by_label("X, Y, Z of the block: change").click();
    harness.run_steps(2);
    let line = here(&harness);
    assert!(line.contains(&format!("Z {program}, block X")), "{line}");
    harness.get_by_label("X, Y, Z of the program: change").click();
    harness.run_steps(2);
    assert!(here(&harness).contains(&format!("Z {block}, program X")));
}
