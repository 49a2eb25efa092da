//! The thickest cut of each pass at a station, over all heights.

use std::cell::Cell;

use super::near::Near;
use super::pass::Carried;
use super::round::{Found, Round};
use super::slice::{Slice, Within, slice_along};
use super::told::{Site, behind};
use super::train::Trains;
use super::{Wall, WallPass};
use crate::geometry::{Bounds, Interval, Ray, merge, without};

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
pub(super) struct Taken {
    /// How thick it is.
    pub(super) cut: f64,
    /// Whether the line meets no metal of the station's own any more: from such a height to another the cut may jump.
    pub(super) astray: bool,
}

impl Taken {
    pub(super) const fn own(cut: f64) -> Self {
        Self { cut, astray: false }
    }

    const fn astray(cut: f64) -> Self {
        Self { cut, astray: true }
    }
}

/// What was seen at a height.
pub(super) struct Looked {
    pub(super) height: f64,
    /// What each pass takes.
    pub(super) taken: Vec<Taken>,
    /// How far in along the line each pass's cutter comes, whether or not it meets metal.
    pub(super) inner: Vec<f64>,
}

impl Looked {
    /// How thick the cut of a pass is.
    pub(super) fn cut(&self, pass: usize) -> f64 {
        self.taken[pass].cut
    }
}

/// Looks for the nearest place where metal ends, or in air for the nearest metal, after so many passes.
type Nearest<'a> = dyn FnMut(usize, bool) -> Option<Found> + 'a;

/// A station with all that passes near it.
pub(super) struct Cuts<'a> {
    pub(super) wall: &'a Wall<'a>,
    site: &'a Site<'a>,
    blank: Vec<Interval>,
    /// Where the blank ends that the station lies in, or else the one inward of it.
    pub(super) blank_end: f64,
    pub(super) passes: Vec<Near<'a>>,
    /// The one pass whose cut is wanted; all of them for `None`.
    wanted: Option<usize>,
    /// How near each pass's cutter was seen to come.
    pub(super) nearest: Vec<Cell<f64>>,
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

    /// The program line that takes the most of what a pass takes along the line of a station at a height; the first of
    /// several that take as much.
    pub(crate) fn line_of_cut(&self, site: &Site<'_>, pass: usize, height: f64) -> Option<u32> {
        let (follow, sliver) = (self.tolerances.follow, self.tolerances.sliver);
        let metal = self.standing(&site.ray, site.reach, height, pass);
        let of = self.passes.get(pass)?;
        let (inner, outer) = site.reach;
        let taken = |carried: &&Carried| {
            let mut swept = Vec::new();
            carried.sweep(of.profile(), (height, follow), &site.ray, &mut swept);
            merge(&mut swept, sliver);
            let left = without(&metal, &swept, sliver);
            let taken = without(&metal, &left, sliver);
            taken.iter().map(|(from, to)| (to.min(outer) - from.max(inner)).max(0.0)).sum::<f64>()
        };
        let near = of.near(&site.ray, site.reach, height);
        let each = near.iter().map(|carried| (taken(carried), carried.motion.line));
        let most = each.reduce(|most, next| if next.0 > most.0 + sliver { next } else { most })?;
        (most.0 > 0.0).then_some(most.1)
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
        let blank_end =
            blank.iter().find(|(_, end)| *end > 0.0).filter(|(from, _)| *from <= 0.0).map(|(_, end)| *end);
        let blank_end = blank_end.or_else(|| behind(&blank)).unwrap_or(f64::INFINITY);
        Self { wall, site, blank, blank_end, passes, wanted, nearest, last: Cell::new(None) }
    }

    /// What each of the passes takes at a height, or the one that is wanted.
    pub(super) fn at(&self, height: f64) -> Looked {
        self.looked(height, self.passes.len(), self.wanted)
    }

    /// What one pass takes at a height.
    pub(super) fn of(&self, height: f64, pass: usize) -> Taken {
        self.looked(height, pass + 1, Some(pass)).taken[pass]
    }

    fn looked(&self, height: f64, passes: usize, wanted: Option<usize>) -> Looked {
        let sliver = self.wall.tolerances.sliver;
        let mut metal = self.blank.clone();
        let mut swept = Vec::new();
        let mut cuts = Vec::with_capacity(passes);
        let mut inner_ends = Vec::with_capacity(passes);
        let swept_within = |pass: usize, within: &Bounds, found: &mut Vec<Slice>| {
            self.wall.swept_within(pass, within, height, found);
        };
        let mut round =
            Round::new(self.site.ray, self.wall.edge, (self.within(), sliver), &swept_within, &self.last);
        for (index, near) in self.passes.iter().take(passes).enumerate() {
            if near.lowest > height {
                cuts.push(Taken::default());
                inner_ends.push(f64::INFINITY);
                continue;
            }
            swept.clear();
            let follow = self.wall.tolerances.follow;
            near.trains.sweep(near.pass.profile(), (height, follow), &mut swept);
            merge(&mut swept, sliver);
            let (inner, outer) = self.site.reach;
            // From outside over the end of the blank: what is swept beyond lies past another side.
            let own = swept.iter().find(|(_, to)| *to >= self.blank_end);
            inner_ends.push(own.map_or(f64::INFINITY, |(from, _)| from.max(inner)));
            let outside = swept.iter().find(|(from, to)| *to > 0.0 && *from < outer);
            if let Some((from, _)) = outside {
                let seen = &self.nearest[index];
                seen.set(seen.get().min(from.max(inner)));
            }
            let rest = without(&metal, &swept, sliver);
            let wanted = wanted.is_none_or(|wanted| wanted == index);
            let mut nearest = |passes: usize, in_metal: bool| {
                let is_bare = !in_metal && self.wall.is_bare(height, passes);
                if is_bare { None } else { round.nearest(passes, in_metal) }
            };
            let mut taken = || self.taken((index, height), &metal, &rest, &mut nearest);
            cuts.push(if wanted { taken() } else { Taken::default() });
            metal = rest;
        }
        Looked { height, taken: cuts, inner: inner_ends }
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
}
