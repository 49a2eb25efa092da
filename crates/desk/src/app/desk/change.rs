//! How what is open is changed: each change of the job is a step that can be taken back, and has it checked again.

use std::sync::Arc;

use blockwright_core::job::{self, Job, Pass};
use blockwright_core::proof::{PassProof, Source};
use blockwright_core::prover::Options;
use blockwright_core::units::Units;
use eframe::egui::Id;

use super::Desk;
use super::history::{self, History, State as Kept};
use super::to_do::ToDo;
use crate::files::Print;
use crate::open::{Bare, Opened, Origin};
use crate::trouble::Trouble;
use crate::worker::{State, Taken};

impl Desk {
    /// Puts something else on the desk. Of a bare program only the path is shown until its set-up is given.
    pub(super) fn open(&mut self, opened: Opened) {
        self.proof = None;
        (self.sketch, self.rough) = (false, false);
        self.origin = opened.origin;
        self.lay(match &opened.bare {
            Some(bare) => bare.path_only(),
            None => opened.source,
        });
        self.asked = opened.bare.is_some();
        self.bare = opened.bare;
        self.units = opened.units;
        // A wish of the person at the window, not of the job.
        self.options = Options { told: self.options.told, ..Options::default() };
        self.on_disk.holds(&self.source);
        self.on_disk.is_as(opened.print);
        self.to_do = ToDo::default();
        self.prove();
    }

    /// Takes a job that has no history yet.
    fn lay(&mut self, source: Source) {
        self.order = (0..source.programs.len()).collect();
        self.history = History::new(&source.programs);
        self.measured = vec![None; source.programs.len()];
        self.source = source;
    }

    /// Proves an edited job; what is on the screen stays until the new proof is there.
    pub(super) fn edit(&mut self, job: Job) {
        self.change(job, self.order.clone(), None);
    }

    /// The same where the job names a drawing that it did not name before, or that has been written anew.
    pub(super) fn edit_with_drawing(&mut self, job: Job, name: String, bytes: Arc<[u8]>) {
        self.source.beside.drawings.insert(name, bytes);
        if *self.source.job == job {
            self.prove();
        } else {
            self.edit(job);
        }
    }

    /// The same, from a field that is being typed into or dragged: all that it changes in a row is one step.
    pub(super) fn type_in(&mut self, job: Job, grip: Id) {
        self.change(job, self.order.clone(), Some(grip));
    }

    /// Runs these passes of the job in this order, and no others.
    pub(super) fn rearrange(&mut self, passes: &[usize]) {
        let mut job = (*self.source.job).clone();
        job.passes = passes.iter().filter_map(|pass| self.source.job.passes.get(*pass).cloned()).collect();
        let order = passes.iter().filter_map(|pass| self.order.get(*pass).copied()).collect();
        self.change(job, order, None);
    }

    fn change(&mut self, mut job: Job, order: Vec<usize>, grip: Option<Id>) {
        job.confirm_changes(&self.source.job);
        if *self.source.job == job && self.order == order {
            return;
        }
        self.history.changes(self.kept(), grip);
        self.put(Kept { job: Arc::new(job), order });
    }

    fn kept(&self) -> Kept {
        Kept { job: Arc::clone(&self.source.job), order: self.order.clone() }
    }

    /// Takes back the last change of the job; false when there is none.
    pub(super) fn take_back(&mut self) -> bool {
        let before = self.history.back(self.kept());
        before.map(|before| self.put(before)).is_some()
    }

    /// Does again what was taken back; false when there is nothing.
    pub(super) fn do_again(&mut self) -> bool {
        let after = self.history.again(self.kept());
        after.map(|after| self.put(after)).is_some()
    }

    fn put(&mut self, state: Kept) {
        let only_seen = self.order == state.order && same_but_seen(&self.source.job, &state.job);
        let before = std::mem::replace(&mut self.order, state.order);
        self.source.job = state.job;
        if only_seen {
            // A tick changes nothing of the result.
            self.on_disk.follow(&self.source);
            return;
        }
        self.source.programs = self.history.programs(&self.order);
        if before != self.order {
            self.stand_in(&before);
        }
        self.prove();
    }

    /// Puts what is known of each pass in its new place, until the order is proven.
    fn stand_in(&mut self, before: &[usize]) {
        let Some(proof) = &self.proof else { return };
        let known = |slot: &usize| self.measured.get(*slot).cloned().flatten();
        let passes: Option<Vec<PassProof>> = self.order.iter().map(known).collect();
        let place = |slot: &usize| self.order.iter().position(|other| other == slot);
        let places: Vec<Option<usize>> = before.iter().map(place).collect();
        self.proof =
            passes.map(|passes| Arc::new(proof.rearranged(Arc::clone(&self.source.job), passes, &places)));
    }

    /// Takes the job that the programs on the desk suggest, as a person has left it.
    pub(super) fn set_up(&mut self, job: Job) {
        self.lay(Source { job: Arc::new(job), ..self.source.clone() });
        // What the operator has stated is in no file.
        self.on_disk.holds_nothing();
        self.prove();
    }

    /// Reads the programs on the desk in another unit; what they suggest is asked for anew.
    pub(super) fn set_up_in(&mut self, units: Units) {
        let names = self.names();
        self.lay(crate::open::paths_of(&names, &self.source.programs, units));
        self.on_disk.holds(&self.source);
        (self.bare, self.asked, self.units) = (None, false, Some(units));
        self.prove();
    }

