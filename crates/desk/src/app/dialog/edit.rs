//! The job is edited; every change is proven at once in the background.

use blockwright_core::job::{Blank, ContactLimits, Job, Pass};
use blockwright_core::units::Units;
use eframe::egui::{CollapsingHeader, ComboBox, Grid, Id, Response, RichText, ScrollArea, TextEdit, Ui};

use super::{Action, control};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::number;

/// The job being edited.
#[derive(Debug)]
pub(in crate::app) struct EditDialog {
    job: Job,
    /// The names of its passes as they are being typed.
    names: Vec<String>,
    /// The job on the desk as it was seen last; it can be changed beside this window.
    seen: Job,
}

impl EditDialog {
    pub(super) fn new(job: Job) -> Self {
        let names = job.passes.iter().map(|pass| pass.name.clone()).collect();
        Self { seen: job.clone(), names, job }
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        if self.seen != *desk.job() {
            let names = std::mem::take(&mut self.names);
            let renamed = self.seen.passes.len() != desk.job().passes.len()
                || self.seen.passes.iter().zip(&desk.job().passes).any(|(a, b)| a.name != b.name);
            *self = Self::new(desk.job().clone());
            if !renamed {
                self.names = names;
            }
        }
        ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
            ui.set_width(600.0);
            Grid::new("job").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| self.whole(ui));
            crate::app::keep::list(ui, &mut self.job);
            for (title, rows) in [
                ("Machine", control::machine_rows as fn(&mut Ui, &mut Job)),
                ("Control", control::control_rows),
            ] {
                CollapsingHeader::new(title).show(ui, |ui| {
                    Grid::new(title)
                        .num_columns(2)
                        .spacing([16.0, 6.0])
                        .show(ui, |ui| rows(ui, &mut self.job));
                });
            }
            let tools: Vec<(u32, String)> =
                self.job.all_tools().map(|tool| (tool.number, tool.title())).collect();
            for index in 0..self.job.passes.len() {
                let title = format!("Pass {}: {}", index + 1, self.job.passes[index].name);
                CollapsingHeader::new(title).id_salt(index).default_open(index == 0).show(ui, |ui| {
                    Grid::new(("pass", index)).num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
                        self.pass_name(ui, index);
                        let units = self.job.units;
                        if let Some(pass) = self.job.passes.get_mut(index) {
                            one_pass(ui, index, pass, &tools, units);
                        }
                    });
                });
            }
        });
        if self.job != *desk.job() {
            self.seen = self.job.clone();
            let job = Box::new(self.job.clone());
            actions.push(
                grip(ui).map_or_else(|| Action::Edit(job.clone()), |grip| Action::TypeIn(job.clone(), grip)),
            );
        }
        ui.horizontal(|ui| {
            if ui.button("Done").clicked() {
                actions.push(Action::Close);
            }
            if ui.button(Command::SaveJob.label()).clicked() {
                actions.push(Action::Do(Command::SaveJob));
            }
        });
    }

    /// The name of a pass; one that cannot be stays in the field and says why.
    fn pass_name(&mut self, ui: &mut Ui, index: usize) {
        let Some(typed) = self.names.get_mut(index) else { return };
        let label = ui.label("Name");
        ui.vertical(|ui| {
            let field = TextEdit::singleline(typed).desired_width(260.0);
            ui.add(field).labelled_by(label.id);
            let name = typed.trim().to_owned();
            let taken = |(other, pass): (usize, &Pass)| other != index && pass.name == name;
            if name.is_empty() || self.job.passes.iter().enumerate().any(taken) {
                let why = if name.is_empty() { "a pass needs a name" } else { "another pass has this name" };
                ui.label(RichText::new(why).color(ui.visuals().error_fg_color));
            } else if self.job.passes.get(index).is_some_and(|pass| pass.name != name) {
                self.job.rename_pass(index, &name);
            }
        });
        ui.end_row();
    }

    fn whole(&mut self, ui: &mut Ui) {
        let job = &mut self.job;
        let units = job.units;
        let label = ui.label("Name of the job");
        let mut name = job.name.clone().unwrap_or_default();
        if ui.add(TextEdit::singleline(&mut name).desired_width(260.0)).labelled_by(label.id).changed() {
            job.name = (!name.trim().is_empty()).then_some(name);
        }
        ui.end_row();
        let mut limits = job.contact.unwrap_or(ContactLimits { light_below: None, heavy_above: None });
        maybe(ui, "Light cut below", &mut limits.light_below, units.pick(0.01, 0.25), units);
        maybe(ui, "Heavy cut above", &mut limits.heavy_above, units.pick(0.07, 1.8), units);
        if let (Some(light), Some(heavy)) = (limits.light_below, limits.heavy_above)
            && light > heavy
        {
            ui.label("");
            let words = "The light limit is above the heavy limit, so no cut would be full.";
            ui.label(RichText::new(words).color(ui.visuals().error_fg_color));
            ui.end_row();
        }
        let any = limits.light_below.is_some() || limits.heavy_above.is_some();
        job.contact = any.then_some(limits);
        let middle = job.blank.as_ref().map_or(0.0, |blank| blank.top - blank.thickness / 2.0);
        maybe(ui, "Gauge height", &mut job.gauge_height, middle, units);
        let bottom = job.blank.as_ref().map_or(0.0, Blank::bottom);
        maybe(ui, "Top of the bed", &mut job.bed_top, bottom, units);
        if let Some(blank) = &mut job.blank {
            length_row(ui, "Top of the blank", &mut blank.top, units);
            // The field keeps to it: what is typed is not written over while it is being typed.
            let least = units.pick(0.001, 0.02);
            let label = ui.label("Thickness of the blank");
            let style = number::Style::length(units).within(least..=units.pick(1000.0, 25_000.0));
            number::field(ui, &mut blank.thickness, style).labelled_by(label.id);
            ui.end_row();
        }
        super::material::rows(ui, job);
    }
}

