//! The drawing sheet, measured points, and drawings that are brought in, worked by pointer and keys.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::f64::consts::PI;
use std::path::Path as FilePath;

use blockwright::app::{Action, App, Command, DrawAsk, Purpose};
use blockwright_core::geometry::{Point, pt};
use blockwright_core::job::PathSource;
use blockwright_core::sketch::Chain;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, press, wait, wait_until};

type Desk = Harness<'static, App>;

/// Where a place of the block is seen on a canvas.
fn seen(harness: &Desk, canvas: &str, at: Point) -> Pos2 {
    let rect = harness.get_by_label(canvas).rect();
    let [x, y] = harness.state().sheet_seen().expect("a view").to_view(at);
    rect.min + eframe::egui::vec2(x, y)
}

fn click_at(harness: &mut Desk, at: Pos2) {
    harness.hover_at(at);
    harness.step();
    for pressed in [true, false] {
        harness.event(Event::PointerButton {
            pos: at,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        });
        harness.step();
    }
    harness.step();
}

fn click(harness: &mut Desk, x: f64, y: f64) {
    let at = seen(harness, "Drawing sheet", pt(x, y));
    click_at(harness, at);
}

fn push(harness: &mut Desk, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(3);
}

fn type_text(harness: &mut Desk, text: &str) {
    for c in text.chars() {
        harness.event(Event::Text(c.to_string()));
        harness.run_steps(2);
    }
}

fn vertices(harness: &Desk) -> usize {
    harness.state().drawn().expect("a sheet").vertices().len()
}

/// A clean sheet for the outline, on a grid of a tenth of an inch.
fn clean_sheet(harness: &mut Desk) {
    act(harness, Action::Do(Command::DrawOutline));
    harness.run_steps(2);
    push(harness, "Clear");
    push(harness, "Line");
}

/// 3 x 2, well inside the demo's edge so that the pointer catches on nothing of it.
fn rectangle(harness: &mut Desk) {
    for (x, y) in [(0.5, 0.5), (3.5, 0.5), (3.5, 2.5), (0.5, 2.5), (0.5, 0.5)] {
        click(harness, x, y);
    }
}

fn outline_length(app: &App) -> Option<f64> {
    app.proof()?.outline.as_ref().map(|outline| outline.length())
}

