//! One program on the desk: its text, what was done to it, and the file it came from.

use std::path::PathBuf;

use super::buffer::{Buffer, Splice};
use super::watch::Stamp;
use crate::files::Print;

/// One change with the states it leads between.
#[derive(Debug, Clone)]
struct Step {
    change: Splice,
    from: u64,
    to: u64,
}

/// A program that passes run.
#[derive(Debug)]
pub(in crate::app) struct Sheet {
    /// As the job names it.
    pub(in crate::app) name: String,
    /// The file it was read from; none for what is built in.
    pub(in crate::app) file: Option<PathBuf>,
    /// Where its edits were saved last.
    pub(in crate::app) saved_as: Option<PathBuf>,
    /// The file as it was posted again, once it was.
    pub(in crate::app) posted_again: Option<Stamp>,
    /// The file is gone from its folder.
    pub(in crate::app) gone: bool,
    /// What the file held when it was read.
    read: Print,
    buffer: Buffer,
    done: Vec<Step>,
    undone: Vec<Step>,
    /// Of the text as it is; every change leads to a new one, and undoing leads back.
    state: u64,
    newest: u64,
    /// The state that is in a file; `None` when none is, since the file holds another text by now.
    kept: Option<u64>,
    /// The state of the file that the job names, likewise.
    posted: Option<u64>,
    /// Line whose typing still belongs to the last step.
    typing: Option<usize>,
}

impl Sheet {
    pub(super) fn new(name: String, file: Option<PathBuf>, buffer: Buffer) -> Self {
        Self {
            name,
            file,
            saved_as: None,
            posted_again: None,
            gone: false,
            read: buffer.print(),
            buffer,
            done: Vec::new(),
            undone: Vec::new(),
            state: 0,
            newest: 0,
            kept: Some(0),
            posted: Some(0),
            typing: None,
        }
    }

    pub(super) fn buffer(&self) -> &Buffer {
        &self.buffer
    }

    /// The whole text as it would be saved.
    pub(in crate::app) fn text(&self) -> std::sync::Arc<[u8]> {
        self.buffer.whole()
    }

    /// Which state the text is in.
    pub(super) fn state(&self) -> u64 {
        self.state
    }

    /// Whether there is anything in the text that is in no file.
    pub(in crate::app) fn is_edited(&self) -> bool {
        Some(self.state) != self.kept
    }

    /// Whether the text is another than the one in the file that the job names.
    pub(super) fn differs(&self) -> bool {
        Some(self.state) != self.posted
    }

    /// What the job runs, and where the text that is shown is kept when that is another file.
    pub(super) fn heading(&self) -> String {
        let saved = self.saved_as.as_ref().filter(|_| self.differs()).and_then(|path| path.file_name());
        match saved {
            Some(saved) => format!("{}, edited as {}", self.name, saved.to_string_lossy()),
            None => self.name.clone(),
        }
    }

    /// The job names the file that its edits were saved in from now on.
    pub(super) fn adopt(&mut self, name: &str) {
        self.file = self.saved_as.take();
        name.clone_into(&mut self.name);
        self.posted_again = None;
        self.gone = false;
        self.read = Print::of(&self.buffer.whole());
        self.posted = self.kept;
    }

    /// What it is called where there is little room.
    pub(in crate::app) fn title(&self) -> String {
        let saved = self.saved_as.as_ref().and_then(|path| path.file_name());
        saved.map_or_else(|| self.name.clone(), |name| name.to_string_lossy().into_owned())
    }

    /// Takes another text of a line, as typed so far: all typing in one line until [`Sheet::rest`] is one step.
    pub(super) fn type_line(&mut self, index: usize, text: &str) -> bool {
        let Some(change) = self.buffer.retype(index, text) else { return false };
        self.buffer.apply(&change);
        self.newest += 1;
        self.undone.clear();
        let same = self.typing == Some(index);
        match self.done.last_mut().filter(|_| same) {
            Some(step) => {
                step.change.after = change.after;
                step.to = self.newest;
            }
            None => self.done.push(Step { change, from: self.state, to: self.newest }),
        }
        self.typing = Some(index);
        self.state = self.newest;
        true
    }

    /// Ends a stretch of typing.
    pub(super) fn rest(&mut self) {
        self.typing = None;
    }

    /// Puts lines in so that the first has this index.
    pub(super) fn insert(&mut self, at: usize, texts: &[String]) -> bool {
        let change = self.buffer.insert(at, texts);
        self.step(change)
    }

    /// Takes a line out.
    pub(super) fn remove(&mut self, at: usize) -> bool {
        let change = self.buffer.remove(at, 1);
        self.step(change)
    }

    fn step(&mut self, change: Option<Splice>) -> bool {
        self.rest();
        let Some(change) = change else { return false };
        self.buffer.apply(&change);
        self.newest += 1;
        self.undone.clear();
        self.done.push(Step { change, from: self.state, to: self.newest });
        self.state = self.newest;
        true
    }

