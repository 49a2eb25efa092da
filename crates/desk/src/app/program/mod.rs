//! The programs of the passes: shown by line, edited in place, searched, and watched for being posted again.

mod act;
mod buffer;
mod find;
mod margin;
#[cfg(test)]
mod messages;
mod pane;
mod row;
mod scroll;
mod sheet;
mod snapshot;
mod texts;
mod typing;
mod watch;

use std::path::PathBuf;
use std::sync::Arc;

use sheet::Sheet;
pub(super) use snapshot::Snapshot;
pub(super) use texts::Texts;
pub(super) use watch::Watch;
pub use watch::{Notice, Stamp};

use eframe::egui::Ui;

use super::act::Action;
use super::desk::Desk;
use super::look::Look;
use crate::files::{self, Existing, Reads};
use crate::open::Origin;
use crate::worker::Wake;
use buffer::Buffer;
use pane::Pane;

/// How long after the last key typed text is proven, seconds.
const PAUSE: f64 = 0.25;

/// What the pane asks for.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Edit this line, from 1, in place.
    Edit(u32),
    /// The text of the line being edited, so far.
    Type(String),
    /// Leave the line being edited.
    Leave,
    /// Look for this.
    Find(String),
    /// Close the row in which one looks for things.
    CloseFind,
    /// Read the file that was posted again.
    Reload,
    /// Keep what is shown, although the file was posted again.
    Keep,
    /// Replace this file by the edited program.
    Replace(PathBuf),
    /// Let every pass that runs the program run this file from now on.
    Adopt(Key, String),
}

/// What comes back from work done beside the window.
#[derive(Debug, Clone)]
pub enum Answer {
    /// The whole text of an edited program in this state.
    Text(Key, u64, Arc<[u8]>),
    /// A program read again, which was in this state when that was asked for.
    Read(Key, u64, Arc<[u8]>),
    /// A program in this state has been written to this file.
    Saved(Key, u64, PathBuf),
}

/// Something that happens to the programs.
#[derive(Debug)]
pub(super) enum Message {
    /// What the pane asks for.
    Ask(Ask),
    /// Work done beside the window.
    Answered(Answer),
    /// Something else is on the desk.
    Open,
    /// The passes stand otherwise.
    Arrange,
    /// A pass has been added that runs this file, with this text.
    Add(String, PathBuf, Arc<[u8]>),
    /// The job has a file now.
    Homed,
    /// These texts were in no file when Blockwright ended, pass by pass.
    Restore(Vec<Option<Arc<[u8]>>>),
    /// Something has become of a file.
    Noticed(PathBuf, Notice),
    /// Edit the selected line where it stands.
    EditHere,
    /// Insert a line after it.
    InsertLine,
    /// Delete it.
    DeleteLine,
    /// Take back the last edit.
    Undo,
    /// Do it again.
    Redo,
    /// Select the line so many further on.
    ByLine(i64),
    /// Open the row for finding.
    AskFind,
    /// Go to the line found next, or to the one before.
    FindStep(bool),
    /// Read the file again.
    Reload,
    /// Ask for the name of a copy.
    AskSave,
    /// Save under this name; one that is there is replaced only after a question.
    Save(PathBuf),
    /// Write it.
    Write(PathBuf, Reads, Existing),
    /// A frame begins.
    Tick,
}

/// Which program is meant: programs are opened again and again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    opened: u64,
    sheet: usize,
}

/// The programs on the desk.
#[derive(Debug)]
pub(super) struct Programs {
    sheets: Vec<Sheet>,
    /// Which sheet each pass runs.
    of_pass: Vec<usize>,
    /// Which sheet each pass ran that was opened, by its slot.
    of_slot: Vec<usize>,
    opened: u64,
    pane: Pane,
    watch: Watch,
    /// When the sheet's text is to be proven.
    due: Option<(usize, f64)>,
    /// The job's file and its length, watched as well.
    job: Option<(PathBuf, u64)>,
}

