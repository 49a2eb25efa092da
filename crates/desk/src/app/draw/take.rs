//! A path put into the job.

use std::path::Path;

use blockwright_core::job::{Blank, Job, PathSource};
use blockwright_core::units::Units;

use super::Target;
use crate::app::desk::Desk;
use crate::open::Origin;

/// Top and thickness of a blank that the job does not state yet.
pub(super) const fn usual_blank(units: Units) -> [f64; 2] {
    [0.0, units.pick(1.0, 25.0)]
}

/// The job with this path. An edge is stated in block coordinates, so the blank lies where it is drawn.
pub(super) fn job_with(job: &Job, target: Target, source: PathSource, blank: Option<[f64; 2]>) -> Job {
    let mut job = job.clone();
    match (target, &mut job.blank) {
        (Target::Outline, _) => job.outline = Some(source),
        (Target::Edge, Some(blank)) => {
            blank.edge = source;
            blank.at = None;
        }
        (Target::Edge, none) => {
            let [top, thickness] = blank.unwrap_or(usual_blank(job.units));
            *none = Some(Blank { edge: source, top, thickness, material: None, at: None });
        }
    }
    job
}

/// A drawing as a job names it.
#[derive(Debug, Clone, PartialEq)]
pub struct FileSource {
    /// The name the job gives it.
    pub file: String,
    /// The layer the path is on; `None` for all.
    pub layer: Option<String>,
    /// The unit, where the file has none.
    pub units: Option<Units>,
}

impl FileSource {
    pub(super) fn source(&self) -> PathSource {
        let Self { file, layer, units } = self.clone();
        PathSource::File { file, layer, units }
    }
}

/// How a job names a drawing: its way from the job's folder, with plain slashes. From elsewhere it is copied beside the
/// job file when that is saved, so its name alone will do.
///
/// # Errors
/// Why it cannot be named, in plain words.
pub(super) fn name_beside(desk: &Desk, drawing: &Path, bytes: &[u8]) -> Result<String, &'static str> {
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let inside = || Some(whole(drawing).strip_prefix(whole(&desk.origin().folder())).ok()?.to_path_buf());
    let inside = inside().filter(|_| matches!(desk.origin(), Origin::Job(_)));
    let copied = inside.is_none();
    let way = inside.or_else(|| drawing.file_name().map(Into::into)).unwrap_or_default();
    let parts: Option<Vec<&str>> = way.components().map(|part| part.as_os_str().to_str()).collect();
    let name = parts.filter(|parts| !parts.is_empty()).map(|parts| parts.join("/"));
    let name = name.ok_or("The name of this file has characters that a job cannot hold: rename it.")?;
    let known = desk.source().beside.drawings.get(&name);
    if copied && known.is_some_and(|known| known[..] != *bytes) {
        return Err("The job has another drawing of this name already: rename this one.");
    }
    Ok(name)
}
