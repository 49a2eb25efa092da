//! The real window without a screen, worked by the names of its parts.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use blockwright::app::{Action, App, Ask, Command, Purpose, Shown};
use blockwright::open;
use eframe::egui::{Event, Key, Modifiers, Pos2, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, desk_in, first_cut, press, text, wait};

#[test]
fn picking_a_pass_sends_the_tool_to_its_end() {
    let mut harness = desk();
    assert!(harness.state().proof().expect("proven").passes.len() > 1);
    harness.get_by_label("Plan");
    harness.get_by_label("Graph");
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
    harness.get_by_label("along the path").click();
    harness.run_steps(2);
    let strip = harness.get_by_label("Graph").rect();
    harness.hover_at(strip.center());
    harness.step();
    harness.step();
    let lit = harness.state().lit().expect("a place");
    harness.get_by_label("along the outline").click();
    harness.run_steps(2);
    let strip = harness.get_by_label("Graph").rect();
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
    wait(&mut harness, "the message", |app| app.message().is_some());
    harness.run_steps(2);
    assert!(harness.state().message().expect("a message").what.contains("no such file"));
    harness.get_by_label_contains("There is no such file");
    harness.get_by_role_and_label(Role::Button, "Close").click();
    harness.step();
    harness.step();
    assert_eq!(harness.state().message(), None);
    let empty = folder.path().join("empty.nc");
    std::fs::write(&empty, "").expect("written");
    act(&mut harness, Action::OpenPaths(vec![empty]));
    wait(&mut harness, "the message", |app| app.message().is_some());
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
    wait(&mut harness, "what it suggests", App::is_set_up);
    harness.run_steps(3);
    harness.get_by_label("Check with this, confirm later").click();
    harness.step();
    wait(&mut harness, "the cut", |app| app.proof().is_some_and(|proof| proof.job.blank.is_some()));
    // Without an outline the graph runs along the path.
    harness.run_steps(3);
    harness.get_by_label("Graph");
    let job = folder.path().join("job.json");
    act(&mut harness, Action::Use(Purpose::SaveJob, job.clone()));
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
        Command::SaveProgram,
        Command::AirPass,
        Command::MakeReady,
        Command::CompareWith,
        Command::PictureOfPlan,
        Command::Search,
        Command::Meanings,
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
fn a_command_is_found_by_a_part_of_its_name_and_run() {
    let mut harness = desk();
    let is_there =
        |harness: &Harness<'_, App>, label: &str| harness.query_all_by_label(label).next().is_some();
    press(&mut harness, Modifiers::COMMAND, Key::K);
    assert!(is_there(&harness, "Search commands") && is_there(&harness, "Order of passes…"));
    harness.event(Event::Text("3D rotate".to_owned()));
    harness.run_steps(3);
    assert!(!is_there(&harness, "Order of passes…"), "what does not match is gone");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().shown(), Shown::Block);
    assert!(!is_there(&harness, "Search commands"), "the window is gone");
    press(&mut harness, Modifiers::COMMAND, Key::K);
    harness.event(Event::Text("caution".to_owned()));
    harness.run_steps(3);
    harness.get_by_label("Cautions").click();
    harness.run_steps(3);
    assert!(!is_there(&harness, "Search commands"));
    assert!(harness.query_all_by_label_contains("hand on feed hold").next().is_some());
}

#[test]
fn an_edit_is_proven_in_the_background() {
    let mut harness = desk();
    let mut job = (*harness.state().proof().expect("proven").job).clone();
    job.gauge_height = job.gauge_height.map(|gauge| gauge - 0.01);
    act(&mut harness, Action::Edit(Box::new(job.clone())));
    assert!(harness.state().proof().is_some(), "the proof before stays on the screen");
    wait(&mut harness, "the new proof", |app| app.proof().is_some_and(|proof| *proof.job == job));
}

