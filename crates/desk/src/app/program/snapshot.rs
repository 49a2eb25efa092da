//! A program at one moment, for work beside the window.

use std::path::PathBuf;
use std::sync::Arc;

use super::buffer::Buffer;
use super::{Key, Sheet};

/// The program of a pass as it is in the pane. Copies share the text.
#[derive(Debug, Clone)]
pub(in crate::app) struct Snapshot {
    pub(in crate::app) key: Key,
    /// What its file is called.
    pub(in crate::app) name: String,
    /// Its files: the one it was read from, and the one it was saved in last.
    pub(in crate::app) files: Vec<PathBuf>,
    /// Some of it is in no file yet.
    pub(in crate::app) edited: bool,
    state: u64,
    buffer: Buffer,
}

impl Snapshot {
    pub(super) fn of(key: Key, sheet: &Sheet) -> Self {
        let title = PathBuf::from(sheet.title());
        let name = title.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let files = sheet.file.iter().chain(&sheet.saved_as).cloned().collect();
        let (state, buffer) = (sheet.state(), sheet.buffer().clone());
        Self { key, name, files, edited: sheet.is_edited(), state, buffer }
    }

    /// Whether nothing has happened to the program in between.
    pub(in crate::app) fn is_same(&self, other: &Self) -> bool {
        (self.key, self.state, self.edited, &self.files)
            == (other.key, other.state, other.edited, &other.files)
    }

    /// The whole text. Putting a long one together takes longer than a frame.
    pub(in crate::app) fn text(&self) -> Arc<[u8]> {
        self.buffer.whole()
    }
}
