//! What the findings ask for, all of it at once.

use std::collections::BTreeSet;

use blockwright_core::finding::Asks;
use blockwright_core::job::{ContactLimits, Job};
use eframe::egui::{Grid, ScrollArea, Ui};

use super::{Action, control, edit};
use crate::app::command::Command;
use crate::app::desk::Desk;

/// The answers being given.
#[derive(Debug)]
pub(in crate::app) struct AnswerDialog {
    job: Job,
    asked: Vec<Asks>,
}

impl AnswerDialog {
    /// All that the findings on the desk ask for and the job has not said yet.
    pub(super) fn new(desk: &Desk) -> Self {
        let job = desk.job().clone();
        let findings = desk.whole_proof().map(|proof| proof.findings.as_slice()).unwrap_or_default();
        let asked: BTreeSet<Asks> =
            findings.iter().flat_map(|finding| finding.asks.iter().copied()).collect();
        let asked = asked.into_iter().filter(|asks| !job.answers(*asks)).collect();
        Self { job, asked }
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        ui.label("The findings ask for this, and only the shop can know it. What stays open stays as it is.");
        ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
            ui.set_width(560.0);
            Grid::new("answers").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
                for asks in self.asked.clone() {
                    row(ui, asks, &mut self.job, actions);
                }
            });
            if self.asked.is_empty() {
                ui.label("Nothing more is asked.");
            }
        });
        ui.horizontal(|ui| {
            if ui.button("Check with this").clicked() {
                if self.job != *desk.job() {
                    actions.push(Action::Edit(Box::new(self.job.clone())));
                }
                actions.push(Action::Close);
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }
}

/// The row, or rows, that answer one question.
fn row(ui: &mut Ui, asks: Asks, job: &mut Job, actions: &mut Vec<Action>) {
    let units = job.units;
    match asks {
        Asks::Confirm => go(ui, "Suggestions that wait", "Look at them…", Action::ToConfirm, actions),
        Asks::Blank => go(ui, "The blank", "Draw its edge…", Action::Do(Command::DrawEdge), actions),
        Asks::Outline => {
            go(ui, "The outline", "Draw it…", Action::Do(Command::DrawOutline), actions);
            go(ui, "", Command::BringIn.label(), Action::Do(Command::BringIn), actions);
        }
        Asks::Bed => {
            let bottom = job.blank.as_ref().map_or(0.0, blockwright_core::job::Blank::bottom);
            edit::maybe(ui, "Top of the bed", &mut job.bed_top, bottom, units);
        }
        Asks::Contact => contact(ui, job),
        Asks::Gauge => {
            let middle = job.blank.as_ref().map_or(0.0, |blank| blank.top - blank.thickness / 2.0);
            edit::maybe(ui, "Gauge height", &mut job.gauge_height, middle, units);
        }
        Asks::Tool(number) => tool(ui, number, job, actions),
        Asks::Rapid | Asks::Travel => {
            let mut machine = job.machine.clone().unwrap_or_default();
            if asks == Asks::Rapid {
                control::rapid_row(ui, &mut machine, units);
            } else {
                control::travel_rows(ui, &mut machine, units);
            }
            job.machine = (machine != blockwright_core::job::Machine::default()).then_some(machine);
        }
        of_control => {
            let mut control = job.control.clone().unwrap_or_default();
            match of_control {
                Asks::Home => {
                    control::place_row(ui, "Machine home (G28)", &mut control.home, units);
                }
                Asks::SecondHome => {
                    let home = &mut control.second_home;
                    control::place_row(ui, "Second machine home (G30)", home, units);
                }
                Asks::WorkOffset(index) => control::work_offset_row(ui, index, &mut control, units),
                Asks::LengthOffset(row) => {
                    let name = format!("Length in H{row}");
                    control::offset_row(ui, &name, &mut control.length_offsets, row, units);
                }
                Asks::DiameterOffset(row) => {
                    let name = format!("Diameter in D{row}");
                    control::offset_row(ui, &name, &mut control.diameter_offsets, row, units);
                }
                Asks::UnitWords => control::unit_words_row(ui, &mut control),
                Asks::SemicolonComments => control::semicolon_row(ui, &mut control),
                Asks::BlockDelete => control::block_delete_row(ui, &mut control),
                Asks::Dwell => control::dwell_row(ui, &mut control),
                Asks::MovesNothing(word) => control::passed_row(ui, word, &mut control),
                Asks::Subprograms => control::subprograms_row(ui, &mut control),
                // Answered above.
                Asks::Confirm
                | Asks::Blank
                | Asks::Outline
                | Asks::Bed
                | Asks::Contact
                | Asks::Gauge
                | Asks::Tool(_)
                | Asks::Rapid
                | Asks::Travel => {}
            }
            control::put(job, control);
        }
    }
}

/// What is answered elsewhere in the window.
fn go(ui: &mut Ui, name: &str, button: &str, action: Action, actions: &mut Vec<Action>) {
    ui.label(name);
    if ui.button(button).clicked() {
        actions.push(Action::Close);
        actions.push(action);
    }
    ui.end_row();
}

fn contact(ui: &mut Ui, job: &mut Job) {
    let units = job.units;
    let mut limits = job.contact.unwrap_or(ContactLimits { light_below: None, heavy_above: None });
    edit::maybe(ui, "Light cut below", &mut limits.light_below, units.pick(0.01, 0.25), units);
    edit::maybe(ui, "Heavy cut above", &mut limits.heavy_above, units.pick(0.07, 1.8), units);
    let any = limits.light_below.is_some() || limits.heavy_above.is_some();
    job.contact = any.then_some(limits);
}

fn tool(ui: &mut Ui, number: u32, job: &mut Job, actions: &mut Vec<Action>) {
    let units = job.units;
    let Some(tool) = job.tools.iter_mut().find(|tool| tool.number == number) else {
        return go(ui, &format!("Tool {number}, of the crib"), "Tools…", Action::Do(Command::Tools), actions);
    };
    let width = tool.form.radius() * 2.0;
    let name = |what: &str| format!("Tool {number}: {what}");
    edit::maybe(ui, &name("flute length"), &mut tool.flute_length, width * 2.0, units);
    edit::maybe(ui, &name("stickout"), &mut tool.stickout, width * 3.0, units);
    edit::maybe(ui, &name("holder diameter"), &mut tool.holder_diameter, units.pick(1.5, 40.0), units);
}
