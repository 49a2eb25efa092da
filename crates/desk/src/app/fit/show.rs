//! What the panel shows.

use crate::app::number::{self, Style};
use blockwright_core::fit::{BuildUp, Fit, instruction};
use blockwright_core::proof::Proof;
use blockwright_core::units::Told;
use blockwright_core::view::Theme;
use eframe::egui::{
    Align2, Button, Grid, Label, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2,
};

use super::{Ask, FitPanel};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::panel::words::{heading, quiet, sentence_start};
use crate::app::rewrite::Failed;
use crate::theme::{QUIET, colour, plain};

/// Width of the left half; where there is no room for both, they stand one above the other.
const LEFT: f32 = 356.0;
const RIGHT: f32 = 250.0;
/// Height of a row of the table.
const ROW: f32 = 20.0;
/// Heads of the table's columns.
const COLUMNS: [&str; 5] = ["", "from", "to", "length", "add"];
/// Where the columns end on the right.
const ENDS: [f32; 5] = [20.0, 78.0, 136.0, 190.0, 248.0];
/// Stations named at which the margin is reached, and where there is little room.
const MOST_NAMED: usize = 4;
const FEW_NAMED: usize = 2;

pub(super) fn show(panel: &mut FitPanel, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let Some(proof) = desk.proof().filter(|_| !desk.is_sketch()) else {
        ui.label(quiet("Nothing has been measured yet.", &colours));
        return;
    };
    if panel.follow(ui.ctx(), proof).is_none() {
        ui.label(quiet("The job has no outline, or no blank to fit it on.", &colours));
        return;
    }
    ScrollArea::vertical().id_salt("fit").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(8.0, 4.0);
        limits(panel, ui, actions);
        if ui.available_width() >= LEFT + RIGHT {
            ui.horizontal_top(|ui| {
                ui.vertical(|ui| {
                    ui.set_width(LEFT);
                    left(panel, ui, proof, &colours);
                });
                ui.vertical(|ui| right(panel, ui, proof.told, &colours, actions));
            });
        } else {
            left(panel, ui, proof, &colours);
            ui.separator();
            right(panel, ui, proof.told, &colours, actions);
        }
    });
}

fn left(panel: &mut FitPanel, ui: &mut Ui, proof: &Proof, theme: &Theme) {
    if panel.best.work.show(ui) {
        panel.best.outcome = Some(Err(Failed::Stopped));
    }
    match &panel.best.outcome {
        None => {}
        Some(Err(failed)) => {
            ui.label(RichText::new(failed.words()).color(ui.visuals().error_fg_color));
            if *failed == Failed::Stopped && ui.button("Continue").clicked() {
                panel.best.of = None;
            }
        }
        Some(Ok(fit)) => found(ui, proof, fit, theme),
    }
}

/// What the outline may do, and the button that does what was found.
fn limits(panel: &mut FitPanel, ui: &mut Ui, actions: &mut Vec<Action>) {
    let asked = &mut panel.asked;
    let units = asked.units;
    ui.horizontal_wrapped(|ui| {
        ui.label("Shift");
        ui.checkbox(&mut asked.x, "in X");
        ui.checkbox(&mut asked.y, "in Y");
        ui.checkbox(&mut asked.shift.on, "up to");
        let style = Style::length(units).within(0.0..=units.pick(100.0, 2500.0)).decimals(4);
        ui.add_enabled_ui(asked.shift.on, |ui| {
            number::field(ui, &mut asked.shift.value, style).accessible_name("Largest shift");
        });
        ui.add_space(12.0);
        ui.checkbox(&mut asked.turn.on, "rotate, up to");
        let style = Style::degrees().within(0.0..=180.0).speed(0.05).decimals(3);
        ui.add_enabled_ui(asked.turn.on, |ui| {
            number::field(ui, &mut asked.turn.value, style).accessible_name("Largest rotation");
        });
        let better = panel.best.value().filter(|fit| fit.gains(units));
        let take = ui.add_enabled(better.is_some(), Button::new("Use this position"));
        let take = take.on_hover_text(
            "Put the blank in this position in the job and check again; outline and \
                               zeros stay",
        );
        if let Some(fit) = better.filter(|_| take.clicked()) {
            actions.push(Action::OfFit(Ask::TakeOver(Box::new(Fit::clone(fit)))));
        }
        take.on_disabled_hover_text("Moving the blank gains nothing");
    });
}

