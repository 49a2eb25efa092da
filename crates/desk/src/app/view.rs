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
/// Width of the panel with figures and program text.
const FIGURES: f32 = 326.0;
/// Height of the drawing of the strip.
const STRIP: f32 = 116.0;

/// The whole window.
pub(super) fn window(app: &mut App, ui: &mut Ui, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let plain = Frame::new().fill(colour(colours.panel));
    let framed = plain.inner_margin(Margin::symmetric(16, 10));
    let App { desk, look, plan, strip, .. } = app;
    let proof = desk.proof().cloned();
    let proof = proof.as_ref();
    Panel::top("bar")
        .exact_size(BAR)
        .frame(plain.inner_margin(Margin::symmetric(16, 6)))
        .show(ui, |ui| panel::bar::show(ui, desk, actions));
    Panel::left("passes")
        .exact_size(PASSES)
        .resizable(false)
        .frame(plain)
        .show(ui, |ui| panel::passes::show(ui, desk, look, actions));
    Panel::bottom("lists")
        .default_size(168.0)
        .size_range(156.0..=400.0)
        .resizable(true)
        .frame(framed)
        .show(ui, |ui| panel::lists::show(ui, desk, look, actions));
    Panel::bottom("strip").resizable(false).frame(framed).show(ui, |ui| {
        panel::strip::title(ui, look, proof, actions);
        strip.show(ui, STRIP, look, proof, actions);
        panel::strip::controls(ui, desk, look, actions);
    });
    Panel::right("figures")
        .exact_size(FIGURES)
        .resizable(false)
        .frame(plain)
        .show(ui, |ui| panel::figures::show(ui, desk, look, actions));
    CentralPanel::no_frame().show(ui, |ui| plan.show(ui, look, proof, actions));
}
