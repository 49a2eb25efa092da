//! What the blank is made of, and how much power it takes to cut.

use blockwright_core::cutting::{materials, unit_power, unit_power_unit};
use blockwright_core::job::{Job, MaterialFigure};
use eframe::egui::{RichText, TextEdit, Ui};

use crate::app::number;

/// A figure for a material that is not known, before the shop puts in its own: about that of hard aluminium, in hp for
/// each in³/min and in kW for each cm³/min.
const USUAL: (f64, f64) = (0.33, 0.015);

/// The rows of a grid for the material of the job's blank.
pub(super) fn rows(ui: &mut Ui, job: &mut Job) {
    let Some(before) = job.blank.as_ref().map(|blank| blank.material.clone().unwrap_or_default()) else {
        return;
    };
    let mut name = before.clone();
    let typed = name_row(ui, &mut name);
    if name != before {
        // The shop's figure goes with the name while that is being typed, but never to a material that is another.
        if typed
            && own(job, &name).is_none()
            && let Some(figure) = own(job, &before)
        {
            figure.name.clone_from(&name);
        }
        job.materials.retain(|figure| !figure.name.trim().is_empty());
        if let Some(blank) = &mut job.blank {
            blank.material = (!name.trim().is_empty()).then(|| name.clone());
        }
    }
    if !name.trim().is_empty() {
        power_rows(ui, job, &name);
    }
}

/// Whether the name was typed into, not picked.
fn name_row(ui: &mut Ui, name: &mut String) -> bool {
    let label = ui.label("Material of the blank");
    let row = ui.horizontal(|ui| {
        let field = ui.add(TextEdit::singleline(name).desired_width(180.0)).labelled_by(label.id);
        ui.menu_button("Known ones", |ui| {
            for material in materials() {
                if ui.button(&material.name).on_hover_text(&material.source).clicked() {
                    *name = material.name;
                    ui.close();
                }
            }
        });
        field.changed()
    });
    ui.end_row();
    row.inner
}

/// The figure that stands, and the shop's own where there is one.
fn power_rows(ui: &mut Ui, job: &mut Job, name: &str) {
    let units = job.units;
    let known = job
        .material()
        .and_then(|material| Some((unit_power(units, material.specific_force)?, material.source)));
    let mut stated = own(job, name).is_some();
    ui.checkbox(&mut stated, "Own figure for its power").on_hover_text(
        "Power for each unit of volume removed per minute. The power of every pass is worked out from it; a \
        worn tool or a thin chip takes more",
    );
    if !stated {
        job.materials.retain(|figure| !figure.name.eq_ignore_ascii_case(name));
        let unit = unit_power_unit(units);
        match known {
            Some((power, source)) => {
                ui.add(eframe::egui::Label::new(RichText::new(format!("{power:.4} {unit}: {source}"))).wrap())
            }
            None => ui.label("not known: no power is worked out"),
        };
        ui.end_row();
        return;
    }
    if own(job, name).is_none() {
        let power = known.map_or_else(|| units.pick(USUAL.0, USUAL.1), |(power, _)| power);
        // What is shown is what is meant.
        let unit_power = (power * 1e5).round() / 1e5;
        job.materials.push(MaterialFigure { name: name.to_owned(), unit_power, source: None });
    }
    let Some(figure) = own(job, name) else { return };
    let suffix = format!(" {}", unit_power_unit(units));
    let style = number::Style::plain().speed(units.pick(0.005, 0.0002)).within(1e-5..=1000.0).before(suffix);
    number::field(ui, &mut figure.unit_power, style).accessible_name("Own figure for its power");
    ui.end_row();
    let label = ui.label("Where the figure comes from");
    let mut source = figure.source.clone().unwrap_or_default();
    if ui.add(TextEdit::singleline(&mut source).desired_width(260.0)).labelled_by(label.id).changed() {
        figure.source = (!source.trim().is_empty()).then_some(source);
    }
    ui.end_row();
}

/// The job's own figure for the material of this name.
fn own<'a>(job: &'a mut Job, name: &str) -> Option<&'a mut MaterialFigure> {
    job.materials.iter_mut().find(|figure| figure.name.eq_ignore_ascii_case(name))
}