    /// Takes the last step back; the line to look at.
    pub(super) fn undo(&mut self) -> Option<usize> {
        self.rest();
        let step = self.done.pop()?;
        self.buffer.revert(&step.change);
        self.state = step.from;
        let at = step.change.at;
        self.undone.push(step);
        Some(at)
    }

    /// Does again what was taken back; the line to look at.
    pub(super) fn redo(&mut self) -> Option<usize> {
        self.rest();
        let step = self.undone.pop()?;
        self.buffer.apply(&step.change);
        self.state = step.to;
        let at = step.change.at;
        self.done.push(step);
        Some(at)
    }

    /// What its file held when it was read.
    pub(in crate::app) fn read(&self) -> Print {
        self.read
    }

    /// Takes a text that is in no file.
    pub(super) fn restore(&mut self, buffer: Buffer) {
        self.rest();
        self.buffer = buffer;
        (self.done, self.undone) = (Vec::new(), Vec::new());
        self.newest += 1;
        self.state = self.newest;
    }

    /// This state is in a file now.
    pub(super) fn saved(&mut self, state: u64, path: PathBuf) {
        self.kept = Some(state);
        self.saved_as = Some(path);
        self.rest();
    }

    /// The text stays as it is shown, although its file was posted again.
    pub(super) fn keep_shown(&mut self) {
        self.posted_again = None;
        let is_in_file = |file: &PathBuf| Print::at(file) == Some(self.read);
        if self.file.as_ref().is_none_or(is_in_file) {
            return; // the file was touched, and holds the same
        }
        if self.saved_as.is_none() {
            self.kept = None;
        }
        self.posted = None;
    }

    /// The text as it was posted again takes the place of everything.
    pub(super) fn reload(&mut self, buffer: Buffer) {
        *self = Self {
            state: self.newest + 1,
            newest: self.newest + 1,
            kept: Some(self.newest + 1),
            posted: Some(self.newest + 1),
            ..Self::new(std::mem::take(&mut self.name), self.file.take(), buffer)
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet() -> Sheet {
        Sheet::new("1.nc".to_owned(), None, Buffer::new(b"G0\nG1\nM2\n".as_slice().into()))
    }

    fn whole(sheet: &Sheet) -> String {
        String::from_utf8_lossy(&sheet.buffer().whole()).into_owned()
    }

    #[test]
    fn typing_in_one_line_is_one_step() {
        let mut sheet = sheet();
        for text in ["G1 ", "G1 X", "G1 X1"] {
            assert!(sheet.type_line(1, text));
        }
        assert!(!sheet.type_line(1, "G1 X1"));
        sheet.rest();
        assert!(sheet.type_line(1, "G1 X12"));
        assert_eq!(whole(&sheet), "G0\nG1 X12\nM2\n");
        assert_eq!(sheet.undo(), Some(1));
        assert_eq!(whole(&sheet), "G0\nG1 X1\nM2\n");
        sheet.undo();
        assert_eq!(whole(&sheet), "G0\nG1\nM2\n");
        assert!(!sheet.is_edited() && sheet.undo().is_none());
        sheet.redo();
        sheet.redo();
        assert_eq!(whole(&sheet), "G0\nG1 X12\nM2\n");
        assert_eq!(sheet.redo(), None);
    }

    #[test]
    fn what_is_kept_while_its_file_holds_another_text_is_in_no_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("1.nc");
        let text = b"G0\nG1\nM2\n";
        let mut sheet =
            Sheet::new("1.nc".to_owned(), Some(file.clone()), Buffer::new(text.as_slice().into()));
        std::fs::write(&file, text).expect("written");
        sheet.keep_shown();
        assert!(!sheet.is_edited() && !sheet.differs(), "it was only touched");
        std::fs::write(&file, "M30\n").expect("written");
        sheet.keep_shown();
        assert!(sheet.is_edited() && sheet.differs());
        sheet.remove(0);
        sheet.undo();
        assert!(sheet.is_edited(), "as it was read, and in no file all the same");
        sheet.saved(sheet.state(), folder.path().join("1-edited.nc"));
        assert!(!sheet.is_edited() && sheet.differs());
        sheet.keep_shown();
        assert!(!sheet.is_edited(), "the copy still holds it");
    }

    #[test]
    fn what_is_saved_is_not_edited_until_it_changes() {
        let mut sheet = sheet();
        sheet.insert(1, &["(here)".to_owned()]);
        sheet.remove(0);
        assert!(sheet.is_edited());
        sheet.saved(sheet.state(), "1-edited.nc".into());
        assert!(!sheet.is_edited());
        sheet.undo();
        assert!(sheet.is_edited(), "the file holds another state");
        sheet.redo();
        assert!(!sheet.is_edited());
        assert_eq!(sheet.title(), "1-edited.nc");
        sheet.reload(Buffer::new(b"M30\n".as_slice().into()));
        assert!(!sheet.is_edited() && sheet.undo().is_none());
        assert_eq!(sheet.title(), "1.nc");
    }
}
