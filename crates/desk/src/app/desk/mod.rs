//! What is open: the job, its proof, and the worker that proves.

mod change;
mod history;
mod on_disk;
#[cfg(test)]
mod tests;
mod to_do;
mod update;

use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::program::words::Dialect;
use blockwright_core::proof::{PassProof, Proof, Source};
use blockwright_core::prover::Options;
use blockwright_core::units::{Told, Units};

use super::command::{Command, Needs};
use crate::open::{Bare, Opened, Origin};
use crate::worker::{State, Wake, Worker};
use history::History;
use on_disk::OnDisk;
use to_do::ToDo;
pub(in crate::app) use to_do::show as show_to_do;
pub(in crate::app) use update::Message;

/// What is open.
#[derive(Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says one thing of what is open, and any may go with any"
)]
pub(in crate::app) struct Desk {
    source: Source,
    /// The slot of each pass of the job, as `history` knows them.
    order: Vec<usize>,
    history: History,
    /// What was measured last of the pass of each slot.
    measured: Vec<Option<PassProof>>,
    origin: Origin,
    /// What the programs without a job suggest.
    bare: Option<Bare>,
    /// They have been asked.
    asked: bool,
    /// The unit of programs without a job, where a person said it.
    units: Option<Units>,
    proof: Option<Arc<Proof>>,
    /// Of the proof only the paths are there yet.
    sketch: bool,
    /// Its cells are wide for a first look; what comes next is the proof.
    rough: bool,
    options: Options,
    worker: Worker,
    told: bool,
    on_disk: OnDisk,
    /// What is to be done at the machine before the job is as it is stated.
    to_do: ToDo,
}

impl Desk {
    pub(in crate::app) fn new(opened: Opened, wake: Wake) -> Self {
        let mut desk = Self {
            source: opened.source.clone(),
            order: Vec::new(),
            history: History::default(),
            measured: Vec::new(),
            origin: Origin::Demo,
            bare: None,
            asked: false,
            units: None,
            proof: None,
            sketch: false,
            rough: false,
            options: Options::default(),
            worker: Worker::start(wake),
            told: false,
            on_disk: OnDisk::default(),
            to_do: ToDo::default(),
        };
        desk.open(opened);
        desk
    }

    /// Whether a command can do anything now.
    pub(in crate::app) fn can(&self, command: Command) -> bool {
        let (back, again) = self.history.can();
        match command.needs() {
            Needs::Nothing => true,
            Needs::Earlier => back,
            Needs::Later => again,
            Needs::Checking => matches!(self.worker.state(), State::Proving(_)),
        }
    }

    /// The slot of each pass: the place at which it was opened.
    pub(in crate::app) fn order(&self) -> &[usize] {
        &self.order
    }

    /// Side of a cell of the proof on the screen.
    pub(in crate::app) fn cell(&self) -> Option<f64> {
        self.proof.as_ref().and_then(|proof| proof.start.as_ref()).map(|field| field.grid().cell)
    }

    /// What the programs on the desk suggest, while nothing of it has been taken.
    pub(in crate::app) fn untaken(&self) -> Option<&Bare> {
        self.bare.as_ref().filter(|bare| *bare.path_only().job == *self.source.job)
    }

    /// How lengths are told in the window: the one place that knows.
    pub(in crate::app) fn told(&self) -> Told {
        let of = self.source.job.units;
        Told::new(of, self.options.told.unwrap_or(of))
    }

    /// The proof on the screen, unless it is only paths or a rough block so far.
    pub(in crate::app) fn whole_proof(&self) -> Option<&Arc<Proof>> {
        self.proof.as_ref().filter(|_| !self.sketch && !self.rough)
    }

    /// Whether only paths are shown, before anything is measured, and maybe not all of them.
    pub(in crate::app) fn is_sketch(&self) -> bool {
        self.sketch
    }

    /// Whether the block on the screen is rough, until the proof is there.
    pub(in crate::app) fn is_rough(&self) -> bool {
        self.rough
    }

    /// Whether what is shown is older than the job, or not all of it yet.
    pub(in crate::app) fn is_old(&self) -> bool {
        self.proof.is_some() && (self.rough || self.sketch || !matches!(self.worker.state(), State::Idle))
    }

    /// What is to be done at the machine.
    pub(in crate::app) fn to_do(&self) -> Vec<String> {
        self.to_do.shown(self.source.job.blank.as_ref().and_then(|blank| blank.at))
    }

    /// What is known of the job's file.
    pub(in crate::app) fn on_disk(&self) -> &OnDisk {
        &self.on_disk
    }

    /// What the job's file is called.
    pub(in crate::app) fn file_name(&self) -> Option<String> {
        let Origin::Job(file) = &self.origin else { return None };
        file.file_name().map(|name| blockwright_core::names::shown(&name.to_string_lossy()).into_owned())
    }

    pub(in crate::app) fn source(&self) -> &Source {
        &self.source
    }

    /// How the control reads a line.
    pub(in crate::app) fn dialect(&self) -> Dialect {
        let control = self.source.job.control.as_ref();
        Dialect {
            semicolon_comments: control.and_then(|control| control.semicolon_comments).unwrap_or_default(),
        }
    }

    pub(in crate::app) fn job(&self) -> &Job {
        &self.source.job
    }

    /// What the proof on the screen was asked for with.
    pub(in crate::app) fn options(&self) -> &Options {
        &self.options
    }

    pub(in crate::app) fn origin(&self) -> &Origin {
        &self.origin
    }

    pub(in crate::app) fn proof(&self) -> Option<&Arc<Proof>> {
        self.proof.as_ref()
    }

    pub(in crate::app) fn state(&self) -> &State {
        self.worker.state()
    }
}
