//! The program that is shown, A, held against another, B.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::program::{self, Settings};
use blockwright_core::rewrite::diff::{self, Difference, Lines, Side, Stretch};
use blockwright_core::task::Task;
use blockwright_core::units::Units;
use eframe::egui::epaint::RectShape;
use eframe::egui::{
    Align, Button, ComboBox, Grid, Key, Label, Layout, RichText, Role, ScrollArea, Sense, Shape, TextEdit,
    Ui, WidgetInfo, vec2,
};

use super::super::act::{Action, theme};
use super::super::dialog::Purpose;
use super::super::panel::words::quiet;
use super::super::program::{Snapshot, Texts};
use super::go_to;
use super::subject::Subject;
use super::work::{Failed, Work};
use crate::rewrite::program_text;
use crate::theme::{TYPE, bold};

/// Height of the list of stretches.
const LIST: f32 = 220.0;
/// Width of a column with line numbers.
const COLUMN: f32 = 108.0;
/// Stretches that are listed; what differs more is another program.
const SHOWN: usize = 200;

/// What the shown program is held against.
#[derive(Debug, Clone)]
enum Other {
    /// The program of this pass, as it is in the pane.
    Pass(usize, Snapshot),
    File(PathBuf),
}

impl Other {
    fn text(&self) -> Result<Arc<[u8]>, Failed> {
        match self {
            Self::Pass(_, snapshot) => Ok(snapshot.text()),
            Self::File(path) => Ok(program_text(path)?.into()),
        }
    }
}

/// Two programs being compared.
#[derive(Debug)]
pub(in crate::app) struct CompareDialog {
    subject: Subject,
    /// Other programs of the job: the first pass that runs each, and its name.
    others: Vec<(usize, String)>,
    path: String,
    other: Option<Other>,
    /// What has been chosen or typed since the work was started.
    stale: bool,
    work: Work<Difference>,
    outcome: Option<Result<Difference, Failed>>,
}

impl CompareDialog {
    pub(super) fn new(subject: Subject, programs: Texts<'_>) -> Self {
        let others = programs.others(subject.pass);
        let path = subject.snapshot.files.first().filter(|_| subject.is_edited());
        let path = path.map(|path| path.display().to_string()).unwrap_or_default();
        Self { subject, others, path, other: None, stale: false, work: Work::default(), outcome: None }
    }

    /// Compares with a file.
    pub(in crate::app) fn take_path(&mut self, path: &Path) {
        self.path = path.display().to_string();
        self.other = Some(Other::File(path.to_path_buf()));
        self.stale = true;
    }

