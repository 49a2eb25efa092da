//! How the outline lies on the blank at best, and where a pass's tool is too wide for the outline.

use std::sync::Arc;

use super::memory::{Reaches, Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run, Stage};
use crate::fit::{Fitting, Limits, Reach, fitting, reach};
use crate::geometry::Path;
use crate::proof::{PassProof, ToolReach};

impl Run<'_> {
    /// The best fit, with nothing but a clean block wanted and every move allowed.
    pub(super) fn fit(
        &mut self,
        (outline, edge): (Option<&Arc<Path>>, Option<&Arc<Path>>),
    ) -> Result<Option<Arc<Fitting>>, ProveError> {
        let (Some(outline), Some(edge)) = (outline, edge) else { return Ok(None) };
        let (units, task) = (self.job.units, self.task);
        let key = (Same(Arc::clone(outline)), Same(Arc::clone(edge)));
        let (found, fresh) = kept(&self.old.fits, &mut self.new.fits, key, || {
            fitting(outline, edge, &Limits::default(), 0.0, units, task)
        })?;
        self.note(fresh, Stage::Fit);
        Ok(Some(found))
    }

    /// What the tools of the passes that are held against the outline can't touch of it.
    pub(super) fn tool_reaches(
        &mut self,
        outline: &Arc<Path>,
        gauge: f64,
        prepared: &[Prepared],
        passes: &mut [PassProof],
    ) -> Result<(), ProveError> {
        let units = self.job.units;
        for ((pass, prepared), proof) in self.job.passes.iter().zip(prepared).zip(passes) {
            let radius = prepared.track.lowest().and_then(|lowest| prepared.form.radius_at(gauge - lowest));
            let (Some(allowance), Some(radius)) = (pass.allowance, radius) else { continue };
            self.task.cancel.check()?;
            // Rolling round outside a line that lies an allowance out is rolling round the outline with so much more.
            let rolls = radius + allowance;
            let cancel = self.task.cancel;
            self.task.tell("Checking the cutter in the corners", 0.0);
            let make = || reach(outline, rolls, units, cancel);
            let key = (Same(Arc::clone(outline)), rolls);
            let (mut left, _) = kept(&self.old.reaches, &mut self.new.reaches, key, make)?;
            if left.as_ref().as_ref().is_ok_and(|left| !left.is_empty()) {
                // A slot as wide as the cutter is no narrower than it, whatever the last digits say.
                let slack = self.tolerances.allowance;
                let make = || reach(outline, rolls - slack, units, cancel);
                let key = (Same(Arc::clone(outline)), rolls - slack);
                let (surely, _) = kept(&self.old.reaches, &mut self.new.reaches, key, make)?;
                left = Arc::new(both(&left, &surely, self.tolerances.allowance));
            }
            proof.reach = Some(ToolReach { radius, left });
        }
        Ok(())
    }
}

/// Of what a cutter cannot touch, that of which one a hair smaller leaves more than the `least` as well.
fn both(left: &Reaches, surely: &Reaches, least: f64) -> Reaches {
    let (Ok(left), Ok(surely)) = (left, surely) else { return left.clone() };
    let has = |stretch: &Reach, station: f64| {
        let beyond = stretch.to < stretch.from;
        let (after, before) = (station >= stretch.from, station <= stretch.to);
        if beyond { after || before } else { after && before }
    };
    let stays = |stretch: &&Reach| {
        let mut worth = surely.iter().filter(|other| other.most > least);
        worth.any(|other| has(stretch, other.at) || has(other, stretch.at))
    };
    Ok(left.iter().filter(stays).copied().collect())
}
