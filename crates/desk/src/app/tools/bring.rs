//! Which tools of a crib come into the job.

use std::path::Path;

use blockwright_core::job::{Clash, Crib, CribFile, Job};
use blockwright_core::tool::Tool;
use eframe::egui::{Button, Checkbox, ComboBox, Label, RichText, ScrollArea, Ui};

use super::title;
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::panel::words::quiet;
use crate::theme::{TYPE, bold};

/// One tool of the crib.
#[derive(Debug)]
struct Row {
    /// In the job's unit.
    tool: Tool,
    wanted: bool,
    clash: Clash,
}

/// The window.
#[derive(Debug)]
pub(in crate::app) struct BringDialog {
    /// Name of the crib's file.
    name: String,
    /// The same as a job beside it names it.
    beside: Option<String>,
    crib: Crib,
    rows: Vec<Row>,
}

impl BringDialog {
    pub(super) fn new(crib: &Crib, path: &Path, beside: Option<String>, job: &Job) -> Self {
        let row = |tool: Tool| Row { wanted: false, clash: Clash::Renumber, tool };
        Self {
            name: path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default(),
            beside,
            rows: crib.tools_in(job.units).into_iter().map(row).collect(),
            crib: crib.clone(),
        }
    }

    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        let colours = theme(ui.ctx());
        let job = desk.job();
        ui.label(format!("Tools in {}. Choose those to add to the job.", self.name));
        ScrollArea::vertical().max_height(320.0).auto_shrink([false, true]).show(ui, |ui| {
            for row in &mut self.rows {
                let own = job.tools.iter().find(|own| own.number == row.tool.number);
                let same = own.is_some_and(|own| *own == row.tool);
                if same {
                    row.wanted = false;
                }
                ui.horizontal(|ui| {
                    let name = title(&row.tool);
                    ui.add_enabled(!same, Checkbox::new(&mut row.wanted, name));
                    if same {
                        ui.label(quiet("in the job already", &colours));
                    }
                });
                if let Some(own) = own.filter(|_| row.wanted) {
                    clash(ui, own, row, job.free_tool_number());
                }
            }
            if self.rows.is_empty() {
                ui.label(quiet("There are no tools in it.", &colours));
            }
        });
        ui.horizontal_wrapped(|ui| {
            let count = self.rows.iter().filter(|row| row.wanted).count();
            let words = if count == 1 { "Add 1 tool".to_owned() } else { format!("Add {count} tools") };
            if ui.add_enabled(count > 0, Button::new(words)).clicked() {
                actions.push(Action::Edit(Box::new(self.brought_in(job))));
                actions.push(Action::Close);
            }
            self.share(ui, job, actions);
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }

    /// The job with the tools that are wanted; those whose number is free first, so that it stays theirs.
    fn brought_in(&self, job: &Job) -> Job {
        let mut with = job.clone();
        let taken = |number: u32| job.tools.iter().any(|own| own.number == number);
        let (clashing, free): (Vec<&Row>, Vec<&Row>) =
            self.rows.iter().filter(|row| row.wanted).partition(|row| taken(row.tool.number));
        for row in free.into_iter().chain(clashing) {
            with.bring_in(row.tool.clone(), row.clash);
        }
        with
    }

    /// The job can name the file in place of copies, when both lie in one folder.
    fn share(&self, ui: &mut Ui, job: &Job, actions: &mut Vec<Action>) {
        let Some(file) = &self.beside else { return };
        let shared = job.crib.as_ref().is_some_and(|crib| crib.file == *file);
        let button = ui.add_enabled(!shared, Button::new("Share the file"));
        let button = button.on_hover_text(
            "The job refers to this file: its tools are there beside the job's own, and a change in the \
            file changes every job that refers to it",
        );
        if button.on_disabled_hover_text("The job shares this file already").clicked() {
            let crib = CribFile::named(file.clone());
            let named = Job { crib: Some(crib), ..job.clone() };
            actions.push(match named.with_crib(&self.crib) {
                Ok(job) => Action::Edit(Box::new(job)),
                Err(what) => Action::Tell(crate::trouble::Trouble::at(
                    file.as_str(),
                    what,
                    "put the tool in the job or in the crib",
                )),
            });
            actions.push(Action::Close);
        }
    }
}

/// Asks what becomes of a tool whose number the job has given to another.
fn clash(ui: &mut Ui, own: &Tool, row: &mut Row, free: u32) {
    ui.horizontal_wrapped(|ui| {
        ui.add_space(24.0);
        ui.add(Label::new(
            RichText::new(format!("The job has another tool {}:", own.number)).font(bold(TYPE)),
        ));
        ui.label(own.title());
        let words = |clash: Clash| match clash {
            Clash::Renumber => format!("add as tool {free} or the next free number"),
            Clash::Replace => "replace it, in its passes too".to_owned(),
        };
        let id = ("clash", own.number);
        let choice =
            ComboBox::from_id_salt(id).width(240.0).selected_text(words(row.clash)).show_ui(ui, |ui| {
                for other in [Clash::Renumber, Clash::Replace] {
                    if ui.selectable_label(row.clash == other, words(other)).clicked() {
                        row.clash = other;
                    }
                }
            });
        choice.response.accessible_name(format!("What to do about tool {}", own.number));
    });
}
