//! Whether the wall is right at all heights, not only where stock left is measured.

use std::sync::Arc;

use super::memory::kept;
use super::prepare::Prepared;
use super::wall::wall_key;
use super::{ProveError, Run};
use crate::check;
use crate::geometry::{Interval, Path};
use crate::job::Does;
use crate::proof::PassProof;
use crate::tool::Form;
use crate::wall::{Proud, WallPass};

impl Run<'_> {
    /// Metal that stands out from what the last pass held against the outline is meant to leave, at a height other than
    /// the `gauge`.
    pub(super) fn standing(
        &mut self,
        (outline, edge, gauge): (&Arc<Path>, &Arc<Path>, f64),
        wall_passes: &[Arc<WallPass>],
        prepared: &[Prepared],
        passes: &[PassProof],
    ) -> Result<Option<Proud>, ProveError> {
        let held = check::last_held(self.job)
            .and_then(|index| Some((self.job.passes.get(index)?.allowance?, prepared.get(index)?)));
        let (Some((meant, made)), Some(wall)) = (held, self.wall_of(outline, edge, wall_passes)) else {
            return Ok(None);
        };
        let limit = meant + self.tolerances.allowance;
        let between = self.walled(prepared, passes, (wall.bottom, wall.top));
        let Some(between) = between.filter(|(low, high)| !leans(&made.form, high - low)) else {
            return Ok(None);
        };
        let key = (wall_key(outline, edge, &wall, wall_passes), [between.0, between.1, gauge, limit]);
        let (task, cusp) = (self.task, (made.form.radius(), self.tolerances.allowance));
        let (found, _) = kept(&self.old.prouds, &mut self.new.prouds, key, || {
            wall.proud(between, gauge, limit, cusp, task)
        })?;
        Ok(*found)
    }

    /// Between which heights there is to be a wall: down to where a pass that makes one is as wide as it gets, and no
    /// farther than the block; up to the top that is faced.
    fn walled(
        &self,
        prepared: &[Prepared],
        passes: &[PassProof],
        (bottom, top): Interval,
    ) -> Option<Interval> {
        let (mut low, mut high) = (f64::INFINITY, top);
        for ((pass, made), done) in self.job.passes.iter().zip(prepared).zip(passes) {
            let (Some(purpose), Some(tip)) = (&done.purpose, done.lowest) else { continue };
            let tip = tip + pass.zero.origin[2];
            match purpose.does {
                Does::Profile | Does::Undercut => {
                    let profile = made.form.profile();
                    let wide = profile.height_at(profile.widest()).unwrap_or(0.0);
                    low = low.min(tip + wide);
                }
                Does::Face => high = high.min(tip),
                Does::Edge | Does::Inside => {}
            }
        }
        let low = low.max(bottom);
        (low < high).then_some((low, high))
    }
}

/// Whether a cutter leaves a wall of this height with draft: what stands out lower down is meant to.
fn leans(form: &Form, height: f64) -> bool {
    /// No more of the wall than this is a chamfer at the tip.
    const TIP: f64 = 0.25;
    let profile = form.profile();
    profile.pieces().iter().any(|piece| {
        let straight = piece.centre.is_none() && piece.from.x != piece.to.x;
        straight && piece.to.y - piece.from.y > height * TIP
    })
}
