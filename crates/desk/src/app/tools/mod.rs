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

use super::desk::Desk;
use super::dialog::{Dialog, Purpose};
use super::room::{Effect, Effects, World};
use crate::files;
use crate::open::Origin;

/// What is asked of the tools.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Choose which tools of this crib come into the job.
    Choose(Box<Crib>, PathBuf),
}

/// Does it.
pub(super) fn update(ask: Ask, world: World<'_>) -> Effects {
    match ask {
        Ask::Choose(crib, path) => {
            let beside = beside(world.desk, &path);
            let dialog = BringDialog::new(&crib, &path, beside, world.desk.job());
            vec![Effect::show(Dialog::Bring(Box::new(dialog)))]
        }
    }
}

/// Opens the table of tools.
pub(super) fn open(world: World<'_>) -> Effects {
    vec![Effect::show(Dialog::Tools(Box::new(ToolsDialog::new(world.desk.job().clone()))))]
}

/// Asks which crib is to be read or written.
pub(super) fn ask_crib(purpose: Purpose, world: World<'_>) -> Effects {
    vec![Effect::ask_path(purpose, &world.desk.origin().folder().join("crib.json"))]
}

/// The crib's name in the job, when it lies beside the job file.
fn beside(desk: &Desk, path: &Path) -> Option<String> {
    let Origin::Job(job) = desk.origin() else { return None };
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    let own = real(&files::folder_of(job)).is_some_and(|own| real(&files::folder_of(path)) == Some(own));
    path.file_name().filter(|_| own).map(|name| name.to_string_lossy().into_owned())
}

/// A tool as it is named in lists.
fn title(tool: &Tool) -> String {
    format!("{}  {}", tool.number, tool.title())
}