impl Programs {
    pub(super) fn new(watch: Watch) -> Self {
        Self {
            sheets: Vec::new(),
            of_pass: Vec::new(),
            of_slot: Vec::new(),
            opened: 0,
            pane: Pane::default(),
            watch,
            due: None,
            job: None,
        }
    }

    /// Takes the programs of what was opened.
    fn open(&mut self, desk: &Desk) {
        let (source, origin) = (desk.source(), desk.origin());
        self.job = job_file(desk);
        self.opened += 1;
        self.pane = Pane::default();
        self.due = None;
        self.sheets.clear();
        self.of_slot.clear();
        for (index, (pass, text)) in source.job.passes.iter().zip(&source.programs).enumerate() {
            let file = match origin {
                Origin::Demo => None,
                Origin::Job(job) => Some(files::folder_of(job).join(&pass.program)),
                Origin::Programs(files) => files.get(index).cloned(),
            };
            // Passes that run one file share one text.
            let same = |sheet: &Sheet| sheet.name == pass.program && sheet.file == file;
            let sheet = self.sheets.iter().position(same).unwrap_or_else(|| {
                let buffer = Buffer::new(Arc::clone(text));
                self.sheets.push(Sheet::new(pass.program.clone(), file.clone(), buffer));
                self.sheets.len() - 1
            });
            self.of_slot.push(sheet);
        }
        self.of_pass.clone_from(&self.of_slot);
        self.watch_all();
    }

    /// The passes are those of these slots now, in this order.
    fn arrange(&mut self, order: &[usize]) {
        self.of_pass = order.iter().filter_map(|slot| self.of_slot.get(*slot).copied()).collect();
    }

    fn watch_all(&self) {
        let files = self.sheets.iter().filter_map(|sheet| Some((sheet.file.clone()?, sheet.read().length)));
        self.watch.only(files.chain(self.job.clone()).collect());
    }

    /// The program that a pass runs.
    fn sheet(&self, pass: usize) -> Option<&Sheet> {
        self.sheets.get(*self.of_pass.get(pass)?)
    }

    /// Which program a pass runs.
    fn key(&self, pass: usize) -> Option<Key> {
        Some(Key { opened: self.opened, sheet: *self.of_pass.get(pass)? })
    }

    /// The program of a pass as it is now.
    fn snapshot(&self, pass: usize) -> Option<Snapshot> {
        Some(Snapshot::of(self.key(pass)?, self.sheet(pass)?))
    }

    /// The programs that other passes run: the first pass of each, and what it is called.
    fn others(&self, pass: usize) -> Vec<(usize, String)> {
        let own = self.of_pass.get(pass);
        let first = |(index, sheet): (usize, &Sheet)| {
            let pass = self.of_pass.iter().position(|of_pass| *of_pass == index)?;
            (Some(&index) != own).then(|| (pass, sheet.title()))
        };
        self.sheets.iter().enumerate().filter_map(first).collect()
    }

    fn by_key(&mut self, key: Key) -> Option<&mut Sheet> {
        if key.opened == self.opened { self.sheets.get_mut(key.sheet) } else { None }
    }

    fn slots_of(&self, sheet: usize) -> Vec<usize> {
        (0..self.of_slot.len()).filter(|slot| self.of_slot[*slot] == sheet).collect()
    }

