//! The nearest place round a station where metal ends, or in air the nearest metal, at one height.

use std::f64::consts::TAU;
use std::ops::Range;

use super::around::Around;
use super::golden::close_in;
use super::slice::Slice;
use crate::geometry::{Bounds, Interval, Path, Point, Ray, merge, without};

/// Directions in which metal is looked for at first.
const DIRECTIONS: u32 = 32;
/// Of these as many, the nearest ones, are closed in on.
const CLOSED_IN: usize = 3;
/// Steps of closing in: each leaves 0.62 of the angle.
const STEPS: usize = 25;
/// Metal is looked for within this part of all there is at first, then within twice as much, and so on.
const FIRST_REACH: f64 = 1.0 / 16.0;

/// Adds the pieces that a pass sweeps within a box, and may add others.
pub(crate) type SweptWithin<'a> = &'a dyn Fn(usize, &Bounds, &mut Vec<Slice>);

/// How far a place is, and where.
pub(super) type Found = (f64, Point);

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

impl<'a> Round<'a> {
    pub(crate) fn new(ray: Ray, edge: &'a Path, all: f64, sliver: f64, swept: SweptWithin<'a>) -> Self {
        Self { ray, edge, all, sliver, swept, known: None }
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
        loop {
            let found = self.within(reach, passes).nearest_metal(self.ray.along.angle());
            if found.is_some() || reach >= self.all {
                return found;
            }
            reach *= 2.0;
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
    /// The nearest metal, looked for in all directions from `first` on.
    fn nearest_metal(&self, first: f64) -> Option<Found> {
        let step = TAU / f64::from(DIRECTIONS);
        let ways: Vec<f64> =
            (0..DIRECTIONS).map(|index| self.metal_toward(first + f64::from(index) * step)).collect();
        let count = ways.len();
        let is_least = |index: &usize| {
            let (before, after) = (ways[(index + count - 1) % count], ways[(index + 1) % count]);
            ways[*index] <= before && ways[*index] <= after && ways[*index] < self.reach
        };
        let mut least: Vec<usize> = (0..count).filter(is_least).collect();
        least.sort_by(|a, b| ways[*a].total_cmp(&ways[*b]));
        let closed_in = least.into_iter().take(CLOSED_IN).map(|index| {
            let middle = first + index as f64 * step;
            close_in((middle - step, middle + step), (middle, ways[index]), STEPS, |angle| {
                self.metal_toward(angle)
            })
        });
        let (angle, distance) = closed_in.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((distance, self.origin + Point::at_angle(angle) * distance))
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
