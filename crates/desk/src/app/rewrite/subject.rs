//! The program that something is made from: its text as it is in the pane, and how its control reads it.

use std::path::PathBuf;

use blockwright_core::program::Settings;
use blockwright_core::units::Units;

use super::super::program::{Snapshot, Texts};
use super::super::room::World;
use crate::files::Reads;
use crate::rewrite;

/// The program of a pass.
#[derive(Debug)]
pub(super) struct Subject {
    /// Index of the pass.
    pub(super) pass: usize,
    /// Indices of all passes that run this program.
    pub(super) runs: Vec<usize>,
    pub(super) snapshot: Snapshot,
    pub(super) settings: Settings,
    /// Its program number, as far as it has been read.
    pub(super) number: Option<u32>,
    /// Numbers of other programs of the job, and of those they call.
    pub(super) taken: Vec<u32>,
    reads: Reads,
    folder: PathBuf,
}

impl Subject {
    /// The program that is shown; `None` before it has been read.
    pub(super) fn of(world: World<'_>, programs: Texts<'_>) -> Option<Self> {
        let World { desk, look, .. } = world;
        let pass = look.pass;
        let snapshot = programs.snapshot(pass)?;
        let source = desk.source();
        let job = &source.job;
        let proof = desk.proof()?;
        let number_of = |pass: usize| proof.passes.get(pass).and_then(|pass| pass.program.number);
        let (runs, others): (Vec<usize>, Vec<usize>) =
            (0..job.passes.len()).partition(|other| programs.key(*other) == Some(snapshot.key));
        let called = source.beside.subprograms.iter().map(|called| called.number);
        let taken = others.into_iter().filter_map(number_of).chain(called).collect();
        let reads = Reads::of_source(desk.origin(), job, &source.beside);
        let settings = rewrite::settings(job.units, job.control.as_ref(), &source.beside);
        Some(Self {
            pass,
            runs,
            settings: match job.passes.get(pass) {
                Some(pass) => settings.with_tool(pass.tool),
                None => settings,
            },
            number: number_of(pass),
            taken,
            reads,
            folder: desk.origin().folder(),
            snapshot,
        })
    }

    /// Takes the text as it has been edited since; true when there was anything to take.
    pub(super) fn follow(&mut self, programs: Texts<'_>) -> bool {
        let newer = programs.snapshot(self.pass).filter(|now| !now.is_same(&self.snapshot));
        let Some(newer) = newer else { return false };
        self.snapshot = newer;
        true
    }

    pub(super) fn units(&self) -> Units {
        self.settings.units
    }

    /// What its file is called.
    pub(super) fn name(&self) -> &str {
        &self.snapshot.name
    }

    pub(super) fn is_edited(&self) -> bool {
        self.snapshot.edited
    }

    /// What must not be overwritten by anything made from it.
    pub(super) fn reads(&self) -> Reads {
        self.reads.clone().and(self.snapshot.files.iter().cloned())
    }

    /// Where its file lies, or would.
    pub(super) fn place(&self) -> PathBuf {
        self.snapshot.files.first().cloned().unwrap_or_else(|| self.folder.join(&self.snapshot.name))
    }

    /// A file beside its own: `1001-air.nc` for `1001.nc`.
    pub(super) fn beside(&self, word: &str) -> PathBuf {
        let own = self.place();
        let stem = own.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let ending =
            own.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
        own.with_file_name(format!("{stem}-{word}{ending}"))
    }
}
