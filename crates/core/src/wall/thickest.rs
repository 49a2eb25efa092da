//! At which height each pass cuts thickest at a station.
//!
//! Between two joints of cutters, tips and faces what a pass takes changes smoothly, but where something else comes to
//! bound the metal, or the line comes to meet none of the station's own. Those heights are found and looked at; between
//! them a thickest cut is closed in on, as far as there may be one.

use super::cut::{Cut, Cuts, Looked, Taken};
use super::near::{Near, joints};
use crate::geometry::Interval;
use crate::search::close_in;

/// Steps of the search for a thickest cut between two heights: each leaves 0.62 of them.
const SEARCH_STEPS: usize = 20;
/// A stretch of height is looked at this part of it inside its ends, to see whether the cut still grows there.
const BESIDE: f64 = 1.0 / 64.0;
/// Between heights evenly apart a cut is thicker than at them by at most this many times what it bends there. For a
/// parabola it is a quarter.
const MAY_RISE: f64 = 2.0;

/// Heights looked at for where something else comes to bound the metal, from one to the next.
const MOST_CROSSINGS: usize = 4;

/// A stretch of height between two joints: its lower end, its middle and its upper end.
type Stretch = [Looked; 3];

/// By how much the cut of a pass bends between heights evenly apart.
fn bent(seen: &[Looked], pass: usize) -> f64 {
    let bent = |at: &[Looked]| (f64::midpoint(at[0].cut(pass), at[2].cut(pass)) - at[1].cut(pass)).abs();
    seen.windows(3).map(bent).fold(0.0, f64::max)
}

/// The thickest that the cut of a pass may be between heights evenly apart.
fn may_be(seen: &[Looked], pass: usize) -> f64 {
    let most = seen.iter().map(|at| at.cut(pass)).fold(0.0, f64::max);
    most + bent(seen, pass) * MAY_RISE
}

