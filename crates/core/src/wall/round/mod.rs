//! The nearest place round a station where metal ends, or in air the nearest metal, at one height.

mod neighborhood;
mod squares;

use std::cell::Cell;
use std::ops::Range;

use super::slice::Slice;
use crate::geometry::{Bounds, Interval, Path, Point, Ray};
use neighborhood::Neighborhood;

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
        let mut bare = 0.0;
        loop {
            let found = self.within((bare, reach), passes).nearest_metal(first);
            if found.is_some() {
                self.last.set(found);
            }
            if found.is_some() || reach >= self.all {
                return found;
            }
            (bare, reach) = (reach, reach * FARTHER);
        }
    }

    fn within(&self, (bare, reach): Interval, passes: usize) -> Neighborhood<'a> {
        let origin = self.ray.origin;
        let bounds = Bounds::of([origin]).grown(reach);
        let mut pieces = Vec::new();
        for pass in 0..passes {
            (self.swept)(pass, &bounds, &mut pieces);
        }
        let mut offs = Vec::with_capacity(pieces.len());
        pieces.retain(|piece| {
            let off = piece.off(origin);
            let is_near = off < reach;
            if is_near {
                offs.push(off);
            }
            is_near
        });
        let in_blank = || self.ray.inside(self.edge).iter().any(|(from, to)| *from <= 0.0 && *to >= 0.0);
        let clear = (self.edge.distance(origin) > reach).then(in_blank);
        Neighborhood { origin, edge: self.edge, reach, bare, sliver: self.sliver, clear, pieces, offs }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

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

    fn edge() -> Path {
        Path::closed(&[
            (pt(-1.0, -1.2), 0.0),
            (pt(1.1, -1.0), 0.3),
            (pt(0.9, 1.0), 0.0),
            (pt(0.0, 0.2), 0.0),
            (pt(-1.1, 1.0), 0.0),
        ])
        .expect("a path")
    }

    /// Holds what is told of a place in the air that the pieces leave against a slow look all round.
    fn hold(case: u32, pieces: &[Slice], origin: Point, sliver: f64) {
        let edge = edge();
        let swept = |_: usize, _: &Bounds, found: &mut Vec<Slice>| found.extend_from_slice(pieces);
        let ray = Ray { origin, along: pt(1.0, 0.0) };
        let last = Cell::new(None);
        let mut round = Round::new(ray, &edge, (6.0, sliver), &swept, &last);
        let told = round.nearest(1, false);
        let all = Neighborhood { reach: 6.0, clear: None, ..round.within((0.0, 6.0), 1) };
        let look = |index: u32| all.metal_toward(f64::from(index) * TAU / f64::from(ALL_ROUND));
        let seen = (0..ALL_ROUND).map(look).fold(6.0, f64::min);
        let Some((way, place)) = told else {
            assert!(seen >= 6.0, "case {case}: none told, seen at {seen}");
            return;
        };
        assert!((way - seen).abs() < OFF && way < seen + 2e-6, "case {case}: {way} told, seen at {seen}");
        assert!((place.distance(origin) - way).abs() < 1e-9, "case {case}");
    }

    #[test]
    fn the_nearest_metal_is_as_near_as_a_look_all_round_finds_it() {
        let mut random = Random::new(77);
        for case in 0..300 {
            // what counts as rounding is larger beside small distances
            let sliver = if case % 2 == 0 { 1e-9 } else { 3e-8 };
            let count = 2 + case % 12;
            let mut pieces: Vec<Slice> = (0..count).map(|index| piece(&mut random, index)).collect();
            let origin = random.place();
            // The place lies in air.
            pieces.push(Slice::Capsule { from: origin, start: 0.1, to: origin, end: 0.1 });
            hold(case, &pieces, origin, sliver);
        }
    }

    /// A path of many short moves, in two levels, the lower one of which may be wider or narrower.
    #[test]
    fn of_many_short_moves_every_rim_counts() {
        let mut random = Random::new(78);
        for case in 0..12 {
            let (radius, step) = (random.between(0.08, 0.3), random.between(0.002, 0.02));
            let lower = radius * [1.0, 1.01, 0.98, 1.0 + 1e-6][case as usize % 4];
            let (origin, mut heading) = (random.place(), random.between(-3.0, 3.0));
            let (mut at, mut pieces) = (origin, Vec::new());
            for _ in 0..400 {
                heading += random.between(-0.15, 0.2);
                let to = at + Point::at_angle(heading) * step;
                let capsule = |radius: f64| Slice::Capsule { from: at, start: radius, to, end: radius };
                pieces.extend([capsule(radius), capsule(lower)]);
                at = to;
            }
            hold(case, &pieces, origin, 1e-9);
        }
    }

    /// A cutter carried round an arc of nearly its own radius: the ends of the arc leave a corner of metal a hair from its
    /// centre, and along directions close to that of the corner it is as thin as rounding.
    #[test]
    fn metal_right_beside_a_place_is_found() {
        let origin = pt(20.533_361_320_752_594, -2.825_246_461_743_807_6);
        let centre = pt(20.533_408_769_489_746, -2.825_245_618_585_649);
        let arc = Arc::new(centre, 4.762_477_746_086_145, 0.977_524_316_214_287_6, -2.274_813_722_997_184_8);
        let edge = Path::closed(
            &[(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)].map(|(x, y)| (pt(x, y), 0.0)),
        );
        let edge = edge.expect("a path");
        let line = |from: Point, to: Point| Slice::Capsule { from, start: 4.7625, to, end: 4.7625 };
        let pieces = [
            line(pt(21.8198, -7.4107), pt(-14.7134, -17.6597)),
            Slice::Band { arc, radius: 4.7625 },
            line(pt(10.2724, 9.8379), pt(23.196, 1.1234)),
        ];
        let swept = |_: usize, _: &Bounds, found: &mut Vec<Slice>| found.extend_from_slice(&pieces);
        let last = Cell::new(None);
        let mut round = Round::new(Ray { origin, along: pt(1.0, 0.0) }, &edge, (80.0, 2.5e-8), &swept, &last);
        let (way, _) = round.nearest(1, false).expect("metal");
        assert!((way - 1.048e-5).abs() < 2e-7, "{way}");
    }
}
