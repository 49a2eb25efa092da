//! What a rapid goes through: any metal as it stands.

use super::{Deep, Entered, HAIR, Held, How, bounds, told};
use crate::finished::search::Question;
use crate::finished::solid::rounded_heights;
use crate::finished::width::{Circles, widest_below};
use crate::geometry::{Point3, pt3};
use crate::program::{Curve, Motion};
use crate::search::close_in;

/// Most heights at which a rapid is held against what was taken before.
const MOST_LEVELS: usize = 24;
/// Steps of the search for the deepest place of a slanting rapid.
const SLANTING_STEPS: usize = 12;

impl Held<'_> {
    /// The metal that a rapid goes through.
    pub(super) fn rapid(&self, index: usize, motion: &Motion) -> Option<Entered> {
        let deep = self.rapid_through(index, motion)?;
        Some(told(index, motion, deep, How::Rapid))
    }

    /// The metal that a level rapid goes through where the machine moves each axis as fast as it goes, X and Y together
    /// until one of them is there, then the other by itself.
    pub(super) fn bent_rapid(&self, index: usize, motion: &Motion) -> Option<Entered> {
        let ways = bent(motion)?;
        let found = ways.iter().filter_map(|way| self.rapid_through(index, way));
        let deep = found.max_by(|a, b| a.depth.total_cmp(&b.depth))?;
        Some(told(index, motion, deep, How::BentRapid))
    }

    fn rapid_through(&self, index: usize, motion: &Motion) -> Option<Deep> {
        let heights = self.rapid_heights(index, motion);
        let found = heights.iter().filter_map(|base| self.rapid_at(index, motion, *base));
        let deepest = found.reduce(|best, next| if next.depth > best.depth { next } else { best })?;
        let slants = motion.start.z != motion.end.z && motion.start.plan() != motion.end.plan();
        Some(if slants { self.deeper(index, motion, &heights, deepest) } else { deepest })
    }

    /// Looks for a deeper place of a slanting rapid: the higher, the farther it comes in, and the less metal is above it.
    fn deeper(&self, index: usize, motion: &Motion, heights: &[f64], deepest: Deep) -> Deep {
        let (top, bottom) = self.faces;
        let low = motion.start.z.min(motion.end.z).max(bottom);
        let mut ends = (low, top);
        for height in heights {
            if *height < deepest.height {
                ends.0 = ends.0.max(*height);
            } else if *height > deepest.height {
                ends.1 = ends.1.min(*height);
            }
        }
        let mut best = deepest;
        close_in(ends, (deepest.height, -deepest.depth), SLANTING_STEPS, |height| {
            let found = self.rapid_at(index, motion, height);
            best = found.filter(|found| found.depth > best.depth).unwrap_or(best);
            found.map_or(0.0, |found| -found.depth)
        });
        best
    }

    /// The metal that a rapid goes through at a height.
    fn rapid_at(&self, index: usize, motion: &Motion, base: f64) -> Option<Deep> {
        let (top, bottom) = self.faces;
        let thick = self.tolerances.none_below;
        // Metal must stand a little higher than the rapid passes to count.
        let height = base + self.tolerances.touch;
        let swept = self.slices(motion, height);
        let enough = (top - base).min(height - bottom);
        if swept.is_empty() || height >= top || enough <= thick {
            return None;
        }
        let gone = self.taken.slices(index, &bounds(&swept), height);
        let question = Question {
            gone: &gone,
            need: thick,
            enough,
            tolerance: thick * 2.0,
            standing: true,
            ..self.plain(&swept)
        };
        let (depth, at) = question.may_enter().then(|| question.deepest()).flatten()?;
        Some(Deep { depth: depth.min(enough), inside: 0.0, at, height: base })
    }

    fn rapid_heights(&self, index: usize, motion: &Motion) -> Vec<f64> {
        let (top, bottom) = self.faces;
        let touch = self.tolerances.touch;
        let low = motion.start.z.min(motion.end.z);
        let profile = self.facts.sweep.profile();
        let mut heights: Vec<f64> = rounded_heights(profile).into_iter().map(|joint| low + joint).collect();
        let circles = Circles::of(motion, widest_below(profile, top - low));
        let mut levels = self.taken.levels(index, &circles.slice.bounds());
        levels.extend([low, top]);
        levels.retain(|level| *level >= low && *level <= top);
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|a, b| (*a - *b).abs() <= touch);
        let step = levels.len().div_ceil(MOST_LEVELS).max(1);
        heights.extend(levels.windows(2).step_by(step).map(|pair| f64::midpoint(pair[0], pair[1])));
        if motion.start.z != motion.end.z {
            // The nearer to the top the closer together: a rapid that only clips the edge does so just below it.
            let below = std::iter::successors(Some(touch * 4.0), |below| Some(below * 2.0));
            heights.extend(below.take_while(|below| *below < top - low).map(|below| top - below));
        }
        heights.extend([top - touch * (2.0 + HAIR), bottom.max(low)]);
        heights.retain(|height| *height >= low && *height + touch > bottom && *height + touch < top);
        heights.sort_by(f64::total_cmp);
        heights
    }
}

/// The ways of a level rapid on a machine that moves X and Y equally fast; `None` for one that they keep straight (common
/// practice, no source).
pub(crate) fn bent(motion: &Motion) -> Option<[Motion; 2]> {
    let (off, z) = (motion.end.plan() - motion.start.plan(), motion.start.z);
    let both = off.x.abs().min(off.y.abs());
    let bends = both > 0.0 && off.x.abs() != off.y.abs();
    if !bends || motion.end.z != z || motion.curve != Curve::Straight {
        return None;
    }
    let corner = pt3(motion.start.x + both.copysign(off.x), motion.start.y + both.copysign(off.y), z);
    let way = |start: Point3, end: Point3| Motion { start, end, ..*motion };
    Some([way(motion.start, corner), way(corner, motion.end)])
}
