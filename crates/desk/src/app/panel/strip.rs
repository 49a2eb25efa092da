//! What stands over and under the strip.

use std::sync::Arc;

use blockwright_core::proof::Proof;
use blockwright_core::units::clock;
use blockwright_core::view::Along;
use eframe::egui::{Align, Button, ComboBox, Layout, Slider, Ui};

use super::words::{heading, quiet};
use crate::app::act::{Action, theme};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::look::{Look, SPEEDS};

/// Title and switch.
pub(in crate::app) fn title(ui: &mut Ui, look: &Look, proof: Option<&Arc<Proof>>, actions: &mut Vec<Action>) {
    let theme = theme(ui.ctx());
    ui.horizontal(|ui| {
        heading(ui, &theme, "Thickness of cut");
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let outline = proof.is_some_and(|proof| proof.outline.is_some());
            for (along, name) in [(Along::Outline, "along the outline"), (Along::Path, "along the path")] {
                let enabled = along == Along::Path || outline;
                let button = ui.add_enabled(enabled, Button::selectable(look.along == along, name));
                if button.clicked() {
                    actions.push(Action::Along(along));
                }
                button.on_disabled_hover_text("The job states no outline");
            }
        });
    });
}

/// Play, speed, place.
pub(in crate::app) fn controls(ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
    let theme = theme(ui.ctx());
    let proof = desk.proof();
    let Some(pass) = look.picked(proof) else { return };
    let (length, mut distance) = (pass.track.length(), look.distance(proof));
    let position = pass.track.at(distance);
    ui.horizontal(|ui| {
        let play =
            ui.add(Button::new(if look.playing { "Pause" } else { "Play" }).min_size([56.0, 0.0].into()));
        if play.on_hover_text(Command::Play.tooltip()).clicked() {
            actions.push(Action::Do(Command::Play));
        }
        speed(ui, look, actions);
        let units = desk.job().units;
        let line = position.map(|at| {
            format!(" · line {} · {}", look.tool_line(proof).unwrap_or(at.line), clock(at.seconds))
        });
        let line = line.unwrap_or_default();
        let caption = format!("{} of {}{line}", units.plain(distance), units.plain_with_unit(length));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(quiet(caption, &theme));
            ui.spacing_mut().slider_width = (ui.available_width() - 12.0).max(60.0);
            let slider = Slider::new(&mut distance, 0.0..=length.max(f64::MIN_POSITIVE)).show_value(false);
            let slider = ui.add(slider).accessible_name("Place along the pass");
            if slider.changed() {
                actions.push(Action::Scrub(distance));
            }
        });
    });
}

fn speed(ui: &mut Ui, look: &Look, actions: &mut Vec<Action>) {
    let words = |speed: f64| format!("x{speed}");
    let choice =
        ComboBox::from_id_salt("speed").width(64.0).selected_text(words(look.speed)).show_ui(ui, |ui| {
            for speed in SPEEDS {
                if ui.selectable_label(look.speed == speed, words(speed)).clicked() {
                    actions.push(Action::Speed(speed));
                }
            }
        });
    choice.response.on_hover_text("How many times as fast as the machine").accessible_name("Speed");
}
