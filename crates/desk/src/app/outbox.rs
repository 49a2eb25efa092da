//! What is done away from the window's thread and answers later: the system's dialogs and pictures of the window.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use blockwright_core::pixels::{self, Pixels};
use eframe::egui::{Color32, ColorImage, Context};

use super::act::Action;
use super::dialog::Purpose;
use super::draw::Ask;
use super::program::{Answer, Watch};
use super::{record, save, tools};
use crate::background;
use crate::beside;
use crate::files::{self, Existing, Product, Reads};
use crate::open::{self, Bare};
use crate::rewrite;
use crate::trouble::Trouble;
use crate::worker::Wake;

/// Work to be done beside the window, and what is to be done with what comes of it.
pub(super) struct Errand {
    name: &'static str,
    work: Box<dyn FnOnce() -> Option<Action> + Send>,
}

impl std::fmt::Debug for Errand {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Errand").field("name", &self.name).finish_non_exhaustive()
    }
}

impl Errand {
    fn new(name: &'static str, work: impl FnOnce() -> Option<Action> + Send + 'static) -> Self {
        Self { name, work: Box::new(work) }
    }

    /// Opens files. Reading a long program from a slow drive takes longer than a frame.
    pub(super) fn open(paths: Vec<PathBuf>) -> Self {
        Self::new("open", move || {
            Some(match open::at_once(&paths, None) {
                Ok(opened) => Action::Opened(Box::new(opened)),
                Err(trouble) => Action::Tell(trouble),
            })
        })
    }

    /// Reads the program of a pass that is to be added.
    pub(super) fn read_pass(path: PathBuf) -> Self {
        Self::new("pass", move || {
            Some(match rewrite::program_text(&path) {
                Ok(text) => Action::AddPass(path, text.into()),
                Err(trouble) => Action::Tell(trouble),
            })
        })
    }

    /// Reads a crib.
    pub(super) fn read_crib(path: PathBuf) -> Self {
        Self::new("crib", move || {
            Some(match beside::crib(&path) {
                Ok(crib) => Action::OfTools(tools::Ask::Choose(Box::new(crib), path)),
                Err(trouble) => Action::Tell(trouble),
            })
        })
    }

    /// Asks programs without a job what they say of themselves.
    pub(super) fn suggest(read: impl FnOnce() -> Result<Bare, Trouble> + Send + 'static) -> Self {
        Self::new("suggest", move || {
            Some(match read() {
                Ok(bare) => Action::Suggested(Box::new(bare)),
                Err(trouble) => Action::Tell(trouble),
            })
        })
    }

    /// Does something for a program.
    pub(super) fn answer(
        name: &'static str,
        work: impl FnOnce() -> Result<Answer, Trouble> + Send + 'static,
    ) -> Self {
        Self::new(name, move || Some(work().map_or_else(Action::Tell, Action::Answered)))
    }

    /// Does something for a path that is drawn or brought in.
    pub(super) fn draw(
        name: &'static str,
        work: impl FnOnce() -> Result<Ask, Trouble> + Send + 'static,
    ) -> Self {
        Self::new(name, move || Some(work().map_or_else(Action::Tell, Action::Draw)))
    }

    /// Writes something into this file.
    pub(super) fn write(
        name: &'static str,
        path: PathBuf,
        work: impl FnOnce(&Path) -> Result<(), Trouble> + Send + 'static,
    ) -> Self {
        Self::new(name, move || {
            Some(match work(&path) {
                Ok(()) => Action::Saved(path),
                Err(trouble) => Action::Tell(trouble),
            })
        })
    }

    /// Makes a picture for the clipboard.
    pub(super) fn copy(work: impl FnOnce() -> Result<Action, Trouble> + Send + 'static) -> Self {
        Self::new("copy", move || Some(work().unwrap_or_else(Action::Tell)))
    }

    /// Makes a record and writes it; says nothing where it was stopped.
    pub(super) fn record(work: impl FnOnce() -> Option<record::Ask> + Send + 'static) -> Self {
        Self::new("record", move || work().map(Action::OfRecord))
    }

