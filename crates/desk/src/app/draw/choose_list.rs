//! The panel beside the picture of a drawing: unit, layers, closed paths, and what is wrong.

use blockwright_core::bring_in::Offered;
use blockwright_core::units::Units;
use eframe::egui::{Button, ComboBox, Label, RichText, ScrollArea, Ui};

use super::choose::Chooser;
use super::field::{self, Digits};
use crate::app::act::theme;
use crate::app::desk::Desk;
use crate::app::panel::words::{heading, quiet, sentence_start};
use crate::theme::colour;

/// Height of a closed path's row: two lines.
const ROW: f32 = 42.0;
/// Height of the list of what is wrong.
const TROUBLES: f32 = 150.0;

pub(super) fn show(chooser: &mut Chooser, ui: &mut Ui, desk: &Desk, for_sheet: bool) {
    unit(chooser, ui);
    layer(chooser, ui);
    gap(chooser, ui);
    if !for_sheet {
        keep(chooser, ui, desk);
    }
    ui.separator();
    let colours = theme(ui.ctx());
    let (paths, troubles) =
        chooser.offer.as_ref().map_or((0, 0), |offer| (offer.paths.len(), offer.troubles.len()));
    heading(ui, &colours, &format!("Closed paths ({paths})"));
    let room = if troubles > 0 { TROUBLES } else { 0.0 };
    closed(chooser, ui, (ui.available_height() - room).max(80.0));
    if troubles > 0 {
        ui.separator();
        heading(ui, &colours, &format!("To check ({troubles})"));
        wrong(chooser, ui);
    }
}

fn unit(chooser: &mut Chooser, ui: &mut Ui) {
    let colours = theme(ui.ctx());
    if let Some(units) = chooser.drawing.units {
        ui.label(quiet(format!("The file is in {}.", units.name()), &colours));
        return;
    }
    ui.label(RichText::new("The file does not give its unit. Which is it?").color(colour(colours.none)));
    ui.horizontal(|ui| {
        for units in [Units::Inch, Units::Mm] {
            ui.radio_value(&mut chooser.units, Some(units), units.name());
        }
    });
}

fn layer(chooser: &mut Chooser, ui: &mut Ui) {
    let words = |index: Option<usize>| match index.and_then(|index| chooser.drawing.layers.get(index)) {
        Some(layer) => format!("{} ({} lines and arcs)", layer.name, layer.pieces),
        None => format!("All layers ({} lines and arcs)", chooser.drawing.pieces()),
    };
    let drawn = chooser.drawing.layers.iter().enumerate().filter(|(_, layer)| layer.pieces > 0);
    let choices: Vec<Option<usize>> =
        std::iter::once(None).chain(drawn.map(|(index, _)| Some(index))).collect();
    let mut picked = chooser.layer;
    let choice = ComboBox::from_id_salt("layer")
        .width(ui.available_width() - 8.0)
        .truncate()
        .selected_text(words(picked))
        .show_ui(ui, |ui| {
            for choice in choices {
                ui.selectable_value(&mut picked, choice, words(choice));
            }
        });
    choice.response.accessible_name("Layer");
    chooser.layer = picked;
}

fn gap(chooser: &mut Chooser, ui: &mut Ui) {
    ui.horizontal(|ui| {
        ui.label("Join ends within");
        if let Some(gap) = field::number(ui, "Join ends within", chooser.gap, Digits::of(chooser.job)) {
            chooser.gap = gap.clamp(0.0, chooser.job.pick(1.0, 25.0));
        }
        ui.label(chooser.job.short());
    })
    .response
    .on_hover_text("Ends closer than this are joined as one corner");
}

fn keep(chooser: &mut Chooser, ui: &mut Ui, desk: &Desk) {
    let possible = chooser.file_source(desk);
    ui.add_enabled_ui(possible.is_ok(), |ui| {
        let mut kept = chooser.keep && possible.is_ok();
        let hint = "The job names the drawing file; saving the job puts a copy beside it. When that file \
                   changes, the path changes with it";
        if ui.checkbox(&mut kept, "Keep it linked to its file").on_hover_text(hint).changed() {
            chooser.keep = kept;
        }
    });
    if let Err(why) = possible {
        ui.add(Label::new(quiet(why, &theme(ui.ctx()))).wrap());
    }
}

fn closed(chooser: &mut Chooser, ui: &mut Ui, height: f32) {
    let colours = theme(ui.ctx());
    let Some(offer) = &chooser.offer else {
        ui.label(quiet("Searching…", &colours));
        return;
    };
    if offer.paths.is_empty() {
        ui.label("Nothing closes here. Check the open ends below, widen the gap, or choose another layer.");
        return;
    }
    let mut picked = None;
    let rows = ScrollArea::vertical().id_salt("closed paths").max_height(height).auto_shrink([false, true]);
    rows.show_rows(ui, ROW, offer.paths.len(), |ui, rows| {
        for index in rows {
            let Some(path) = offer.paths.get(index) else { continue };
            let button = Button::selectable(chooser.chosen == Some(index), facts(index, path, chooser))
                .min_size([ui.available_width(), ROW].into());
            if ui.add(button).clicked() {
                picked = Some(index);
            }
        }
    });
    chooser.chosen = picked.or(chooser.chosen);
}

/// Length, box and area of a path, in two lines.
fn facts(index: usize, offered: &Offered, chooser: &Chooser) -> String {
    let units = chooser.job;
    let layer = chooser.drawing.layers.get(offered.closed.layer).map_or("", |layer| layer.name.as_str());
    let path = &offered.closed.path;
    let bounds = path.bounds();
    let crossed = if offered.crossings.is_empty() { "" } else { ", crosses itself" };
    format!(
        "Path {}: {} long{crossed}\n{} x {}, {} {}² · {layer}",
        index + 1,
        units.fine_with_unit(path.length()),
        units.plain(bounds.width()),
        units.plain(bounds.height()),
        units.plain(path.area()),
        units.short()
    )
}

fn wrong(chooser: &mut Chooser, ui: &mut Ui) {
    let Some(offer) = &chooser.offer else { return };
    let mut go = None;
    ScrollArea::vertical().id_salt("wrong").auto_shrink(false).show(ui, |ui| {
        for (index, trouble) in offer.troubles.iter().enumerate() {
            let words = format!("{}  {}", index + 1, sentence_start(&trouble.message(chooser.job)));
            if trouble.at().is_none() {
                ui.label(words);
            } else if ui.link(words).on_hover_text("Show the place").clicked() {
                go = Some(index);
            }
        }
    });
    if let Some(index) = go {
        chooser.go_to(index);
    }
}
