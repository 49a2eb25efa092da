//! Figures of the picked pass, above its program.

use blockwright_core::geometry::Range;
use blockwright_core::measure::Contact;
use blockwright_core::proof::PassProof;
use blockwright_core::units::{Told, clock};
use blockwright_core::view::{Quantity, Theme};
use eframe::egui::{Align, Frame, Layout, Margin, RichText, ScrollArea, Ui};

use super::words::{heading, quiet};
use crate::app::act::theme;
use crate::app::desk::Desk;
use crate::app::look::Look;
use crate::theme::QUIET;

/// The most of the panel's height that the figures take.
const MOST: f32 = 0.45;

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, look: &Look) {
    let colours = theme(ui.ctx());
    let Some(proof) = desk.proof() else { return };
    let Some(pass) = look.picked(Some(proof)) else { return };
    ui.spacing_mut().item_spacing.y = 0.0;
    Frame::new().inner_margin(Margin { left: 16, right: 16, top: 10, bottom: 8 }).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.spacing_mut().interact_size.y = 16.0;
        heading(ui, &colours, &format!("Pass {}", look.pass + 1));
        // The program below keeps its half however many figures there are.
        let most = (ui.available_height() * MOST).max(96.0);
        ScrollArea::vertical().id_salt("figures").max_height(most).show(ui, |ui| {
            let zero = proof.job.passes.get(look.pass).map_or(0.0, |pass| pass.zero.origin[2]);
            for (name, value) in figures(proof.told, (pass, zero), proof.past_outline(look.pass)) {
                row(ui, name, &value, &colours);
            }
        });
    });
    ui.separator();
}

fn row(ui: &mut Ui, name: &str, value: &str, theme: &Theme) {
    ui.horizontal(|ui| {
        ui.label(quiet(name, theme));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| ui.label(RichText::new(value).size(QUIET)));
    });
}

/// Names and values of a pass with the height of its zero; what does not apply is left out.
fn figures(
    units: Told,
    (pass, zero): (&PassProof, f64),
    past: Option<(f64, f64)>,
) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Some(purpose) = &pass.purpose {
        rows.push(("kind of pass", purpose.to_string()));
    }
    if let Some(lowest) = pass.lowest {
        // The rest of the heights are those of the block.
        let of_block = (zero != 0.0).then(|| format!(", of the block {}", units.fine(lowest + zero)));
        rows.push(("lowest Z", units.fine(lowest) + &of_block.unwrap_or_default()));
    }
    if let Some(along) = &pass.along_outline {
        let (leave, cut) = (&along.leave, &along.cut);
        rows.push(("stock left", span(units, leave)));
        rows.push(("cut", span(units, cut)));
        rows.extend(along.cut_z[1].map(|z| ("thickest at Z", units.fine(z))));
    }
    if let Some((most, at)) = past {
        rows.push(("cuts inside the line", format!("{} at {}", units.fine(most), units.plain(at))));
    }
    if let Some(wall) = &pass.wall {
        rows.extend(wall.undercut_line.as_ref().map(|line| ("top of undercut", span(units, line))));
        rows.extend(wall.land.as_ref().map(|land| ("land", span(units, land))));
    }
    if let Some(without) = pass.contact_length(Contact::None).filter(|without| *without > 0.0) {
        rows.push(("no contact", units.plain_with_unit(without)));
    }
    rows.push(("feed distance", units.plain_with_unit(pass.track.feed_length())));
    rows.push(("rapid distance", units.plain_with_unit(pass.track.rapid_length())));
    if let Some(seconds) = pass.seconds {
        rows.push(("time", clock(seconds)));
    }
    rows.extend(load(units, pass));
    rows
}

/// What the cutter meets.
fn load(units: Told, pass: &PassProof) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Some((least, most)) = pass.chip_load {
        let range = Range { least, most, least_at: 0.0, most_at: 0.0 };
        rows.push(("chip load", format!("{} a tooth", span(units, &range))));
    }
    if let Some(rate) = pass.rate_most {
        rows.push(("peak removal rate", Quantity::Rate.written(units, rate)));
    }
    if let Some(power) = pass.power_most {
        rows.push((
            "peak power",
            format!("{:.2} {}", power * units.factor_of_power(), units.unit_of_power()),
        ));
    }
    rows
}

/// Least to most, or the one value where both are written the same.
pub(super) fn span(units: Told, range: &Range) -> String {
    let (least, most) = (units.fine(range.least), units.fine(range.most));
    if least == most { least } else { format!("{least} to {most}") }
}
