//! The outline and the blank's edge: from vertices, from a file, or from the path of a pass.

use std::sync::Arc;

use super::memory::{DrawingKey, MadeFrom, Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run};
use crate::bring_in::{self, Brought, Fault};
use crate::check::FromFile;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Path, pt};
use crate::job::{PathSource, Vertex};
use crate::proof::Beside;
use crate::units::Units;

/// The outline and the edge in block coordinates, and what is to be said of where they came from.
#[derive(Default)]
pub(super) struct Paths {
    pub(super) outline: Option<Arc<Path>>,
    pub(super) edge: Option<Arc<Path>>,
    pub(super) from_files: Vec<FromFile>,
    /// Why there is no outline though the job names a pass for it.
    pub(super) no_outline: Option<Finding>,
}

impl Run<'_> {
    pub(super) fn paths(&mut self, beside: &Beside, prepared: &[Prepared]) -> Result<Paths, ProveError> {
        let job = Arc::clone(self.job);
        let mut paths = Paths::default();
        let place = ("outline", "The outline", [0.0; 3]);
        paths.outline = match &job.outline {
            None => None,
            Some(PathSource::FromPass(name)) => match self.along_pass(name, prepared) {
                Ok(path) => Some(path),
                Err(finding) => {
                    paths.no_outline = Some(*finding);
                    None
                }
            },
            Some(source) => Some(self.path(source, beside, place, &mut paths.from_files)?),
        };
        if let Some(blank) = &job.blank {
            let place = ("blank.edge", "The blank's edge", blank.at.unwrap_or_default());
            paths.edge = Some(self.path(&blank.edge, beside, place, &mut paths.from_files)?);
        }
        Ok(paths)
    }

    /// The path of a source other than a pass. `key` and `what` are how the job and people call it.
    fn path(
        &mut self,
        source: &PathSource,
        beside: &Beside,
        (key, what, lie): (&'static str, &'static str, [f64; 3]),
        from_files: &mut Vec<FromFile>,
    ) -> Result<Arc<Path>, ProveError> {
        match source {
            PathSource::Vertices(vertices) => {
                let make = || Ok::<_, ProveError>(placed(&closed(key, vertices)?, lie));
                let made_of = MadeFrom::Vertices(vertices.clone(), lie);
                Ok(kept(&self.old.paths, &mut self.new.paths, made_of, make)?.0)
            }
            PathSource::File { file, layer, units } => {
                let bytes = beside.drawings.get(file).ok_or_else(|| no_file(key, file))?;
                let brought = self.brought((file, layer.as_deref(), *units), bytes, key)?;
                let made_of = MadeFrom::File(Same(Arc::clone(&brought)), lie);
                let make = || Ok::<_, ProveError>(placed(&brought.path, lie));
                let (path, _) = kept(&self.old.paths, &mut self.new.paths, made_of, make)?;
                from_files.push(FromFile { what, file: file.clone(), lie, brought });
                Ok(path)
            }
            PathSource::FromPass(_) => Err(ProveError::Unusable(format!(
                "{key}: it can't be taken from a pass; write its vertices into the job, or name a file."
            ))),
        }
    }

    /// What a file holds, in the job's unit.
    fn brought(
        &mut self,
        (file, layer, units): (&str, Option<&str>, Option<Units>),
        bytes: &Arc<[u8]>,
        key: &str,
    ) -> Result<Arc<Brought>, ProveError> {
        let job_units = self.job.units;
        let made_of = DrawingKey {
            file: file.to_owned(),
            layer: layer.map(str::to_owned),
            units: [units, Some(job_units)],
            bytes: Arc::clone(bytes),
        };
        let task = self.task;
        let make = || {
            task.tell("Reading the drawing", 0.0);
            bring_in::read(file, bytes, layer, units, job_units).map_err(|fault| unusable(key, file, &fault))
        };
        Ok(kept(&self.old.drawings, &mut self.new.drawings, made_of, make)?.0)
    }

    /// The path of the named pass, moved in by the radius of its tool.
    fn along_pass(&mut self, name: &str, prepared: &[Prepared]) -> Result<Arc<Path>, Box<Finding>> {
        let missing = |why: &str| {
            let message = format!(
                "The outline could not be taken from pass \"{name}\": {why}. Stock left and contact along \
                it are not measured. Normally it is a finish profile that comes around to where it began, at \
                one height.",
            );
            Box::new(Finding::new(Code::NotChecked, Severity::Look, message))
        };
        let index = self.job.passes.iter().position(|pass| pass.name == name);
        let named = index.and_then(|index| Some((index, prepared.get(index)?)));
        let (index, pass) = named.ok_or_else(|| missing("the job has no such pass"))?;
        let (radius, units) = (pass.form.radius(), self.job.units);
        let made_of = MadeFrom::Pass(Same(Arc::clone(&pass.track)), radius, units);
        let cancel = self.task.cancel;
        let make = || {
            let path = bring_in::from_track(&pass.track, radius, units, cancel);
            path.map_err(|why| Box::new(missing(&why).of_pass(index)))
        };
        Ok(kept(&self.old.paths, &mut self.new.paths, made_of, make)?.0)
    }
}

fn placed(path: &Path, [x, y, turn]: [f64; 3]) -> Path {
    path.placed(pt(x, y), turn.to_radians())
}

fn closed(key: &str, vertices: &[Vertex]) -> Result<Path, ProveError> {
    let points: Vec<_> = vertices.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
    Path::closed(&points)
        .ok_or_else(|| ProveError::Unusable(format!("{key}: the path encloses no area; check its vertices.")))
}

fn no_file(key: &str, file: &str) -> ProveError {
    ProveError::Unusable(format!(
        "{key}: {file} was not read; put it into the job's folder, or write the path's vertices into the job."
    ))
}

fn unusable(key: &str, file: &str, fault: &Fault) -> ProveError {
    let mark = if fault.spot.is_some() { "," } else { ":" };
    ProveError::Unusable(format!(
        "{key}: {file}{mark} {fault}. Correct the drawing, or name another file or layer in the job."
    ))
}
