//! How near the passes come to what is not to be cut: the bed, what is under the block, clamps.

use super::Proof;
use crate::job::KeepClear;
use crate::measure::Under;
use crate::measure::keep_clear::deepest;

/// How near a pass comes to an area kept clear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Index of the pass.
    pub pass: usize,
    /// The room that stays between tool and area, in plan; below 0 the tool comes into it.
    pub room: f64,
    /// Line of its program.
    pub line: u32,
}

impl Proof {
    /// What of a pass comes out below the block; `None` when nothing does, or the job has no blank.
    pub fn under_block(&self, pass: usize) -> Option<Under> {
        self.passes.get(pass)?.under
    }

    /// The pass that comes nearest to an area kept clear while it is lower than its top; `None` when none is.
    pub fn nearest_to(&self, area: &KeepClear) -> Option<Near> {
        let path = area.path()?;
        let of = |pass: usize| {
            let (stated, done) = (self.job.passes.get(pass)?, self.passes.get(pass)?);
            let (by, _, line) = deepest(&done.track, self.job.tool(stated.tool)?, (&path, area.top))?;
            Some(Near { pass, room: -by, line })
        };
        (0..self.passes.len()).filter_map(of).min_by(|a, b| a.room.total_cmp(&b.room))
    }
}
