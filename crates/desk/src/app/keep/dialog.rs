//! What an area kept clear is called, and how high it stands.

use crate::app::number::{self, Style};
use blockwright_core::job::{Job, KeepClear, Vertex};
use blockwright_core::units::Units;
use eframe::egui::{CollapsingHeader, Grid, Key, TextEdit, Ui};

use crate::app::act::{Action, theme};
use crate::app::centre::Ask;
use crate::app::dialog::length_row;
use crate::app::panel::words::quiet;

/// Areas with more corners than this show no numbers to be typed.
const MOST_TYPED: usize = 8;

/// The area being named.
#[derive(Debug)]
pub(in crate::app) struct KeepDialog {
    area: KeepClear,
    units: Units,
    bed: Option<f64>,
    /// Whether the name has been given the keyboard.
    focused: bool,
}

impl KeepDialog {
    pub(in crate::app) fn new(area: Vec<Vertex>, job: &Job) -> Self {
        let count = job.keep_clear.len() + 1;
        let above = job.blank.as_ref().map_or(0.0, |blank| blank.top) + job.units.pick(0.5, 12.0);
        let name = if count == 1 { "Clamp".to_owned() } else { format!("Clamp {count}") };
        let area = KeepClear { name, area, top: above };
        Self { area, units: job.units, bed: job.bed_top, focused: false }
    }

    pub(in crate::app) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let units = self.units;
        Grid::new("keep clear").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            let label = ui.label("Name");
            let field = ui.add(TextEdit::singleline(&mut self.area.name)).labelled_by(label.id);
            if !std::mem::replace(&mut self.focused, true) {
                field.request_focus();
            }
            ui.end_row();
            ui.label("It stands from Z");
            ui.label(self.bed.map_or_else(
                || "the table (the job states no bed)".to_owned(),
                |bed| format!("{}, the top of the bed", units.fine_with_unit(bed)),
            ));
            ui.end_row();
            length_row(ui, "Up to Z", &mut self.area.top, units);
            if self.area.area.len() <= MOST_TYPED {
                for (index, vertex) in self.area.area.iter_mut().enumerate() {
                    corner(ui, index, vertex, units);
                }
            }
        });
        let named = !self.area.name.trim().is_empty();
        let entered = ui.input(|input| input.key_pressed(Key::Enter));
        ui.horizontal(|ui| {
            let keep = ui.add_enabled(named, eframe::egui::Button::new("Save clamp area"));
            if keep.clicked() || (entered && named) {
                actions.push(Ask::Keep(self.area.clone()).into());
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }
}

fn corner(ui: &mut Ui, index: usize, vertex: &mut Vertex, units: Units) {
    let word = if vertex.bulge == 0.0 { "Corner" } else { "End" };
    ui.label(format!("{word} {}", index + 1));
    ui.horizontal(|ui| {
        for (axis, value) in [("X", &mut vertex.at.x), ("Y", &mut vertex.at.y)] {
            ui.label(axis);
            let style = Style::length(units).speed(units.pick(0.005, 0.1)).decimals(4).before("");
            number::field(ui, value, style).accessible_name(format!("{word} {}, {axis}", index + 1));
        }
    });
    ui.end_row();
}

/// The areas of a job, to be changed or taken out.
pub(in crate::app) fn list(ui: &mut Ui, job: &mut Job) {
    let units = job.units;
    let title = format!("Clamp areas ({})", job.keep_clear.len());
    let open = !job.keep_clear.is_empty();
    CollapsingHeader::new(title).id_salt("keep clear").default_open(open).show(ui, |ui| {
        if job.keep_clear.is_empty() {
            ui.label(quiet("None. Draw one on the plan: menu Blank, Clamp area.", &theme(ui.ctx())));
        }
        let mut gone = None;
        for (index, area) in job.keep_clear.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                let field = ui.add(TextEdit::singleline(&mut area.name).desired_width(180.0));
                field.accessible_name(format!("Name of area {}", index + 1));
                ui.label("up to Z");
                let style = Style::length(units).speed(units.pick(0.005, 0.1)).decimals(4);
                number::field(ui, &mut area.top, style).accessible_name(format!("Top of area {}", index + 1));
                let delete = ui.button("Delete");
                if delete.accessible_name(format!("Delete area {}", index + 1)).clicked() {
                    gone = Some(index);
                }
            });
        }
        if let Some(gone) = gone {
            job.keep_clear.remove(gone);
        }
    });
}
