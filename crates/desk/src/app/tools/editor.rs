//! The tools of the job, edited; every change that can be is proven at once in the background.

use crate::app::number;
use blockwright_core::job::Job;
use blockwright_core::tool::{Form, Tool};
use eframe::egui::{Button, Grid, Label, RichText, ScrollArea, TextEdit, Ui};

use super::{form, title};
use crate::app::act::{Action, theme};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::dialog::{grip, maybe};
use crate::app::panel::words::quiet;

/// Width of the list.
const LIST: f32 = 230.0;
/// Most flutes that can be dragged to.
const MOST_FLUTES: u32 = 40;

/// The window.
#[derive(Debug)]
pub(in crate::app) struct ToolsDialog {
    /// The job with what is being edited, which may not be possible yet.
    job: Job,
    /// The job on the desk as it was seen last; it can be changed beside this window.
    seen: Job,
    /// Which of the job's own tools is edited.
    picked: usize,
    /// Points of its silhouette as they are typed.
    points: String,
    /// Why the last thing that was asked was not done.
    refused: Option<String>,
    /// What has changed is more than what was typed into one field.
    step: bool,
}

impl ToolsDialog {
    pub(in crate::app) fn new(job: Job) -> Self {
        let mut dialog =
            Self { seen: job.clone(), job, picked: 0, points: String::new(), refused: None, step: false };
        dialog.pick(0);
        dialog
    }