    /// Asks for a path in the system's own dialog. Where there is none, the path field has to do.
    pub(super) fn browse(purpose: Purpose, folder: &Path) -> Self {
        let folder = folder.to_path_buf();
        Self::new("dialog", move || {
            let dialog = rfd::FileDialog::new().set_title(purpose.title()).set_directory(folder);
            let chosen = match purpose {
                Purpose::Open
                | Purpose::AddPass
                | Purpose::Compare
                | Purpose::BringIn
                | Purpose::Under
                | Purpose::Crib => dialog.pick_file(),
                Purpose::SaveProgram => dialog.save_file(),
                Purpose::Record => dialog.pick_folder(),
                Purpose::SaveJob | Purpose::SaveCrib => {
                    dialog.add_filter("Job or crib", &["json"]).save_file()
                }
                Purpose::Window
                | Purpose::Plan
                | Purpose::Strip
                | Purpose::BuildUp
                | Purpose::Wall
                | Purpose::Block => dialog.add_filter("Picture", &["png"]).save_file(),
            };
            chosen.map(Action::Chosen)
        })
    }
}

/// Sends work out and takes its answers in.
pub(super) struct Outbox {
    answers: Receiver<Action>,
    answer: Sender<Action>,
    wake: Wake,
}

impl std::fmt::Debug for Outbox {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Outbox").finish_non_exhaustive()
    }
}

impl Outbox {
    pub(super) fn new(wake: Wake) -> Self {
        let (answer, answers) = channel();
        Self { answers, answer, wake }
    }

    /// The answers that have come in.
    pub(super) fn take(&self) -> Vec<Action> {
        self.answers.try_iter().collect()
    }

    /// Has it done.
    pub(super) fn run(&self, errand: Errand) {
        self.other_end().spawn(errand.name, errand.work);
    }

    /// Looks for programs being posted again.
    pub(super) fn watch(&self) -> Watch {
        Watch::start(self.answer.clone(), self.wake.clone())
    }

    /// Writes what the window shows next as a PNG file.
    pub(super) fn picture_of_window(&self, ctx: &Context, path: PathBuf, reads: Reads, existing: Existing) {
        let outbox = self.other_end();
        ctx.request_screenshot(move |image| {
            // Compressing a large window takes longer than a frame.
            outbox.spawn("picture", move || {
                let png = pixels::png(&pixels(&image)).map_err(Trouble::own);
                let written = png.and_then(|png| {
                    files::save(&path, &png, &reads, Product::Picture, existing)
                        .map_err(|blocked| blocked.trouble(&path, &save::WAYS))
                });
                Some(written.map_or_else(Action::Tell, |()| Action::Saved(path)))
            });
        });
        ctx.request_repaint();
    }

    fn other_end(&self) -> Sending {
        Sending { answer: self.answer.clone(), wake: Arc::clone(&self.wake) }
    }
}

/// The way by which answers come in.
struct Sending {
    answer: Sender<Action>,
    wake: Wake,
}

impl Sending {
    fn spawn(&self, name: &str, work: impl FnOnce() -> Option<Action> + Send + 'static) {
        let (answer, wake) = (self.answer.clone(), Arc::clone(&self.wake));
        let done = move |done: Result<Option<Action>, Trouble>| {
            if let Some(action) = done.unwrap_or_else(|trouble| Some(Action::Tell(trouble))) {
                // A window that has gone needs no answer.
                let _ = answer.send(action);
                wake();
            }
        };
        if background::start(name, "what was asked for", work, done).is_none() {
            let _ = self.answer.send(Action::Tell(background::not_started("what was asked for")));
        }
    }
}

fn pixels(image: &ColorImage) -> Pixels {
    let [width, height] = image.size;
    Pixels { width, height, rgba: image.pixels.iter().flat_map(Color32::to_srgba_unmultiplied).collect() }
}
