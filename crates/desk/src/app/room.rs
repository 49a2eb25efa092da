//! How the rooms of the window speak with each other. A room owns its state, changes it by its own messages alone, and
//! tells what it asks of the house as effects; what it needs of another it reads in a [`World`].

use std::path::{Path, PathBuf};

use blockwright_core::geometry::Bounds;
use blockwright_core::job::Job;
use blockwright_core::view::Viewport;
use eframe::egui::{ColorImage, Context};

use super::act::Action;
use super::desk::{self, Desk};
use super::dialog::{self, Dialog, Purpose};
use super::draw;
use super::look::{self, Look};
use super::outbox::Errand;
use super::panes;
use super::program;
use super::rewrite::Rewriting;
use crate::files::{Existing, Reads};
use crate::open::Opened;
use crate::recover::Restored;
use crate::trouble::Trouble;

/// What every room may read and none may change.
#[derive(Debug, Clone, Copy)]
pub(super) struct World<'a> {
    /// What is open.
    pub(super) desk: &'a Desk,
    /// What of it is looked at.
    pub(super) look: &'a Look,
    /// What of the plan is seen, once it has been drawn.
    pub(super) seen: Option<Viewport>,
    /// Width of the block in the round, points, once it has been drawn.
    pub(super) block_width: Option<f32>,
    /// Clock, colors and waking of the window.
    pub(super) ctx: &'a Context,
}

/// What a room asks of the house.
#[derive(Debug)]
pub(super) enum Effect {
    /// Do this as if it had been asked for in the window.
    Act(Action),
    /// Change what is open.
    Desk(desk::Message),
    /// Look at something else.
    Look(look::Message),
    /// Do something on the drawing sheet.
    Draw(draw::Message),
    /// Make something of the program that is shown.
    Rewrite(Rewriting),
    /// Do something with the programs.
    Programs(program::Message),
    /// Open, close or tell the small window on top.
    OnTop(dialog::Message),
    /// Show or hide panes.
    Panes(panes::Message),
    /// Make cells this wide in this part of the plan.
    Finer(Bounds, f64),
    /// The passes stand otherwise; the one of this slot was looked at.
    Arranged(Option<usize>),
    /// Put this on the desk in place of what is there.
    Open(Box<Opened>),
    /// Put this unsaved work on the desk.
    Restored(Box<Restored>),
    /// Save under this name.
    Save(Purpose, PathBuf, Existing),
    /// Have work done beside the window.
    Run(Errand),
    /// Write a picture of the window.
    PictureOfWindow(PathBuf, Reads, Existing),
    /// Give up what is not saved, and close.
    Leave,
    /// Something of the system's window.
    Window(ToWindow),
}

/// What is asked of the system's window.
#[derive(Debug)]
pub(super) enum ToWindow {
    /// It is not to be closed after all.
    StayOpen,
    /// Draw again after this many seconds.
    WakeIn(f64),
    /// Dark instead of light, or light instead of dark.
    OtherTheme,
    /// Lay this picture on the clipboard.
    Copy(Box<ColorImage>),
    /// Lay a picture of the window on the clipboard.
    CopyWindow,
}

/// What a room asks for, in turn: each is done before the next.
pub(super) type Effects = Vec<Effect>;

impl Effect {
    /// Opens a small window.
    pub(super) fn show(dialog: Dialog) -> Self {
        Self::OnTop(dialog::Message::Show(Box::new(dialog)))
    }

    /// Says what went wrong.
    pub(super) fn tell(trouble: Trouble) -> Self {
        Self::show(Dialog::Trouble(trouble))
    }

    /// Asks for a path.
    pub(super) fn ask_path(purpose: Purpose, start: &Path) -> Self {
        Self::show(Dialog::path(purpose, start))
    }

    /// Leaves the small window.
    pub(super) const fn close() -> Self {
        Self::OnTop(dialog::Message::Close)
    }

    /// Checks another job.
    pub(super) fn edit(job: Job) -> Self {
        Self::Desk(desk::Message::Edit(Box::new(job)))
    }
}

/// What is said where a picture or a record is asked for before there is anything to show.
pub(super) fn nothing_proven() -> Trouble {
    Trouble::at("", "There is no result to draw yet", "wait until the job has been checked")
}