#[test]
fn a_line_is_edited_in_place_and_proven_as_it_is_typed() {
    let mut harness = desk();
    let line = first_cut(&harness);
    let before = text(&harness);
    let was = before.lines().nth(line as usize - 1).expect("the line").to_owned();
    act(&mut harness, Action::Line(line));
    press(&mut harness, Modifiers::NONE, Key::F2);
    let label = format!("Text of line {line}");
    harness.get_by_label(&label).type_text(" (here)");
    harness.run_steps(2);
    assert!(text(&harness).contains("(here)"), "typed straight into the program");
    harness.get_by_label("edited, not saved");
    harness.get_by_label_contains(", edited");
    let length = before.lines().count();
    wait(&mut harness, "the new proof", move |app| {
        app.proof().is_some_and(|proof| {
            proof.passes[0].text.len() == length
                && proof.passes[0].text.line(line as usize).contains("(here)")
        })
    });
    assert_eq!(harness.state().line(), Some(line), "the tool stays on its line");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.run_steps(2);
    harness.get_by_label(&format!("Text of line {}", line + 1));
    press(&mut harness, Modifiers::NONE, Key::Escape);
    harness.run_steps(2);
    assert!(harness.query_by_label(&format!("Text of line {}", line + 1)).is_none());
    press(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(text(&harness), before);
    press(&mut harness, Modifiers::COMMAND, Key::Y);
    assert!(text(&harness).contains("(here)"));
    press(&mut harness, Modifiers::COMMAND, Key::Z);
    act(&mut harness, Action::Line(line));
    press(&mut harness, Modifiers::COMMAND, Key::Delete);
    assert_eq!(text(&harness).lines().count(), before.lines().count() - 1);
    press(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(text(&harness).lines().nth(line as usize - 1), Some(was.as_str()));
    press(&mut harness, Modifiers::COMMAND, Key::Enter);
    assert_eq!(text(&harness).lines().count(), before.lines().count() + 1);
}

#[test]
fn an_edited_program_is_saved_beside_and_never_over_its_own_without_a_word() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let job_folder = harness.state().folder();
    let name = harness.state().proof().expect("proven").job.passes[0].program.clone();
    let own = job_folder.join(&name);
    let posted = std::fs::read(&own).expect("read");
    act(&mut harness, Action::Line(1));
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Program(Ask::Type("(checked)".to_owned())));
    act(&mut harness, Action::Do(Command::Quit));
    harness.get_by_label("Quit without saving");
    harness.get_by_label("Cancel").click();
    harness.run_steps(3);
    act(&mut harness, Action::Use(Purpose::SaveProgram, own.clone()));
    harness.get_by_label(&format!("Replace {name}"));
    harness.get_by_label("Choose another name").click();
    harness.run_steps(3);
    assert_eq!(std::fs::read(&own).expect("read"), posted, "nothing was written");
    let other = job_folder.join("checked.nc");
    act(&mut harness, Action::Use(Purpose::SaveProgram, other.clone()));
    wait(&mut harness, "the file", |_| other.exists());
    wait(&mut harness, "the question", |app| app.question().is_some());
    harness.run_steps(3);
    harness.get_by_label("Run checked.nc").click();
    harness.run_steps(3);
    wait(&mut harness, "the job", |app| {
        app.proof().is_some_and(|proof| proof.job.passes[0].program == "checked.nc")
    });
    let written = std::fs::read(&other).expect("read");
    assert!(written.windows(11).any(|part| part == b"(checked)\r\n"), "with the line end of its neighbours");
    assert_eq!(std::fs::read(&own).expect("read"), posted);
    assert!(harness.query_by_label("edited, not saved").is_none());
    // Another program in the way is asked for by name.
    act(&mut harness, Action::Do(Command::InsertLine));
    act(&mut harness, Action::Use(Purpose::SaveProgram, own.clone()));
    harness.get_by_label(&format!("Replace {name}"));
    assert_eq!(std::fs::read(&own).expect("read"), posted);
}

#[test]
fn a_program_posted_again_is_told_and_reloaded_at_the_same_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = desk_in(folder.path());
    let line = first_cut(&harness);
    act(&mut harness, Action::Line(line));
    let own = harness.state().folder().join(&harness.state().proof().expect("proven").job.passes[0].program);
    let mut posted = std::fs::read(&own).expect("read");
    posted.extend_from_slice(b"(posted again)\r\n");
    std::fs::write(&own, &posted).expect("written");
    wait(&mut harness, "the notice", App::is_posted_again);
    harness.run_steps(2);
    harness.get_by_label_contains("was posted again at");
    harness.get_by_label("Reload").click();
    harness.run_steps(2);
    wait(&mut harness, "the text", |app| app.program_text().is_some_and(|text| text[..] == posted[..]));
    let length = String::from_utf8_lossy(&posted).lines().count();
    wait(&mut harness, "its proof", move |app| {
        app.proof().is_some_and(|proof| proof.passes[0].text.len() == length)
    });
    assert_eq!(harness.state().line(), Some(line));
    assert!(!harness.state().is_posted_again());
}

