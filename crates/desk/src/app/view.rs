//! How the window is divided.

use std::sync::Arc;

use blockwright_core::proof::{NO_PROMISE, Proof, Verdict};
use eframe::egui::{CentralPanel, Frame, Id, Label, Margin, Panel, Rangef, Ui};

use super::App;
use super::act::{Action, theme};
use super::look::Tab;
use super::panel;
use crate::theme::colour;

/// Height of the bar at the top.
const BAR: f32 = 42.0;
/// Width of the list of passes.
const PASSES: f32 = 264.0;
/// Width of the panel with figures and program text, and how far it can be drawn.
const FIGURES: f32 = 344.0;
const FIGURES_RANGE: std::ops::RangeInclusive<f32> = 280.0..=560.0;
/// Height of the drawing of the strip.
const STRIP: f32 = 116.0;
/// A window lower than this leaves strip and lists less, so that the picture in the middle keeps its room.
const LOW: f32 = 660.0;
const LOW_STRIP: f32 = 72.0;
/// Heights of the lists, of those that hold drawings or tables when first shown, and of all in a low window.
const LISTS: Rangef = Rangef { min: 156.0, max: 400.0 };
const TALL_LISTS: f32 = 264.0;
const LOW_LISTS: Rangef = Rangef { min: 122.0, max: 140.0 };
/// Opacity of figures that are older than the job, and how long they take to fade, seconds: a proof that is there at
/// once must not make them blink.
const OLD: f32 = 0.5;
const FADE: f32 = 0.6;

/// What a result without findings does not promise, at the foot of the window.
fn caution(ui: &mut Ui, frame: Frame, proof: Option<&Arc<Proof>>) {
    if proof.is_none_or(|proof| proof.verdict != Verdict::Clear) {
        return;
    }
    let theme = theme(ui.ctx());
    Panel::bottom("caution").resizable(false).frame(frame.inner_margin(Margin::symmetric(16, 4))).show(
        ui,
        |ui| {
            ui.add(Label::new(panel::words::quiet(NO_PROMISE, &theme)).wrap());
        },
    );
}

/// The whole window.
pub(super) fn window(app: &mut App, ui: &mut Ui, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let plain = Frame::new().fill(colour(colours.panel));
    let framed = plain.inner_margin(Margin::symmetric(16, 10));
    let App { desk, look, plan, strip, centre, programs, wake, draw, dialog, fit, .. } = app;
    let proof = desk.proof().cloned();
    let proof = proof.as_ref();
    let low = ui.available_height() < LOW;
    let old = ui.ctx().animate_bool_with_time(Id::unique("old figures"), desk.is_old(), FADE);
    let opacity = 1.0 - old * (1.0 - OLD);
    Panel::top("bar")
        .exact_size(BAR)
        .frame(plain.inner_margin(Margin::symmetric(16, 6)))
        .show(ui, |ui| panel::bar::show(ui, desk, actions));
    if !desk.to_do().is_empty() {
        Panel::top("to do").frame(plain).show(ui, |ui| super::to_do::show(ui, desk, actions));
    }
    if draw.is_open() {
        draw.show(ui, desk, dialog.is_some(), actions);
        return;
    }
    caution(ui, plain, proof.filter(|_| desk.whole_proof().is_some()));
    Panel::left("passes").exact_size(PASSES).resizable(false).frame(plain).show(ui, |ui| {
        let edited = |pass| programs.sheet(pass).is_some_and(super::program::Sheet::is_edited);
        ui.spacing_mut().item_spacing.y = 0.0;
        panel::cards::show(ui, desk, look, actions);
        panel::passes::show(ui, (desk, &edited), look, actions);
    });
    // From top to bottom: a program is longer than any list.
    Panel::right("figures")
        .default_size(FIGURES)
        .size_range(FIGURES_RANGE)
        .resizable(true)
        .frame(plain)
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            ui.scope(|ui| {
                ui.multiply_opacity(opacity);
                panel::figures::show(ui, desk, look);
            });
            let (pane, sheets, of_pass) = programs.pane();
            pane.show(ui, (sheets, of_pass), (desk, look), wake, actions);
        });
    let tall = matches!(look.tab, Tab::Tools | Tab::Undercut | Tab::Fit);
    Panel::bottom(if tall { "tall lists" } else { "lists" })
        .default_size(if tall { TALL_LISTS } else { 168.0 })
        .size_range(if low { LOW_LISTS } else { LISTS })
        .resizable(true)
        .frame(framed)
        .show(ui, |ui| {
            ui.multiply_opacity(opacity);
            panel::lists::show(ui, (desk, look), (&mut centre.table, fit), actions);
        });
    Panel::bottom("strip").resizable(false).frame(framed).show(ui, |ui| {
        panel::strip::title(ui, look, proof, actions);
        ui.scope(|ui| {
            ui.multiply_opacity(opacity);
            strip.show(ui, if low { LOW_STRIP } else { STRIP }, desk, look, actions);
        });
        panel::strip::controls(ui, desk, look, actions);
    });
    CentralPanel::no_frame()
        .show(ui, |ui| super::centre::show(ui, (desk, look), (plan, centre, fit), actions));
}
