//! The thickest cut of each pass at a station, over all heights.

use std::cell::Cell;

use super::golden::close_in;
use super::near::{Near, joints};
use super::pass::Carried;
use super::round::{Found, Round};
use super::slice::{Slice, Within, slice_along};
use super::told::{Site, behind};
use super::train::Trains;
use super::{Wall, WallPass};
use crate::geometry::{Bounds, Interval, Ray, merge, without};

/// Steps of the search for a thickest cut between two heights: each leaves 0.62 of them.
const SEARCH_STEPS: usize = 20;
/// A stretch of height is looked at this part of it inside its ends, to see whether the cut still grows there.
const BESIDE: f64 = 1.0 / 64.0;
/// Between heights evenly apart a cut is thicker than at them by at most this many times what it bends there. For a
/// parabola it is a quarter.
const MAY_RISE: f64 = 2.0;

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

/// What a pass takes at a height.
#[derive(Debug, Clone, Copy, Default)]
struct Taken {
    /// How thick it is.
    cut: f64,
    /// Whether the line meets no metal of the station's own any more: from such a height to another the cut may jump.
    astray: bool,
}

impl Taken {
    const fn own(cut: f64) -> Self {
        Self { cut, astray: false }
    }

    const fn astray(cut: f64) -> Self {
        Self { cut, astray: true }
    }
}

/// A height with what each pass takes there.
type Looked = (f64, Vec<Taken>);

/// A stretch of height between two joints: its lower end, its middle and its upper end.
type Stretch = [Looked; 3];

/// By how much the cut of a pass bends between heights evenly apart.
fn bent(seen: &[Looked], pass: usize) -> f64 {
    let bent =
        |at: &[Looked]| (f64::midpoint(at[0].1[pass].cut, at[2].1[pass].cut) - at[1].1[pass].cut).abs();
    seen.windows(3).map(bent).fold(0.0, f64::max)
}

/// The thickest that the cut of a pass may be between heights evenly apart.
fn may_be(seen: &[Looked], pass: usize) -> f64 {
    let most = seen.iter().map(|at| at.1[pass].cut).fold(0.0, f64::max);
    most + bent(seen, pass) * MAY_RISE
}

/// Looks for the nearest place where metal ends, or in air for the nearest metal, after so many passes.
type Nearest<'a> = dyn FnMut(usize, bool) -> Option<Found> + 'a;

/// A station with all that passes near it.
struct Cuts<'a> {
    wall: &'a Wall<'a>,
    site: &'a Site<'a>,
    blank: Vec<Interval>,
    passes: Vec<Near<'a>>,
    /// The one pass whose cut is wanted; all of them for `None`.
    wanted: Option<usize>,
    /// How near each pass's cutter was seen to come.
    nearest: Vec<Cell<f64>>,
    /// Where the nearest metal was found at the last height.
    last: Cell<Option<Found>>,
}

impl Wall<'_> {
    /// The metal along any ray, as far as it reaches, at a height after the first `passes`.
    pub(super) fn standing(&self, ray: &Ray, reach: Interval, height: f64, passes: usize) -> Vec<Interval> {
        let (follow, sliver) = (self.tolerances.follow, self.tolerances.sliver);
        let mut metal = ray.inside(self.edge);
        let mut swept = Vec::new();
        for pass in self.passes.iter().take(passes) {
            swept.clear();
            let near = Trains::new(pass.near(ray, reach, height), ray);
            near.sweep(pass.profile(), (height, follow), &mut swept);
            merge(&mut swept, sliver);
            metal = without(&metal, &swept, sliver);
        }
        metal
    }

    /// The thickest cut of each of the first `passes` at a station.
    ///
    /// At one height a pass's cut is the length of the metal it takes along the ray, as far as the ray belongs to the
    /// station: outward all of it, a rim that stands farther out as well; inward up to the metal that it leaves. Where
    /// it leaves none inward, it takes the top off, and only what lies outside the outline counts. Next to a corner,
    /// where the ray runs along another side, it is by how much the nearest metal is farther after the pass.
    ///
    /// Where a cut is as thick at `first` as anywhere, that height is told.
    pub(crate) fn cuts(&self, site: &Site<'_>, passes: usize, first: f64) -> Vec<Cut> {
        Cuts::new(self, site, passes, None).thickest(first)
    }

    /// The thickest cut of one pass, as [`Wall::cuts`] tells it.
    pub(crate) fn cut_of(&self, site: &Site<'_>, pass: usize, first: f64) -> Cut {
        Cuts::new(self, site, pass + 1, Some(pass)).thickest(first).last().copied().unwrap_or_default()
    }

    /// Adds the pieces that a pass sweeps at a height within a box.
    fn swept_within(&self, pass: usize, within: &Bounds, height: f64, found: &mut Vec<Slice>) {
        let Some(pass) = self.passes.get(pass) else { return };
        for Carried { plan, motion } in pass.within(within, height) {
            let follow = self.tolerances.follow;
            slice_along((plan, motion), pass.profile(), height, follow, Within::Box(within), |piece, _| {
                found.push(piece);
            });
        }
    }
}

