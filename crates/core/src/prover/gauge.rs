//! Choosing the height at which stock left is measured.

use std::sync::Arc;

use super::memory::kept;
use super::wall::wall_key;
use super::{ProveError, Run};
use crate::geometry::Path;
use crate::job::Does;
use crate::proof::{Gauge, GaugeFrom};
use crate::wall::{Straight, WallPass, off_levels};

impl Run<'_> {
    /// The gauge height: the job's own; else the middle of the land that the passes leave; else of the wall, when a pass
    /// is meant to make one; else of the blank; or next to it, off the levels of passes. `None` without a blank and without
    /// a height of the job's.
    pub(super) fn gauge(
        &mut self,
        paths: (Option<&Arc<Path>>, Option<&Arc<Path>>),
        wall_passes: &[Arc<WallPass>],
    ) -> Result<Option<Gauge>, ProveError> {
        if let Some(z) = self.job.gauge_height {
            return Ok(Some(Gauge { z, from: GaugeFrom::Given }));
        }
        let Some(blank) = &self.job.blank else { return Ok(None) };
        let faces = (blank.bottom(), blank.top);
        let makes_wall =
            |pass: &crate::job::Pass| pass.allowance.is_some() || pass.does == Some(Does::Profile);
        let has_wall = self.job.passes.iter().any(makes_wall);
        // A land lies above an undercut.
        let may_have_land = wall_passes.iter().any(|pass| pass.form().is_undercutting());
        let straight = if has_wall || may_have_land { self.straight(paths, wall_passes)? } else { None };
        Ok(Some(match straight.filter(|straight| straight.is_land || has_wall) {
            Some(Straight { band, is_land }) => {
                let from = if is_land { GaugeFrom::Land } else { GaugeFrom::Wall };
                Gauge { z: self.near_middle(wall_passes, band), from }
            }
            None => Gauge { z: self.near_middle(wall_passes, faces), from: GaugeFrom::Blank },
        }))
    }

    /// The height nearest to the middle of a band that keeps off the levels of passes, as exact as heights are written
    /// where that still lies well inside.
    fn near_middle(&self, wall_passes: &[Arc<WallPass>], (low, high): (f64, f64)) -> f64 {
        let levels = wall_passes.iter().flat_map(|pass| pass.levels());
        let middle = off_levels(levels, (low, high), self.tolerances.off_level);
        let steps = self.job.units.pick(1e4, 1e3);
        let written = (middle * steps).round() / steps;
        if (written - middle).abs() < (high - low) / 4.0 { written + 0.0 } else { middle }
    }

    fn straight(
        &mut self,
        (outline, edge): (Option<&Arc<Path>>, Option<&Arc<Path>>),
        wall_passes: &[Arc<WallPass>],
    ) -> Result<Option<Straight>, ProveError> {
        let (Some(outline), Some(edge)) = (outline, edge) else { return Ok(None) };
        let Some(wall) = self.wall_of(outline, edge, wall_passes) else { return Ok(None) };
        let key = wall_key(outline, edge, &wall, wall_passes);
        let cancel = self.task.cancel;
        let make = || Ok::<_, ProveError>(wall.straight(cancel)?);
        Ok(*kept(&self.old.straights, &mut self.new.straights, key, make)?.0)
    }
}
