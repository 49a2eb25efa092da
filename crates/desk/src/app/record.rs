//! The record of the job, written into a folder beside the window.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Progress, Task};
use eframe::egui::{Context, Label, ProgressBar, Ui};

use super::App;
use super::act::Action;
use super::command::Command;
use super::dialog::{Dialog, Purpose, Question};
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
pub(super) fn ask(app: &mut App) {
    app.dialog = Some(match app.desk.whole_proof() {
        Some(_) => {
            let name = app.desk.job().name.as_deref();
            Dialog::path(Purpose::Record, &folder::suggested(&app.desk.origin().folder(), name))
        }
        None => Dialog::Trouble(not_checked()),
    });
}

fn not_checked() -> Trouble {
    Trouble::at("", "There is no result to record yet", "wait until the job has been checked")
}

/// Makes the record and writes it into this folder.
pub(super) fn write(app: &mut App, ctx: &Context, path: PathBuf, existing: Existing) {
    let Some(proof) = app.desk.whole_proof().cloned() else {
        app.dialog = Some(Dialog::Trouble(not_checked()));
        return;
    };
    let folder = Folder { path: path.clone(), reads: save::reads(app), existing };
    if let Err(blocked) = folder.look() {
        return apply(app, told(&path, blocked));
    }
    let cancel = Cancel::new();
    let progress = Arc::new(Mutex::new(Progress { doing: String::new(), done: 0.0 }));
    let (flag, shown, ctx) = (cancel.clone(), Arc::clone(&progress), ctx.clone());
    let source = app.desk.source().clone();
    // The record is told in the job's own unit, however the window tells it.
    let own = (proof.told.of() != proof.told.shown()).then(|| Options { told: None, ..*app.desk.options() });
    app.outbox.record(move || {
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
    app.dialog =
        Some(Dialog::Record(RecordDialog { folder: path, state: State::Making { cancel, progress } }));
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
pub(super) fn apply(app: &mut App, ask: Ask) {
    match ask {
        Ask::Written(files) => {
            if let Some(Dialog::Record(dialog)) = &mut app.dialog {
                dialog.state = State::Done(files);
            }
        }
        Ask::InTheWay(folder, words) => {
            let name = folder.display().to_string();
            app.dialog = Some(Dialog::Question(Question {
                title: "Replace the older record?".to_owned(),
                words: format!(
                    "In {name}: {words} Only files of a record are replaced, and each only by its like."
                ),
                answers: vec![
                    ("Replace the older record".to_owned(), Action::Replace(Purpose::Record, folder)),
                    ("Choose another folder".to_owned(), Action::Do(Command::Record)),
                ],
            }));
        }
        Ask::Failed(trouble) => app.dialog = Some(Dialog::Trouble(trouble)),
    }
}

impl RecordDialog {
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