#[test]
fn a_search_goes_from_one_place_to_the_next() {
    let mut harness = desk();
    press(&mut harness, Modifiers::COMMAND, Key::F);
    harness.run_steps(2);
    harness.get_by_label("Line, word or Z level to find").type_text("G1");
    harness.run_steps(2);
    let with_g1 = |line: &str| line.split_whitespace().any(|word| matches!(word, "G1" | "G01"));
    let lines: Vec<u32> =
        (1..).zip(text(&harness).lines()).filter(|(_, line)| with_g1(line)).map(|(at, _)| at).collect();
    wait(&mut harness, "what is found", |app| app.found() == lines);
    act(&mut harness, Action::Line(1));
    press(&mut harness, Modifiers::NONE, Key::F3);
    assert_eq!(harness.state().line(), lines.iter().copied().find(|line| *line > 1));
    press(&mut harness, Modifiers::SHIFT, Key::F3);
    harness.run_steps(2);
    assert_eq!(harness.state().line(), lines.last().copied());
    harness.get_by_label(&format!("{0} of {0}", lines.len()));
    act(&mut harness, Action::Program(Ask::Find("12".to_owned())));
    press(&mut harness, Modifiers::NONE, Key::F3);
    assert_eq!(harness.state().line(), Some(12));
    let lowest = harness.state().proof().expect("proven").passes[0].lowest.expect("it moves");
    act(&mut harness, Action::Program(Ask::Find(format!("Z<{lowest}"))));
    wait(&mut harness, "the level", |app| !app.found().is_empty());
    act(&mut harness, Action::Program(Ask::CloseFind));
    assert!(harness.query_by_label("Line, word or Z level to find").is_none());
}

#[test]
fn a_click_on_the_path_shows_its_line_also_when_zoomed() {
    let mut harness = desk();
    for zoom in [1.0, 6.0] {
        let proof = harness.state().proof().expect("proven").clone();
        let track = &proof.passes[0].track;
        let to = track.length() * 0.6;
        let target = track
            .at(track.nearest(track.at(to).expect("a place").tip.plan()).expect("near"))
            .expect("a place");
        let seen = harness.state().seen().expect("drawn");
        let seen =
            blockwright_core::view::Viewport { centre: target.tip.plan(), scale: seen.scale * zoom, ..seen };
        act(&mut harness, Action::See(seen));
        press(&mut harness, Modifiers::NONE, Key::Home);
        let plan = harness.get_by_label("Plan").rect();
        let [x, y] = harness.state().seen().expect("drawn").to_view(target.tip.plan());
        let at = plan.min + eframe::egui::vec2(x + 3.0, y - 2.0);
        harness.hover_at(at);
        harness.step();
        harness.drag_at(at);
        harness.step();
        harness.drop_at(at);
        harness.run_steps(2);
        let place = harness.state().proof().expect("proven").passes[0]
            .track
            .at(harness.state().place().1)
            .expect("a place");
        assert!(
            place.tip.plan().distance(target.tip.plan()) * harness.state().seen().expect("drawn").scale
                < 12.0
        );
        harness.get_by_label_contains(&format!("Line {}:", place.line));
    }
}

#[test]
fn a_finding_in_the_margin_leads_to_it() {
    let mut harness = desk();
    let proof = harness.state().proof().expect("proven").clone();
    let Some((index, finding)) = proof
        .findings
        .iter()
        .enumerate()
        .find(|(_, finding)| finding.pass.is_some() && finding.line.is_some())
    else {
        return;
    };
    act(&mut harness, Action::Follow(index));
    harness.run_steps(2);
    harness.get_all_by_label_contains("Finding, ").next().expect("a sign in the margin").click();
    harness.run_steps(2);
    assert_eq!(Some(harness.state().place().0), finding.pass);
}