impl Cuts<'_> {
    /// The thickest cut of each pass, told at `first` where it is as thick there as anywhere.
    pub(super) fn thickest(&self, first: f64) -> Vec<Cut> {
        let mut best = vec![Cut::default(); self.passes.len()];
        if self.passes.iter().all(|near| near.trains.is_empty()) {
            return best;
        }
        let joints = joints(&self.passes, (self.wall.bottom, self.wall.top), self.wall.tolerances.height);
        // At a joint itself both of what meets there would count.
        let apart = |joint: &f64| (joint - first).abs() > self.wall.tolerances.height;
        if joints.iter().all(apart) {
            self.look(first, &mut best);
        }
        let pairs = joints.windows(2).map(|pair| (pair[0], pair[1]));
        let mut stretches: Vec<Stretch> = pairs.filter_map(|pair| self.between(pair, &mut best)).collect();
        stretches.sort_by(|a, b| self.may_be_most(b).total_cmp(&self.may_be_most(a)));
        for stretch in stretches {
            self.in_stretch(stretch, &mut best);
        }
        for (best, nearest) in best.iter_mut().zip(&self.nearest) {
            best.nearest = Some(nearest.get()).filter(|nearest| nearest.is_finite());
        }
        best
    }

    fn look(&self, height: f64, best: &mut [Cut]) -> Looked {
        let looked = self.at(height);
        self.note(best, height, &looked.taken);
        looked
    }

    /// Looks at a stretch of height between two joints: in its middle, and where what is swept changes at its ends. Gives
    /// that back.
    fn between(&self, (bottom, top): Interval, best: &mut [Cut]) -> Option<Stretch> {
        let margin = (self.wall.tolerances.height / 2.0).min((top - bottom) / 8.0);
        let (low, high) = (bottom + margin, top - margin);
        let middle = self.look(f64::midpoint(low, high), best);
        let changes = |near: &Near<'_>| near.varies.iter().any(|(from, to)| *from < high && *to > low);
        let changes = self.passes.iter().any(changes);
        changes.then(|| [self.look(low, best), middle, self.look(high, best)])
    }

    /// The thickest that the cut of any pass may be on a stretch.
    fn may_be_most(&self, stretch: &Stretch) -> f64 {
        (0..self.passes.len()).map(|pass| may_be(stretch, pass)).fold(0.0, f64::max)
    }

    /// Looks closer at a stretch, as far as a cut may be thicker there than it was seen to be anywhere.
    fn in_stretch(&self, stretch: Stretch, best: &mut [Cut]) {
        for pair in stretch.windows(2) {
            self.at_jumps([&pair[0], &pair[1]], best);
            for pass in 1..self.passes.len() {
                self.at_crossing([&pair[0], &pair[1]], pass, best, MOST_CROSSINGS);
            }
        }
        let may = |pass: &usize| {
            let is_bent = bent(&stretch, *pass) > self.wall.tolerances.height;
            is_bent && may_be(&stretch, *pass) > best[*pass].most
        };
        let passes: Vec<usize> = (0..self.passes.len()).filter(may).collect();
        if passes.is_empty() {
            return;
        }
        let [low, middle, high] = stretch;
        let lower = self.look(f64::midpoint(low.height, middle.height), best);
        let upper = self.look(f64::midpoint(middle.height, high.height), best);
        let seen = [low, lower, middle, upper, high];
        for pass in passes {
            if may_be(&seen, pass) > best[pass].most {
                let found = self.search(pass, seen.each_ref().map(|at| (at.height, at.cut(pass))));
                self.note(&mut best[pass..=pass], found.0, &[Taken::own(found.1)]);
            }
        }
    }

    /// Looks on both sides of where the line of a pass comes to meet no more metal of the station's own: up to there its
    /// cut may grow, and beyond be nothing.
    fn at_jumps(&self, [low, high]: [&Looked; 2], best: &mut [Cut]) {
        for pass in (0..self.passes.len()).filter(|pass| low.taken[*pass].astray != high.taken[*pass].astray)
        {
            let (mut below, mut above) = (low.height, high.height);
            while above - below > self.wall.tolerances.height {
                let middle = f64::midpoint(below, above);
                let taken = self.of(middle, pass);
                self.note(&mut best[pass..=pass], middle, &[taken]);
                if taken.astray == low.taken[pass].astray { below = middle } else { above = middle }
            }
        }
    }

    /// Looks at the height where another of what was there before a pass comes to bound the metal: the blank's edge and the
    /// earlier cutters. As they lean to either side of it, a cut is thickest just there, and may be none at both ends.
    fn at_crossing(&self, [low, high]: [&Looked; 2], pass: usize, best: &mut [Cut], left: usize) {
        let (one, other) = (self.bounding(low, pass), self.bounding(high, pass));
        if one == other || left == 0 {
            return;
        }
        let ahead = |at: &Looked| self.inner(at, one) - self.inner(at, other);
        let part = ahead(low) / (ahead(low) - ahead(high));
        let between = |a: f64, b: f64| a + (b - a) * part;
        let bound = between(self.inner(low, one), self.inner(high, one));
        let may_be = bound - between(low.inner[pass], high.inner[pass]);
        let height = between(low.height, high.height);
        // Not also where a cutter does not come at one end: there is no telling then, and joints are looked at anyway.
        if !(may_be > best[pass].most + self.wall.tolerances.height
            && height > low.height
            && height < high.height)
        {
            return;
        }
        let found = self.look(height, best);
        if ahead(&found).abs() > self.wall.tolerances.height {
            self.at_crossing([low, &found], pass, best, left - 1);
            self.at_crossing([&found, high], pass, best, left - 1);
        }
    }

    /// What bounds the metal before a pass: an earlier pass, or the blank's edge for `None`.
    fn bounding(&self, at: &Looked, pass: usize) -> Option<usize> {
        let passes = (0..pass).map(Some).chain([None]);
        passes.min_by(|a, b| self.inner(at, *a).total_cmp(&self.inner(at, *b))).flatten()
    }

    /// How far in along the line a pass comes, or where the blank ends for `None`.
    fn inner(&self, at: &Looked, bounding: Option<usize>) -> f64 {
        bounding.map_or(self.blank_end, |pass| at.inner[pass])
    }

    /// The thickest cut of one pass between two heights: height and thickness.
    fn search(&self, pass: usize, [low, lower, middle, upper, high]: [Interval; 5]) -> Interval {
        let at = |height: f64| self.of(height, pass).cut;
        let beside = (high.0 - low.0) * BESIDE;
        let near = |height: f64| (height, at(height));
        let seen = [low, near(low.0 + beside), lower, middle, upper, near(high.0 - beside), high];
        let mut best = low;
        let mut index = 0;
        for (place, found) in seen.into_iter().enumerate() {
            if found.1 > best.1 {
                (best, index) = (found, place);
            }
        }
        if index == 0 || index + 1 == seen.len() {
            return best;
        }
        let ends = (seen[index - 1].0, seen[index + 1].0);
        let (height, least) = close_in(ends, (best.0, -best.1), SEARCH_STEPS, |height| -at(height));
        (height, -least)
    }

    /// Keeps what is thicker by more than rounding.
    fn note(&self, best: &mut [Cut], height: f64, cuts: &[Taken]) {
        for (best, cut) in best.iter_mut().zip(cuts) {
            if cut.cut > best.most + self.wall.tolerances.untouched {
                (best.most, best.z) = (cut.cut, Some(height));
            }
        }
    }
}