/// The field that is dragged or typed into.
pub(in crate::app) fn grip(ui: &Ui) -> Option<Id> {
    ui.ctx().dragged_id().or_else(|| ui.memory(eframe::egui::Memory::focused))
}

fn one_pass(ui: &mut Ui, index: usize, pass: &mut Pass, tools: &[(u32, String)], units: Units) {
    ui.label("Tool");
    let now =
        tools.iter().find(|(number, _)| *number == pass.tool).map_or("no such tool", |(_, title)| title);
    let choice = ComboBox::from_id_salt(("tool", index)).selected_text(now).show_ui(ui, |ui| {
        for (number, title) in tools {
            if ui.selectable_label(pass.tool == *number, title).clicked() {
                pass.tool = *number;
            }
        }
    });
    choice.response.accessible_name(format!("Tool of pass {}", index + 1));
    ui.end_row();
    maybe(ui, "Allowance", &mut pass.allowance, 0.0, units);
    maybe(ui, "Lowest Z meant", &mut pass.bottom, 0.0, units);
    for (axis, value) in ["Zero X", "Zero Y", "Zero Z"].into_iter().zip(&mut pass.zero.origin) {
        length_row(ui, axis, value, units);
    }
    let label = ui.label("Rotated, degrees");
    number::field(ui, &mut pass.zero.turn, number::Style::degrees()).labelled_by(label.id);
    ui.end_row();
}

/// A row of a grid for a length.
pub(in crate::app) fn length_row(ui: &mut Ui, name: &str, value: &mut f64, units: Units) {
    let label = ui.label(name);
    field(ui, value, units).labelled_by(label.id);
    ui.end_row();
}

/// A length that may be missing.
pub(in crate::app) fn maybe(ui: &mut Ui, name: &str, value: &mut Option<f64>, usual: f64, units: Units) {
    let mut stated = value.is_some();
    ui.checkbox(&mut stated, name);
    if stated {
        let length = value.get_or_insert(usual);
        field(ui, length, units).accessible_name(name);
    } else {
        *value = None;
        ui.label("not given");
    }
    ui.end_row();
}

/// The field of a length.
pub(in crate::app) fn field(ui: &mut Ui, value: &mut f64, units: Units) -> Response {
    number::field(ui, value, number::Style::length(units))
}
