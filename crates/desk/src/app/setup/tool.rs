//! The tool of a row: its form, and the sizes of that.

use blockwright_core::job::{Job, Part};
use blockwright_core::tool::{Form, Tool};
use blockwright_core::units::Units;
use eframe::egui::{ComboBox, Ui};

use super::basis;
use crate::app::dialog::field;
use crate::app::number::{self, Style};
use crate::app::tools::{KINDS, usual_form};

/// The cell. `title` names the row.
pub(super) fn cell(ui: &mut Ui, tool: &mut Tool, units: Units, title: &str, before: &Job) {
    let number = tool.number;
    ui.vertical(|ui| {
        ui.horizontal(|ui| {
            ui.label(format!("T{number}"));
            kind(ui, tool, title, before);
            let mut flutes = tool.flutes.unwrap_or(0);
            let style = Style::whole(0..=30).speed(0.05).before(" flutes");
            let response = number::drawn(ui, &mut flutes, style, |field| {
                field.custom_formatter(
                    |count, _| {
                        if count < 1.0 { "?".to_owned() } else { format!("{count}") }
                    },
                )
            });
            let response = response.accessible_name(format!("Flutes, {title}"));
            if basis::hover(response, before, &Part::Tool(number, "flutes")).changed() {
                tool.flutes = (flutes > 0).then_some(flutes);
            }
        });
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for (key, word, value, is_angle) in sizes(&mut tool.form) {
                ui.label(word);
                let response = if is_angle {
                    number::field(ui, value, Style::degrees())
                } else {
                    field(ui, value, units)
                };
                let own = Part::Tool(number, key);
                let part =
                    if before.unconfirmed().any(|entry| entry.part == own) { own } else { form_of(number) };
                basis::hover(response.accessible_name(format!("{word}, {title}")), before, &part);
            }
        });
    });
}

const fn form_of(number: u32) -> Part {
    Part::Tool(number, "form")
}

fn kind(ui: &mut Ui, tool: &mut Tool, title: &str, before: &Job) {
    let now = tool.form.kind();
    let word = |kind: &str| KINDS.iter().find(|(own, _)| *own == kind).map_or("", |(_, word)| word);
    let choice = ComboBox::from_id_salt(("form", title.to_owned())).width(140.0).selected_text(word(now));
    let choice = choice.truncate().show_ui(ui, |ui| {
        for (other, word) in KINDS {
            if ui.selectable_label(other == now, word).clicked() && other != now {
                tool.form = usual_form(other, tool.form.radius() * 2.0);
            }
        }
    });
    let response = choice.response.accessible_name(format!("Form, {title}"));
    basis::hover(response, before, &form_of(tool.number));
}

/// The sizes of a form: key, word, value, and whether it is an angle.
fn sizes(form: &mut Form) -> Vec<(&'static str, &'static str, &mut f64, bool)> {
    match form {
        Form::Flat { diameter } | Form::Ball { diameter } => vec![("diameter", "dia", diameter, false)],
        Form::Bull { diameter, corner_radius } => {
            vec![("diameter", "dia", diameter, false), ("corner_radius", "R", corner_radius, false)]
        }
        Form::Undercut { diameter, angle, height } => vec![
            ("diameter", "dia", diameter, false),
            ("angle", "side", angle, true),
            ("height", "high", height, false),
        ],
        Form::EdgeRound { pilot_diameter, radius, pilot_length } => vec![
            ("radius", "R", radius, false),
            ("pilot_diameter", "pilot", pilot_diameter, false),
            ("pilot_length", "long", pilot_length, false),
        ],
        Form::Chamfer { tip_diameter, angle, height } => vec![
            ("tip_diameter", "tip", tip_diameter, false),
            ("angle", "side", angle, true),
            ("height", "high", height, false),
        ],
        Form::Drill { diameter, point_angle } => {
            vec![("diameter", "dia", diameter, false), ("point_angle", "point", point_angle, true)]
        }
        Form::Silhouette { .. } => Vec::new(),
    }
}
