//! The pictures in the middle of the window, what is measured at the station, and areas kept clear, without a screen.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App, CentreAsk, Command, Purpose, Shape, Shown, Sketch};
use blockwright_core::finding::Code;
use blockwright_core::geometry::Point;
use blockwright_core::task::{Cancel, Task};
use blockwright_core::view::{Camera, Quantity};
use eframe::egui::{Key, LayerId, Modifiers, Pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable};

use support::{act, desk, press, wait, wait_until};

type Desk = Harness<'static, App>;

/// Puts the hand down at one place, moves it to another and lifts it.
fn drag(harness: &mut Desk, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for part in [0.3, 0.7, 1.0] {
        harness.hover_at(from + (to - from) * part);
        harness.step();
    }
    harness.drop_at(to);
    harness.run_steps(3);
}

/// Where a point of the block lies in the window.
fn on_plan(harness: &Desk, at: Point) -> Pos2 {
    let [x, y] = harness.state().seen().expect("drawn").to_view(at);
    harness.get_by_label("Plan").rect().min + vec2(x, y)
}

/// The words of all labels, in one line.
fn words(harness: &Desk) -> String {
    let all = harness.root().children_recursive();
    all.filter_map(|node| node.accesskit_node().value().or_else(|| node.accesskit_node().label()))
        .collect::<Vec<_>>()
        .join(" | ")
}

/// Steps until the window says it.
fn until(harness: &mut Desk, said: &str) {
    wait_until(harness, said, |harness| words(harness).contains(said));
}

#[test]
fn the_switch_changes_the_picture_and_so_do_keys() {
    let mut harness = desk();
    for (name, canvas, shown) in [
        ("Show the wall", "Wall", Shown::Wall),
        ("Show the block", "Block", Shown::Block),
        ("Show the plan", "Plan", Shown::Plan),
    ] {
        harness.get_by_label(name).click();
        harness.run_steps(2);
        assert_eq!(harness.state().shown(), shown);
        harness.get_by_label(canvas);
    }
    press(&mut harness, Modifiers::NONE, Key::Num2);
    assert_eq!(harness.state().shown(), Shown::Wall);
    press(&mut harness, Modifiers::NONE, Key::Num1);
    assert_eq!(harness.state().shown(), Shown::Plan);
}

#[test]
fn walking_along_the_wall_changes_its_figures() {
    let mut harness = desk();
    act(&mut harness, Action::Pick(6));
    act(&mut harness, Action::Do(Command::ShowWall));
    let figures = |station: f64, harness: &Desk| {
        let proof = harness.state().proof().expect("proven");
        let heights = proof.wall().expect("a wall").section(station).passes[6].heights;
        let units = proof.job.units;
        (units.plain(station), units.fine(heights.undercut_line.expect("undercut")))
    };
    for station in [0.0, 3.7, 9.1] {
        act(&mut harness, CentreAsk::Station(station).into());
        let (station, line) = figures(station, &harness);
        until(&mut harness, &format!("station | {station}"));
        assert!(words(&harness).contains(&format!("top of undercut | {line}")), "{}", words(&harness));
    }
    let wall = harness.get_by_label("Wall").rect();
    let before = harness.state().station();
    drag(&mut harness, wall.center(), wall.center() + vec2(80.0, 0.0));
    let dragged = harness.state().station();
    assert!(dragged > before, "{before} {dragged}");
    // The picture has the keyboard now: its arrows walk, and do not move the tool.
    let place = harness.state().place();
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    assert!(harness.state().station() > dragged);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowLeft);
    assert!(harness.state().station() < dragged);
    press(&mut harness, Modifiers::NONE, Key::Home);
    assert_eq!(harness.state().station(), 0.0);
    assert_eq!(harness.state().place(), place);
    // Past the end it goes on from the start.
    let length = harness.state().proof().expect("proven").outline.as_ref().expect("an outline").length();
    act(&mut harness, CentreAsk::Station(length + 1.0).into());
    assert!((harness.state().station() - 1.0).abs() < 1e-9);
}

#[test]
fn the_mark_of_the_station_is_carried_round_the_plan() {
    let mut harness = desk();
    let proof = harness.state().proof().expect("proven").clone();
    let outline = proof.outline.as_ref().expect("an outline");
    act(&mut harness, CentreAsk::Station(2.0).into());
    let seen = harness.state().seen();
    let handle = |station: f64, harness: &Desk| {
        let place = outline.place(station);
        on_plan(harness, place.at) + vec2(place.outward.x as f32, -place.outward.y as f32) * 40.0
    };
    let (from, to) = (handle(2.0, &harness), handle(3.0, &harness));
    drag(&mut harness, from, to);
    assert!((harness.state().station() - 3.0).abs() < 0.05, "{}", harness.state().station());
    assert_eq!(harness.state().seen(), seen, "the plan stays where it is");
}

