//! From kept work back to a job on the desk.

use std::sync::Arc;

use blockwright_core::job::{self, Job};
use blockwright_core::proof::Source;

use super::format::Work;
use crate::beside;
use crate::files::{self, PROGRAM_LIMIT, Print};
use crate::open::{self, Opened, Origin};
use crate::trouble::Trouble;

/// Work that was kept, ready to be put on the desk.
#[derive(Debug, Clone)]
pub struct Restored {
    /// The job as it was; of its programs, those that are in files as they are there now.
    pub opened: Opened,
    /// The job as it is in its file, where it has one.
    pub saved: Option<Job>,
    /// Text of the program of each pass that was in no file.
    pub edits: Vec<Option<Arc<[u8]>>>,
    /// What still has to be done at the machine.
    pub to_do: Vec<String>,
}

/// Makes a job of kept work.
///
/// # Errors
/// Why it can't be used.
pub fn restore(work: &Work) -> Result<Restored, Trouble> {
    let trouble = |what: String| Trouble::at("Unsaved work", what, "open the job as it was saved last");
    let read = |text: &str| -> Result<Job, Trouble> {
        job::read(text.as_bytes()).map_err(|error| trouble(format!("cannot be read again ({error})")))
    };
    let mut job = read(&work.job)?;
    if let Some(crib) = &work.crib {
        let crib = job::read_crib(crib.as_bytes()).map_err(|error| trouble(error.to_string()))?;
        job = job.with_crib(&crib).map_err(trouble)?;
    }
    if work.programs.len() != job.passes.len() {
        return Err(trouble("has another number of programs than of passes".to_owned()));
    }
    let programs: Vec<Arc<[u8]>> = work
        .programs
        .iter()
        .map(|program| {
            let there = program.file.as_ref().and_then(|file| files::read(file, PROGRAM_LIMIT).ok());
            there.map(Arc::from).or_else(|| program.text.clone()).unwrap_or_default()
        })
        .collect();
    let mut beside = match &work.origin {
        Origin::Job(file) => beside::load(file, &job, &programs).unwrap_or_default(),
        Origin::Demo | Origin::Programs(_) => blockwright_core::proof::Beside::default(),
    };
    beside.drawings.extend(work.drawings.iter().cloned());
    let saved = match &work.origin {
        Origin::Job(file) => as_saved(file),
        Origin::Demo => open::demo_job().ok().map(|demo| (*demo.source.job).clone()),
        Origin::Programs(_) => None,
    };
    let print = match &work.origin {
        Origin::Job(file) => Print::at(file),
        Origin::Demo | Origin::Programs(_) => None,
    };
    let origin = match &work.origin {
        Origin::Programs(_) => {
            Origin::Programs(work.programs.iter().filter_map(|program| program.file.clone()).collect())
        }
        other => other.clone(),
    };
    let edits = work.programs.iter().map(|program| program.text.clone()).collect();
    let source = Source { job: Arc::new(job), programs, beside };
    let opened = Opened { source, origin, bare: None, units: None, print };
    Ok(Restored { opened, saved, edits, to_do: work.to_do.clone() })
}

fn as_saved(file: &std::path::Path) -> Option<Job> {
    let bytes = files::read(file, files::JOB_LIMIT).ok()?;
    beside::with_crib(job::read(&bytes).ok()?, file).ok()
}
