//! What is open: the job, its proof, and the worker that proves.

use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::program::words::Dialect;
use blockwright_core::proof::{Options, Proof, Source};
use blockwright_core::units::Units;

use crate::open::{Bare, Opened, Origin};
use crate::trouble::Trouble;
use crate::worker::{State, Taken, Wake, Worker};

/// What is open.
#[derive(Debug)]
pub(super) struct Desk {
    source: Source,
    origin: Origin,
    bare: Option<Bare>,
    proof: Option<Arc<Proof>>,
    /// Of the proof only the paths are there yet.
    sketch: bool,
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
            sketch: false,
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
        self.sketch = false;
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

    /// Suggests the set-up of the program on the desk afresh, in another unit; it comes with the program as read in it.
    /// `None` when the set-up is not open to be suggested.
    pub(super) fn set_up_in(&mut self, units: Units) -> Option<Result<(), Trouble>> {
        let bare = self.bare.take()?;
        let source = match crate::open::paths_of(&bare.names, bare.programs.clone(), units) {
            Ok(source) => source,
            Err(trouble) => {
                self.bare = Some(bare);
                return Some(Err(trouble));
            }
        };
        self.source = source;
        self.prove();
        Some(Ok(()))
    }

    /// Takes another text of the program that these passes run.
    pub(super) fn retype(&mut self, passes: &[usize], text: &Arc<[u8]>) {
        let bare = self.bare.iter_mut().flat_map(|bare| bare.programs.iter_mut().enumerate());
        let programs = self.source.programs.iter_mut().enumerate().chain(bare);
        for (_, program) in programs.filter(|(pass, _)| passes.contains(pass)) {
            *program = Arc::clone(text);
        }
        self.prove();
    }

    /// Lets these passes run a program of another name, with the same text.
    pub(super) fn rename(&mut self, passes: &[usize], name: &str) {
        let mut job = (*self.source.job).clone();
        for pass in passes {
            if let Some(pass) = job.passes.get_mut(*pass) {
                name.clone_into(&mut pass.program);
            }
            if let Some(old) = self.bare.as_mut().and_then(|bare| bare.names.get_mut(*pass)) {
                name.clone_into(old);
            }
        }
        self.edit(job);
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
        let sketch = self.proof.is_none();
        self.worker.prove(self.source.clone(), self.options, sketch);
    }

    pub(super) fn stop(&mut self) {
        self.worker.stop();
    }

    /// Takes what the worker has sent; true when there is a new proof, or the paths of one.
    pub(super) fn take(&mut self) -> bool {
        let Some(taken) = self.worker.take() else { return false };
        self.sketch = matches!(taken, Taken::Sketch(_));
        let (Taken::Sketch(proof) | Taken::Proof(proof)) = taken;
        self.proof = Some(proof);
        true
    }

    /// The set-up that a bare program suggests, once it has been read for the first time.
    pub(super) fn suggest(&mut self) -> Option<Bare> {
        let wanted = !self.sketch && self.bare.is_none() && matches!(self.origin, Origin::Programs(_));
        let first = self.proof.as_ref().filter(|_| wanted)?.passes.first()?;
        let names = self.source.job.passes.iter().map(|pass| pass.program.clone()).collect();
        let programs = self.source.programs.clone();
        let bare = Bare::new(names, programs, self.source.job.units, Arc::clone(&first.program));
        let source = bare.path_only().ok()?;
        self.bare = Some(bare.clone());
        if source.job != self.source.job {
            self.source = source;
            self.prove();
        }
        Some(bare)
    }

    /// The proof on the screen, unless it is only paths so far.
    pub(super) fn whole_proof(&self) -> Option<&Arc<Proof>> {
        self.proof.as_ref().filter(|_| !self.sketch)
    }

    /// Whether only paths are shown, before anything is measured, and maybe not all of them.
    pub(super) fn is_sketch(&self) -> bool {
        self.sketch
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

    /// How the control reads a line.
    pub(super) fn dialect(&self) -> Dialect {
        let control = self.source.job.control.as_ref();
        Dialect {
            semicolon_comments: control.and_then(|control| control.semicolon_comments).unwrap_or_default(),
        }
    }

    pub(super) fn job(&self) -> &Job {
        &self.source.job
    }

    pub(super) fn origin(&self) -> &Origin {
        &self.origin
    }

    pub(super) fn proof(&self) -> Option<&Arc<Proof>> {
        self.proof.as_ref()
    }

    pub(super) fn state(&self) -> &State {
        self.worker.state()
    }
}
