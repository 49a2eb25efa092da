//! What was taken before a motion, or does not count when it is taken.

use super::block::Finished;
use crate::geometry::Bounds;
use crate::job::Does;
use crate::measure::Sweep;
use crate::wall::{Slice, Within, slice};

use super::purpose::Purpose;

/// The sweeps of all passes, and what of them is gone at a motion.
#[derive(Debug, Clone, Copy)]
pub struct Gone<'a> {
    /// Every pass in order.
    pub sweeps: &'a [&'a Sweep],
    /// The pass looked at.
    pub pass: usize,
    /// The finished block with what each pass is for; without it only what was taken before is gone.
    pub finished: Option<(&'a Finished, &'a [Purpose])>,
    /// How closely slices are followed.
    pub follow: f64,
}

impl Gone<'_> {
    /// Slices at `height` that may reach into a box, of all that was taken before the motion `before` of this pass, and
    /// of what is to be taken away anyway.
    pub fn slices(&self, before: usize, bounds: &Bounds, height: f64) -> Vec<Slice> {
        let mut found = Vec::new();
        for (pass, sweep) in self.sweeps.iter().enumerate() {
            let all = pass < self.pass || self.undercut_counts(pass, height);
            for (motion, placed) in sweep.motions_near(bounds) {
                let earlier = all || (pass == self.pass && motion < before);
                if earlier || self.is_inside(pass, motion) {
                    let within = Within::Box(bounds);
                    slice(&placed.motion, sweep.profile(), height, self.follow, within, |slice, _| {
                        found.push(slice);
                    });
                }
            }
        }
        found
    }

    fn is_inside(&self, pass: usize, motion: usize) -> bool {
        let Some((finished, _)) = self.finished else { return false };
        finished.insides.get(pass).and_then(|motions| motions.get(motion)).copied().unwrap_or(false)
    }

    /// Whether a pass undercuts the wall at this height: what it takes there is no part of the finished block.
    fn undercut_counts(&self, pass: usize, height: f64) -> bool {
        let Some((finished, purposes)) = self.finished else { return false };
        pass != self.pass && height <= finished.limit && purposes[pass].does == Does::Undercut
    }

    /// The heights near a box at which something taken before begins or ends.
    pub fn levels(&self, before: usize, bounds: &Bounds) -> Vec<f64> {
        let mut found = Vec::new();
        for (pass, sweep) in self.sweeps.iter().enumerate().take(self.pass + 1) {
            for (motion, placed) in sweep.motions_near(bounds) {
                if pass < self.pass || motion < before {
                    for tip in [placed.motion.start.z, placed.motion.end.z] {
                        found.extend(sweep.profile().joints().map(|joint| tip + joint));
                    }
                }
            }
        }
        found
    }
}
