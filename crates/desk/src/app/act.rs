//! What a view can ask for.

use std::path::PathBuf;
use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::units::Units;
use blockwright_core::view::{Along, Theme, Viewport};
use eframe::egui::{ColorImage, Context, Id, Theme as Side};

use super::command::Command;
use super::dialog::Purpose;
use super::look::{CountedFrom, Hover, Tab};
use super::program::{Answer, Ask, Notice};
use super::record::Ask as RecordAsk;
use super::{centre, draw, fit, order, tools};
use crate::open::{Bare, Opened};
use crate::trouble::Trouble;

/// What a view asks for.
#[derive(Debug, Clone)]
pub enum Action {
    /// A command.
    Do(Command),
    /// Pick a pass.
    Pick(usize),
    /// Move the tool to this distance along the pass.
    Scrub(f64),
    /// Bring the tool to where it comes nearest to this station.
    ToStation(f64),
    /// Move the tool to the end of this program line.
    Line(u32),
    /// Go to a finding.
    Follow(usize),
    /// What of the plan is seen.
    See(Viewport),
    /// The place that the pointer lights.
    Hover(Option<Hover>),
    /// Notes have cards as well, or no longer.
    Notes(bool),
    /// A finding has been seen, or not yet after all.
    Seen(usize, bool),
    /// Whether the worst place of the finding is shown enlarged.
    Magnify(bool),
    /// What the strip runs along.
    Along(Along),
    /// From where X, Y and Z are counted under the picture.
    CountFrom(CountedFrom),
    /// How fast the tool runs.
    Speed(f64),
    /// Which list is under the strip.
    Tab(Tab),
    /// Something of the picture in the middle, or of what is measured at its station.
    Centre(centre::Ask),
    /// Something on the drawing sheet, or brought in.
    Draw(draw::Ask),
    /// Something in the pane of programs.
    Program(Ask),
    /// Work done beside the window.
    Answered(Answer),
    /// Something has become of a file that is open.
    Noticed(PathBuf, Notice),
    /// Tell what differs between the job on the desk and its file.
    CompareJob(PathBuf),
    /// This has been done at the machine.
    DoneAtMachine(String),
    /// Put what was left of this number on the desk.
    Restore(usize),
    /// Throw it away.
    DiscardLeft(usize),
    /// Let the job run this program in another pass.
    AddPass(PathBuf, Arc<[u8]>),
    /// Do it, whatever is lost by it.
    Anyway(Box<Action>),
    /// Open these files.
    OpenPaths(Vec<PathBuf>),
    /// What was opened.
    Opened(Box<Opened>),
    /// Use a path for something.
    Use(Purpose, PathBuf),
    /// Use a path for something and replace the file that is there: a person was asked for it by name.
    Replace(Purpose, PathBuf),
    /// A path chosen in the system's dialog.
    Chosen(PathBuf),
    /// Ask for a path in the system's dialog.
    Browse(Purpose),
    /// Prove this job.
    Edit(Box<Job>),
    /// Prove this job, from a field that is being typed into or dragged.
    TypeIn(Box<Job>, Id),
    /// Something in the panel of the fit.
    OfFit(fit::Ask),
    /// Something about the order of the passes.
    OfOrder(order::Ask),
    /// Something about the tools.
    OfTools(tools::Ask),
    /// What has become of the record.
    OfRecord(RecordAsk),
    /// Lay a picture on the clipboard.
    Copy(Box<ColorImage>),
    /// What programs without a job suggest.
    Suggested(Box<Bare>),
    /// Take the suggested job as a person has left it.
    SetUp(Box<Job>),
    /// Suggest it afresh in another unit.
    SetUpUnits(Units),
    /// This file has been written.
    Saved(PathBuf),
    /// Look at what waits to be confirmed.
    ToConfirm,
    /// Give what the findings ask for.
    Answer,
    /// Something went wrong elsewhere.
    Tell(Trouble),
    /// Close the window on top.
    Close,
}

/// The colours in use.
pub(super) fn theme(ctx: &Context) -> Theme {
    if ctx.theme() == Side::Dark { Theme::dark() } else { Theme::light() }
}