    fn pick(&mut self, index: usize) {
        self.picked = index.min(self.job.tools.len().saturating_sub(1));
        self.points =
            self.job.tools.get(self.picked).map(|tool| form::text_of(&tool.form)).unwrap_or_default();
        self.refused = None;
    }

    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        if self.seen != *desk.job() {
            let picked = self.picked;
            *self = Self::new(desk.job().clone());
            self.pick(picked);
        }
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                ui.set_width(LIST);
                self.list(ui);
            });
            ui.add_space(8.0);
            ui.vertical(|ui| self.edit(ui));
        });
        let problem = self.problem();
        if let Some(why) = self.refused.as_ref().or(problem.as_ref()) {
            ui.add(Label::new(RichText::new(why).color(ui.visuals().error_fg_color)).wrap());
        }
        if problem.is_none() && self.job != *desk.job() {
            self.seen = self.job.clone();
            let job = Box::new(self.job.clone());
            let step = std::mem::take(&mut self.step);
            actions.push(match grip(ui).filter(|_| !step) {
                Some(grip) => Action::TypeIn(job, grip),
                None => Action::Edit(job),
            });
        }
        ui.horizontal_wrapped(|ui| {
            if ui.button("Done").clicked() {
                actions.push(Action::Close);
            }
            for command in [Command::ToolsFromCrib, Command::SaveCrib] {
                if ui.button(command.label()).on_hover_text(command.tooltip()).clicked() {
                    actions.push(Action::Do(command));
                }
            }
        });
    }

    /// The job's own tools and those it shares.
    fn list(&mut self, ui: &mut Ui) {
        let colours = theme(ui.ctx());
        let mut picked = None;
        ScrollArea::vertical().id_salt("tools").max_height(300.0).auto_shrink([false, true]).show(ui, |ui| {
            for (index, tool) in self.job.tools.iter().enumerate() {
                let button = Button::selectable(index == self.picked, title(tool)).truncate();
                if ui.add(button).clicked() {
                    picked = Some(index);
                }
            }
            let own = self.job.tools.len();
            let shared: Vec<Tool> = self.job.all_tools().skip(own).cloned().collect();
            if let Some(crib) = self.job.crib.as_ref().filter(|_| !shared.is_empty()) {
                ui.label(quiet(format!("From {}", crib.file), &colours));
            }
            for tool in shared {
                ui.horizontal(|ui| {
                    let copy = ui.add(Button::new("Copy").small());
                    let copy = copy.accessible_name(format!("Copy tool {} into the job", tool.number));
                    ui.add(Label::new(title(&tool)).truncate());
                    if copy.on_hover_text("Make a tool of the job's own that you can edit here").clicked() {
                        picked = Some(self.job.tools.len());
                        self.job.tools.push(tool.clone());
                        self.step = true;
                    }
                });
            }
        });
        ui.horizontal(|ui| {
            if ui.button("Add a tool").clicked() {
                picked = Some(self.job.tools.len());
                self.job.tools.push(self.new_tool());
                self.step = true;
            }
            let any = self.picked < self.job.tools.len();
            if ui.add_enabled(any, Button::new("Remove")).clicked() {
                self.remove();
            }
        });
        if let Some(index) = picked {
            self.pick(index);
        }
    }

    fn new_tool(&self) -> Tool {
        Tool {
            number: self.job.free_tool_number(),
            name: None,
            form: Form::Flat { diameter: self.job.units.pick(0.5, 12.0) },
            flutes: None,
            flute_length: None,
            shank_diameter: None,
            stickout: None,
            holder_diameter: None,
        }
    }

    fn remove(&mut self) {
        let Some(tool) = self.job.tools.get(self.picked) else { return };
        let number = tool.number;
        let mut without = self.job.clone();
        without.tools.remove(self.picked);
        if let Some(pass) = without.passes.iter().position(|pass| without.tool(pass.tool).is_none()) {
            let name = without.passes.get(pass).map_or("", |pass| pass.name.as_str());
            self.refused = Some(format!(
                "Pass {} ({name}) runs with tool {number}: give the pass another tool first.",
                pass + 1
            ));
            return;
        }
        self.job = without;
        self.step = true;
        self.pick(self.picked);
    }

    /// The fields of the tool that is picked.
    fn edit(&mut self, ui: &mut Ui) {
        let units = self.job.units;
        let number = self.job.tools.get(self.picked).map(|tool| tool.number);
        let Some(mut number) = number else {
            ui.label("The job has no tools of its own.");
            return;
        };
        // A tool is edited afresh when another is picked: no field stays in the middle of being typed.
        ui.push_id(self.picked, |ui| {
            Grid::new("tool").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
                let label = ui.label("Number");
                let style = number::Style::whole(1..=9999).when_entered();
                if number::field(ui, &mut number, style).labelled_by(label.id).changed() {
                    self.renumber(number);
                }
                ui.end_row();
                let Some(tool) = self.job.tools.get_mut(self.picked) else { return };
                let label = ui.label("Name");
                let mut name = tool.name.clone().unwrap_or_default();
                if ui
                    .add(TextEdit::singleline(&mut name).desired_width(220.0))
                    .labelled_by(label.id)
                    .changed()
                {
                    tool.name = Some(name).filter(|name| !name.trim().is_empty());
                }
                ui.end_row();
                form::rows(ui, &mut tool.form, &mut self.points, units);
                flutes_row(ui, &mut tool.flutes);
                let width = tool.form.radius() * 2.0;
                maybe(ui, "Flute length", &mut tool.flute_length, width * 2.0, units);
                maybe(ui, "Shank diameter", &mut tool.shank_diameter, width, units);
                maybe(ui, "Stickout", &mut tool.stickout, width * 3.0, units);
                maybe(ui, "Holder diameter", &mut tool.holder_diameter, width * 3.0, units);
            });
        });
    }

    /// Gives the picked tool another number, also in the passes that run with it.
    fn renumber(&mut self, number: u32) {
        let Some(tool) = self.job.tools.get(self.picked) else { return };
        let before = tool.number;
        if number == before {
            return;
        }
        if self.job.tool(number).is_some() {
            self.refused = Some(format!("There is already a tool {number}."));
            return;
        }
        self.refused = None;
        self.step = true;
        if let Some(tool) = self.job.tools.get_mut(self.picked) {
            tool.number = number;
        }
        for pass in self.job.passes.iter_mut().filter(|pass| pass.tool == before) {
            pass.tool = number;
        }
    }

    /// Why the tools can't be as they are typed.
    fn problem(&self) -> Option<String> {
        let of = |tool: &Tool| {
            let (key, why) = tool.form.check().err().or_else(|| {
                let below =
                    |length: Option<f64>| length.is_some_and(|length| !length.is_finite() || length <= 0.0);
                let lengths = [
                    ("flute_length", tool.flute_length),
                    ("shank_diameter", tool.shank_diameter),
                    ("stickout", tool.stickout),
                    ("holder_diameter", tool.holder_diameter),
                ];
                let none = lengths.into_iter().find(|(_, length)| below(*length));
                let none = none.map(|(key, _)| (key, "must be above 0".to_owned()));
                none.or_else(|| tool.doubts().into_iter().next().map(|doubt| (doubt.key, doubt.why)))
            })?;
            Some(format!("Not saved yet. Tool {}, {}: {why}.", tool.number, key.replace('_', " ")))
        };
        self.job.tools.iter().find_map(of)
    }
}

fn flutes_row(ui: &mut Ui, flutes: &mut Option<u32>) {
    let mut stated = flutes.is_some();
    ui.checkbox(&mut stated, "Flutes");
    if stated {
        let count = flutes.get_or_insert(2);
        let style = number::Style::whole(1..=MOST_FLUTES).speed(0.05);
        number::field(ui, count, style).accessible_name("Flutes");
    } else {
        *flutes = None;
        ui.label("not given");
    }
    ui.end_row();
}
