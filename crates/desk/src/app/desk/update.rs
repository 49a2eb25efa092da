//! What can happen to what is open.

use std::path::PathBuf;
use std::sync::Arc;

use blockwright_core::job::{Job, Pass};
use blockwright_core::proof::with_seen;
use blockwright_core::units::Units;
use eframe::egui::Id;

use super::Desk;
use crate::app::dialog::Dialog;
use crate::app::look;
use crate::app::outbox::Errand;
use crate::app::room::{Effect, Effects};
use crate::open::{Bare, Opened};

/// Something that happens to what is open.
#[derive(Debug)]
pub(in crate::app) enum Message {
    /// Something else is put on the desk.
    Open(Box<Opened>),
    /// Check this job.
    Edit(Box<Job>),
    /// The same where the job names a drawing, which is in these bytes, that it did not name before.
    EditWithDrawing(Box<Job>, String, Arc<[u8]>),
    /// The same from a field that is being typed into or dragged: all that it changes in a row is one step.
    TypeIn(Box<Job>, Id),
    /// Nothing is being typed any more.
    Rest,
    /// A finding has been seen, or not yet after all: that is kept in the job.
    Seen(usize, bool),
    /// Run these passes of the job in this order, and no others.
    Rearrange(Vec<usize>),
    /// Let a pass run after the last, with this text.
    AddPass(Box<Pass>, Arc<[u8]>),
    /// Take back the last change of the job; the pass looked at has this slot.
    TakeBack(Option<usize>),
    /// Change it again.
    DoAgain(Option<usize>),
    /// The programs suggest this.
    Suggested(Box<Bare>),
    /// Take the suggested job as a person has left it.
    SetUp(Box<Job>),
    /// Suggest it afresh in another unit.
    SetUpIn(Units),
    /// Take another text of the program that the passes of these slots run.
    Retype(Vec<usize>, Arc<[u8]>),
    /// Let the passes of these slots run a program of another name, with the same text.
    Rename(Vec<usize>, String),
    /// Let the blank lie otherwise, which has to be done at the machine as these words say.
    TakeOver(Box<Job>, String),
    /// This has been done at the machine.
    Done(String),
    /// Make the cells this many times as wide.
    ScaleCells(f64),
    /// Tell lengths in the other unit.
    OtherUnit,
    /// The job has been saved here.
    SavedAs(PathBuf),
    /// A file has been written: that is told until the next change.
    NoteSaved(PathBuf),
    /// Its file holds another job, or none, and this is to be done at the machine.
    Restored(Option<Box<Job>>, Vec<String>),
    /// Look whether another program has written the job's file.
    LookElsewhere,
    /// Stop the check.
    Stop,
}

impl Desk {
    /// Does it.
    pub(in crate::app) fn update(&mut self, message: Message) -> Effects {
        match message {
            Message::Open(opened) => self.open(*opened),
            Message::Edit(job) => self.edit(*job),
            Message::EditWithDrawing(job, name, bytes) => self.edit_with_drawing(*job, name, bytes),
            Message::TypeIn(job, grip) => self.type_in(*job, grip),
            Message::Rest => self.history.rest(),
            Message::Seen(finding, seen) => self.mark(finding, seen),
            Message::Rearrange(passes) => self.rearrange(&passes),
            Message::AddPass(pass, text) => return vec![Effect::Arranged(Some(self.add_pass(*pass, &text)))],
            Message::TakeBack(slot) => {
                return self.take_back().then_some(Effect::Arranged(slot)).into_iter().collect();
            }
            Message::DoAgain(slot) => {
                return self.do_again().then_some(Effect::Arranged(slot)).into_iter().collect();
            }
            Message::Suggested(bare) => {
                let fits = self.suggested(&bare);
                return fits.then(|| Effect::show(Dialog::set_up(&bare))).into_iter().collect();
            }
            Message::SetUp(job) => {
                self.set_up(*job);
                return vec![Effect::close()];
            }
            Message::SetUpIn(units) => self.set_up_in(units),
            Message::Retype(slots, text) => self.retype(&slots, &text),
            Message::Rename(slots, name) => self.rename(&slots, &name),
            Message::TakeOver(job, words) => self.take_over(*job, words),
            Message::Done(words) => self.to_do.done(&words),
            Message::ScaleCells(factor) => self.scale_cells(factor),
            Message::OtherUnit => self.tell_in_other(),
            Message::SavedAs(path) => self.saved_as(path),
            Message::NoteSaved(path) => self.on_disk.note_saved(&path),
            Message::Restored(saved, to_do) => self.restored(saved.map(|job| *job), to_do),
            Message::LookElsewhere => self.look_elsewhere(),
            Message::Stop => self.worker.stop(),
        }
        Vec::new()
    }

    /// Takes what the worker has sent.
    pub(in crate::app) fn tick(&mut self) -> Effects {
        let mut effects = Vec::new();
        if self.take() {
            effects.push(Effect::Look(look::Message::Clamp));
            let asked = self.begin_suggesting();
            effects.extend(asked.map(|read| Effect::Run(Errand::suggest(read))));
        }
        effects.extend(self.take_trouble().map(Effect::tell));
        effects
    }

    fn mark(&mut self, finding: usize, seen: bool) {
        let found = self.whole_proof().and_then(|proof| proof.findings.get(finding));
        let Some(job) = found.map(|finding| with_seen(self.job(), finding, seen)) else { return };
        self.edit(job);
    }
}
