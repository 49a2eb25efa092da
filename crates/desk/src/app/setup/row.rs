//! A row of the table: one program, its pass and its tool.

use blockwright_core::job::Part;
use eframe::egui::{RichText, TextEdit, Ui};

use super::{SetUpDialog, Tick, basis, tool};
use crate::app::act::theme;
use crate::app::dialog::field;
use crate::app::panel::words::quiet;

/// Width of the column that says what a row rests on.
const FROM: f32 = 190.0;

/// Width of the column with the name of the pass.
const NAME: f32 = 180.0;

/// The heads of the columns.
pub(super) fn heads(ui: &mut Ui) {
    for head in ["", "Pass", "Tool", "Stock left", "Lowest Z", "Zero X, Y, Z", "From"] {
        ui.label(RichText::new(head).strong());
    }
    ui.end_row();
}

impl SetUpDialog {
    pub(super) fn row(&mut self, ui: &mut Ui, index: usize) {
        let units = self.units();
        let Some(pass) = self.job.passes.get(index) else { return };
        let (number, name) = (pass.tool, pass.name.clone());
        let of_row = |part: &Part| match part {
            Part::Pass(of, _) => *of == name,
            Part::Tool(of, _) => *of == number,
            Part::Job(_) => false,
        };
        let before = self.job.clone();
        let entries = basis::entries(&before, of_row);
        self.tick(ui, Tick::Pass(index), &format!("Looked at pass {}", index + 1), !entries.is_empty());
        self.title(ui, index);
        let title = format!("pass {}", index + 1);
        match self.job.tools.iter_mut().find(|tool| tool.number == number) {
            Some(tool) => tool::cell(ui, tool, units, &title, &before),
            None => {
                ui.label(format!("T{number}, from the crib"));
            }
        }
        let Some(pass) = self.job.passes.get_mut(index) else { return };
        let key = |key| Part::Pass(name.clone(), key);
        ui.horizontal(|ui| {
            maybe(ui, &mut pass.allowance, "not given", |ui, value| {
                let response = field(ui, value, units).accessible_name(format!("Stock left, {title}"));
                basis::hover(response, &before, &key("allowance"));
            });
        });
        ui.horizontal(|ui| {
            maybe(ui, &mut pass.bottom, "not given", |ui, value| {
                let response = field(ui, value, units).accessible_name(format!("Lowest Z, {title}"));
                basis::hover(response, &before, &key("bottom"));
            });
        });
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 3.0;
            for (axis, value) in ["X", "Y", "Z"].into_iter().zip(&mut pass.zero.origin) {
                let response = field(ui, value, units).accessible_name(format!("Zero {axis}, {title}"));
                basis::hover(response, &before, &key("zero"));
            }
        });
        basis::column(ui, &entries, FROM);
        ui.end_row();
    }

    fn title(&mut self, ui: &mut Ui, index: usize) {
        let Some(name) = self.names.get_mut(index) else { return };
        ui.vertical(|ui| {
            ui.set_width(NAME);
            let field = TextEdit::singleline(name).desired_width(NAME - 8.0);
            let response = ui.add(field).accessible_name(format!("Name of pass {}", index + 1));
            if let Some(from) = self.name_from.get(index) {
                response.on_hover_text(format!("From {from}"));
            }
            if let Some(pass) = self.job.passes.get(index) {
                ui.label(quiet(pass.program.as_str(), &theme(ui.ctx())));
            }
        });
    }

    /// The tick of a row; none where nothing waits.
    pub(super) fn tick(&mut self, ui: &mut Ui, tick: Tick, name: &str, waits: bool) {
        if !waits {
            ui.label("✔").on_hover_text("Nothing waits here");
            return;
        }
        let mut looked = self.looked.contains(&tick);
        let response = ui.checkbox(&mut looked, "").accessible_name(name);
        if response.on_hover_text("I have looked at this").changed() {
            if looked {
                self.looked.insert(tick);
            } else {
                self.looked.remove(&tick);
            }
        }
    }
}

/// A value that may be missing: a box to say it, and the field.
fn maybe(ui: &mut Ui, value: &mut Option<f64>, none: &str, show: impl FnOnce(&mut Ui, &mut f64)) {
    match value {
        Some(length) => show(ui, length),
        None => {
            if ui.button(none).on_hover_text("Enter a value").clicked() {
                *value = Some(0.0);
            }
        }
    }
}