#[test]
fn a_rectangle_is_drawn_rounded_and_used() {
    let mut harness = desk();
    clean_sheet(&mut harness);
    rectangle(&mut harness);
    let chain = harness.state().drawn().expect("a sheet");
    assert!(chain.is_closed(), "{chain:?}");
    assert!((chain.path().expect("closed").area() - 6.0).abs() < 1e-9, "{chain:?}");
    // Pick a corner, round it with the usual quarter inch.
    click(&mut harness, 3.5, 2.5);
    push(&mut harness, "Round with radius");
    assert_eq!(vertices(&harness), 5);
    press(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(vertices(&harness), 4);
    press(&mut harness, Modifiers::COMMAND, Key::Y);
    assert_eq!(vertices(&harness), 5);
    push(&mut harness, "Use as outline");
    // By hand: 10 less the two tangent lengths, plus a quarter of a circle.
    let length = 10.0 - 2.0 * 0.25 + PI / 2.0 * 0.25;
    wait(&mut harness, "the proof", |app| outline_length(app).is_some_and(|of| (of - length).abs() < 1e-9));
    assert!(harness.state().drawn().is_none(), "the sheet is put away");
}

#[test]
fn a_typed_length_and_angle_hold() {
    let mut harness = desk();
    clean_sheet(&mut harness);
    click(&mut harness, 0.5, 0.5);
    // Digits go into the length; the pointer gives the direction.
    let to = seen(&harness, "Drawing sheet", pt(2.0, 0.5));
    harness.hover_at(to);
    harness.run_steps(2);
    type_text(&mut harness, "1.375");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    let end = harness.state().drawn().and_then(Chain::end).expect("open");
    assert!(end.distance(pt(1.875, 0.5)) < 1e-9, "{end:?}");
    harness.get_by_label("Angle").focus();
    harness.run_steps(2);
    type_text(&mut harness, "90");
    harness.get_by_label("Length").focus();
    harness.run_steps(2);
    type_text(&mut harness, "1/2");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    let end = harness.state().drawn().and_then(Chain::end).expect("open");
    assert!(end.distance(pt(1.875, 1.0)) < 1e-9, "{end:?}");
    // Backspace takes the last vertex back, Enter ends, Escape asks before it leaves.
    press(&mut harness, Modifiers::NONE, Key::Backspace);
    assert_eq!(vertices(&harness), 2);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    click(&mut harness, 1.875, 0.5);
    press(&mut harness, Modifiers::NONE, Key::Delete);
    assert_eq!(vertices(&harness), 1);
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert!(harness.state().question().expect("asked").contains("has changed and is not in the job"));
    // The sheet under the question has a "Cancel" of its own.
    let leave = harness.get_by_label("Close the sheet without saving it").rect().center();
    let off = |at: Pos2| at.distance(leave);
    let stay = harness
        .get_all_by_label("Cancel")
        .min_by(|a, b| off(a.rect().center()).total_cmp(&off(b.rect().center())));
    stay.expect("it can be answered with no").click();
    harness.run_steps(3);
    assert_eq!(vertices(&harness), 1);
    push(&mut harness, "Cancel");
    push(&mut harness, "Close the sheet without saving it");
    assert!(harness.state().drawn().is_none());
}

#[test]
fn a_vertex_is_dragged_and_typed() {
    let mut harness = desk();
    clean_sheet(&mut harness);
    rectangle(&mut harness);
    let (from, to) =
        (seen(&harness, "Drawing sheet", pt(3.5, 2.5)), seen(&harness, "Drawing sheet", pt(3.0, 2.0)));
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    harness.hover_at(from + (to - from) * 0.5);
    harness.step();
    harness.hover_at(to);
    harness.step();
    harness.drop_at(to);
    harness.run_steps(2);
    let moved = harness.state().drawn().expect("a sheet").vertices()[2].at;
    assert!(moved.distance(pt(3.0, 2.0)) < 1e-9, "{moved:?}");
    press(&mut harness, Modifiers::COMMAND, Key::Z);
    let back = harness.state().drawn().expect("a sheet").vertices()[2].at;
    assert!(back.distance(pt(3.5, 2.5)) < 1e-9, "one step takes the whole drag back");
    harness.get_by_label("X of vertex 3");
}

/// Two layers: a 4 x 3 rectangle, and a circle of radius 1 in two arcs; units of the file are inches.
const DXF: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
    0\nLINE\n8\nEDGE\n10\n0\n20\n0\n11\n4\n21\n0\n0\nLINE\n8\nEDGE\n10\n4\n20\n0\n11\n4\n21\n3\n\
    0\nLINE\n8\nEDGE\n10\n4\n20\n3\n11\n0\n21\n3\n0\nLINE\n8\nEDGE\n10\n0\n20\n3\n11\n0\n21\n0\n\
    0\nCIRCLE\n8\nSCRIBE\n10\n2\n20\n1.5\n40\n1\n0\nENDSEC\n0\nEOF\n";

fn bring_in(harness: &mut Desk, file: &FilePath, text: &str) {
    std::fs::write(file, text).expect("written");
    act(harness, Action::Use(Purpose::BringIn, file.to_path_buf()));
}

#[test]
fn the_second_path_of_a_drawing_is_chosen_and_used() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    bring_in(&mut harness, &folder.path().join("plate.dxf"), DXF);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    harness.get_by_label_contains("The file is in inch");
    harness.get_by_label("Closed paths (2)");
    harness.get_by_label_contains("Path 2:").click();
    harness.run_steps(3);
    push(&mut harness, "Use as outline");
    wait(&mut harness, "the proof", |app| outline_length(app).is_some_and(|of| (of - 2.0 * PI).abs() < 1e-9));
    // Again, by a click into the rectangle outside the circle, and into the sheet.
    bring_in(&mut harness, &folder.path().join("plate.dxf"), DXF);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    let inside = seen(&harness, "Picture of the drawing", pt(0.3, 0.3));
    click_at(&mut harness, inside);
    push(&mut harness, "Put it on the sheet to edit");
    push(&mut harness, "as the edge");
    let chain = harness.state().drawn().expect("a sheet").clone();
    assert!((chain.path().expect("closed").area() - 12.0).abs() < 1e-9);
    push(&mut harness, "Use as edge");
    wait(&mut harness, "the proof", |app| {
        let edge = app.proof().and_then(|proof| proof.edge.as_ref());
        edge.is_some_and(|edge| (edge.length() - 14.0).abs() < 1e-9)
    });
}