impl<'a> Cuts<'a> {
    fn new(wall: &'a Wall<'a>, site: &'a Site<'a>, passes: usize, wanted: Option<usize>) -> Self {
        let blank = site.ray.inside(wall.edge);
        // No metal lies farther out than the blank does; a cutter that goes by there takes none, but is told to go by.
        let metal = blank.last().map_or(0.0, |(_, end)| end.max(0.0));
        let near = |pass: &&'a WallPass| {
            let outer = (metal + pass.profile().widest()).min(site.reach.1);
            Near::new(pass, &site.ray, (site.reach.0, outer), wall.top)
        };
        let passes: Vec<Near<'a>> = wall.passes.iter().take(passes).map(near).collect();
        let nearest = passes.iter().map(|_| Cell::new(f64::INFINITY)).collect();
        Self { wall, site, blank, passes, wanted, nearest, last: Cell::new(None) }
    }

    fn thickest(&self, first: f64) -> Vec<Cut> {
        let mut best = vec![Cut::default(); self.passes.len()];
        if self.passes.iter().all(|near| near.trains.is_empty()) {
            return best;
        }
        let joints = joints(&self.passes, (self.wall.bottom, self.wall.top), self.wall.tolerances.height);
        // At a joint itself both of what meets there would count.
        let apart = |joint: &f64| (joint - first).abs() > self.wall.tolerances.height;
        if joints.iter().all(apart) {
            self.note(&mut best, first, &self.at(first, self.passes.len()));
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
        let cuts = self.at(height, self.passes.len());
        self.note(best, height, &cuts);
        (height, cuts)
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
        let lower = self.look(f64::midpoint(low.0, middle.0), best);
        let upper = self.look(f64::midpoint(middle.0, high.0), best);
        let seen = [low, lower, middle, upper, high];
        for pass in passes {
            if may_be(&seen, pass) > best[pass].most {
                let found = self.search(pass, seen.each_ref().map(|at| (at.0, at.1[pass].cut)));
                self.note(&mut best[pass..=pass], found.0, &[Taken::own(found.1)]);
            }
        }
    }

    /// Looks on both sides of where the line of a pass comes to meet no more metal of the station's own: up to there its
    /// cut may grow, and beyond be nothing.
    fn at_jumps(&self, [low, high]: [&Looked; 2], best: &mut [Cut]) {
        for pass in (0..self.passes.len()).filter(|pass| low.1[*pass].astray != high.1[*pass].astray) {
            let (mut below, mut above) = (low.0, high.0);
            while above - below > self.wall.tolerances.height {
                let middle = f64::midpoint(below, above);
                let taken = self.at(middle, pass + 1)[pass];
                self.note(&mut best[pass..=pass], middle, &[taken]);
                if taken.astray == low.1[pass].astray { below = middle } else { above = middle }
            }
        }
    }

    /// The thickest cut of one pass between two heights: height and thickness.
    fn search(&self, pass: usize, [low, lower, middle, upper, high]: [Interval; 5]) -> Interval {
        let at = |height: f64| self.at(height, pass + 1)[pass].cut;
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

    /// What each of the first `passes` takes at a height.
    fn at(&self, height: f64, passes: usize) -> Vec<Taken> {
        let sliver = self.wall.tolerances.sliver;
        let mut metal = self.blank.clone();
        let mut swept = Vec::new();
        let mut cuts = Vec::with_capacity(passes);
        let swept_within = |pass: usize, within: &Bounds, found: &mut Vec<Slice>| {
            self.wall.swept_within(pass, within, height, found);
        };
        let mut round =
            Round::new(self.site.ray, self.wall.edge, (self.within(), sliver), &swept_within, &self.last);
        for (index, near) in self.passes.iter().take(passes).enumerate() {
            if near.lowest > height {
                cuts.push(Taken::default());
                continue;
            }
            swept.clear();
            let follow = self.wall.tolerances.follow;
            near.trains.sweep(near.pass.profile(), (height, follow), &mut swept);
            merge(&mut swept, sliver);
            let (inner, outer) = self.site.reach;
            let outside = swept.iter().find(|(from, to)| *to > 0.0 && *from < outer);
            if let Some((from, _)) = outside {
                let seen = &self.nearest[index];
                seen.set(seen.get().min(from.max(inner)));
            }
            let rest = without(&metal, &swept, sliver);
            let wanted = self.wanted.is_none_or(|wanted| wanted == index);
            let mut nearest = |passes: usize, in_metal: bool| {
                let is_bare = !in_metal && self.wall.is_bare(height, passes);
                if is_bare { None } else { round.nearest(passes, in_metal) }
            };
            let mut taken = || self.taken((index, height), &metal, &rest, &mut nearest);
            cuts.push(if wanted { taken() } else { Taken::default() });
            metal = rest;
        }
        cuts
    }

    /// What a pass takes at a height: from `metal` it leaves `rest`.
    fn taken(
        &self,
        (pass, height): (usize, f64),
        metal: &[Interval],
        rest: &[Interval],
        nearest: &mut Nearest<'_>,
    ) -> Taken {
        let in_metal = |metal: &[Interval]| metal.iter().any(|(from, to)| *from <= 0.0 && *to > 0.0);
        let own_behind = || {
            let end = behind(rest).filter(|end| *end >= self.site.reach.0);
            end.filter(|end| self.site.is_own(*end))
        };
        let (inner, outer) = self.site.reach;
        let mut taken = without(metal, rest, self.wall.tolerances.sliver);
        // What lies past another side of the outline is that side's.
        taken.retain(|(from, to)| *from < outer && *to > inner);
        if taken.is_empty() {
            // Next to a sharp corner an undercut leaves nothing on the line, and yet metal beside it.
            let beside = !in_metal(rest) && own_behind().is_none();
            let beside = if beside { self.beside_corner(pass, metal, rest, nearest) } else { None };
            return beside.map_or(Taken::default(), Taken::astray);
        }
        let length = |low: f64, high: f64| -> f64 {
            taken.iter().map(|(from, to)| (to.min(high) - from.max(low)).max(0.0)).sum()
        };
        let farthest = taken.last().map_or(0.0, |(_, to)| to.min(outer));
        if farthest > 0.0 && !self.site.is_own(farthest) {
            return Taken::astray(self.beside_corner(pass, metal, rest, nearest).unwrap_or(0.0));
        }
        let outward = length(0.0, outer);
        if in_metal(rest) {
            return Taken::own(outward);
        }
        if let Some(end) = own_behind() {
            return Taken::own(outward + length(end, 0.0));
        }
        let found = behind(rest).is_some_and(|end| end >= self.site.reach.0);
        let corner = found || self.stands_inward(pass, height);
        let beside = if corner { self.beside_corner(pass, metal, rest, nearest) } else { None };
        Taken::astray(beside.map_or(outward, |beside| beside.max(outward)))
    }

    /// Whether metal stands inward to either side of the ray after a pass: then the ray runs along another side.
    fn stands_inward(&self, pass: usize, height: f64) -> bool {
        let inward = self.site.ray.along * -1.0;
        let aside = inward.left();
        [aside, aside * -1.0].into_iter().any(|aside| {
            let along = (inward + aside).unit().unwrap_or(inward);
            let ray = Ray { origin: self.site.ray.origin, along };
            self.wall.standing(&ray, (0.0, self.within()), height, pass + 1).iter().any(|(_, to)| *to > 0.0)
        })
    }

    /// By how much the nearest metal is farther after a pass; `None` when none is left.
    fn beside_corner(
        &self,
        pass: usize,
        metal: &[Interval],
        rest: &[Interval],
        nearest: &mut Nearest<'_>,
    ) -> Option<f64> {
        let mut told = |along: &[Interval], passes: usize| {
            let mut none = false;
            let told = self.site.told(along, |in_metal| {
                let found = nearest(passes, in_metal);
                none = found.is_none();
                found
            });
            (!none).then_some(told.leave)
        };
        let (before, after) = (told(metal, pass)?, told(rest, pass + 1)?);
        Some((before - after).max(0.0))
    }

    fn within(&self) -> f64 {
        let bounds = self.wall.edge.bounds();
        bounds.width() + bounds.height()
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