    /// What the other rooms may read of the programs.
    pub(super) const fn texts(&self) -> Texts<'_> {
        Texts::of(self)
    }

    /// Names of the programs with edits that are in no file.
    pub(super) fn unsaved(&self) -> Vec<&str> {
        let unsaved = self.sheets.iter().filter(|sheet| sheet.is_edited() || sheet.gone);
        unsaved.map(|sheet| sheet.name.as_str()).collect()
    }

    /// The job has a file now: programs that were built in or opened without a job are beside it.
    fn homed(&mut self, desk: &Desk) {
        self.job = job_file(desk);
        let Origin::Job(job) = desk.origin() else { return };
        let folder = files::folder_of(job);
        for sheet in &mut self.sheets {
            let file = folder.join(&sheet.name);
            if sheet.file.as_ref().is_some_and(|old| files::same(old, &file)) {
                continue;
            }
            // The job took the edits with it, unless the last of them came too late.
            let text = sheet.text();
            if !sheet.is_edited() {
                sheet.file = Some(file);
            } else if files::read(&file, files::PROGRAM_LIMIT).is_ok_and(|there| there[..] == text[..]) {
                sheet.file = Some(file);
                sheet.reload(Buffer::new(text));
            }
        }
        self.watch_all();
    }

    /// The files that programs were read from.
    fn files(&self) -> impl Iterator<Item = PathBuf> {
        self.sheets.iter().filter_map(|sheet| sheet.file.clone())
    }

    /// Something has become of a file.
    fn noticed(&mut self, file: &std::path::Path, notice: Notice) {
        for sheet in self.sheets.iter_mut().filter(|sheet| sheet.file.as_deref() == Some(file)) {
            sheet.gone = notice == Notice::Gone;
            if let Notice::Posted(stamp) = notice {
                sheet.posted_again = Some(stamp);
            }
        }
    }

    /// The states of the texts that are in no file.
    fn states(&self) -> Vec<(usize, u64)> {
        let unsaved = self.sheets.iter().enumerate().filter(|(_, sheet)| sheet.is_edited() || sheet.gone);
        unsaved.map(|(index, sheet)| (index, sheet.state())).collect()
    }

    /// The program of a pass had this text, which is in no file, when Blockwright ended.
    fn restore(&mut self, pass: usize, text: &Arc<[u8]>) {
        let sheet = self.of_pass.get(pass).and_then(|sheet| self.sheets.get_mut(*sheet));
        if let Some(sheet) = sheet {
            sheet.restore(Buffer::new(Arc::clone(text)));
        }
    }

    /// The slots that run the program of a pass.
    fn slots_with(&self, pass: usize) -> Vec<usize> {
        self.of_pass.get(pass).map(|sheet| self.slots_of(*sheet)).unwrap_or_default()
    }

    /// A pass has been added that runs this file.
    fn add(&mut self, name: &str, file: PathBuf, text: &Arc<[u8]>) {
        let sheet = self.sheets.iter().position(|sheet| sheet.name == name).unwrap_or_else(|| {
            self.sheets.push(Sheet::new(name.to_owned(), Some(file), Buffer::new(Arc::clone(text))));
            self.sheets.len() - 1
        });
        self.of_slot.push(sheet);
        self.watch_all();
    }

    /// Lines that the search has found so far.
    pub(super) fn found(&self) -> &[u32] {
        self.pane.finder.as_ref().map(find::Finder::found).unwrap_or_default()
    }

    /// Draws the pane.
    pub(super) fn show(&mut self, ui: &mut Ui, of: (&Desk, &Look), wake: &Wake, actions: &mut Vec<Action>) {
        self.pane.show(ui, (&self.sheets, &self.of_pass), of, wake, actions);
    }

    /// The text of the program of a pass.
    pub(super) fn text(&self, pass: usize) -> Option<Arc<[u8]>> {
        self.sheet(pass).map(Sheet::text)
    }
}

fn job_file(desk: &Desk) -> Option<(PathBuf, u64)> {
    let Origin::Job(file) = desk.origin() else { return None };
    Some((file.clone(), desk.on_disk().bytes()?))
}

/// The file name an edited program is offered: beside its own, never its own.
fn beside(file: &std::path::Path) -> PathBuf {
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let ending = file.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    let edited = |count: u32| {
        let number = if count > 1 { format!("-{count}") } else { String::new() };
        file.with_file_name(format!("{stem}-edited{number}{ending}"))
    };
    (1..1000).map(edited).find(|path| !path.exists()).unwrap_or_else(|| edited(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edited_program_is_offered_a_name_that_is_free() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("1001.nc");
        let first = beside(&file);
        assert_eq!(first, folder.path().join("1001-edited.nc"));
        std::fs::write(&first, "").expect("written");
        assert_eq!(beside(&file), folder.path().join("1001-edited-2.nc"));
        assert_eq!(beside(&folder.path().join("O1001")), folder.path().join("O1001-edited"));
    }
}
