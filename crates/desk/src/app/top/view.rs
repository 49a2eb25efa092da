//! How the window is divided.

use std::sync::Arc;

use blockwright_core::proof::{NO_PROMISE, Proof, Verdict};
use eframe::egui::{CentralPanel, Frame, Id, Label, Margin, Panel, Ui};

use super::App;
use crate::app::act::{Action, theme};
use crate::app::centre::{self, Centre};
use crate::app::desk::{self, Desk};
use crate::app::fit::FitPanel;
use crate::app::look::{Look, Tab};
use crate::app::panel;
use crate::app::panes::Side;
use crate::app::strips::Strips;
use crate::theme::colour;

/// Height of the bar at the top.
const BAR: f32 = 42.0;
/// Width of the panel with cards and passes, and how far it can be drawn.
const PASSES: f32 = 264.0;
const PASSES_RANGE: std::ops::RangeInclusive<f32> = 232.0..=460.0;
/// Width of the panel with figures and program text, and how far it can be drawn.
const FIGURES: f32 = 344.0;
const FIGURES_RANGE: std::ops::RangeInclusive<f32> = 280.0..=560.0;
/// In a narrow window each of the two takes this part of its width at first.
const SIDES: f32 = 0.27;
/// Height of what stands under the picture, at first and how far it can be drawn.
const BELOW: f32 = 326.0;
const LEAST_BELOW: f32 = 150.0;
/// The picture keeps this much of the height.
const PICTURE: f32 = 0.34;
/// Height of the line with the tool's way, under strips and tables.
const CONTROLS: f32 = 30.0;
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

/// What stands under the picture.
fn below_picture(
    ui: &mut Ui,
    (desk, look): (&Desk, &Look),
    (strips, centre, fit): (&mut Strips, &mut Centre, &mut FitPanel),
    actions: &mut Vec<Action>,
) {
    let colours = theme(ui.ctx());
    match (look.tab, desk.proof()) {
        (Tab::Strips, proof) => {
            panel::strip::title(ui, look, proof, actions);
            strips.show(ui, desk, look, actions);
        }
        (Tab::Fit, _) => fit.show(ui, desk, actions),
        (Tab::Tools | Tab::Undercut | Tab::Passes, None) => panel::lists::waiting(ui),
        (Tab::Tools, Some(proof)) => {
            ui.spacing_mut().item_spacing.y = 0.0;
            panel::tools::show(ui, &proof.job, &colours);
        }
        (Tab::Undercut, Some(_)) => {
            ui.spacing_mut().item_spacing.y = 0.0;
            centre.table.show(ui, (desk, look), &colours, actions);
        }
        (Tab::Passes, Some(proof)) => {
            ui.spacing_mut().item_spacing.y = 0.0;
            panel::lists::passes(ui, proof, look, actions);
        }
    }
}

/// The whole window.
pub(super) fn window(app: &mut App, ui: &mut Ui, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let plain = Frame::new().fill(colour(colours.panel));
    let framed = plain.inner_margin(Margin { left: 16, right: 16, top: 6, bottom: 6 });
    let App { desk, look, strips, centre, programs, wake, draw, on_top, fit, panes, .. } = app;
    let [left, right, below] = panes.shown();
    let wide = ui.available_width();
    let proof = desk.proof().cloned();
    let proof = proof.as_ref();
    let old = ui.ctx().animate_bool_with_time(Id::unique("old figures"), desk.is_old(), FADE);
    let opacity = 1.0 - old * (1.0 - OLD);
    Panel::top("bar")
        .exact_size(BAR)
        .frame(plain.inner_margin(Margin::symmetric(16, 6)))
        .show(ui, |ui| panel::bar::show(ui, desk, actions));
    if !desk.to_do().is_empty() {
        Panel::top("to do").frame(plain).show(ui, |ui| desk::show_to_do(ui, desk, actions));
    }
    if draw.is_open() {
        draw.show(ui, desk, on_top.open().is_some(), actions);
        return;
    }
    caution(ui, plain, proof.filter(|_| desk.whole_proof().is_some()));
    if left {
        let pane = Panel::left("passes")
            .default_size(panes.size(Side::Left).unwrap_or(PASSES.min(wide * SIDES)))
            .size_range(PASSES_RANGE)
            .resizable(true)
            .frame(plain)
            .show(ui, |ui| {
                let edited = |pass| programs.texts().is_edited(pass);
                ui.spacing_mut().item_spacing.y = 0.0;
                panel::cards::show(ui, desk, look, actions);
                panel::passes::show(ui, (desk, &edited), look, actions);
            });
        panes.note(Side::Left, pane.response.rect);
    }
    // From top to bottom: a program is longer than any list.
    if right {
        let pane = Panel::right("figures")
            .default_size(panes.size(Side::Right).unwrap_or(FIGURES.min(wide * SIDES)))
            .size_range(FIGURES_RANGE)
            .resizable(true)
            .frame(plain)
            .show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                ui.scope(|ui| {
                    ui.multiply_opacity(opacity);
                    panel::figures::show(ui, desk, look);
                });
                programs.show(ui, (desk, look), wake, actions);
            });
        panes.note(Side::Right, pane.response.rect);
    }
    if below {
        let most = (ui.available_height() * (1.0 - PICTURE)).max(LEAST_BELOW);
        let pane = Panel::bottom("below")
            .default_size(panes.size(Side::Below).unwrap_or(BELOW).min(most))
            .size_range(LEAST_BELOW..=most)
            .resizable(true)
            .frame(framed)
            .show(ui, |ui| {
                let foot =
                    Panel::bottom("way").exact_size(CONTROLS).resizable(false).show_separator_line(false);
                foot.frame(Frame::new()).show(ui, |ui| panel::strip::controls(ui, desk, look, actions));
                ui.multiply_opacity(opacity);
                panel::lists::head(ui, look, actions);
                below_picture(ui, (desk, look), (strips, centre, fit), actions);
            });
        panes.note(Side::Below, pane.response.rect);
    }
    Panel::bottom("live")
        .exact_size(panel::live::HEIGHT)
        .resizable(false)
        .frame(plain)
        .show(ui, |ui| panel::live::show(ui, desk, look, actions));
    CentralPanel::no_frame().show(ui, |ui| {
        let mut over = |ui: &mut Ui, rect, seen| fit.over_plan(ui, rect, seen, desk, look);
        centre::show(ui, (desk, look), (centre, &mut over), panes.shown(), actions);
    });
}