#[test]
fn a_drawing_without_a_unit_asks_and_a_wide_gap_is_closed_on_demand() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    let open = DXF.replace("70\n1\n", "70\n0\n").replace("11\n0\n21\n0\n", "11\n0\n21\n0.02\n");
    bring_in(&mut harness, &folder.path().join("plate.dxf"), &open);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    harness.get_by_label_contains("does not give its unit");
    harness.get_by_label("Closed paths (1)");
    harness.get_all_by_label_contains("A line ends at").next().expect("told").click();
    harness.run_steps(3);
    harness.get_by_role_and_label(Role::RadioButton, "mm").click();
    harness.run_steps(3);
    wait(&mut harness, "millimetres", |app| app.sheet_seen().is_some_and(|seen| seen.scale > 1000.0));
    harness.run_steps(3);
    push(&mut harness, "Use as outline");
    // In millimetres the gap is narrow enough to be closed, so that the rectangle is the largest again.
    let length = 14.0 / 25.4;
    let Some(PathSource::Vertices(vertices)) = &harness.state().job().outline else { panic!("vertices") };
    let of = Chain::new(vertices.clone(), true).length();
    assert!((of - length).abs() < 0.02 / 25.4, "{of} {length}");
}

#[test]
fn a_bad_file_gives_one_clear_message() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text, said) in [
        ("bad.dxf", "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n", "line "),
        ("bad.csv", "0,0\n4,O\n4,3\n", "line 2, column 3"),
        ("bad.svg", "<svg><path d='M0 0'", "line 1"),
    ] {
        bring_in(&mut harness, &folder.path().join(name), text);
        wait(&mut harness, "the message", |app| app.message().is_some());
        let message = harness.state().message().expect("a message").to_string();
        assert!(message.contains(name) && message.contains(said), "{message}");
        act(&mut harness, Action::Close);
    }
    act(&mut harness, Action::Use(Purpose::BringIn, folder.path().join("none.dxf")));
    wait(&mut harness, "the message", |app| app.message().is_some());
    assert!(harness.state().message().expect("a message").what.contains("no such file"));
    act(&mut harness, Action::Close);
    act(&mut harness, Action::Do(Command::DrawOutline));
    let picture = folder.path().join("photo.png");
    std::fs::write(&picture, "no picture").expect("written");
    act(&mut harness, Action::Use(Purpose::Under, picture));
    wait(&mut harness, "the message", |app| app.message().is_some());
    assert!(harness.state().message().expect("a message").what.contains("neither a PNG nor a JPEG"));
    assert!(harness.state().proof().is_some());
}

/// Centres of an edge finder of diameter 0.2 round a 4 x 3 blank.
#[test]
fn measured_points_become_the_edge_with_the_probe_taken_off() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::DrawEdge));
    push(&mut harness, "Measured points");
    harness.event(Event::Paste("-0.1, -0.1\n4.1, -0.1\n4.1, 3.1\n".to_owned()));
    harness.run_steps(3);
    harness.get_by_label("X").focus();
    harness.run_steps(2);
    type_text(&mut harness, "-.1");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    type_text(&mut harness, "3.1");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    harness.get_by_label_contains("14.8000 in round");
    let probe = harness.get_by_role_and_label(Role::SpinButton, "Diameter of the edge finder");
    probe.focus();
    harness.run_steps(2);
    press(&mut harness, Modifiers::COMMAND, Key::A);
    type_text(&mut harness, "0.2");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(3);
    harness.get_by_label_contains("14.0000 in round");
    push(&mut harness, "Put on the sheet");
    push(&mut harness, "Use as edge");
    wait(&mut harness, "the proof", |app| {
        let edge = app.proof().and_then(|proof| proof.edge.as_ref());
        edge.is_some_and(|edge| (edge.length() - 14.0).abs() < 1e-6)
    });
}

#[test]
fn the_path_of_a_pass_comes_onto_the_sheet() {
    let mut harness = desk();
    act(&mut harness, Action::Do(Command::DrawOutline));
    let own = harness.state().drawn().expect("a sheet").length();
    let proof = harness.state().proof().expect("proven").clone();
    let finish =
        proof.job.passes.iter().position(|pass| pass.name.contains("Finish")).expect("a finish pass");
    push(&mut harness, "Clear");
    act(&mut harness, Action::Draw(DrawAsk::FromPass(finish)));
    wait(&mut harness, "the path", |app| app.drawn().is_some_and(|chain| !chain.is_empty()));
    let taken = harness.state().drawn().expect("a sheet").length();
    assert!((taken - own).abs() < 0.01, "{taken} {own}");
}

