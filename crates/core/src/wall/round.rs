//! The nearest place round a station where metal ends, or in air the nearest metal, at one height.

use std::cell::Cell;
use std::f64::consts::TAU;
use std::ops::Range;

use super::around::Around;
use super::golden::close_in;
use super::slice::Slice;
use crate::geometry::{Bounds, Interval, Path, Point, Rail, Ray, merge, without};

/// Directions in which metal is looked for at first.
const FEW: u32 = 8;
/// Directions in which it is looked for where nothing but looking is left.
const DIRECTIONS: u32 = 32;
/// Steps of closing in on the least of them: each leaves 0.62 of the angle.
const STEPS: usize = 25;
/// Where more rims come near, as of short moves round a corner, what is seen in the directions is closed in on: a limit
/// on work.
const MOST_RIMS: usize = 160;
/// Places are the same within this part of the way to them: rounding.
const HAIR: f64 = 1e-7;
/// Metal that begins or ends in a direction is looked for this much to either side of it, in radians,
const BESIDE: f64 = 1e-8;
/// and at least so many times what counts as rounding: behind a corner of metal that the direction does not run into it
/// is no thicker than that.
const BESIDE_SLIVERS: f64 = 30.0;
/// but no more than this, for a corner at the station itself.
const MOST_BESIDE: f64 = 1e-3;
/// Metal is looked for within this part of all there is at first, then within so many times as much, and so on.
const FIRST_REACH: f64 = 1.0 / 16.0;
const FARTHER: f64 = 4.0;
/// Or within so many times the way to where it was found last.
const NEARLY: f64 = 1.25;
/// But never within less than this part of the former.
const LEAST_REACH: f64 = 1.0 / 64.0;

/// Adds the pieces that a pass sweeps within a box, and may add others.
pub(crate) type SweptWithin<'a> = &'a dyn Fn(usize, &Bounds, &mut Vec<Slice>);

/// How far a place is, and where.
pub(crate) type Found = (f64, Point);

/// A station at one height, with what the passes sweep round it.
pub(crate) struct Round<'a> {
    /// From the station outward.
    ray: Ray,
    edge: &'a Path,
    /// A length beyond all there is.
    all: f64,
    /// Pieces of metal thinner than this are rounding.
    sliver: f64,
    swept: SweptWithin<'a>,
    known: Option<Known>,
    /// Where metal was found last, here or at another height: it is looked for there at first.
    last: &'a Cell<Option<Found>>,
}

/// What was found after the first `passes`.
#[derive(Clone, Copy)]
struct Known {
    passes: usize,
    in_metal: bool,
    found: Option<Found>,
}

/// The metal within a distance of the station.
struct Neighborhood<'a> {
    origin: Point,
    edge: &'a Path,
    reach: f64,
    sliver: f64,
    /// Whether the blank's edge is farther away than the reach, and if so, whether all within it is blank.
    clear: Option<bool>,
    pieces: Around,
}

/// A line or circle with the piece on whose rim it lies; without one it is the blank's edge.
#[derive(Clone, Copy)]
struct Rim<'a> {
    rail: Rail,
    of: Option<&'a Slice>,
}

impl Rim<'_> {
    /// Whether a place of the line or circle lies on the rim itself.
    fn holds(&self, place: Point, near: f64) -> bool {
        self.of.is_none_or(|piece| piece.off(place).abs() <= near)
    }
}

/// Whether two directions, each with how far it may be off to either side, may be the same.
fn lie_beside(one: Interval, other: Interval) -> bool {
    let apart = (one.0 - other.0).abs();
    apart.min(TAU - apart) <= one.1 + other.1
}

impl<'a> Round<'a> {
    pub(crate) fn new(
        ray: Ray,
        edge: &'a Path,
        (all, sliver): (f64, f64),
        swept: SweptWithin<'a>,
        last: &'a Cell<Option<Found>>,
    ) -> Self {
        Self { ray, edge, all, sliver, swept, known: None, last }
    }

