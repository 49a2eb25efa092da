//! Small windows over the desk; one is open at a time.

mod answer;
mod control;
mod edit;
mod material;
mod path;
mod search;
mod text;

use std::path::Path;

use blockwright_core::job::Job;
use eframe::egui::{Align2, Context, Id, Key, Rect, Ui, Window, vec2};

pub(super) use edit::{field, grip, length_row, maybe};
pub(super) use path::PathDialog;
pub use path::Purpose;
pub(super) use search::SearchDialog;

use super::act::Action;
use super::desk::Desk;
use super::finer::FinerDialog;
use super::keep::KeepDialog;
use super::measured::MeasuredDialog;
use super::order::OrderDialog;
use super::program::Programs;
use super::record::RecordDialog;
use super::recovery::Recovery;
use super::rewrite::{AirDialog, CompareDialog, ReadyDialog};
use super::setup::SetUpDialog;
use super::tools::{BringDialog, ToolsDialog};
use crate::open::Bare;
use crate::trouble::Trouble;
use answer::AnswerDialog;
use edit::EditDialog;

/// The window that is open.
#[derive(Debug)]
pub(super) enum Dialog {
    /// Something went wrong.
    Trouble(Trouble),
    /// A path is asked for.
    Path(PathDialog),
    /// What programs suggest is looked at and confirmed.
    SetUp(Box<SetUpDialog>),
    /// What the findings ask for is given.
    Answer(Box<AnswerDialog>),
    /// The job is edited.
    Edit(Box<EditDialog>),
    /// An air pass is made of the program that is shown.
    Air(Box<AirDialog>),
    /// It is made ready for the control.
    Ready(Box<ReadyDialog>),
    /// It is held against another.
    Compare(Box<CompareDialog>),
    /// An area kept clear is named.
    Keep(Box<KeepDialog>),
    /// How fine the cells are to be in the part of the plan that is seen.
    Finer(Box<FinerDialog>),
    /// Another order of the passes is laid beside the present one.
    Order(Box<OrderDialog>),
    /// The tools of the job are edited.
    Tools(Box<ToolsDialog>),
    /// Tools are chosen from a crib.
    Bring(Box<BringDialog>),
    /// The record is being written, or lies in its folder.
    Record(RecordDialog),
    /// What was measured is typed in.
    Measured(Box<MeasuredDialog>),
    /// A command is looked for.
    Search(SearchDialog),
    /// What each kind of finding means.
    Meanings,
    /// What a proof cannot promise.
    Cautions,
    /// Something has to be decided.
    Question(Question),
    /// Unsaved work of windows that are gone is offered.
    Left,
    /// What the keys do.
    Keys,
}

/// Something has to be decided.
#[derive(Debug)]
pub(super) struct Question {
    pub(super) title: String,
    pub(super) words: String,
    /// What can be answered, and what is done then.
    pub(super) answers: Vec<(String, Action)>,
}

/// A window finds its size over its first frames: draw again until it stays, for nothing else may ask for it.
fn settle(ctx: &Context, rect: Option<Rect>) {
    let id = Id::unique("dialog size");
    let before: Option<Rect> = ctx.data_mut(|data| data.get_temp(id));
    if let Some(rect) = rect
        && before != Some(rect)
    {
        ctx.data_mut(|data| data.insert_temp(id, rect));
        ctx.request_repaint();
    }
}

impl Dialog {
    pub(super) fn path(purpose: Purpose, start: &Path) -> Self {
        Self::Path(PathDialog { purpose, text: start.display().to_string(), focused: false })
    }

    pub(super) fn set_up(bare: &Bare) -> Self {
        Self::SetUp(Box::new(SetUpDialog::new(bare)))
    }

    pub(super) fn to_confirm(desk: &Desk) -> Self {
        Self::SetUp(Box::new(SetUpDialog::of_job(desk.job())))
    }

    pub(super) fn answer(desk: &Desk) -> Self {
        Self::Answer(Box::new(AnswerDialog::new(desk)))
    }

    pub(super) fn edit(job: Job) -> Self {
        Self::Edit(Box::new(EditDialog::new(job)))
    }