#[test]
fn the_block_is_drawn_beside_the_window_and_turned() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::FromAbove));
    assert_eq!(harness.state().shown(), Shown::Block);
    wait(&mut harness, "the block", App::is_block_drawn);
    let block = harness.get_by_label("Block").rect();
    drag(&mut harness, block.center(), block.center() + vec2(30.0, -40.0));
    wait(&mut harness, "the block turned", App::is_block_drawn);
    let place = harness.state().place();
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft);
    assert_eq!(harness.state().place(), place, "the arrows turn the block");
    act(&mut harness, CentreAsk::ByLeave(true).into());
    act(&mut harness, CentreAsk::Turn(Camera { tilt: -20.0, ..Camera::default() }).into());
    wait(&mut harness, "the block by stock left", App::is_block_drawn);
}

#[test]
fn the_strip_shows_the_quantity_that_is_chosen() {
    let mut harness = desk();
    harness.get_by_label("along the outline").click();
    harness.run_steps(2);
    for quantity in Quantity::ALL {
        harness.get_by_label("Quantity").click();
        harness.run_steps(2);
        let choices: Vec<_> = harness.get_all_by_label(quantity.title()).collect();
        choices.last().expect("to be chosen").click();
        harness.run_steps(3);
        let strip = harness.get_by_label("Graph").rect();
        harness.hover_at(strip.center());
        harness.run_steps(2);
        let outline = harness.get_by_label("along the outline");
        let enabled = !outline.accesskit_node().is_disabled();
        assert_eq!(enabled, quantity == Quantity::Thickness, "{quantity:?}");
        harness.hover_at(Pos2::new(2.0, 2.0));
        harness.run_steps(2);
    }
}

#[test]
fn the_undercut_tab_has_the_numbers_of_the_command_line() {
    let mut harness = desk();
    harness.get_by_label("Undercut").click();
    harness.run_steps(2);
    let proof = harness.state().proof().expect("proven").clone();
    let (wall, cancel) = (proof.wall().expect("a wall"), Cancel::new());
    let along = proof.wall.as_ref().expect("measured");
    for land in [0.03, 0.05] {
        act(&mut harness, CentreAsk::Land(land).into());
        let table = wall.undercut_table(along, land, Task::quiet(&cancel)).expect("nobody cancels");
        let names: Vec<&str> = proof.job.passes.iter().map(|pass| pass.name.as_str()).collect();
        let told = table.text(&names, proof.job.units);
        let fine = |value: f64| proof.job.units.fine(value);
        let wanted = table.rows[1].wanted.expect("a step leaves it");
        until(&mut harness, &fine(wanted.step));
        let shown = words(&harness);
        for row in &table.rows {
            let wanted = row.wanted.expect("a step leaves it");
            for value in [wanted.line, wanted.step, wanted.stated_diameter, row.effect.diameter * 0.001] {
                assert!(told.contains(&fine(value)) && shown.contains(&fine(value)), "{value} in {shown}");
            }
        }
    }
    // Pins beside the wall as it is cut at the station: a + D (1 + cot(alpha / 2)), as in wall::pins.
    act(&mut harness, CentreAsk::Station(0.5).into());
    let root = wall.root_across(harness.state().station()).expect("a wall opposite");
    let reading = blockwright_core::wall::pins::Pins { diameter: 0.125, undercut: 10.0 }.over(root);
    act(&mut harness, CentreAsk::Pins(0.125, None).into());
    until(&mut harness, &format!("reads {}", proof.job.units.fine_with_unit(reading)));
}

#[test]
fn every_tool_is_drawn() {
    let mut harness = desk();
    harness.get_by_label("Tools").click();
    harness.run_steps(2);
    let tools = harness.state().proof().expect("proven").job.tools.clone();
    for tool in tools {
        harness.get_by_label(&format!("Tool {}", tool.number));
        assert!(words(&harness).contains(&tool.title()));
    }
}

#[test]
fn an_area_drawn_on_the_path_of_a_tool_leads_to_a_finding() {
    let mut harness = desk();
    let proof = harness.state().proof().expect("proven").clone();
    let on_path = proof.passes[0].track.at(proof.passes[0].track.length() * 0.5).expect("a place").tip.plan();
    act(&mut harness, Action::Do(Command::KeepClear));
    harness.get_by_label_contains("Drag from corner to corner");
    let at = on_plan(&harness, on_path);
    drag(&mut harness, at - vec2(20.0, 12.0), at + vec2(25.0, 18.0));
    harness.get_by_label("Save clamp area").click();
    harness.run_steps(2);
    wait(&mut harness, "the finding", |app| {
        let findings = &app.proof().expect("proven").findings;
        findings.iter().any(|finding| finding.code == Code::KeepClear && finding.pass == Some(0))
    });
    harness.run_steps(2);
    let area = &harness.state().proof().expect("proven").job.keep_clear[0];
    assert_eq!((area.name.as_str(), area.area.len()), ("Clamp", 4));
    harness.get_by_label_contains(
        "Pass 1: Rough, leave .062, 1/2 roughing end mill, .020 to .062, worst finding: Stop",
    );
    // It is listed in the job, and can be taken out there.
    act(&mut harness, Action::Do(Command::EditJob));
    harness.get_by_label("Delete area 1").click();
    harness.run_steps(2);
    wait(&mut harness, "the proof without it", |app| app.proof().expect("proven").job.keep_clear.is_empty());
}

