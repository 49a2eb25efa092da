//! Saving under a name that was chosen. What may be written over says the rule in `files`; a file that is there is
//! asked for by name.

use std::path::{Path, PathBuf};

use blockwright_core::job::{self, Crib};

use super::App;
use super::act::{self, Action};
use super::command::Command;
use super::dialog::{Dialog, Purpose, Question};
use super::program;
use crate::files::{self, Blocked, Existing, Kind, Product, Reads, Ways};
use crate::open::{self, Origin};
use crate::record;

/// What to do about a name that is taken.
pub(super) const WAYS: Ways =
    Ways { other_name: "choose another name", replace: "say that it may be replaced" };

/// What a file saved for this is.
const fn product(purpose: Purpose) -> Product {
    match purpose {
        Purpose::SaveJob => Product::Job,
        Purpose::SaveCrib => Product::Crib,
        Purpose::SaveProgram => Product::Program,
        _ => Product::Picture,
    }
}

/// The command that asks for another name.
const fn command(purpose: Purpose) -> Command {
    match purpose {
        Purpose::SaveJob => Command::SaveJob,
        Purpose::SaveCrib => Command::SaveCrib,
        Purpose::SaveProgram => Command::SaveProgram,
        Purpose::Window => Command::PictureOfWindow,
        Purpose::Strip => Command::PictureOfStrip,
        Purpose::BuildUp => Command::PictureOfBuildUp,
        Purpose::Wall => Command::PictureOfWall,
        Purpose::Block => Command::PictureOfBlock,
        _ => Command::PictureOfPlan,
    }
}

/// All files that what is on the desk was read from.
pub(super) fn reads(app: &App) -> Reads {
    let source = app.desk.source();
    Reads::of_source(app.desk.origin(), &source.job, &source.beside).and(app.programs.files())
}

/// Those that this save must not write over: all but its own file.
pub(super) fn reads_but_own(app: &App, purpose: Purpose) -> Reads {
    let reads = reads(app);
    let Origin::Job(file) = app.desk.origin() else { return reads };
    match (purpose, &app.desk.job().crib) {
        (Purpose::SaveJob, _) => reads.but(file),
        (Purpose::SaveCrib, Some(crib)) => reads.but(&files::folder_of(file).join(&crib.file)),
        _ => reads,
    }
}

/// Whether this is the job's own file, which its save may replace without a question.
fn is_own(app: &App, purpose: Purpose, path: &Path) -> bool {
    purpose == Purpose::SaveJob && matches!(app.desk.origin(), Origin::Job(file) if files::same(file, path))
}

/// Saves, or asks by name before something is replaced.
pub(super) fn save(
    app: &mut App,
    ctx: &eframe::egui::Context,
    (purpose, path): (Purpose, PathBuf),
    existing: Existing,
) {
    let own = is_own(app, purpose, &path);
    if own && existing == Existing::Keep && app.desk.look_elsewhere() {
        return elsewhere(app, path, false);
    }
    let existing = if own { Existing::Asked } else { existing };
    let reads = reads_but_own(app, purpose);
    let homes = Reads::files(app.programs.files());
    if let Err(blocked) = files::may_write(&path, &reads, product(purpose), existing) {
        return told(app, purpose, path, blocked);
    }
    match purpose {
        Purpose::SaveProgram => program::write(app, path, reads, existing),
        Purpose::SaveJob => match record::save_job(app.desk.source(), &path, (&reads, &homes), existing) {
            Ok(()) => {
                app.desk.saved_as(path.clone());
                app.desk.note_saved(&path);
                app.programs.homed(app.desk.origin(), app.desk.on_disk().bytes());
                app.dialog = None;
            }
            Err(blocked) => told(app, purpose, path, blocked),
        },
        Purpose::SaveCrib => {
            let crib = crib(app);
            let text = job::write_crib(&crib);
            match files::save(&path, text.as_bytes(), &reads, Product::Crib, existing) {
                Ok(()) => {
                    app.desk.note_saved(&path);
                    app.dialog = None;
                }
                Err(blocked) => told(app, purpose, path, blocked),
            }
        }
        Purpose::Window => {
            app.dialog = None;
            app.outbox.picture_of_window(ctx, path, reads, existing);
        }
        _ => act::picture(app, ctx, (purpose, path), (reads, existing)),
    }
}

/// Says what stands in the way, or asks for it.
fn told(app: &mut App, purpose: Purpose, path: PathBuf, blocked: Blocked) {
    app.dialog = Some(match blocked {
        Blocked::There(kind) => Dialog::Question(question(purpose, path, kind)),
        blocked => Dialog::Trouble(blocked.trouble(&path, &WAYS)),
    });
}

/// Another window or program has written the job's file since it was read.
pub(super) fn elsewhere(app: &mut App, path: PathBuf, compare: bool) {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let mut words = format!("{name} was changed by another window or program since it was read here.");
    if compare {
        let there = open::paths(std::slice::from_ref(&path), None);
        words = match there {
            Ok(there) => {
                let found = job::differences(app.desk.job(), &there.source.job);
                let lines = if found.is_empty() { "nothing differs".to_owned() } else { found.join("\n") };
                format!("{words}\n{lines}")
            }
            Err(trouble) => format!("{words}\n{trouble}"),
        };
    }
    let mut answers = vec![
        ("Replace it with mine".to_owned(), Action::Replace(Purpose::SaveJob, path.clone())),
        ("Choose another name".to_owned(), Action::Do(Command::SaveJob)),
        (format!("Open {name} as it is now"), Action::OpenPaths(vec![path.clone()])),
    ];
    if !compare {
        answers.push(("Compare".to_owned(), Action::CompareJob(path)));
    }
    app.dialog = Some(Dialog::Question(Question { title: format!("{name} was changed"), words, answers }));
}

fn question(purpose: Purpose, path: PathBuf, there: Kind) -> Question {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let others = match (purpose, there) {
        (Purpose::SaveCrib, Kind::Crib) => " Other jobs may use the tools in it.",
        _ => "",
    };
    Question {
        title: format!("Replace {name}?"),
        words: format!(
            "{name} is already there: it is {}.{others} Once it is replaced, what is in it is gone.",
            there.words()
        ),
        answers: vec![
            (format!("Replace {name}"), Action::Replace(purpose, path)),
            ("Choose another name".to_owned(), Action::Do(command(purpose))),
        ],
    }
}

/// The job's tools and materials as a crib.
fn crib(app: &App) -> Crib {
    let job = app.desk.job();
    Crib {
        units: job.units,
        tools: job.all_tools().cloned().collect(),
        materials: job.all_materials().cloned().collect(),
    }
}
