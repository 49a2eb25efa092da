//! The job on the desk against the one in its file: what is not saved, and what another program has written.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::proof::Source;

use crate::files::Print;

/// A job as it is in its file, with the drawings it names.
#[derive(Debug, Clone)]
struct Saved {
    job: Arc<Job>,
    drawings: BTreeMap<String, Arc<[u8]>>,
}

/// What is known of the job's file.
#[derive(Debug, Default)]
pub(in crate::app) struct OnDisk {
    /// What is in it; nothing where the job is in no file.
    saved: Option<Saved>,
    changed: bool,
    /// What was done last, until the next change.
    note: Option<String>,
    /// What the file held when it was read or written last.
    print: Option<Print>,
    /// Another program has written it since.
    elsewhere: bool,
}

impl OnDisk {
    /// This is in the file.
    pub(super) fn holds(&mut self, source: &Source) {
        self.saved = Some(Saved { job: Arc::clone(&source.job), drawings: source.beside.drawings.clone() });
        self.changed = false;
    }

    /// The file was read or written, and held this then.
    pub(super) fn is_as(&mut self, print: Option<Print>) {
        (self.print, self.elsewhere) = (print, false);
    }

    /// What was on the desk when Blockwright ended: the file holds another job, or none.
    pub(super) fn restored(&mut self, saved: Option<Job>, source: &Source) {
        let drawings = source.beside.drawings.clone();
        self.saved = saved.map(|job| Saved { job: Arc::new(job), drawings });
        self.follow(source);
    }

    /// Looks whether another program has written the file since it was read or written here.
    pub(super) fn look_elsewhere(&mut self, file: &Path) {
        let other = |print| Print::at(file).is_some_and(|now| now != print);
        self.elsewhere = self.print.is_some_and(other);
    }

    /// Whether another program has written the file, as it was when that was looked at last.
    pub(in crate::app) fn is_elsewhere(&self) -> bool {
        self.elsewhere
    }

    /// Bytes of the file as it was read or written last.
    pub(in crate::app) fn bytes(&self) -> Option<u64> {
        self.print.map(|print| print.length)
    }

    /// The job is in no file.
    pub(super) fn holds_nothing(&mut self) {
        self.saved = None;
        self.changed = true;
    }

    /// The job has been changed, or changed back.
    pub(super) fn follow(&mut self, source: &Source) {
        self.note = None;
        self.changed = self.saved.as_ref().is_none_or(|saved| !saved.is(source));
    }

    /// Whether the job is another than the one in its file.
    pub(in crate::app) fn is_changed(&self) -> bool {
        self.changed
    }

    /// A file has been written: that is told until the next change.
    pub(super) fn note_saved(&mut self, path: &Path) {
        self.note = path.file_name().map(|name| format!("Saved {}", name.to_string_lossy()));
    }

    /// What was done last.
    pub(in crate::app) fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }
}

impl Saved {
    fn is(&self, source: &Source) -> bool {
        let same_job = Arc::ptr_eq(&self.job, &source.job) || self.job == source.job;
        // Drawings that the job names no more are not saved, and need not be.
        let same = |name: &str| self.drawings.get(name) == source.beside.drawings.get(name);
        same_job && source.job.drawings().all(|(_, name)| same(name))
    }
}
