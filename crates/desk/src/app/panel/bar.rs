//! The bar at the top: what is open, how its proof stands, and the menus.

use blockwright_core::proof::{Verdict, verdict_words};
use blockwright_core::view::Theme;
use eframe::egui::{Align, Button, Color32, Layout, RichText, Stroke, Ui};

use super::words::quiet;
use crate::app::act::{Action, theme};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::theme::{bold, colour};
use crate::worker::State;

/// The menus, from left to right.
const MENUS: [(&str, &[Command]); 7] = [
    (
        "Job",
        &[
            Command::Open,
            Command::OpenDemo,
            Command::SaveJob,
            Command::Record,
            Command::MarkWall,
            Command::EditJob,
            Command::TakeBack,
            Command::DoAgain,
            Command::Tools,
            Command::ToolsFromCrib,
            Command::SaveCrib,
            Command::Quit,
        ],
    ),
    (
        "Blank",
        &[Command::DrawOutline, Command::DrawEdge, Command::BringIn, Command::BlankFit, Command::KeepClear],
    ),
    (
        "Passes",
        &[
            Command::AddPass,
            Command::PassOrder,
            Command::PassUp,
            Command::PassDown,
            Command::LeaveOut,
            Command::Measured,
        ],
    ),
    (
        "Program",
        &[
            Command::EditLine,
            Command::InsertLine,
            Command::DeleteLine,
            Command::Undo,
            Command::Redo,
            Command::Find,
            Command::FindNext,
            Command::FindBefore,
            Command::LineBefore,
            Command::LineAfter,
            Command::SaveProgram,
            Command::Reload,
            Command::AirPass,
            Command::MakeReady,
            Command::CompareWith,
        ],
    ),
    (
        "Picture",
        &[
            Command::PictureOfWindow,
            Command::PictureOfPlan,
            Command::PictureOfStrip,
            Command::PictureOfWall,
            Command::PictureOfBlock,
            Command::PictureOfBuildUp,
            Command::CopyWindow,
            Command::CopyPicture,
            Command::CopyGraph,
        ],
    ),
    (
        "View",
        &[
            Command::ShowPlan,
            Command::ShowWall,
            Command::ShowBlock,
            Command::EnlargeStock,
            Command::Fit,
            Command::FindingAfter,
            Command::FindingBefore,
            Command::PaneLeft,
            Command::PaneRight,
            Command::PaneBelow,
            Command::PictureAlone,
            Command::FromAbove,
            Command::FromFront,
            Command::FromSide,
            Command::FromCorner,
            Command::FinerHere,
            Command::Finer,
            Command::Coarser,
            Command::Dark,
        ],
    ),
    ("Help", &[Command::Search, Command::Keys, Command::Meanings, Command::Cautions]),
];

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    let theme = theme(ui.ctx());
    ui.horizontal_centered(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            for (name, commands) in MENUS.iter().rev() {
                menu(ui, desk, name, commands, actions);
            }
            ui.add_space(12.0);
            state(ui, desk, &theme, actions);
            ui.add_space(12.0);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| title(ui, desk, &theme));
        });
    });
}

fn title(ui: &mut Ui, desk: &Desk, theme: &Theme) {
    let job = desk.job();
    let name = job.name.as_deref().unwrap_or("Job without a name");
    ui.label(RichText::new(name).font(bold(15.0)));
    if desk.on_disk().is_changed() {
        ui.label(RichText::new("not saved").font(bold(11.0)).color(colour(theme.accent)));
    }
    if desk.on_disk().is_elsewhere() {
        ui.label(RichText::new("changed on disk").font(bold(11.0)).color(colour(theme.none)))
            .on_hover_text("Another window or program has written the job's file; saving asks what to do");
    }
    if let Some(note) = desk.on_disk().note() {
        ui.label(RichText::new(note).font(bold(11.0)).color(colour(theme.accent)));
    }
    ui.add_space(4.0);
    let mut facts = vec![job.units.name().to_owned()];
    if let Some(blank) = &job.blank {
        facts.extend(blank.material.clone());
        facts.push(format!("{} thick", job.units.plain(blank.thickness)));
    }
    ui.add(eframe::egui::Label::new(quiet(facts.join(" · "), theme)).truncate());
}

fn menu(ui: &mut Ui, desk: &Desk, name: &str, commands: &[Command], actions: &mut Vec<Action>) {
    ui.menu_button(RichText::new(name), |ui| {
        for command in commands {
            let mut button = Button::new(command.label());
            if let Some(keys) = command.shortcut() {
                button = button.shortcut_text(ui.ctx().format_shortcut(&keys));
            }
            let (back, again) = desk.can_go();
            let can = match command {
                Command::TakeBack => back,
                Command::DoAgain => again,
                _ => true,
            };
            if ui.add_enabled(can, button).on_hover_text(command.tooltip()).clicked() {
                actions.push(Action::Do(*command));
                ui.close();
            }
        }
        if name == "View"
            && let Some(cell) = desk.cell()
        {
            ui.separator();
            ui.label(quiet(format!("cells of {}", desk.job().units.fine_with_unit(cell)), &theme(ui.ctx())));
        }
    });
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
        pill(ui, &format!("{preview}{doing}… {:.0} %", progress.done * 100.0), colour(theme.quiet));
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
        .show(ui, |ui| ui.label(RichText::new(text).font(bold(13.0))))
        .response
}
