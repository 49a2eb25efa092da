//! Drawing the outline and the blank's edge, and bringing them in from elsewhere: while one of these is open it has
//! the whole window under the bar.

mod arrive;
mod choose;
mod choose_list;
mod choose_picture;
mod field;
mod hand;
mod keys;
mod measured;
mod paint;
mod path_list;
mod pointer;
mod sheet;
mod take;
#[cfg(test)]
mod tests;
mod tools;
mod under;
mod update;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::bring_in::{Drawing, Kind, Offer};
use blockwright_core::job::PathSource;
use blockwright_core::pixels::Pixels;
use blockwright_core::sketch::Chain;
use blockwright_core::view::Viewport;
use eframe::egui::{Context, Popup, Ui};

use super::act::Action;
use super::command::Command;
use super::desk::Desk;
use super::dialog::Purpose;
use choose::Chooser;
use sheet::Sheet;
use take::FileSource;
pub(super) use update::Message;

/// Which path of the job is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// The scribed outline.
    Outline,
    /// The blank's edge.
    Edge,
}

impl Target {
    const fn word(self) -> &'static str {
        match self {
            Self::Outline => "outline",
            Self::Edge => "edge",
        }
    }
}

/// Something asked for while a path is drawn or brought in, or its answer.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Ask for a path to be used for this.
    Path(Purpose),
    /// Bring in this file: a drawing, or a picture to trace over while a sheet is open.
    File(PathBuf),
    /// A drawing has been read from these bytes.
    Arrived(PathBuf, Arc<Drawing>, Arc<[u8]>),
    /// Look for the closed paths of the drawing as it is wanted now.
    Survey,
    /// They have been found.
    Surveyed(Arc<Drawing>, Box<Offer>),
    /// Make the path of a pass, moved in by its tool's radius.
    FromPass(usize),
    /// The path of a pass has been made.
    Traced(Chain),
    /// Put this path on the sheet, or open one with it.
    Sheet(Target, Chain),
    /// A picture has been read.
    Picture(PathBuf, Arc<Pixels>),
    /// Put this path into the job; where there is no blank, with its top and thickness.
    Use(Target, PathSource, Option<[f64; 2]>),
    /// Let the job name a drawing for its path, which is in these bytes.
    UseFile(Target, FileSource, Arc<[u8]>),
    /// Leave the sheet or the drawing; asks when something is lost by it.
    Leave,
    /// Leave all of it whatever is lost, and then do something.
    LeaveFor(Option<Box<Action>>),
}

/// What a command asks of the sheet while it is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnSheet {
    /// Take back the last edit.
    Undo,
    /// Do it again.
    Redo,
    /// Show all of the path.
    ShowAll,
}

/// What is open of it.
#[derive(Debug, Default)]
pub(super) struct Draw {
    sheet: Option<Sheet>,
    /// Over the sheet, when both are open.
    chooser: Option<Chooser>,
    /// At the end of the frame before, a field had the keyboard or a menu was open: a key closes that first.
    was_busy: bool,
}

impl Draw {
    pub(super) fn is_open(&self) -> bool {
        self.sheet.is_some() || self.chooser.is_some()
    }

    /// Whether a dropped file is brought in, not opened.
    pub(super) fn takes_file(&self, path: &Path) -> bool {
        let name = path.to_string_lossy();
        let picture = self.sheet.is_some() && is_picture(path);
        let ending = path.extension().is_some_and(|ending| !ending.eq_ignore_ascii_case("txt"));
        picture || (ending && Kind::of(&name, &[]).is_some())
    }

    /// Whether a command counts while the sheet is open.
    pub(super) fn lets(&self, command: Command) -> bool {
        !self.is_open()
            || matches!(
                command,
                Command::DrawOutline
                    | Command::DrawEdge
                    | Command::BringIn
                    | Command::Undo
                    | Command::Redo
                    | Command::Fit
                    | Command::Open
                    | Command::SaveJob
                    | Command::Dark
                    | Command::OtherUnit
                    | Command::PictureOfWindow
                    | Command::CopyWindow
                    | Command::Keys
                    | Command::Quit
            )
    }

    /// Does what is asked of the sheet, or of the drawing over it.
    fn on_sheet(&mut self, asked: OnSheet) {
        if let Some(chooser) = &mut self.chooser {
            chooser.run(asked);
        } else if let Some(sheet) = &mut self.sheet {
            sheet.run(asked);
        }
    }

    /// Whether something drawn is not in the job yet.
    fn would_lose(&self) -> bool {
        self.sheet.as_ref().is_some_and(Sheet::is_changed)
    }

    /// Which path is on the sheet and not in the job yet.
    pub(super) fn unsaved(&self) -> Option<&'static str> {
        self.sheet.as_ref().filter(|_| self.would_lose()).map(|sheet| sheet.target().word())
    }

    /// Whether doing this would throw away what is drawn.
    pub(super) fn guards(&self, action: &Action) -> bool {
        let leaves = matches!(
            action,
            Action::OpenPaths(_)
                | Action::Use(Purpose::Open, _)
                | Action::Do(Command::Quit | Command::OpenDemo | Command::DrawOutline | Command::DrawEdge)
        );
        leaves && self.would_lose()
    }

    /// The path on the sheet.
    pub(super) fn chain(&self) -> Option<&Chain> {
        self.sheet.as_ref().map(Sheet::chain)
    }

    /// What part of the plan the sheet or the drawing shows.
    pub(super) fn viewport(&self) -> Option<Viewport> {
        match &self.chooser {
            Some(chooser) => chooser.viewport(),
            None => self.sheet.as_ref().and_then(Sheet::viewport),
        }
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, asked: bool, actions: &mut Vec<Action>) {
        if let Some(sheet) = &mut self.sheet {
            sheet.units = desk.told();
        }
        if let Some(chooser) = &mut self.chooser {
            chooser.job = desk.told();
        }
        let taken = |ctx: &Context| ctx.text_edit_focused() || Popup::is_any_open(ctx);
        let busy = asked || self.was_busy || taken(ui.ctx());
        if let Some(chooser) = &mut self.chooser {
            let target = self.sheet.as_ref().map(Sheet::target);
            chooser.show(ui, desk, (busy, target), actions);
        } else if let Some(sheet) = &mut self.sheet {
            sheet.show(ui, desk, busy, actions);
        }
        self.was_busy = taken(ui.ctx());
    }
}

fn is_picture(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    matches!(ending.as_deref(), Some("png" | "jpg" | "jpeg"))
}