    /// The window's contents.
    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, programs: Texts<'_>, actions: &mut Vec<Action>) {
        self.follow(ui, programs);
        let edited =
            if self.subject.is_edited() { ", with the edits made here that are not saved yet" } else { "" };
        ui.label(format!("A is {} of pass {}{edited}.", self.subject.name(), self.subject.pass + 1));
        self.choose(ui, programs, actions);
        ui.separator();
        if self.work.show(ui) {
            self.outcome = Some(Err(Failed::Stopped));
        }
        match &self.outcome {
            Some(Ok(difference)) => {
                ui.label(RichText::new(difference.sentence()).font(bold(TYPE)));
                self.stretches(ui, difference, actions);
                only_text(ui, difference);
            }
            Some(Err(failed)) => super::failed(ui, failed, self.subject.pass, actions),
            None if self.work.is_running() => {}
            None => {
                ui.label(quiet("Choose what to compare with.", &theme(ui.ctx())));
            }
        }
        ui.add_space(4.0);
        if ui.button("Close").clicked() {
            actions.push(Action::Close);
        }
    }

    fn follow(&mut self, ui: &Ui, programs: Texts<'_>) {
        self.stale |= self.subject.follow(programs);
        if let Some(Other::Pass(pass, snapshot)) = &mut self.other
            && let Some(newer) = programs.snapshot(*pass).filter(|now| !now.is_same(snapshot))
        {
            *snapshot = newer;
            self.stale = true;
        }
        if std::mem::take(&mut self.stale)
            && let Some(other) = self.other.clone()
        {
            let (one, settings) = (self.subject.snapshot.clone(), self.subject.settings.clone());
            self.outcome = None;
            self.work.start(ui.ctx(), move |task| compare(&one.text(), &other.text()?, &settings, task));
        }
        if let Some(outcome) = self.work.take() {
            self.outcome = Some(outcome);
        }
    }

    fn choose(&mut self, ui: &mut Ui, programs: Texts<'_>, actions: &mut Vec<Action>) {
        Grid::new("compare").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            if !self.others.is_empty() {
                ui.label("B, of this job");
                self.choose_pass(ui, programs);
                ui.end_row();
            }
            let label = ui.label(if self.others.is_empty() { "B, a file" } else { "or a file" });
            ui.horizontal(|ui| {
                let width = ui.available_width() - 166.0;
                let field = TextEdit::singleline(&mut self.path).desired_width(width);
                let field = ui.add(field).labelled_by(label.id);
                let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
                let path = PathBuf::from(self.path.trim().trim_matches('"'));
                let there = !path.as_os_str().is_empty();
                let compare = ui.add_enabled(there, Button::new("Compare")).clicked();
                if there && (compare || entered) {
                    self.other = Some(Other::File(path));
                    self.stale = true;
                }
                if ui.button("Browse…").clicked() {
                    actions.push(Action::Browse(Purpose::Compare));
                }
            });
            ui.end_row();
        });
        if let Some(Other::File(path)) = &self.other {
            ui.label(format!("B is {}.", path.display()));
        }
    }

    fn choose_pass(&mut self, ui: &mut Ui, programs: Texts<'_>) {
        let now = match &self.other {
            Some(Other::Pass(pass, _)) => self.others.iter().find(|(other, _)| other == pass),
            _ => None,
        };
        let title = |(pass, name): &(usize, String)| format!("Pass {}: {name}", pass + 1);
        let shown = now.map_or("choose a program".to_owned(), title);
        let mut chosen = None;
        let choice =
            ComboBox::from_id_salt("other program").width(240.0).selected_text(shown).show_ui(ui, |ui| {
                for other in &self.others {
                    if ui.selectable_label(now == Some(other), title(other)).clicked() {
                        chosen = Some(other.0);
                    }
                }
            });
        choice.response.accessible_name("Program of this job to compare with");
        if let Some(pass) = chosen
            && let Some(snapshot) = programs.snapshot(pass)
        {
            self.other = Some(Other::Pass(pass, snapshot));
            self.stale = true;
        }
    }

    /// The stretches that differ; a click leads to the line, in A where A has one.
    fn stretches(&self, ui: &mut Ui, difference: &Difference, actions: &mut Vec<Action>) {
        if difference.stretches.is_empty() {
            return;
        }
        let colours = theme(ui.ctx());
        ui.horizontal_top(|ui| {
            cell(ui, quiet("Lines in A", &colours));
            cell(ui, quiet("Lines in B", &colours));
            ui.label(quiet("What differs; a click shows where", &colours));
        });
        ScrollArea::vertical().max_height(LIST).auto_shrink([false, true]).show(ui, |ui| {
            for stretch in difference.stretches.iter().take(SHOWN) {
                self.stretch(ui, stretch, difference.units, actions);
            }
            let more = difference.stretches.len().saturating_sub(SHOWN) + difference.untold;
            if more > 0 {
                ui.label(format!("and {more} more"));
            }
        });
    }

    fn stretch(&self, ui: &mut Ui, stretch: &Stretch, units: Units, actions: &mut Vec<Action>) {
        let words = stretch.words(units);
        let (in_a, in_b) = (line_words(stretch.a), line_words(stretch.b));
        let behind = ui.painter().add(Shape::Noop);
        let row = ui.horizontal_top(|ui| {
            cell(ui, RichText::new(&in_a));
            cell(ui, RichText::new(&in_b));
            ui.add(Label::new(&words).wrap());
        });
        let Some((pass, line)) = self.place(stretch) else { return };
        let rect = row.response.rect.with_max_x(ui.max_rect().right()).expand(3.0);
        let click = ui.interact(rect, row.response.id.with("row"), Sense::click());
        click.widget_info(|| {
            let name = format!("Lines {in_a} in A, {in_b} in B: {words}");
            WidgetInfo::labeled(Role::Button, true, name)
        });
        if click.hovered() || click.has_focus() {
            ui.painter().set(behind, RectShape::filled(rect, 3.0, ui.visuals().faint_bg_color));
        }
        if click.clicked() {
            go_to(pass, line, actions);
        }
    }

    /// The pass and line at which a stretch begins; none where only a file outside the job has it.
    fn place(&self, stretch: &Stretch) -> Option<(usize, u32)> {
        let in_a = stretch.a.map(|lines| (self.subject.pass, lines.from));
        let in_b = || match &self.other {
            Some(Other::Pass(pass, _)) => stretch.b.map(|lines| (*pass, lines.from)),
            _ => None,
        };
        in_a.or_else(in_b)
    }
}

fn compare(one: &[u8], other: &[u8], settings: &Settings, task: Task<'_>) -> Result<Difference, Failed> {
    let a = program::read(one, settings, task)?;
    let b = program::read(other, settings, task)?;
    let (a, b) = (Side { text: one, program: &a }, Side { text: other, program: &b });
    Ok(diff::compare(a, b, settings.units, task)?)
}

fn only_text(ui: &mut Ui, difference: &Difference) {
    if difference.only_text.is_empty() {
        return;
    }
    ui.label(quiet("In the text alone", &theme(ui.ctx())));
    ScrollArea::vertical().id_salt("text alone").max_height(90.0).auto_shrink([false, true]).show(ui, |ui| {
        for note in &difference.only_text {
            ui.label(note);
        }
    });
}

/// One cell of the narrow columns.
fn cell(ui: &mut Ui, words: RichText) {
    let left = Layout::left_to_right(Align::Min);
    ui.allocate_ui_with_layout(vec2(COLUMN, 0.0), left, |ui| {
        ui.set_min_width(COLUMN);
        ui.label(words);
    });
}

fn line_words(lines: Option<Lines>) -> String {
    match lines {
        None => "none".to_owned(),
        Some(Lines { from, to }) if from == to => from.to_string(),
        Some(Lines { from, to }) => format!("{from} to {to}"),
    }
}