    /// The nearest place where the metal ends that the station lies in (`in_metal`), or in air the nearest metal, after
    /// the first `passes`: how far it is, and where. `None` where there is no metal. Asked for more and more passes, it
    /// looks only at what the later ones change.
    pub(crate) fn nearest(&mut self, passes: usize, in_metal: bool) -> Option<Found> {
        let before = self.known.filter(|known| known.in_metal == in_metal && known.passes <= passes);
        let found = match before {
            Some(Known { passes: before, found, .. }) if in_metal => {
                found.map(|found| self.end_of_metal(before..passes, found))
            }
            Some(Known { passes: before, found, .. }) => {
                let still = found.is_none_or(|(_, place)| !self.takes(before..passes, place));
                if still { found } else { self.nearest_metal(passes) }
            }
            None if in_metal => {
                let place = self.edge.place(self.edge.nearest(self.ray.origin)).at;
                Some(self.end_of_metal(0..passes, (self.ray.origin.distance(place), place)))
            }
            None => self.nearest_metal(passes),
        };
        self.known = Some(Known { passes, in_metal, found });
        found
    }

    /// The nearest place that the passes sweep, when it is nearer than `best`.
    fn end_of_metal(&self, passes: Range<usize>, mut best: Found) -> Found {
        let origin = self.ray.origin;
        let mut pieces = Vec::new();
        for pass in passes {
            pieces.clear();
            (self.swept)(pass, &Bounds::of([origin]).grown(best.0), &mut pieces);
            for piece in &pieces {
                let off = piece.off(origin).max(0.0);
                if off < best.0 {
                    best = (off, piece.clamp(origin));
                }
            }
        }
        best
    }

    /// Whether one of the passes takes a place.
    fn takes(&self, mut passes: Range<usize>, place: Point) -> bool {
        let mut pieces = Vec::new();
        passes.any(|pass| {
            pieces.clear();
            (self.swept)(pass, &Bounds::of([place]), &mut pieces);
            pieces.iter().any(|piece| piece.off(place) < -self.sliver)
        })
    }

    fn nearest_metal(&self, passes: usize) -> Option<Found> {
        let mut reach = self.all * FIRST_REACH;
        let mut first = self.ray.along.angle();
        if let Some((way, place)) = self.last.get() {
            first = (place - self.ray.origin).angle();
            // where it touched the station as well
            reach = reach.min((way * NEARLY).max(reach * LEAST_REACH));
        }
        loop {
            let found = self.within(reach, passes).nearest_metal(first);
            if found.is_some() {
                self.last.set(found);
            }
            if found.is_some() || reach >= self.all {
                return found;
            }
            reach *= FARTHER;
        }
    }

    fn within(&self, reach: f64, passes: usize) -> Neighborhood<'a> {
        let origin = self.ray.origin;
        let bounds = Bounds::of([origin]).grown(reach);
        let mut pieces = Vec::new();
        for pass in 0..passes {
            (self.swept)(pass, &bounds, &mut pieces);
        }
        pieces.retain(|piece| piece.off(origin) < reach);
        let in_blank = || self.ray.inside(self.edge).iter().any(|(from, to)| *from <= 0.0 && *to >= 0.0);
        let clear = (self.edge.distance(origin) > reach).then(in_blank);
        let pieces = Around::new(origin, pieces);
        Neighborhood { origin, edge: self.edge, reach, sliver: self.sliver, clear, pieces }
    }
}