    /// Takes a path that was chosen in the system's dialog.
    pub(super) fn take_path(&mut self, path: &Path) {
        match self {
            Self::Path(dialog) => dialog.text = path.display().to_string(),
            Self::Air(dialog) => dialog.take_path(path),
            Self::Ready(dialog) => dialog.take_path(path),
            Self::Compare(dialog) => dialog.take_path(path),
            _ => {}
        }
    }

    pub(super) fn show(
        &mut self,
        ctx: &Context,
        of: (&Desk, &Programs, &Recovery),
        actions: &mut Vec<Action>,
    ) {
        let (title, width) = match self {
            Self::Trouble(trouble) if trouble.own_fault => ("Fault in Blockwright", 420.0),
            Self::Trouble(_) => ("This could not be done", 420.0),
            Self::Path(dialog) => (dialog.purpose.title(), 520.0),
            Self::SetUp(_) => ("What the programs suggest", 1160.0),
            Self::Answer(_) => ("What the findings ask for", 600.0),
            Self::Edit(_) => ("Edit job", 640.0),
            Self::Air(_) => ("Air pass", 520.0),
            Self::Ready(_) => ("Prepare for the control", 520.0),
            Self::Compare(_) => ("Compare with another program", 560.0),
            Self::Keep(_) => ("Clamp area", 420.0),
            Self::Finer(_) => ("Refine this area", 460.0),
            Self::Order(_) => ("Order of passes", 760.0),
            Self::Tools(_) => ("Tools", 660.0),
            Self::Bring(_) => ("Tools from a crib", 560.0),
            Self::Record(_) => ("Record", 460.0),
            Self::Measured(_) => ("Measurements", 820.0),
            Self::Search(_) => ("Search commands", 940.0),
            Self::Meanings => ("What findings mean", 760.0),
            Self::Cautions => ("Cautions", 440.0),
            Self::Question(question) => (question.title.as_str(), 440.0),
            Self::Left => ("Unsaved work", 560.0),
            Self::Keys => ("Keys", 560.0),
        };
        let mut open = true;
        let title = title.to_owned();
        let shown = Window::new(title)
            .open(&mut open)
            .collapsible(false)
            .resizable(false)
            .default_width(width)
            .max_width(width)
            .pivot(Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .show(ctx, |ui| {
                ui.spacing_mut().item_spacing = vec2(8.0, 8.0);
                self.contents(ui, of, actions);
            });
        // The keyboard and the hand stay in the window that is open.
        if let Some(shown) = &shown {
            ctx.memory_mut(|memory| memory.set_modal_layer(shown.response.layer_id));
        }
        settle(ctx, shown.map(|shown| shown.response.rect));
        if !open || ctx.input(|input| input.key_pressed(Key::Escape)) {
            actions.push(Action::Close);
        }
    }

    fn contents(
        &mut self,
        ui: &mut Ui,
        (desk, programs, recovery): (&Desk, &Programs, &Recovery),
        actions: &mut Vec<Action>,
    ) {
        match self {
            Self::Trouble(trouble) => text::trouble(ui, trouble, actions),
            Self::Path(dialog) => dialog.show(ui, actions),
            Self::SetUp(dialog) => dialog.show(ui, actions),
            Self::Answer(dialog) => dialog.show(ui, desk, actions),
            Self::Edit(dialog) => dialog.show(ui, desk, actions),
            Self::Air(dialog) => dialog.contents(ui, programs, actions),
            Self::Ready(dialog) => dialog.contents(ui, programs, actions),
            Self::Compare(dialog) => dialog.contents(ui, programs, actions),
            Self::Keep(dialog) => dialog.show(ui, actions),
            Self::Finer(dialog) => dialog.show(ui, actions),
            Self::Order(dialog) => dialog.contents(ui, desk, actions),
            Self::Tools(dialog) => dialog.contents(ui, desk, actions),
            Self::Bring(dialog) => dialog.contents(ui, desk, actions),
            Self::Record(dialog) => dialog.show(ui, actions),
            Self::Measured(dialog) => dialog.show(ui, desk, actions),
            Self::Search(dialog) => dialog.show(ui, actions),
            Self::Meanings => text::meanings(ui, actions),
            Self::Cautions => text::cautions(ui, actions),
            Self::Question(question) => text::question(ui, question, actions),
            Self::Left => super::recovery::show(ui, recovery, actions),
            Self::Keys => text::keys(ui, actions),
        }
    }
}
