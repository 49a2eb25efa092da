//! What a feed motion newly takes of the finished block.

use super::{Block, Deep, Entered, HAIR, Held, How, bounds, comes_down, told};
use crate::finished::search::Question;
use crate::finished::solid::{EdgeShape, rounded_heights};
use crate::job::Does;
use crate::program::Motion;
use crate::tool::Form;

/// Heights that a slope is looked at between its ends.
const SLOPE_PARTS: usize = 6;
/// Steps in which the height of the deepest place on a slope is followed up.
const FOLLOW_UP: usize = 12;

impl Held<'_> {
    /// What of the finished block a feed motion takes.
    pub(super) fn feed(&self, index: usize, motion: &Motion, block: &Block<'_>) -> Option<Entered> {
        let look = |height: f64| self.deep_at(index, motion, block, height);
        if block.purpose.does == Does::Undercut
            && let Some(deep) = look(block.finished.limit + self.tolerances.sliver)
        {
            let climb = self.climb(motion, deep.inside, block.finished.limit);
            return Some(told(index, motion, deep, How::Land(climb)));
        }
        let heights = self.feed_heights(motion, block);
        let found = heights.iter().filter_map(|height| look(*height));
        let best = found.reduce(|best, next| if better(&next, &best) { next } else { best })?;
        let is_upright = self.facts.sweep.profile().joints().count() == 1;
        let deep = followed_up((motion, is_upright), best, &heights, look);
        let low = motion.start.z.min(motion.end.z);
        let how = if block.purpose.does == Does::Undercut && deep.height > block.finished.limit {
            How::Land(None)
        } else if comes_down(motion, self.tolerances.follow) {
            How::Plunge
        } else if deep.inside <= block.solid.top - low && deep.height < block.solid.wall_top() {
            How::Wall
        } else {
            How::Block
        };
        Some(told(index, motion, deep, how))
    }

    fn feed_heights(&self, motion: &Motion, block: &Block<'_>) -> Vec<f64> {
        let (solid, finished) = (&block.solid, block.finished);
        let beyond = self.tolerances.past_outline * (1.0 + HAIR);
        let (low, high) = (motion.start.z.min(motion.end.z), motion.start.z.max(motion.end.z));
        let mut heights: Vec<f64> =
            rounded_heights(self.facts.sweep.profile()).into_iter().map(|joint| low + joint).collect();
        heights.extend(solid.edges.iter().flat_map(EdgeShape::heights));
        heights.extend([
            solid.top - beyond,
            solid.bottom + beyond,
            f64::midpoint(solid.top, solid.bottom),
            f64::midpoint(solid.wall_top(), finished.limit),
            finished.limit,
            solid.wall_top() - beyond,
        ]);
        if high > low {
            let part = |index: usize| low + (high.min(solid.top) - low) * index as f64 / SLOPE_PARTS as f64;
            heights.extend((1..SLOPE_PARTS).map(part));
        }
        heights.retain(|height| *height >= low && *height > solid.bottom && *height < solid.top);
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        heights
    }

    /// The deepest place in the finished block that a motion newly takes at one height.
    fn deep_at(&self, index: usize, motion: &Motion, block: &Block<'_>, height: f64) -> Option<Deep> {
        let (solid, tolerances) = (&block.solid, self.tolerances);
        if height >= solid.top || height <= solid.bottom {
            return None;
        }
        let undercuts = block.purpose.does == Does::Undercut;
        // An undercut may take all under the land that its tip reaches while its axis stays outside the outline.
        let free = if undercuts && height <= block.finished.limit {
            self.facts.sweep.profile().radius_at(0.0).unwrap_or(0.0)
        } else {
            0.0
        };
        let least = if undercuts && free == 0.0 { tolerances.land } else { tolerances.past_outline };
        let need = free + solid.inside_for(least, height, self.widest)?;
        let swept = self.slices(motion, height);
        if swept.is_empty() {
            return None;
        }
        let low = motion.start.z.min(motion.end.z);
        // Farther in than this nothing is deeper: under an edge that slopes that is beyond the way down from the top.
        let full = solid.depth(self.widest, height) - tolerances.past_outline;
        let in_full = solid.inside_for(full.max(least), height, self.widest).unwrap_or(self.widest);
        let question = Question {
            area: block.meant.outline,
            need,
            enough: free + in_full.max(solid.inset + solid.top - low) + tolerances.past_outline,
            ..self.plain(&swept)
        };
        if !question.may_enter() {
            return None;
        }
        let gone = block.gone.slices(index, &bounds(&swept), height);
        let question = Question { gone: &gone, ..question };
        let (inside, at) = question.may_enter().then(|| question.deepest()).flatten()?;
        let depth = solid.depth(inside, height).min(inside - free);
        Some(Deep { depth, inside: inside - free - solid.inset, at, height })
    }

    /// By how much the line that a cone leaves lies above the limit, when it is `inside` the wall there; `None` where
    /// not the cone but what is above it reaches in.
    fn climb(&self, motion: &Motion, inside: f64, limit: f64) -> Option<f64> {
        let Form::Undercut { angle, height, .. } = *self.facts.form else { return None };
        let climb = inside / angle.to_radians().tan();
        let tip = motion.start.z.min(motion.end.z);
        (limit + climb <= tip + height).then_some(climb)
    }
}

/// On a slope, or along a side that is not upright, the deepest place lies between two of the heights looked at.
fn followed_up(
    (motion, is_upright): (&Motion, bool),
    best: Deep,
    heights: &[f64],
    look: impl Fn(f64) -> Option<Deep>,
) -> Deep {
    if is_upright && motion.start.z == motion.end.z {
        return best;
    }
    let at = heights.partition_point(|height| *height < best.height);
    let mut low = at.checked_sub(1).and_then(|index| heights.get(index)).copied().unwrap_or(best.height);
    let mut high = heights.get(at + 1).copied().unwrap_or(best.height);
    let mut best = best;
    for _ in 0..FOLLOW_UP {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        let (at_a, at_b) = (look(a), look(b));
        let depth = |deep: &Option<Deep>| deep.map_or(0.0, |deep| deep.depth);
        if depth(&at_a) >= depth(&at_b) {
            high = b;
        } else {
            low = a;
        }
        for deep in [at_a, at_b].into_iter().flatten() {
            if better(&deep, &best) {
                best = deep;
            }
        }
    }
    best
}

fn better(next: &Deep, best: &Deep) -> bool {
    next.depth > best.depth || (next.depth == best.depth && next.inside > best.inside)
}