#[test]
fn an_area_of_corners_ends_with_enter_and_escape_leaves_it() {
    let mut harness = desk();
    let corners = Sketch { shape: Shape::Corners, points: Vec::new() };
    act(&mut harness, CentreAsk::Sketch(Some(corners.clone())).into());
    let plan = harness.get_by_label("Plan").rect();
    for by in [vec2(-300.0, 60.0), vec2(-260.0, 60.0), vec2(-260.0, 110.0)] {
        let at = plan.center() + by;
        harness.hover_at(at);
        harness.step();
        harness.drag_at(at);
        harness.step();
        harness.drop_at(at);
        harness.run_steps(2);
    }
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    harness.get_by_label("Corner 3, X");
    press(&mut harness, Modifiers::NONE, Key::Escape);
    harness.run_steps(2);
    act(&mut harness, CentreAsk::Sketch(Some(corners)).into());
    harness.get_by_label_contains("press Enter to finish");
    press(&mut harness, Modifiers::NONE, Key::Escape);
    harness.run_steps(2);
    assert!(harness.query_by_label_contains("press Enter to finish").is_none());
    assert!(harness.state().proof().expect("proven").job.keep_clear.is_empty());
}

#[test]
fn finer_cells_are_made_for_what_is_seen_and_given_up_elsewhere() {
    let mut harness = desk();
    let seen = harness.state().seen().expect("drawn");
    let outline = harness.state().proof().expect("proven").outline.clone().expect("an outline");
    let closer =
        blockwright_core::view::Viewport { centre: outline.place(2.0).at, scale: seen.scale * 8.0, ..seen };
    act(&mut harness, Action::See(closer));
    act(&mut harness, Action::Do(Command::FinerHere));
    harness.get_by_label_contains("million cells for 7 passes");
    harness.get_by_label("Refine").click();
    until(&mut harness, " here |");
    act(&mut harness, Action::Do(Command::Fit));
    harness.run_steps(2);
    assert!(!words(&harness).contains(" here |"), "{}", words(&harness));
}

#[test]
fn the_wall_and_the_block_are_written_as_they_are_looked_at() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    act(&mut harness, CentreAsk::Station(3.0).into());
    act(&mut harness, Action::Do(Command::FromSide));
    for (command, purpose, name) in [
        (Command::PictureOfWall, Purpose::Wall, "wall.png"),
        (Command::PictureOfBlock, Purpose::Block, "block.png"),
        (Command::PictureOfBuildUp, Purpose::BuildUp, "build-up.png"),
    ] {
        act(&mut harness, Action::Do(command));
        harness.get_by_label("Path of the file");
        let path = folder.path().join(name);
        act(&mut harness, Action::Use(purpose, path.clone()));
        wait(&mut harness, name, move |_| std::fs::read(&path).is_ok_and(|png| png.starts_with(b"\x89PNG")));
        assert_eq!(harness.state().message(), None);
    }
}

#[test]
fn the_keyboard_stays_in_the_open_window() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::SaveJob));
    let mut visited = std::collections::BTreeSet::new();
    for _ in 0..12 {
        press(&mut harness, Modifiers::NONE, Key::Tab);
        let focused = harness.ctx.memory(eframe::egui::Memory::focused);
        visited.extend(focused.map(|id| id.value()));
        let layer = focused.and_then(|id| harness.ctx.read_response(id)).map(|response| response.layer_id);
        assert_ne!(layer, Some(LayerId::background()), "Tab left the window");
    }
    assert!(visited.len() >= 4, "Tab goes round in the window: {visited:?}");
}

#[test]
fn walls_in_little_take_the_large_one_to_their_stations() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::ShowWall));
    let there = |harness: &Desk| harness.query_by_label_contains("Wall B at station").is_some();
    wait_until(&mut harness, "the walls in little", there);
    // They are those of the record, lettered as there: without a mark the worst, the shortest place first.
    let proof = harness.state().proof().expect("checked").clone();
    let stations = blockwright_core::record::wall_stations(&proof, &[]);
    let worst = proof.blank.as_ref().expect("a blank").least_margin_at;
    assert!(stations.len() > 1 && stations.contains(&worst), "{stations:?}");
    for (letter, station) in ('A'..).zip(&stations) {
        let name = format!("Wall {letter} at station {},", proof.told.plain(*station));
        let wall = harness.get_by_label_contains(&name);
        wall.click();
        harness.run_steps(2);
        assert!((harness.state().station() - station).abs() < 1e-9, "{name}");
    }
    // At the worst place pass 1 leaves what the blank has there.
    let left = proof.told.fine(proof.blank.as_ref().expect("a blank").least_margin);
    harness.get_by_label_contains(&format!("left {left}: look at it"));
}
