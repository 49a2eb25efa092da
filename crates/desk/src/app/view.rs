//! How the window is divided.

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Ui};

use super::App;
use super::act::{Action, theme};
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

/// The whole window.
pub(super) fn window(app: &mut App, ui: &mut Ui, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let plain = Frame::new().fill(colour(colours.panel));
    let framed = plain.inner_margin(Margin::symmetric(16, 10));
    let App { desk, look, plan, strip, programs, wake, .. } = app;
    let proof = desk.proof().cloned();
    let proof = proof.as_ref();
    Panel::top("bar")
        .exact_size(BAR)
        .frame(plain.inner_margin(Margin::symmetric(16, 6)))
        .show(ui, |ui| panel::bar::show(ui, desk, actions));
    Panel::left("passes").exact_size(PASSES).resizable(false).frame(plain).show(ui, |ui| {
        let edited = |pass| programs.sheet(pass).is_some_and(super::program::Sheet::is_edited);
        panel::passes::show(ui, (desk, &edited), look, actions);
    });
    // From top to bottom: a program is longer than any list.
    Panel::right("figures")
        .default_size(FIGURES)
        .size_range(FIGURES_RANGE)
        .resizable(true)
        .frame(plain)
        .show(ui, |ui| {
            panel::figures::show(ui, desk, look);
            let (pane, sheets, of_pass) = programs.pane();
            pane.show(ui, (sheets, of_pass), (desk, look), wake, actions);
        });
    Panel::bottom("lists")
        .default_size(168.0)
        .size_range(156.0..=400.0)
        .resizable(true)
        .frame(framed)
        .show(ui, |ui| panel::lists::show(ui, desk, look, actions));
    Panel::bottom("strip").resizable(false).frame(framed).show(ui, |ui| {
        panel::strip::title(ui, look, proof, actions);
        strip.show(ui, STRIP, desk, look, actions);
        panel::strip::controls(ui, desk, look, actions);
    });
    CentralPanel::no_frame().show(ui, |ui| plan.show(ui, desk, look, actions));
}
