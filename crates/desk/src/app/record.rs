//! The record of the job, written into a folder beside the window.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Progress, Task};
use eframe::egui::{Label, ProgressBar, Ui};

use super::act::Action;
use super::command::Command;
use super::desk::Desk;
use super::dialog::{self, Dialog, Purpose, Question};
use super::outbox::Errand;
use super::program::Texts;
use super::room::{Effect, Effects, World};
use super::save;
use crate::files::{Blocked, Existing};
use crate::record::folder::{Contents, Folder, InTheWay};
use crate::record::{self, folder};
use crate::trouble::Trouble;

/// What has become of a record.
#[derive(Debug, Clone)]
pub enum Ask {
    /// It is there: its files.
    Written(Vec<PathBuf>),
    /// Something of an older record, or something else, is in the way.
    InTheWay(PathBuf, String),
    /// It could not be made.
    Failed(Trouble),
}

/// The record in the making, and where it lies.
#[derive(Debug)]
pub(super) struct RecordDialog {
    folder: PathBuf,
    state: State,
}

#[derive(Debug)]
enum State {
    Making { cancel: Cancel, progress: Arc<Mutex<Progress>> },
    Done(Vec<PathBuf>),
}

impl Drop for RecordDialog {
    fn drop(&mut self) {
        if let State::Making { cancel, .. } = &self.state {
            cancel.raise();
        }
    }
}

/// Asks for the folder.
pub(super) fn ask(desk: &Desk) -> Effects {
    vec![match desk.whole_proof() {
        Some(_) => {
            let folder = folder::suggested(&desk.origin().folder(), desk.job().name.as_deref());
            Effect::ask_path(Purpose::Record, &folder)
        }
        None => Effect::tell(not_checked()),
    }]
}

fn not_checked() -> Trouble {
    Trouble::at("", "There is no result to record yet", "wait until the job has been checked")
}

/// Makes the record and writes it into this folder.
pub(super) fn write(path: PathBuf, existing: Existing, world: World<'_>, programs: Texts<'_>) -> Effects {
    let desk = world.desk;
    let Some(proof) = desk.whole_proof().cloned() else { return vec![Effect::tell(not_checked())] };
    let folder = Folder { path: path.clone(), reads: save::reads(desk, programs), existing };
    if let Err(blocked) = folder.look() {
        return update(told(&path, blocked));
    }
    let cancel = Cancel::new();
    let progress = Arc::new(Mutex::new(Progress { doing: String::new(), done: 0.0 }));
    let (flag, shown, ctx) = (cancel.clone(), Arc::clone(&progress), world.ctx.clone());
    let source = desk.source().clone();
    // The record is told in the job's own unit, however the window tells it.
    let own = (proof.told.of() != proof.told.shown()).then(|| Options { told: None, ..*desk.options() });
    let errand = Errand::record(move || {
        let report = |now: Progress| {
            if let Ok(mut shown) = shown.lock() {
                *shown = now;
            }
            ctx.request_repaint();
        };
        let date = record::today();
        let contents = Contents { date: &date, walls: &[], every_body: false, pictures: true };
        let task = Task { cancel: &flag, report: &report };
        let proof = match own.map(|options| Prover::new().prove(&source, &options, task)) {
            None => proof,
            Some(Ok(proof)) => Arc::new(proof),
            Some(Err(ProveError::Cancelled)) => return None,
            Some(Err(ProveError::Unusable(why))) => {
                return Some(Ask::Failed(Trouble::at("", why, "correct the job")));
            }
        };
        let written = folder.write((&proof, &source), &contents, task);
        // Whoever stopped it has gone on to something else.
        (!flag.is_raised()).then(|| match written {
            Ok(files) => Ask::Written(files),
            Err(blocked) => told(&folder.path, blocked),
        })
    });
    // As it is told: from wherever the window was started.
    let path = std::path::absolute(&path).unwrap_or(path);
    let dialog = RecordDialog { folder: path, state: State::Making { cancel, progress } };
    vec![Effect::Run(errand), Effect::show(Dialog::Record(dialog))]
}

/// What stands in the way, in words.
fn told(folder: &Path, (file, blocked): InTheWay) -> Ask {
    match blocked {
        Blocked::There(kind) => {
            let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            Ask::InTheWay(folder.to_path_buf(), format!("{name} is already there: it is {}.", kind.words()))
        }
        blocked => Ask::Failed(blocked.trouble(&file, &save::WAYS)),
    }
}

/// Does what has become of it.
pub(super) fn update(ask: Ask) -> Effects {
    vec![match ask {
        Ask::Written(files) => Effect::OnTop(dialog::Message::Recorded(files)),
        Ask::InTheWay(folder, words) => {
            let name = folder.display().to_string();
            Effect::show(Dialog::Question(Question {
                title: "Replace the older record?".to_owned(),
                words: format!(
                    "In {name}: {words} Only files of a record are replaced, and each only by its like."
                ),
                answers: vec![
                    ("Replace the older record".to_owned(), Action::Replace(Purpose::Record, folder)),
                    ("Choose another folder".to_owned(), Action::Do(Command::Record)),
                ],
            }))
        }
        Ask::Failed(trouble) => Effect::tell(trouble),
    }]
}

impl RecordDialog {
    /// It is written: its files.
    pub(super) fn is_there(&mut self, files: Vec<PathBuf>) {
        self.state = State::Done(files);
    }

    pub(super) fn show(&self, ui: &mut Ui, actions: &mut Vec<Action>) {
        match &self.state {
            State::Making { progress, .. } => {
                let now = progress.lock().map(|progress| progress.clone()).ok();
                let (doing, done) = now.map_or((String::new(), 0.0), |now| (now.doing, now.done));
                let doing = if doing.is_empty() { "Making the record".to_owned() } else { doing };
                ui.label(format!("{doing}…"));
                ui.add(ProgressBar::new(done).show_percentage());
                if ui.button("Stop").on_hover_text("Nothing is written").clicked() {
                    actions.push(Action::Close);
                }
            }
            State::Done(files) => {
                ui.add(Label::new(format!("The record lies in {}", self.folder.display())).wrap());
                ui.label(format!(
                    "{} files. Print record.pdf, or record.html from a browser; the drawings at true scale (SVG) are \
                     printed at 100 %.",
                    files.len()
                ));
                if ui.button("Close").clicked() {
                    actions.push(Action::Close);
                }
            }
        }
    }
}
