//! The tools of the job: edited, and shared with other jobs by a crib.

mod bring;
mod editor;
mod form;

use std::path::{Path, PathBuf};

use blockwright_core::job::{self, Crib};
use blockwright_core::tool::Tool;

pub(super) use bring::BringDialog;
pub(super) use editor::ToolsDialog;

use super::App;
use super::command::Command;
use super::dialog::{Dialog, Purpose, Question};
use crate::files::{self, Existing};
use crate::open::Origin;

/// What is asked of the tools.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Choose which tools of this crib come into the job.
    Choose(Box<Crib>, PathBuf),
    /// Write the job's tools into this crib file, which may be there already.
    Save(PathBuf, bool),
}

/// Does it.
pub(super) fn apply(app: &mut App, ask: Ask) {
    match ask {
        Ask::Choose(crib, path) => {
            let beside = beside(app, &path);
            app.dialog =
                Some(Dialog::Bring(Box::new(BringDialog::new(&crib, &path, beside, app.desk.job()))));
        }
        Ask::Save(path, replace) => save(app, path, replace),
    }
}

/// Does one of the commands.
pub(super) fn run(app: &mut App, command: Command) {
    let folder = app.desk.origin().folder();
    app.dialog = Some(match command {
        Command::ToolsFromCrib => Dialog::path(Purpose::Crib, &folder.join("crib.json")),
        Command::SaveCrib => Dialog::path(Purpose::SaveCrib, &folder.join("crib.json")),
        _ => Dialog::Tools(Box::new(ToolsDialog::new(app.desk.job().clone()))),
    });
}

/// The crib's name in the job, when it lies beside the job file.
fn beside(app: &App, path: &Path) -> Option<String> {
    let Origin::Job(job) = app.desk.origin() else { return None };
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    let own = real(&files::folder_of(job)).is_some_and(|own| real(&files::folder_of(path)) == Some(own));
    path.file_name().filter(|_| own).map(|name| name.to_string_lossy().into_owned())
}

fn save(app: &mut App, path: PathBuf, replace: bool) {
    let job = app.desk.job();
    let crib = Crib {
        units: job.units,
        tools: job.all_tools().cloned().collect(),
        materials: job.all_materials().cloned().collect(),
    };
    if path.exists() && !replace {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        app.dialog = Some(Dialog::Question(Question {
            title: "Replace the crib?".to_owned(),
            words: format!("{name} is already there. Other jobs may use the tools in it; they will be gone."),
            answers: vec![
                (format!("Replace {name}"), super::Action::OfTools(Ask::Save(path, true))),
                ("Choose another name".to_owned(), super::Action::Do(Command::SaveCrib)),
            ],
        }));
        return;
    }
    let written = files::write(&path, job::write_crib(&crib).as_bytes(), Existing::Replace);
    app.dialog = written.err().map(Dialog::Trouble);
}

/// A tool as it is named in lists.
fn title(tool: &Tool) -> String {
    format!("{}  {}", tool.number, tool.title())
}
