//! Saving under a name that was chosen. What may be written over says the rule in `files`; a file that is there is
//! asked for by name.

use std::path::{Path, PathBuf};

use blockwright_core::job::{self, Crib, Job};

use super::act::Action;
use super::command::Command;
use super::copy;
use super::desk::{self, Desk};
use super::dialog::{Dialog, Purpose, Question};
use super::program::{self, Texts};
use super::room::{Effect, Effects, World};
use crate::files::{self, Blocked, Existing, Kind, Product, Reads, Ways};
use crate::open::{self, Origin};
use crate::record;

/// What to do about a name that is taken.
pub(super) const WAYS: Ways =
    Ways { other_name: "choose another name", replace: "say that it may be replaced" };

/// What is saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Saved {
    Job,
    Program,
    Crib,
    Window,
    Picture,
}

impl Saved {
    const fn product(self) -> Product {
        match self {
            Self::Job => Product::Job,
            Self::Program => Product::Program,
            Self::Crib => Product::Crib,
            Self::Window | Self::Picture => Product::Picture,
        }
    }
}

/// What a path of this purpose saves, and the command that asks for another name; `None` where it is read, or has a way
/// of its own.
const fn saved(purpose: Purpose) -> Option<(Saved, Command)> {
    Some(match purpose {
        Purpose::SaveJob => (Saved::Job, Command::SaveJob),
        Purpose::SaveCrib => (Saved::Crib, Command::SaveCrib),
        Purpose::SaveProgram => (Saved::Program, Command::SaveProgram),
        Purpose::Window => (Saved::Window, Command::PictureOfWindow),
        Purpose::Plan => (Saved::Picture, Command::PictureOfPlan),
        Purpose::Strip => (Saved::Picture, Command::PictureOfStrip),
        Purpose::BuildUp => (Saved::Picture, Command::PictureOfBuildUp),
        Purpose::Wall => (Saved::Picture, Command::PictureOfWall),
        Purpose::Block => (Saved::Picture, Command::PictureOfBlock),
        Purpose::Open
        | Purpose::AddPass
        | Purpose::Crib
        | Purpose::Compare
        | Purpose::BringIn
        | Purpose::Under
        | Purpose::Record => return None,
    })
}

/// All files that what is on the desk was read from.
pub(super) fn reads(desk: &Desk, programs: Texts<'_>) -> Reads {
    let source = desk.source();
    Reads::of_source(desk.origin(), &source.job, &source.beside).and(programs.files())
}

/// Those that this save must not write over: all but its own file.
fn reads_but_own(desk: &Desk, programs: Texts<'_>, what: Saved) -> Reads {
    let reads = reads(desk, programs);
    let Origin::Job(file) = desk.origin() else { return reads };
    match (what, &desk.job().crib) {
        (Saved::Job, _) => reads.but(file),
        (Saved::Crib, Some(crib)) => reads.but(&files::folder_of(file).join(&crib.file)),
        (Saved::Crib, None) | (Saved::Program | Saved::Window | Saved::Picture, _) => reads,
    }
}

/// Whether this is the job's own file, which its save may replace without a question.
pub(super) fn is_own(desk: &Desk, purpose: Purpose, path: &Path) -> bool {
    purpose == Purpose::SaveJob && matches!(desk.origin(), Origin::Job(file) if files::same(file, path))
}

