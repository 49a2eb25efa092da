//! What the other rooms may read of the programs.

use std::path::PathBuf;

use super::{Key, Programs, Sheet, Snapshot};

/// The programs as they are typed, to be read.
#[derive(Debug, Clone, Copy)]
pub(in crate::app) struct Texts<'a>(&'a Programs);

impl<'a> Texts<'a> {
    pub(super) const fn of(programs: &'a Programs) -> Self {
        Self(programs)
    }

    /// Which program a pass runs.
    pub(in crate::app) fn key(self, pass: usize) -> Option<Key> {
        self.0.key(pass)
    }

    /// The program of a pass as it is now.
    pub(in crate::app) fn snapshot(self, pass: usize) -> Option<Snapshot> {
        self.0.snapshot(pass)
    }

    /// The programs that other passes run: the first pass of each, and what it is called.
    pub(in crate::app) fn others(self, pass: usize) -> Vec<(usize, String)> {
        self.0.others(pass)
    }

    /// The files that programs were read from.
    pub(in crate::app) fn files(self) -> impl Iterator<Item = PathBuf> {
        self.0.files()
    }

    /// The states of the texts that are in no file.
    pub(in crate::app) fn states(self) -> Vec<(usize, u64)> {
        self.0.states()
    }

    /// The file of the program of a pass, and whether its text is in none.
    pub(in crate::app) fn file_and_unsaved(self, pass: usize) -> Option<(Option<PathBuf>, bool)> {
        self.0.sheet(pass).map(|sheet| (sheet.file.clone(), sheet.is_edited() || sheet.gone))
    }

    /// Whether the program of a pass has edits.
    pub(in crate::app) fn is_edited(self, pass: usize) -> bool {
        self.0.sheet(pass).is_some_and(Sheet::is_edited)
    }

    /// Its name, where it has edits.
    pub(in crate::app) fn edited_name(self, pass: usize) -> Option<String> {
        self.0.sheet(pass).filter(|sheet| sheet.is_edited()).map(|sheet| sheet.name.clone())
    }

    /// Whether the program of a pass was posted again and nothing has been decided yet.
    pub(in crate::app) fn is_posted_again(self, pass: usize) -> bool {
        self.0.sheet(pass).is_some_and(|sheet| sheet.posted_again.is_some())
    }
}
