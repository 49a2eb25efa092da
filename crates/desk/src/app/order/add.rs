//! A pass is added by opening a program into the job.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::job::Pass;

use crate::app::act::Action;
use crate::app::command::Command;
use crate::app::desk::{self, Desk};
use crate::app::look;
use crate::app::program;
use crate::app::room::{Effect, Effects, World};
use crate::files::{self, PROGRAM_LIMIT};
use crate::open::Origin;
use crate::trouble::Trouble;

/// Lets the job run this program after the last pass, with the zero of that pass and no allowance, and shows it.
pub(in crate::app) fn add(path: PathBuf, text: &Arc<[u8]>, world: World<'_>) -> Effects {
    let name = match name_of(world.desk, &path, text) {
        Ok(name) => name,
        Err(trouble) => return vec![Effect::tell(trouble)],
    };
    let job = world.desk.job();
    let Some(last) = job.passes.last() else { return Vec::new() };
    let stem = Path::new(&name).file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let title = free(&stem.unwrap_or_else(|| name.clone()), &job.passes);
    let pass = Pass {
        name: title,
        program: name.clone(),
        allowance: None,
        bottom: None,
        measured: Vec::new(),
        ..last.clone()
    };
    vec![
        Effect::Programs(program::Message::Add(name, path, Arc::clone(text))),
        Effect::Desk(desk::Message::AddPass(Box::new(pass), Arc::clone(text))),
        Effect::Look(look::Message::Pick(job.passes.len())),
        Effect::Act(Action::Do(Command::EditJob)),
    ]
}

/// How the job names the file: its way from the job's folder, or its name where it is copied beside the job when that is
/// saved.
fn name_of(desk: &Desk, path: &Path, text: &Arc<[u8]>) -> Result<String, Trouble> {
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let folder = desk.origin().folder();
    let inside = whole(path).strip_prefix(whole(&folder)).ok().map(Path::to_path_buf);
    let home = !matches!(desk.origin(), Origin::Demo);
    let way = inside.filter(|_| home).or_else(|| path.file_name().map(Into::into)).unwrap_or_default();
    let parts: Option<Vec<&str>> = way.components().map(|part| part.as_os_str().to_str()).collect();
    let name = parts.filter(|parts| !parts.is_empty()).map(|parts| parts.join("/"));
    let rename = |what: &str| Trouble::with_file(path, what, "rename it, and add it again");
    let name = name.ok_or_else(|| rename("has a name that a job cannot write"))?;
    let source = desk.source();
    let mut known = source.job.passes.iter().zip(&source.programs);
    if known.any(|(pass, program)| pass.program == name && program != text) {
        return Err(rename("has the name of another program of the job"));
    }
    let there = folder.join(&name);
    let other = || files::read(&there, PROGRAM_LIMIT).is_ok_and(|there| there[..] != text[..]);
    if home && there.exists() && !files::same(&there, path) && other() {
        return Err(rename("has the name of another file in the job's folder"));
    }
    Ok(name)
}

/// A name that no pass has yet.
fn free(name: &str, passes: &[Pass]) -> String {
    let taken = |name: &str| passes.iter().any(|pass| pass.name == name);
    let counted = |count: usize| if count > 1 { format!("{name} {count}") } else { name.to_owned() };
    (1..=passes.len() + 1).map(counted).find(|name| !taken(name)).unwrap_or_default()
}