impl Neighborhood<'_> {
    /// The nearest metal: what is seen in the direction `first`, or in some others, unless a rim says that it is nearer.
    /// Where there are too many rims, it is closed in on from all round.
    fn nearest_metal(&self, first: f64) -> Option<Found> {
        let seen = self.seen(first);
        let (angle, distance) = match self.where_it_may_be(seen.1) {
            Some(places) => self.nearest_of(seen, &places),
            None => self.closed_in(first)?,
        };
        (distance < self.reach).then(|| (distance, self.origin + Point::at_angle(angle) * distance))
    }

    /// Metal in the direction `first`, else the nearest in a few: an angle and how far it is, the reach where none is seen.
    fn seen(&self, first: f64) -> Interval {
        let ahead = (first, self.metal_toward(first));
        if ahead.1 < self.reach {
            return ahead;
        }
        let others = (1..FEW).map(|index| first + f64::from(index) * TAU / f64::from(FEW));
        others
            .map(|angle| (angle, self.metal_toward(angle)))
            .fold(ahead, |a, b| if b.1 < a.1 { b } else { a })
    }

    /// The nearer of what was seen, an angle and how far it is, and the first of the places at which there is metal.
    fn nearest_of(&self, mut seen: Interval, places: &[(f64, f64)]) -> Interval {
        let mut last = None;
        for (way, middle) in places {
            if *way >= seen.1 {
                break;
            }
            if self.is_taken(*way, *middle, &mut last) {
                continue;
            }
            let aside = BESIDE.max((self.sliver * BESIDE_SLIVERS / way).min(MOST_BESIDE));
            for beside in [middle - aside, middle + aside] {
                let found = self.metal_toward(beside);
                if found < seen.1 {
                    seen = (beside, found);
                }
            }
        }
        seen
    }

    /// The nearest that is seen all round, closed in on from each direction from `first` on in which it is nearer than
    /// in those beside it: an angle and how far it is.
    fn closed_in(&self, first: f64) -> Option<Interval> {
        let step = TAU / f64::from(DIRECTIONS);
        let angle = |index: usize| first + index as f64 * step;
        let count = DIRECTIONS as usize;
        let ways: Vec<f64> = (0..count).map(|index| self.metal_toward(angle(index))).collect();
        let is_least = |index: &usize| {
            let (before, after) = (ways[(index + count - 1) % count], ways[(index + 1) % count]);
            ways[*index] <= before && ways[*index] <= after && ways[*index] < self.reach
        };
        let closed_in = (0..count).filter(is_least).map(|index| {
            let middle = angle(index);
            close_in((middle - step, middle + step), (middle, ways[index]), STEPS, |angle| {
                self.metal_toward(angle)
            })
        });
        closed_in.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// How far and in which directions metal nearer than `best` may be nearest, the nearest first: square to a rim, where
    /// two rims meet, and at a corner of the edge. Metal ends at rims and at the edge, so it is nearest at one of these.
    /// `None` where there are too many to look at.
    fn where_it_may_be(&self, best: f64) -> Option<Vec<(f64, f64)>> {
        let (rims, mut places) = self.rims(best)?;
        let near = best * HAIR + self.sliver;
        let nearer = |place: &Point| self.origin.distance(*place) < best - near;
        let ways: Vec<Interval> = rims.iter().map(|rim| rim.rail.seen_within(self.origin, best)).collect();
        for (at, rim) in rims.iter().enumerate() {
            let foot = rim.rail.foot(self.origin).into_iter();
            places.extend(foot.filter(nearer).filter(|place| rim.holds(*place, near)));
            // Those that lie in other directions do not meet so near.
            let beside = |other: &usize| lie_beside(ways[at], ways[*other]);
            for other in (at + 1..rims.len()).filter(beside).map(|other| &rims[other]) {
                let meets = rim.rail.meet(&other.rail).filter(nearer);
                places.extend(meets.filter(|place| rim.holds(*place, near) && other.holds(*place, near)));
            }
        }
        let way = |place: Point| (self.origin.distance(place), (place - self.origin).angle());
        let mut ways: Vec<(f64, f64)> = places.into_iter().filter(nearer).map(way).collect();
        ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(ways)
    }

    /// The rims that come nearer than `best`, with the corners of the edge round here; `None` where there are too many.
    fn rims(&self, best: f64) -> Option<(Vec<Rim<'_>>, Vec<Point>)> {
        let (mut rims, mut corners): (Vec<Rim<'_>>, Vec<Point>) = (Vec::new(), Vec::new());
        let comes_near =
            |rail: &Rail| rail.foot(self.origin).is_none_or(|foot| foot.distance(self.origin) < best);
        if self.clear.is_none() {
            self.edge.each_in(&Bounds::of([self.origin]).grown(best), |span| {
                let span = &self.edge.spans()[span];
                let rail = Rail::of(span).filter(comes_near);
                rims.extend(rail.map(|rail| Rim { rail, of: None }));
                corners.push(span.at(0.0));
            });
        }
        // Of a piece that holds the place in its depth the rim is farther off than `best`.
        let near = |piece: &&Slice| piece.off(self.origin).abs() < best;
        for piece in self.pieces.all().iter().filter(near) {
            // Levels one below the other sweep the same.
            if !rims.iter().any(|rim| rim.of.is_some_and(|of| of == piece)) {
                rims.extend(piece.rims().filter(comes_near).map(|rail| Rim { rail, of: Some(piece) }));
            }
            if rims.len() > MOST_RIMS {
                return None;
            }
        }
        Some((rims, corners))
    }

    /// Whether a piece takes a place with all round it: the one that took the last place, or else another.
    fn is_taken<'p>(&'p self, way: f64, angle: f64, last: &mut Option<&'p Slice>) -> bool {
        let place = self.origin + Point::at_angle(angle) * way;
        let takes = |piece: &&Slice| piece.off(place) < -self.sliver;
        if last.as_ref().is_some_and(takes) {
            return true;
        }
        let found = self.pieces.toward(angle).find(takes);
        *last = found.or(*last);
        found.is_some()
    }

    /// How far the first metal is in a direction; the reach where there is none within it.
    fn metal_toward(&self, angle: f64) -> f64 {
        let ray = Ray { origin: self.origin, along: Point::at_angle(angle) };
        let mut swept = Vec::new();
        for piece in self.pieces.toward(angle) {
            piece.along(&ray, &mut swept);
        }
        merge(&mut swept, self.sliver);
        let blank: Vec<Interval> = match self.clear {
            Some(true) => vec![(0.0, self.reach)],
            Some(false) => Vec::new(),
            None => ray.inside(self.edge),
        };
        let metal = without(&blank, &swept, self.sliver);
        let begins = metal.iter().find(|(_, to)| *to > 0.0).map_or(f64::INFINITY, |(from, _)| from.max(0.0));
        begins.min(self.reach)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, pt};
    use crate::testing::Random;

    /// Directions of the slow look all round.
    const ALL_ROUND: u32 = 20_000;
    /// A thing beside a direction is this much farther there: 2 pi / 20,000 of the way to it, or of its width.
    const OFF: f64 = 2e-3;

    fn piece(random: &mut Random, index: u32) -> Slice {
        let (from, to) = (random.place(), random.place());
        let (start, end) = (random.between(0.05, 0.4), random.between(0.05, 0.4));
        match index % 3 {
            0 => Slice::Capsule { from, start, to, end: start },
            1 => Slice::Capsule { from, start, to, end },
            _ => {
                let arc = Arc::new(from, 0.2 + end, random.between(-3.0, 3.0), random.between(-6.0, 6.0));
                Slice::Band { arc, radius: start }
            }
        }
    }

    impl Random {
        fn place(&mut self) -> Point {
            pt(self.between(-1.0, 1.0), self.between(-1.0, 1.0))
        }
    }

    #[test]
    fn the_nearest_metal_is_as_near_as_a_look_all_round_finds_it() {
        let edge = Path::closed(&[
            (pt(-1.0, -1.2), 0.0),
            (pt(1.1, -1.0), 0.3),
            (pt(0.9, 1.0), 0.0),
            (pt(0.0, 0.2), 0.0),
            (pt(-1.1, 1.0), 0.0),
        ])
        .expect("a path");
        let mut random = Random::new(77);
        for case in 0..300 {
            // what counts as rounding is larger beside small distances
            let sliver = if case % 2 == 0 { 1e-9 } else { 3e-8 };
            let count = 2 + case % 12;
            let mut pieces: Vec<Slice> = (0..count).map(|index| piece(&mut random, index)).collect();
            let origin = random.place();
            // The place lies in air.
            pieces.push(Slice::Capsule { from: origin, start: 0.1, to: origin, end: 0.1 });
            let swept = |_: usize, _: &Bounds, found: &mut Vec<Slice>| found.extend_from_slice(&pieces);
            let ray = Ray { origin, along: pt(1.0, 0.0) };
            let last = Cell::new(None);
            let mut round = Round::new(ray, &edge, (6.0, sliver), &swept, &last);
            let told = round.nearest(1, false);
            let all = Neighborhood { reach: 6.0, clear: None, ..round.within(6.0, 1) };
            let look = |index: u32| all.metal_toward(f64::from(index) * TAU / f64::from(ALL_ROUND));
            let seen = (0..ALL_ROUND).map(look).fold(6.0, f64::min);
            let Some((way, place)) = told else {
                assert!(seen >= 6.0, "case {case}: none told, seen at {seen}");
                continue;
            };
            assert!((way - seen).abs() < OFF && way < seen + 2e-6, "case {case}: {way} told, seen at {seen}");
            assert!((place.distance(origin) - way).abs() < 1e-9, "case {case}");
        }
    }
}
