//! What a rapid goes through: any metal as it stands.

use super::{Deep, Entered, HAIR, Held, How, bounds, told};
use crate::finished::search::Question;
use crate::finished::solid::rounded_heights;
use crate::finished::width::{Circles, widest_below};
use crate::program::Motion;

/// Most heights at which a rapid is held against what was taken before.
const MOST_LEVELS: usize = 24;

impl Held<'_> {
    /// The metal that a rapid goes through.
    pub(super) fn rapid(&self, index: usize, motion: &Motion) -> Option<Entered> {
        let (top, bottom) = self.faces;
        let (thick, touch) = (self.tolerances.none_below, self.tolerances.touch);
        let mut deepest: Option<Deep> = None;
        for base in self.rapid_heights(index, motion) {
            // Metal must stand a little higher than the rapid passes to count.
            let height = base + touch;
            let swept = self.slices(motion, height);
            let enough = (top - base).min(height - bottom);
            if swept.is_empty() || height >= top || enough <= thick {
                continue;
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
            let found = question.may_enter().then(|| question.deepest()).flatten();
            let Some((depth, at)) = found else { continue };
            let deep = Deep { depth: depth.min(enough), inside: 0.0, at, height: base };
            deepest = Some(deepest.filter(|best| best.depth >= deep.depth).unwrap_or(deep));
        }
        let deep = deepest?;
        Some(told(index, motion, deep, How::Rapid))
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
        heights.extend([top - touch * (2.0 + HAIR), bottom.max(low)]);
        heights.retain(|height| *height >= low && *height + touch > bottom && *height + touch < top);
        heights
    }
}
