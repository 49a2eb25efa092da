//! The thickest cut of each pass at a station, over all heights.

use std::cell::Cell;

use super::pass::Carried;
use super::slice::slice_along;
use super::told::{Site, behind};
use super::{Wall, WallPass};
use crate::geometry::{Interval, Point, Ray, merge, without};

/// Most heights at which parts of cutters begin or end that are told apart at one station.
const MOST_JOINTS: usize = 200;
/// Steps of the search for a thickest cut between two heights: each leaves two thirds.
const SEARCH_STEPS: usize = 24;
/// A stretch of height is looked at this part of it inside its ends, to see whether the cut still grows there.
const BESIDE: f64 = 1.0 / 64.0;

/// The thickest cut of a pass at a station.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cut {
    /// How thick it is, along the line square to the outline.
    pub most: f64,
    /// The height at which it is that; `None` where nothing is taken.
    pub z: Option<f64>,
    /// How near to the station its cutter comes along the line, at whatever height: negative inside the outline. `None`
    /// where it does not go by outside.
    pub nearest: Option<f64>,
}

/// What one pass does near a station.
struct Near<'a> {
    pass: &'a WallPass,
    motions: Vec<&'a Carried>,
    /// Lowest height that the cutter reaches.
    lowest: f64,
    /// Heights between which what it sweeps may change evenly, not at joints alone.
    varies: Vec<Interval>,
}

/// A station with all that passes near it.
struct Cuts<'a> {
    wall: &'a Wall<'a>,
    site: &'a Site<'a>,
    blank: Vec<Interval>,
    passes: Vec<Near<'a>>,
    /// How near each pass's cutter was seen to come.
    nearest: Vec<Cell<f64>>,
}

impl Wall<'_> {
    /// The thickest cut of each of the first `passes` at a station.
    ///
    /// At one height a pass's cut is the length of the metal it takes along the ray, as far as the ray belongs to the
    /// station: outward all of it, a rim that stands farther out as well; inward up to the metal that it leaves. Where
    /// it leaves none inward, it takes the top off, and only what lies outside the outline counts. Next to a corner,
    /// where the ray runs along another side, it is by how much the nearest metal is farther after the pass.
    ///
    /// Where a cut is as thick at `first` as anywhere, that height is told.
    pub(crate) fn cuts(&self, site: &Site<'_>, passes: usize, first: f64) -> Vec<Cut> {
        Cuts::new(self, site, passes).thickest(first)
    }

    fn follow_motion(
        &self,
        pass: &WallPass,
        carried: &Carried,
        ray: &Ray,
        height: f64,
        swept: &mut Vec<Interval>,
    ) {
        let Carried { plan, motion } = carried;
        slice_along(plan, motion, pass.profile(), height, self.tolerances.follow, |piece, _| {
            piece.along(ray, swept);
        });
    }
}

impl<'a> Near<'a> {
    fn new(pass: &'a WallPass, ray: &Ray, reach: Interval, top: f64) -> Self {
        let motions = pass.near(ray, reach, top);
        let lowest = motions.iter().map(|carried| carried.tip()).fold(f64::INFINITY, f64::min);
        let mut varies = Vec::new();
        for Carried { motion, .. } in &motions {
            let (low, high) = (motion.start.z.min(motion.end.z), motion.start.z.max(motion.end.z));
            if low < high && motion.start.plan() != motion.end.plan() {
                varies.push((low, high));
            }
            let leaning = pass.profile().pieces().iter().filter(|p| !p.is_level() && p.from.x != p.to.x);
            varies.extend(leaning.map(|piece| (low + piece.from.y, high + piece.to.y)));
        }
        merge(&mut varies, 0.0);
        Self { pass, motions, lowest, varies }
    }
}

