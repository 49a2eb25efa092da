//! The tools of the job: edited, and shared with other jobs by a crib.

mod bring;
mod editor;
mod form;

use std::path::{Path, PathBuf};

use blockwright_core::job::Crib;
use blockwright_core::tool::Tool;

pub(super) use bring::BringDialog;
pub(super) use editor::ToolsDialog;
pub(super) use form::{KINDS, usual_form};

use super::App;
use super::dialog::{Dialog, Purpose};
use crate::files;
use crate::open::Origin;

/// What is asked of the tools.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Choose which tools of this crib come into the job.
    Choose(Box<Crib>, PathBuf),
}

/// Does it.
pub(super) fn apply(app: &mut App, ask: Ask) {
    match ask {
        Ask::Choose(crib, path) => {
            let beside = beside(app, &path);
            app.dialog =
                Some(Dialog::Bring(Box::new(BringDialog::new(&crib, &path, beside, app.desk.job()))));
        }
    }
}

/// Opens the table of tools.
pub(super) fn open(app: &mut App) {
    app.dialog = Some(Dialog::Tools(Box::new(ToolsDialog::new(app.desk.job().clone()))));
}

/// Asks which crib is to be read or written.
pub(super) fn ask_crib(app: &mut App, purpose: Purpose) {
    let folder = app.desk.origin().folder();
    app.dialog = Some(Dialog::path(purpose, &folder.join("crib.json")));
}

/// The crib's name in the job, when it lies beside the job file.
fn beside(app: &App, path: &Path) -> Option<String> {
    let Origin::Job(job) = app.desk.origin() else { return None };
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    let own = real(&files::folder_of(job)).is_some_and(|own| real(&files::folder_of(path)) == Some(own));
    path.file_name().filter(|_| own).map(|name| name.to_string_lossy().into_owned())
}

/// A tool as it is named in lists.
fn title(tool: &Tool) -> String {
    format!("{}  {}", tool.number, tool.title())
}