/// Before and after, and what is done at the machine.
fn found(ui: &mut Ui, proof: &Proof, fit: &Fit, theme: &Theme) {
    let units = proof.told;
    let most = if ui.available_width() < LEFT { FEW_NAMED } else { MOST_NAMED };
    let stations = |all: &[f64]| {
        let named: Vec<String> = all.iter().take(most).map(|station| units.plain(*station)).collect();
        let more = if all.len() > most { ", …" } else { "" };
        format!("{}{more}", named.join(", "))
    };
    let now_at: Vec<f64> = proof.blank.iter().map(|blank| blank.least_margin_at).collect();
    Grid::new("fit figures").num_columns(3).min_row_height(16.0).spacing([18.0, 2.0]).show(ui, |ui| {
        ui.spacing_mut().interact_size.y = 16.0;
        for (name, now, best) in [
            ("", "now".to_owned(), "in the best position".to_owned()),
            ("least margin", units.fine_with_unit(fit.present), units.fine_with_unit(fit.least_margin)),
            ("at station", stations(&now_at), stations(&fit.binding)),
        ] {
            ui.label(quiet(name, theme));
            let figure =
                |text: String| if name.is_empty() { quiet(text, theme) } else { RichText::new(text) };
            ui.label(figure(now));
            ui.label(figure(best));
            ui.end_row();
        }
    });
    let at_the_machine = format!("{}.", sentence_start(&instruction(&proof.job, fit, proof.told)));
    ui.add(Label::new(at_the_machine).wrap());
    let gap = units.fine_with_unit(fit.gap());
    let proven = if fit.is_proven(units.of()) {
        format!("No position within these limits has a margin more than {gap} greater.")
    } else {
        format!("The best found. The search stopped early: another position could have up to {gap} more.")
    };
    ui.add(Label::new(quiet(proven, theme)).wrap());
}

/// What has to be built up.
fn right(panel: &mut FitPanel, ui: &mut Ui, units: Told, theme: &Theme, actions: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Metal to add for a margin of");
        let style = Style::length(units).within(0.0..=units.pick(10.0, 250.0)).decimals(4);
        number::field(ui, &mut panel.wanted, style).labelled_by(label.id);
    });
    if panel.fitting.work.show(ui) {
        panel.fitting.outcome = Some(Err(Failed::Stopped));
    }
    match &panel.fitting.outcome {
        None => {}
        Some(Err(failed)) => {
            ui.label(RichText::new(failed.words()).color(ui.visuals().error_fg_color));
        }
        Some(Ok(fitting)) => {
            let wanted = (panel.wanted > 0.0).then(|| units.plain_with_unit(panel.wanted));
            let wanted = wanted.as_deref();
            table(ui, "As it lies now", (&fitting.before, true), (wanted, units), theme, actions);
            table(ui, "In the best position", (&fitting.after, false), (wanted, units), theme, actions);
        }
    }
}

fn table(
    ui: &mut Ui,
    title: &str,
    (rows, on_plan): (&[BuildUp], bool),
    (wanted, units): (Option<&str>, Told),
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    heading(ui, theme, title);
    if rows.is_empty() {
        let nothing = wanted
            .map_or("No metal to add.".to_owned(), |of| format!("The margin is {of} or more all around."));
        ui.label(quiet(nothing, theme));
        return;
    }
    ui.spacing_mut().item_spacing.y = 0.0;
    let size = vec2(ENDS[ENDS.len() - 1], ROW);
    let (head, _) = ui.allocate_exact_size(size, Sense::hover());
    cells(ui, head, COLUMNS.map(str::to_owned), theme.quiet);
    for (short, number) in rows.iter().zip(1..) {
        let [from, to, length] = [short.from, short.to, short.length].map(|length: f64| units.plain(length));
        let thick = units.fine(short.most);
        let (rect, response) = ui.allocate_exact_size(size, Sense::click());
        let words = format!("{title}: from station {from} to {to}, {length} long, metal to add: {thick}");
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
        if response.clicked() {
            actions.push(Action::OfFit(Ask::Centre(short.most_at)));
        }
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, 3.0, colour(theme.accent_soft));
        }
        // The plan numbers what is short as the blank lies.
        let number = if on_plan { number.to_string() } else { String::new() };
        cells(ui, rect, [number, from, to, length, thick], theme.ink);
        response.on_hover_text("Center the plan there");
    }
    ui.spacing_mut().item_spacing.y = 5.0;
}

fn cells(ui: &Ui, rect: eframe::egui::Rect, texts: [String; 5], ink: blockwright_core::view::Ink) {
    for (text, end) in texts.into_iter().zip(ENDS) {
        let at = pos2(rect.left() + end, rect.center().y);
        ui.painter().text(at, Align2::RIGHT_CENTER, text, plain(QUIET), colour(ink));
    }
}
