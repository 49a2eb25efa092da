//! Small windows over the desk; one is open at a time.

mod answer;
mod choose;
mod control;
mod edit;
mod material;
mod path;
mod search;
mod show;
mod text;

use std::path::{Path, PathBuf};

use blockwright_core::job::Job;
use eframe::egui::Context;

pub(super) use choose::PathDialog;
pub(super) use edit::{field, grip, length_row, maybe};
pub use path::Purpose;
pub(super) use search::SearchDialog;

use super::act::Action;
use super::desk::Desk;
use super::finer::FinerDialog;
use super::keep::KeepDialog;
use super::measured::MeasuredDialog;
use super::order::OrderDialog;
use super::program::Texts;
use super::record::RecordDialog;
use super::rewrite::{AirDialog, CompareDialog, ReadyDialog};
use super::room::Effects;
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

/// What the small windows read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Around<'a> {
    /// What is open.
    pub(super) desk: &'a Desk,
    /// Its programs as they are typed.
    pub(super) programs: Texts<'a>,
    /// What is offered of unsaved work, in words.
    pub(super) left: &'a [String],
    /// Folders to go to.
    pub(super) places: &'a [PathBuf],
}

/// Something that happens to the small window on top.
#[derive(Debug)]
pub(super) enum Message {
    /// Open this one in place of any other.
    Show(Box<Dialog>),
    /// Close it.
    Close,
    /// This path was chosen in the system's dialog.
    Chosen(PathBuf),
    /// The record is there: its files.
    Recorded(Vec<PathBuf>),
}

/// The small window on top, when there is one.
#[derive(Debug, Default)]
pub(super) struct OnTop(Option<Dialog>);

impl OnTop {
    /// Does it.
    pub(super) fn update(&mut self, message: Message) -> Effects {
        match (message, &mut self.0) {
            (Message::Show(dialog), open) => *open = Some(*dialog),
            (Message::Close, open) => *open = None,
            (Message::Chosen(path), Some(dialog)) => dialog.take_path(&path),
            (Message::Recorded(files), Some(Dialog::Record(dialog))) => dialog.is_there(files),
            // It has been closed in the meantime.
            (Message::Chosen(_), None) | (Message::Recorded(_), _) => {}
        }
        Vec::new()
    }

    /// Which one is open.
    pub(super) const fn open(&self) -> Option<&Dialog> {
        self.0.as_ref()
    }

    pub(super) fn show(&mut self, ctx: &Context, around: Around<'_>, actions: &mut Vec<Action>) {
        if let Some(dialog) = &mut self.0 {
            dialog.show(ctx, around, actions);
        }
    }
}

impl Dialog {
    pub(super) fn path(purpose: Purpose, start: &Path) -> Self {
        Self::Path(PathDialog::new(purpose, start))
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
    fn take_path(&mut self, path: &Path) {
        match self {
            Self::Path(dialog) => dialog.take(path),
            Self::Air(dialog) => dialog.take_path(path),
            Self::Ready(dialog) => dialog.take_path(path),
            Self::Compare(dialog) => dialog.take_path(path),
            Self::Trouble(_)
            | Self::SetUp(_)
            | Self::Answer(_)
            | Self::Edit(_)
            | Self::Keep(_)
            | Self::Finer(_)
            | Self::Order(_)
            | Self::Tools(_)
            | Self::Bring(_)
            | Self::Record(_)
            | Self::Measured(_)
            | Self::Search(_)
            | Self::Meanings
            | Self::Cautions
            | Self::Question(_)
            | Self::Left
            | Self::Keys => {}
        }
    }
}
