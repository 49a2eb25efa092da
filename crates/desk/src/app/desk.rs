//! What is open: the job, its proof, and the worker that proves.

use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::proof::{Options, Proof, Source};

use crate::open::{Bare, Opened, Origin};
use crate::trouble::Trouble;
use crate::worker::{State, Wake, Worker};

/// What is open.
#[derive(Debug)]
pub(super) struct Desk {
    source: Source,
    origin: Origin,
    bare: Option<Bare>,
    proof: Option<Arc<Proof>>,
    options: Options,
    worker: Worker,
    told: bool,
}

impl Desk {
    pub(super) fn new(opened: Opened, wake: Wake) -> Self {
        let mut desk = Self {
            source: opened.source.clone(),
            origin: Origin::Demo,
            bare: None,
            proof: None,
            options: Options::default(),
            worker: Worker::start(wake),
            told: false,
        };
        desk.open(opened);
        desk
    }

    /// Puts something else on the desk. Of a bare program only the path is shown until its set-up is given.
    pub(super) fn open(&mut self, opened: Opened) {
        self.proof = None;
        self.origin = opened.origin;
        self.source = match &opened.bare {
            Some(bare) => bare.path_only().unwrap_or(opened.source),
            None => opened.source,
        };
        self.bare = opened.bare;
        self.options = Options::default();
        self.prove();
    }

    /// Proves an edited job; what is on the screen stays until the new proof is there.
    pub(super) fn edit(&mut self, job: Job) {
        if *self.source.job == job {
            return;
        }
        self.source.job = Arc::new(job);
        self.prove();
    }

    /// Takes a set-up for the program on the desk.
    pub(super) fn set_up(&mut self, bare: Bare) -> Result<(), String> {
        self.source = bare.source()?;
        self.bare = Some(bare);
        self.prove();
        Ok(())
    }

    /// Makes the cells `factor` times as wide and proves again.
    pub(super) fn scale_cells(&mut self, factor: f64) {
        let Some(cell) = self.cell() else { return };
        self.options.cell = Some(cell * factor);
        self.prove();
    }

    /// Side of a cell of the proof on the screen.
    pub(super) fn cell(&self) -> Option<f64> {
        self.proof.as_ref().and_then(|proof| proof.start.as_ref()).map(|field| field.grid().cell)
    }

    fn prove(&mut self) {
        self.told = false;
        self.worker.prove(self.source.clone(), self.options);
    }

    pub(super) fn stop(&mut self) {
        self.worker.stop();
    }

    /// Takes what the worker has sent; true when there is a new proof.
    pub(super) fn take(&mut self) -> bool {
        let Some(proof) = self.worker.take() else { return false };
        self.proof = Some(proof);
        true
    }

    /// What went wrong with the last run, once.
    pub(super) fn take_trouble(&mut self) -> Option<Trouble> {
        match self.worker.state() {
            State::Failed(trouble) if !self.told => {
                self.told = true;
                Some(trouble.clone())
            }
            _ => None,
        }
    }

    pub(super) fn saved_as(&mut self, path: std::path::PathBuf) {
        self.origin = Origin::Job(path);
        self.bare = None;
    }

    pub(super) fn source(&self) -> &Source {
        &self.source
    }

    pub(super) fn job(&self) -> &Job {
        &self.source.job
    }

    pub(super) fn origin(&self) -> &Origin {
        &self.origin
    }

    pub(super) fn bare(&self) -> Option<&Bare> {
        self.bare.as_ref()
    }

    pub(super) fn proof(&self) -> Option<&Arc<Proof>> {
        self.proof.as_ref()
    }

    pub(super) fn state(&self) -> &State {
        self.worker.state()
    }
}