    fn names(&self) -> Vec<String> {
        self.source.job.passes.iter().map(|pass| pass.program.clone()).collect()
    }

    /// Takes another text of the program that the passes of these slots run.
    pub(super) fn retype(&mut self, slots: &[usize], text: &Arc<[u8]>) {
        for slot in slots {
            self.history.retype(*slot, text);
        }
        self.source.programs = self.history.programs(&self.order);
        // What was asked of the text before no longer holds.
        self.asked &= self.bare.is_some();
        self.prove();
    }

    /// Lets the passes of these slots run a program of another name, with the same text, now and in every earlier
    /// state.
    pub(super) fn rename(&mut self, slots: &[usize], name: &str) {
        self.history.rename(slots, name);
        let mut now = self.kept();
        history::rename(&mut now, slots, name);
        self.put(now);
    }

    /// Makes the cells `factor` times as wide and proves again.
    pub(super) fn scale_cells(&mut self, factor: f64) {
        let Some(cell) = self.cell() else { return };
        self.options.cell = Some(cell * factor);
        self.prove();
    }

    fn prove(&mut self) {
        self.told = false;
        self.on_disk.follow(&self.source);
        let sketch = self.proof.is_none();
        self.worker.prove(self.source.clone(), self.options, sketch);
    }

    /// Takes what the worker has sent; true when there is a new proof, or the paths of one.
    pub(super) fn take(&mut self) -> bool {
        let Some(taken) = self.worker.take() else { return false };
        self.sketch = matches!(taken, Taken::Sketch(_));
        self.rough = matches!(taken, Taken::Rough(_));
        let (Taken::Sketch(proof) | Taken::Rough(proof) | Taken::Proof(proof)) = taken;
        for (slot, pass) in self.order.iter().zip(&proof.passes) {
            if let Some(measured) = self.measured.get_mut(*slot) {
                *measured = Some(pass.clone());
            }
        }
        self.proof = Some(proof);
        true
    }

    /// What is to be asked of programs without a job, once their paths are there: it is asked beside the window.
    pub(super) fn begin_suggesting(
        &mut self,
    ) -> Option<impl FnOnce() -> Result<Bare, Trouble> + Send + use<>> {
        let wanted = !self.sketch && !self.asked && matches!(self.origin, Origin::Programs(_));
        self.proof.as_ref().filter(|_| wanted)?;
        self.asked = true;
        let (names, programs, units) = (self.names(), self.source.programs.clone(), self.units);
        Some(move || Bare::read(&names, &programs, units))
    }

    /// Takes what the programs on the desk suggest; false when they are there no more.
    pub(super) fn suggested(&mut self, bare: &Bare) -> bool {
        let same = self.source.programs.len() == bare.programs.len()
            && self.source.programs.iter().zip(&bare.programs).all(|(a, b)| Arc::ptr_eq(a, b));
        if !same || !matches!(self.origin, Origin::Programs(_)) {
            return false;
        }
        self.bare = Some(bare.clone());
        let source = bare.path_only();
        if source.job != self.source.job {
            self.lay(source);
            self.on_disk.holds(&self.source);
            self.prove();
        }
        true
    }

    /// Tells lengths in the other unit. Nothing is measured anew, only the messages are written again.
    pub(super) fn tell_in_other(&mut self) {
        let other = match self.told().shown() {
            Units::Inch => Units::Mm,
            Units::Mm => Units::Inch,
        };
        self.options.told = Some(other);
        self.prove();
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
        self.on_disk.holds(&self.source);
        self.on_disk.is_as(Some(Print::of(job::write(&self.source.job).as_bytes())));
    }

    /// What was on the desk when Blockwright ended: its file holds another job, or none.
    pub(super) fn restored(&mut self, saved: Option<Job>, to_do: Vec<String>) {
        self.on_disk.restored(saved, &self.source);
        self.to_do = ToDo::left(to_do);
    }

    /// Looks whether another program has written the job's file since it was read or written here.
    pub(super) fn look_elsewhere(&mut self) {
        if let Origin::Job(file) = &self.origin {
            self.on_disk.look_elsewhere(file);
        }
    }

    /// Lets the blank lie otherwise, which has to be done at the machine as well.
    pub(super) fn take_over(&mut self, job: Job, words: String) {
        let at = |job: &Job| job.blank.as_ref().and_then(|blank| blank.at);
        self.to_do.add(words, at(&self.source.job), at(&job));
        self.edit(job);
    }

    /// Takes a pass in, after the last.
    pub(super) fn add_pass(&mut self, pass: Pass, text: &Arc<[u8]>) -> usize {
        let slot = self.history.add(text);
        self.measured.push(None);
        let mut job = (*self.source.job).clone();
        job.passes.push(pass);
        let order = self.order.iter().copied().chain([slot]).collect();
        self.change(job, order, None);
        slot
    }
}

/// Whether two states of a job differ at most in the findings that were seen.
fn same_but_seen(a: &Job, b: &Job) -> bool {
    Job { seen: Vec::new(), ..a.clone() } == Job { seen: Vec::new(), ..b.clone() }
}
