//! What stands over the strips, and under them: the tool on its way.

use std::sync::Arc;

use blockwright_core::proof::Proof;
use blockwright_core::units::{Told, clock};
use blockwright_core::view::{Along, Quantity};
use eframe::egui::{Align, Button, Color32, ComboBox, Layout, RichText, Slider, Ui};

use super::words::quiet;
use crate::app::act::{Action, theme};
use crate::app::centre::Ask;
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::look::{Look, SPEEDS};
use crate::theme::{QUIET, bold, colour, plain, show_rails};

/// A strip narrower than this has shorter words over it.
const NARROW: f32 = 460.0;
/// A slider shorter than this is of no use: its caption says less instead.
const LEAST_SLIDER: f32 = 110.0;

/// What the strip runs along, its words, and those for where there is little room.
const ALONG: [(Along, &str, &str); 2] =
    [(Along::Outline, "along the outline", "outline"), (Along::Path, "along the path", "path")];

/// Which quantity, and the switch.
pub(in crate::app) fn title(ui: &mut Ui, look: &Look, proof: Option<&Arc<Proof>>, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        let narrow = ui.available_width() < NARROW;
        let told = proof.map(|proof| proof.told);
        quantity(ui, (look, told), if narrow { 150.0 } else { 270.0 }, actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let outline = proof.is_some_and(|proof| proof.outline.is_some());
            let thickness = look.centre.quantity == Quantity::Thickness;
            for (along, name, short) in ALONG {
                let enabled = along == Along::Path || (outline && thickness);
                let words = if narrow { short } else { name };
                let now = proof.map_or(look.along, |proof| look.along_of(proof));
                let button = ui.add_enabled(enabled, Button::selectable(now == along, words));
                if button.clicked() {
                    actions.push(Action::Along(along));
                }
                button.accessible_name(name).on_disabled_hover_text(if outline {
                    "Only stock taken is measured along the outline"
                } else {
                    "The job has no outline"
                });
            }
        });
    });
}

fn quantity(ui: &mut Ui, (look, told): (&Look, Option<Told>), width: f32, actions: &mut Vec<Action>) {
    let now = look.centre.quantity;
    // What the numbers of the scale are in.
    let unit = told.map(|told| format!(", {}", now.unit(told))).unwrap_or_default();
    let title =
        RichText::new(format!("{}{unit}", now.title())).font(bold(13.0)).color(colour(theme(ui.ctx()).quiet));
    let choice = ComboBox::from_id_salt("quantity").width(width).truncate().selected_text(title);
    let choice = choice.show_ui(ui, |ui| {
        for quantity in Quantity::ALL {
            if ui.selectable_label(quantity == now, quantity.title()).clicked() {
                actions.push(Ask::Quantity(quantity).into());
            }
        }
    });
    choice.response.on_hover_text("What the graph shows").accessible_name("Quantity");
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
        let units = desk.told();
        let place = format!("{} of {}", units.plain(distance), units.plain_with_unit(length));
        let line = position.map(|at| {
            format!("{place} · line {} · {}", look.tool_line(proof).unwrap_or(at.line), clock(at.seconds))
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let free = ui.available_width() - LEAST_SLIDER - 2.0 * ui.spacing().item_spacing.x;
            let fits = |text: &String| width(ui, text) <= free;
            if let Some(caption) = line.into_iter().chain([place]).find(fits) {
                ui.label(quiet(caption, &theme));
            }
            show_rails(ui);
            ui.spacing_mut().slider_width = (ui.available_width() - 4.0).max(LEAST_SLIDER / 2.0);
            let slider = Slider::new(&mut distance, 0.0..=length.max(f64::MIN_POSITIVE)).show_value(false);
            let slider = ui.add(slider).accessible_name("Position along the pass");
            if slider.changed() {
                actions.push(Action::Scrub(distance));
            }
        });
    });
}

/// How wide quiet text is.
fn width(ui: &Ui, text: &str) -> f32 {
    ui.painter().layout_no_wrap(text.to_owned(), plain(QUIET), Color32::PLACEHOLDER).size().x
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
    choice.response.on_hover_text("Playback speed, times the machine's").accessible_name("Speed");
}
