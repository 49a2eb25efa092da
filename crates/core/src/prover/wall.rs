//! Measuring the wall.

use std::sync::Arc;

use super::memory::{Same, WallKey, kept};
use super::prepare::Prepared;
use super::{ProveError, Run, Stage};
use crate::geometry::Path;
use crate::proof::PassProof;
use crate::tool::Form;
use crate::wall::{Along, Wall, WallPass, WallTolerances};

/// All that the wall is made from.
pub(super) fn wall_key(
    outline: &Arc<Path>,
    edge: &Arc<Path>,
    wall: &Wall<'_>,
    wall_passes: &[Arc<WallPass>],
) -> WallKey {
    let passes = wall_passes.iter().cloned().map(Same).collect();
    (Same(Arc::clone(outline)), Same(Arc::clone(edge)), wall.bottom, wall.top, passes)
}

impl Run<'_> {
    pub(super) fn wall_passes(&mut self, prepared: &[Prepared]) -> Vec<Arc<WallPass>> {
        let wall_pass = |pass: &Prepared| {
            let key = (Same(Arc::clone(&pass.track)), pass.form.clone());
            let make = || Ok::<_, std::convert::Infallible>(WallPass::new(&pass.track, &pass.form));
            let Ok((wall_pass, _)) = kept(&self.old.wall_passes, &mut self.new.wall_passes, key, make);
            wall_pass
        };
        prepared.iter().map(wall_pass).collect()
    }

    /// The wall; `None` without a blank.
    pub(super) fn wall_of<'w>(
        &self,
        outline: &'w Path,
        edge: &'w Path,
        wall_passes: &'w [Arc<WallPass>],
    ) -> Option<Wall<'w>> {
        let blank = self.job.blank.as_ref()?;
        let passes = wall_passes.iter().map(AsRef::as_ref).collect();
        let tolerances = WallTolerances::for_units(self.job.units);
        Some(Wall::new((outline, edge), (blank.bottom(), blank.top), passes, tolerances))
    }

    /// The wall all along the outline, when some pass gives it heights of its own.
    pub(super) fn wall(
        &mut self,
        (outline, edge): (Option<&Arc<Path>>, Option<&Arc<Path>>),
        wall_passes: &[Arc<WallPass>],
        passes: &mut [PassProof],
    ) -> Result<Option<Arc<Along>>, ProveError> {
        let (Some(outline), Some(edge)) = (outline, edge) else { return Ok(None) };
        if !wall_passes.iter().any(|pass| shapes_the_wall(pass.form())) {
            return Ok(None);
        }
        let Some(wall) = self.wall_of(outline, edge, wall_passes) else { return Ok(None) };
        let key = wall_key(outline, edge, &wall, wall_passes);
        let task = self.task;
        let (along, fresh) = kept(&self.old.walls, &mut self.new.walls, key, || wall.along(task))?;
        self.note(fresh, Stage::Wall);
        for (proof, wall) in passes.iter_mut().zip(&along.passes) {
            proof.wall = Some(Arc::new(wall.clone()));
        }
        Ok(Some(along))
    }
}

/// Whether a cutter undercuts, or rounds or bevels an edge.
fn shapes_the_wall(form: &Form) -> bool {
    form.is_undercutting()
        || matches!(form, Form::EdgeRound { .. } | Form::Chamfer { .. } | Form::Silhouette { .. })
}
