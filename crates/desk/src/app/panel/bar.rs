//! The bar at the top: what is open, how its proof stands, and the menus.

use blockwright_core::proof::{Verdict, verdict_words};
use blockwright_core::view::Theme;
use eframe::egui::{Align, Button, Color32, Label, Layout, RichText, Stroke, Ui, vec2};

use super::words::quiet;
use crate::app::act::{Action, theme};
use crate::app::command::{Command, Menu};
use crate::app::desk::Desk;
use crate::theme::{QUIET, bold, colour};
use crate::worker::State;

/// Kept for the job's name and unit beside the state, and for the unit and its like beside the name.
const LEAST_TITLE: f32 = 220.0;
const BESIDE_NAME: f32 = 80.0;

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    let theme = theme(ui.ctx());
    ui.horizontal_centered(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            for which in Menu::ALL.into_iter().rev() {
                menu(ui, desk, which, actions);
            }
            ui.add_space(12.0);
            state(ui, desk, &theme, actions);
            ui.add_space(12.0);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| title(ui, desk, &theme, actions));
        });
    });
}

fn title(ui: &mut Ui, desk: &Desk, theme: &Theme, actions: &mut Vec<Action>) {
    let job = desk.job();
    let name = job.name.as_deref().unwrap_or("Job without a name");
    ui.scope(|ui| {
        ui.set_max_width((ui.available_width() - BESIDE_NAME).max(BESIDE_NAME));
        ui.add(Label::new(RichText::new(name).font(bold(15.0))).truncate());
    });
    if desk.on_disk().is_changed() {
        ui.label(RichText::new("not saved").font(bold(11.0)).color(colour(theme.accent)));
    }
    if desk.on_disk().is_elsewhere() {
        ui.label(RichText::new("changed on disk").font(bold(11.0)).color(colour(theme.none))).on_hover_text(
            "Another window or application has written the job's file; saving asks what to do",
        );
    }
    if let Some(note) = desk.on_disk().note() {
        ui.label(RichText::new(note).font(bold(11.0)).color(colour(theme.accent)));
    }
    ui.add_space(4.0);
    let told = desk.told();
    let unit = ui.add(Button::new(RichText::new(told.shown().name()).size(QUIET)).min_size(vec2(0.0, 24.0)));
    let tip = format!("{} (U)", Command::OtherUnit.tooltip());
    if unit.on_hover_text(tip).accessible_name(Command::OtherUnit.label()).clicked() {
        actions.push(Action::Do(Command::OtherUnit));
    }
    ui.add_space(4.0);
    let mut facts = Vec::new();
    if told.of() != told.shown() {
        facts.push(format!("job in {}", told.of().name()));
    }
    if let Some(blank) = &job.blank {
        facts.extend(blank.material.clone());
        facts.push(format!("{} thick", told.plain(blank.thickness)));
    }
    ui.add(Label::new(quiet(facts.join(" · "), theme)).truncate());
}

fn menu(ui: &mut Ui, desk: &Desk, which: Menu, actions: &mut Vec<Action>) {
    ui.menu_button(RichText::new(which.name()), |ui| {
        for (group, commands) in which.groups() {
            if group > 0 {
                ui.separator();
            }
            if let Some(heading) = which.heading(group) {
                ui.label(quiet(heading, &theme(ui.ctx())));
            }
            for command in commands {
                entry(ui, desk, command, actions);
            }
        }
        if which == Menu::View
            && let Some(cell) = desk.cell()
        {
            ui.label(quiet(format!("cells of {}", desk.told().fine_with_unit(cell)), &theme(ui.ctx())));
        }
    });
}

fn entry(ui: &mut Ui, desk: &Desk, command: Command, actions: &mut Vec<Action>) {
    let mut button = Button::new(command.label());
    if let Some(keys) = command.shortcut() {
        button = button.shortcut_text(ui.ctx().format_shortcut(&keys));
    }
    if ui.add_enabled(desk.can(command), button).on_hover_text(command.tooltip()).clicked() {
        actions.push(Action::Do(command));
        ui.close();
    }
}

fn state(ui: &mut Ui, desk: &Desk, theme: &Theme, actions: &mut Vec<Action>) {
    if let State::Proving(progress) = desk.state() {
        let stop = ui.button("Stop checking").on_hover_text(Command::Stop.tooltip());
        if stop.clicked() {
            actions.push(Action::Do(Command::Stop));
        }
        let doing = if progress.doing.is_empty() { "Checking" } else { progress.doing.as_str() };
        // What is shown is rough until then.
        let preview = if desk.is_rough() { "Quick preview. " } else { "" };
        // How far it is stands first: the end may have no room.
        pill(ui, &format!("{:.0} %  {preview}{doing}…", progress.done * 100.0), colour(theme.quiet));
        return;
    }
    match (desk.state(), desk.proof()) {
        (State::Stopped, Some(_)) if desk.is_sketch() => {
            pill(ui, "Stopped: only the paths are shown, not checked", colour(theme.light))
        }
        (State::Stopped, Some(_)) if desk.is_rough() => {
            pill(ui, "Stopped: quick preview, not checked", colour(theme.light))
        }
        (State::Stopped, _) => pill(ui, "Stopped: the result shown is out of date", colour(theme.light)),
        (State::Failed(_), _) => pill(ui, "Could not be checked", colour(theme.none)),
        (_, None) => pill(ui, "Not checked yet", colour(theme.quiet)),
        (_, Some(proof)) => {
            let ink = match proof.verdict {
                Verdict::Clear => theme.accent,
                Verdict::Look => theme.light,
                Verdict::Stop | Verdict::Unproven => theme.none,
            };
            pill(ui, &verdict_words(proof), colour(ink))
        }
    };
}

/// Words in a rounded outline.
fn pill(ui: &mut Ui, text: &str, ink: Color32) -> eframe::egui::Response {
    eframe::egui::Frame::new()
        .stroke(Stroke::new(1.5, ink))
        .corner_radius(13)
        .inner_margin(eframe::egui::Margin::symmetric(14, 4))
        .show(ui, |ui| {
            // A long one must not run over the job's name.
            ui.set_max_width((ui.available_width() - LEAST_TITLE).max(LEAST_TITLE / 2.0));
            ui.add(Label::new(RichText::new(text).font(bold(13.0))).truncate())
        })
        .response
}