/// Saves, or asks by name before something is replaced.
pub(super) fn save(
    (purpose, path): (Purpose, PathBuf),
    existing: Existing,
    world: World<'_>,
    programs: Texts<'_>,
) -> Effects {
    let desk = world.desk;
    let Some((what, _)) = saved(purpose) else { return Vec::new() };
    let own = is_own(desk, purpose, &path);
    if own && existing == Existing::Keep && desk.on_disk().is_elsewhere() {
        return elsewhere(desk, path, false);
    }
    let existing = if own { Existing::Asked } else { existing };
    let reads = reads_but_own(desk, programs, what);
    if let Err(blocked) = files::may_write(&path, &reads, what.product(), existing) {
        return told(purpose, path, blocked);
    }
    match what {
        Saved::Program => vec![Effect::Programs(program::Message::Write(path, reads, existing))],
        Saved::Job => {
            let homes = Reads::files(programs.files());
            let done = record::save_job(desk.source(), &path, (&reads, &homes), existing);
            let there = |path: PathBuf| {
                vec![
                    Effect::Desk(desk::Message::SavedAs(path.clone())),
                    Effect::Desk(desk::Message::NoteSaved(path)),
                    Effect::Programs(program::Message::Homed),
                    Effect::close(),
                ]
            };
            after(done, purpose, path, there)
        }
        Saved::Crib => {
            let text = job::write_crib(&crib(desk.job()));
            let done = files::save(&path, text.as_bytes(), &reads, Product::Crib, existing);
            let there = |path: PathBuf| vec![Effect::Desk(desk::Message::NoteSaved(path)), Effect::close()];
            after(done, purpose, path, there)
        }
        Saved::Window => vec![Effect::close(), Effect::PictureOfWindow(path, reads, existing)],
        Saved::Picture => copy::picture_file((purpose, path), (reads, existing), world),
    }
}

/// What follows on a file that was written, or was not.
fn after(
    done: Result<(), Blocked>,
    purpose: Purpose,
    path: PathBuf,
    there: impl FnOnce(PathBuf) -> Effects,
) -> Effects {
    match done {
        Ok(()) => there(path),
        Err(blocked) => told(purpose, path, blocked),
    }
}

/// Says what stands in the way, or asks for it.
fn told(purpose: Purpose, path: PathBuf, blocked: Blocked) -> Effects {
    vec![match blocked {
        Blocked::There(kind) => Effect::show(Dialog::Question(question(purpose, path, kind))),
        blocked => Effect::tell(blocked.trouble(&path, &WAYS)),
    }]
}

/// Another window or application has written the job's file since it was read.
pub(super) fn elsewhere(desk: &Desk, path: PathBuf, compare: bool) -> Effects {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let mut words = format!("{name} was changed by another window or application since it was read here.");
    if compare {
        let there = open::paths(std::slice::from_ref(&path), None);
        words = match there {
            Ok(there) => {
                let found = job::differences(desk.job(), &there.source.job);
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
    let title = format!("{name} was changed");
    vec![Effect::show(Dialog::Question(Question { title, words, answers }))]
}

fn question(purpose: Purpose, path: PathBuf, there: Kind) -> Question {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let shared = purpose == Purpose::SaveCrib && there == Kind::Crib;
    let others = if shared { " Other jobs may use the tools in it." } else { "" };
    let other_name =
        saved(purpose).map(|(_, command)| ("Choose another name".to_owned(), Action::Do(command)));
    let replace = (format!("Replace {name}"), Action::Replace(purpose, path));
    Question {
        title: format!("Replace {name}?"),
        words: format!(
            "{name} is already there: it is {}.{others} Once it is replaced, what is in it is gone.",
            there.words()
        ),
        answers: std::iter::once(replace).chain(other_name).collect(),
    }
}

/// The job's tools and materials as a crib.
fn crib(job: &Job) -> Crib {
    Crib {
        units: job.units,
        tools: job.all_tools().cloned().collect(),
        materials: job.all_materials().cloned().collect(),
    }
}

/// Asks where the job is to be saved.
pub(super) fn ask_job(desk: &Desk) -> Effects {
    let name = desk.job().name.as_deref().unwrap_or("job");
    let path = match desk.origin() {
        Origin::Job(file) => file.clone(),
        Origin::Demo | Origin::Programs(_) => {
            desk.origin().folder().join(format!("{}.json", files::slug(name)))
        }
    };
    vec![Effect::ask_path(Purpose::SaveJob, &path)]
}