impl<'a> Cuts<'a> {
    fn new(wall: &'a Wall<'a>, site: &'a Site<'a>, passes: usize) -> Self {
        let blank = site.ray.inside(wall.edge);
        // No metal lies farther out than the blank does; a cutter that goes by there takes none, but is told to go by.
        let metal = blank.last().map_or(0.0, |(_, end)| end.max(0.0));
        let near = |pass: &&'a WallPass| {
            let outer = (metal + pass.profile().widest()).min(site.reach.1);
            Near::new(pass, &site.ray, (site.reach.0, outer), wall.top)
        };
        let passes: Vec<Near<'a>> = wall.passes.iter().take(passes).map(near).collect();
        let nearest = passes.iter().map(|_| Cell::new(f64::INFINITY)).collect();
        Self { wall, site, blank, passes, nearest }
    }

    fn thickest(&self, first: f64) -> Vec<Cut> {
        let mut best = vec![Cut::default(); self.passes.len()];
        if self.passes.iter().all(|near| near.motions.is_empty()) {
            return best;
        }
        let joints = self.joints();
        // At a joint itself both of what meets there would count.
        let apart = |joint: &f64| (joint - first).abs() > self.wall.tolerances.height;
        if joints.iter().all(apart) {
            self.note(&mut best, first, &self.at(first, self.passes.len()));
        }
        for pair in joints.windows(2) {
            self.between((pair[0], pair[1]), &mut best);
        }
        for (best, nearest) in best.iter_mut().zip(&self.nearest) {
            best.nearest = Some(nearest.get()).filter(|nearest| nearest.is_finite());
        }
        best
    }

    /// The heights at which a part of a cutter begins or ends near the station, with the faces of the blank.
    fn joints(&self) -> Vec<f64> {
        let (bottom, top) = (self.wall.bottom, self.wall.top);
        let mut found = vec![bottom, top];
        for near in &self.passes {
            let ends = |carried: &&Carried| [carried.motion.start.z, carried.motion.end.z];
            let mut tips: Vec<f64> = near.motions.iter().flat_map(ends).filter(|tip| *tip < top).collect();
            tips.sort_by(f64::total_cmp);
            tips.dedup();
            for tip in tips {
                let within = near.pass.profile().joints().map(|joint| tip + joint);
                found.extend(within.filter(|height| *height > bottom && *height < top));
            }
        }
        found.sort_by(f64::total_cmp);
        super::station::thin(&mut found, self.wall.tolerances.height);
        if found.len() > MOST_JOINTS {
            super::station::thin(&mut found, (top - bottom) / MOST_JOINTS as f64);
        }
        found
    }

    /// Looks at a stretch of height between two joints: at its ends, and between them where the cut may be thicker.
    fn between(&self, (bottom, top): Interval, best: &mut [Cut]) {
        let margin = (self.wall.tolerances.height / 2.0).min((top - bottom) / 8.0);
        let (low, high) = (bottom + margin, top - margin);
        let middle = f64::midpoint(low, high);
        let changes = |near: &Near<'_>| near.varies.iter().any(|(from, to)| *from < high && *to > low);
        let at_middle = self.at(middle, self.passes.len());
        self.note(best, middle, &at_middle);
        if !self.passes.iter().any(changes) {
            return;
        }
        let (at_low, at_high) = (self.at(low, self.passes.len()), self.at(high, self.passes.len()));
        self.note(best, low, &at_low);
        self.note(best, high, &at_high);
        let straight = |pass: usize| {
            let bent = f64::midpoint(at_low[pass], at_high[pass]) - at_middle[pass];
            bent.abs() <= self.wall.tolerances.height
        };
        for pass in (0..self.passes.len()).filter(|pass| !straight(*pass)) {
            let known = [(low, at_low[pass]), (middle, at_middle[pass]), (high, at_high[pass])];
            let found = self.search(pass, known);
            self.note(&mut best[pass..=pass], found.0, &[found.1]);
        }
    }

    /// The thickest cut of one pass between two heights: height and thickness.
    fn search(&self, pass: usize, [low, middle, high]: [Interval; 3]) -> Interval {
        let at = |height: f64| (height, self.at(height, pass + 1)[pass]);
        let half = |a: Interval, b: Interval| at(f64::midpoint(a.0, b.0));
        let beside = (high.0 - low.0) * BESIDE;
        let seen = [
            low,
            at(low.0 + beside),
            half(low, middle),
            middle,
            half(middle, high),
            at(high.0 - beside),
            high,
        ];
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
        let (mut from, mut to) = (seen[index - 1].0, seen[index + 1].0);
        for _ in 0..SEARCH_STEPS {
            let (one, two) = (at(from + (to - from) / 3.0), at(to - (to - from) / 3.0));
            for found in [one, two] {
                if found.1 > best.1 {
                    best = found;
                }
            }
            if one.1 >= two.1 { to = two.0 } else { from = one.0 }
        }
        best
    }

    /// What each of the first `passes` takes at a height.
    fn at(&self, height: f64, passes: usize) -> Vec<f64> {
        let sliver = self.wall.tolerances.sliver;
        let mut metal = self.blank.clone();
        let mut swept = Vec::new();
        let mut cuts = Vec::with_capacity(passes);
        for (index, near) in self.passes.iter().take(passes).enumerate() {
            if near.lowest > height {
                cuts.push(0.0);
                continue;
            }
            swept.clear();
            for carried in near.motions.iter().filter(|carried| carried.tip() <= height) {
                self.wall.follow_motion(near.pass, carried, &self.site.ray, height, &mut swept);
            }
            merge(&mut swept, sliver);
            let (inner, outer) = self.site.reach;
            let outside = swept.iter().find(|(from, to)| *to > 0.0 && *from < outer);
            if let Some((from, _)) = outside {
                let seen = &self.nearest[index];
                seen.set(seen.get().min(from.max(inner)));
            }
            let rest = without(&metal, &swept, sliver);
            cuts.push(if rest == metal { 0.0 } else { self.taken((index, height), &metal, &rest) });
            metal = rest;
        }
        cuts
    }

    /// What a pass takes at a height: from `metal` it leaves `rest`.
    fn taken(&self, (pass, height): (usize, f64), metal: &[Interval], rest: &[Interval]) -> f64 {
        let taken = without(metal, rest, self.wall.tolerances.sliver);
        let length = |low: f64, high: f64| -> f64 {
            taken.iter().map(|(from, to)| (to.min(high) - from.max(low)).max(0.0)).sum()
        };
        let outer = self.site.reach.1;
        let farthest = taken.last().map_or(0.0, |(_, to)| to.min(outer));
        if farthest > 0.0 && !self.site.is_own(farthest) {
            return self.beside_corner((pass, height), metal, rest).unwrap_or(0.0);
        }
        let outward = length(0.0, outer);
        if rest.iter().any(|(from, to)| *from <= 0.0 && *to > 0.0) {
            return outward;
        }
        match behind(rest).filter(|end| *end >= self.site.reach.0) {
            Some(end) if self.site.is_own(end) => outward + length(end, 0.0),
            found => {
                let corner = found.is_some() || self.stands_inward(pass, height);
                let beside = || self.beside_corner((pass, height), metal, rest);
                if corner { beside() } else { None }.unwrap_or(outward)
            }
        }
    }

    /// Whether metal stands inward to either side of the ray after a pass: then the ray runs along another side.
    fn stands_inward(&self, pass: usize, height: f64) -> bool {
        let inward = self.site.ray.along * -1.0;
        let aside = inward.left();
        [aside, aside * -1.0].into_iter().any(|aside| {
            let along = (inward + aside).unit().unwrap_or(inward);
            let ray = Ray { origin: self.site.ray.origin, along };
            self.standing(&ray, self.within(), height, pass + 1).iter().any(|(_, to)| *to > 0.0)
        })
    }

    /// By how much the nearest metal is farther after a pass; `None` when none is left.
    fn beside_corner(
        &self,
        (pass, height): (usize, f64),
        metal: &[Interval],
        rest: &[Interval],
    ) -> Option<f64> {
        let told = |along: &[Interval], passes: usize| {
            let standing = |ray: &Ray, far: f64| self.standing(ray, far, height, passes);
            let within = self.within();
            let none = Cell::new(false);
            let nearest = |in_metal: bool| -> Option<(f64, Point)> {
                let found = self.site.nearest(in_metal, within, &standing);
                none.set(found.is_none());
                found
            };
            let told = self.site.told(along, nearest);
            (!none.get()).then_some(told.leave)
        };
        let (before, after) = (told(metal, pass)?, told(rest, pass + 1)?);
        Some((before - after).max(0.0))
    }

    fn within(&self) -> f64 {
        let bounds = self.wall.edge.bounds();
        bounds.width() + bounds.height()
    }

    /// The metal along any ray, as far as `far` counts, at a height after the first `passes`.
    fn standing(&self, ray: &Ray, far: f64, height: f64, passes: usize) -> Vec<Interval> {
        let sliver = self.wall.tolerances.sliver;
        let mut metal = ray.inside(self.wall.edge);
        let reach = (0.0, far);
        let mut swept = Vec::new();
        for pass in self.wall.passes.iter().take(passes) {
            swept.clear();
            for carried in pass.near(ray, reach, height) {
                self.wall.follow_motion(pass, carried, ray, height, &mut swept);
            }
            merge(&mut swept, sliver);
            metal = without(&metal, &swept, sliver);
        }
        metal
    }

    /// Keeps what is thicker by more than rounding.
    fn note(&self, best: &mut [Cut], height: f64, cuts: &[f64]) {
        for (best, cut) in best.iter_mut().zip(cuts) {
            if *cut > best.most + self.wall.tolerances.untouched {
                (best.most, best.z) = (*cut, Some(height));
            }
        }
    }
}