#[test]
fn a_picture_is_laid_under_and_scaled() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("photo.png");
    let grey = blockwright_core::pixels::Pixels { width: 40, height: 20, rgba: vec![128; 40 * 20 * 4] };
    std::fs::write(&file, blockwright_core::pixels::png(&grey).expect("a picture")).expect("written");
    act(&mut harness, Action::Do(Command::DrawOutline));
    act(&mut harness, Action::Use(Purpose::Under, file));
    let named = |harness: &Desk| harness.query_by_label("photo.png").is_some();
    wait_until(&mut harness, "the picture", named);
    push(&mut harness, "Mark two known points");
    click(&mut harness, 1.0, 1.0);
    click(&mut harness, 2.0, 1.0);
    harness.get_by_role_and_label(Role::SpinButton, "From A to B");
    harness.get_by_label("by their coordinates");
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert!(harness.state().drawn().is_none(), "nothing is lost, so nothing is asked");
}

#[test]
fn every_control_of_the_sheet_and_the_drawing_has_a_name() {
    let mut harness = desk();
    for command in [Command::DrawOutline, Command::DrawEdge] {
        act(&mut harness, Action::Do(command));
        for side in ["Path", "Measured points", "Tracing"] {
            push(&mut harness, side);
        }
        push(&mut harness, "Snap to");
        press(&mut harness, Modifiers::NONE, Key::Escape);
        push(&mut harness, "Path");
        // Every span and vertex can be picked in the table.
        push(&mut harness, "1");
        push(&mut harness, "Arc by bulge");
        push(&mut harness, "Cancel");
    }
    assert!(harness.state().drawn().is_none());
}

/// A drawing beside the job file is named as it lies there.
#[test]
fn a_path_is_kept_in_its_file_beside_the_job_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = support::desk_in(folder.path());
    let file = harness.state().folder().join("plate.dxf");
    bring_in(&mut harness, &file, DXF);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    push(&mut harness, "Keep it linked to its file");
    push(&mut harness, "Use as outline");
    assert_eq!(harness.state().job().outline, Some(plate(None)));
    wait(&mut harness, "the proof", |app| outline_length(app).is_some_and(|of| (of - 14.0).abs() < 1e-9));
}

fn plate(layer: Option<&str>) -> PathSource {
    PathSource::File { file: "plate.dxf".to_owned(), layer: layer.map(str::to_owned), units: None }
}

/// From anywhere else it is proven at once, and copied beside the job file when that is saved.
#[test]
fn a_path_kept_in_its_file_is_proven_and_saved_with_the_job() {
    let mut harness = desk();
    let (from, to) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    bring_in(&mut harness, &from.path().join("plate.dxf"), DXF);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    push(&mut harness, "Keep it linked to its file");
    push(&mut harness, "Use as outline");
    assert_eq!(harness.state().job().outline, Some(plate(None)));
    wait(&mut harness, "the proof", |app| outline_length(app).is_some_and(|of| (of - 14.0).abs() < 1e-9));
    assert_eq!(harness.state().message(), None);
    // Another drawing of the same name would change the outline with it.
    let other = tempfile::tempdir().expect("a folder");
    bring_in(&mut harness, &other.path().join("plate.dxf"), &DXF.replace("40\n1\n", "40\n1.25\n"));
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    harness.get_by_label_contains("another drawing of this name");
    push(&mut harness, "Cancel");
    let job = to.path().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, job.clone()));
    assert_eq!(harness.state().message(), None);
    assert_eq!(std::fs::read_to_string(to.path().join("plate.dxf")).expect("copied"), DXF);
    let opened = blockwright::open::at_once(&[job], None).expect("whole");
    assert_eq!(opened.source.beside.drawings.get("plate.dxf").map(|bytes| &bytes[..]), Some(DXF.as_bytes()));
}

/// A file's name means the largest path of a layer: another one is written as vertices, and that is said.
#[test]
fn a_path_that_a_file_s_name_cannot_mean_is_written_as_vertices() {
    let mut harness = desk();
    let folder = tempfile::tempdir().expect("a folder");
    bring_in(&mut harness, &folder.path().join("plate.dxf"), DXF);
    wait(&mut harness, "the drawing", |app| app.sheet_seen().is_some());
    harness.run_steps(3);
    push(&mut harness, "Keep it linked to its file");
    assert!(harness.query_by_label_contains("its vertices go into the job").is_none());
    harness.get_by_label_contains("Path 2:").click();
    harness.run_steps(3);
    harness.get_by_label_contains("its vertices go into the job");
    push(&mut harness, "Use as outline");
    assert!(matches!(harness.state().job().outline, Some(PathSource::Vertices(_))));
    wait(&mut harness, "the proof", |app| outline_length(app).is_some_and(|of| (of - 2.0 * PI).abs() < 1e-9));
}
