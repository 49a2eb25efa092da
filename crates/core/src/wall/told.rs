//! How far metal stands at a station, as it is told.

use std::cell::Cell;
use std::f64::consts::TAU;

use crate::geometry::{Interval, Path, Point, Ray, pt};

/// Directions in which the nearest place is looked for at first.
const DIRECTIONS: u32 = 32;
/// Of these as many, the nearest ones, are closed in on.
const CLOSED_IN: usize = 3;
/// Steps of closing in: each leaves 0.62 of the angle.
const STEPS: usize = 30;
/// A look goes so many times as far as the way was in the direction before, and at least this part of all there is.
const FARTHER: f64 = 1.5;
const LEAST_FAR: f64 = 0.01;
/// The part of an interval that a step of the golden section leaves.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Where metal ends at a station, as it is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// Outward positive: to where the metal ends that the station lies in; in air, minus the way to the metal.
    pub leave: f64,
    /// How far outside the outline the place lies that is told of. The same but next to a corner, where a place of
    /// another side may be the nearest.
    pub face: f64,
}

impl Told {
    const fn on_ray(leave: f64) -> Self {
        Self { leave, face: leave }
    }
}

/// The line square to the outline at a station, and how far it belongs to it.
#[derive(Debug, Clone)]
pub(crate) struct Site<'a> {
    /// The outline.
    pub(crate) outline: &'a Path,
    /// From the station outward.
    pub(crate) ray: Ray,
    /// To the next crossing of the outline on either side.
    pub(crate) reach: Interval,
    /// What differs by less is the same.
    tolerance: f64,
    /// How far out, and in, no other side of the outline is known to be nearer; and from where one is.
    own: [Cell<Interval>; 2],
}

/// What stands along a ray from its origin, as far as the second says; nothing counts that lies farther out.
pub(crate) type Standing<'a> = &'a dyn Fn(&Ray, f64) -> Vec<Interval>;

impl<'a> Site<'a> {
    pub(crate) fn new(outline: &'a Path, ray: Ray, reach: Interval, tolerance: f64) -> Self {
        let own = || Cell::new((0.0, f64::INFINITY));
        Self { outline, ray, reach, tolerance, own: [own(), own()] }
    }

    /// Whether of all sides of the outline the station's own is the nearest at distance `at` along the ray. Next to a
    /// corner and in a notch it is so for a short way only.
    pub(crate) fn is_own(&self, at: f64) -> bool {
        let known = &self.own[usize::from(at < 0.0)];
        let (yes, no) = known.get();
        let way = at.abs();
        if way <= yes {
            return true;
        }
        if way >= no {
            return false;
        }
        // As far as no other side is nearer at one place, none is at any place before it.
        let own = self.outline.distance(self.ray.at(at)) >= way - self.tolerance;
        known.set(if own { (way, no) } else { (yes, way) });
        own
    }

    /// What is told of the metal `along` the ray. Where the ray runs along another side, or out through a notch, the
    /// way to the nearest place where metal ends counts, or in air to the nearest metal; `nearest` looks for it.
    pub(crate) fn told(
        &self,
        along: &[Interval],
        nearest: impl FnOnce(bool) -> Option<(f64, Point)>,
    ) -> Told {
        let here = along.iter().find(|(start, end)| *start <= 0.0 && *end > 0.0);
        let end = match here {
            Some((_, end)) => Some(*end).filter(|end| *end <= self.reach.1),
            None => behind(along).filter(|end| *end >= self.reach.0),
        };
        if let Some(end) = end.filter(|end| self.is_own(*end)) {
            return Told::on_ray(end);
        }
        let in_metal = here.is_some();
        let (sign, farthest) = if in_metal { (1.0, self.reach.1) } else { (-1.0, -self.reach.0) };
        let Some((way, place)) = nearest(in_metal) else {
            return Told::on_ray(end.unwrap_or(sign * farthest));
        };
        let on_ray = end.map_or(f64::INFINITY, f64::abs);
        if on_ray <= way {
            return Told { leave: sign * on_ray, face: self.outside(self.ray.at(sign * on_ray)) };
        }
        Told { leave: sign * way, face: self.outside(place) }
    }

    /// How far outside the outline a place lies, negative inside.
    fn outside(&self, place: Point) -> f64 {
        let distance = self.outline.distance(place);
        let ray = Ray { origin: place, along: pt(1.0, 0.0) };
        let inside = ray.inside(self.outline).iter().any(|(from, to)| *from <= 0.0 && *to >= 0.0);
        if inside { -distance } else { distance }
    }

    /// The nearest place round the station where metal ends, or in air the nearest metal, within `within`: how far it
    /// is, and where. Looked for in all directions.
    pub(crate) fn nearest(
        &self,
        in_metal: bool,
        within: f64,
        standing: Standing<'_>,
    ) -> Option<(f64, Point)> {
        // Looked at only a little farther out than the way was in the direction before; farther where that is not enough.
        let last = Cell::new(within);
        let way = |angle: f64| {
            let ray = Ray { origin: self.ray.origin, along: Point::at_angle(angle) };
            let look = |far: f64| {
                let metal = standing(&ray, far);
                if in_metal { ends(&metal) } else { begins(&metal) }
            };
            let near = last.get() * FARTHER;
            let found = if near < within { Some(look(near)).filter(|found| *found < near) } else { None };
            let found = found.unwrap_or_else(|| look(within)).min(within);
            // In metal right up to the station, the next direction may still have a way.
            last.set(found.max(within * LEAST_FAR));
            found
        };
        let start = self.ray.along.angle();
        let step = TAU / f64::from(DIRECTIONS);
        let ways: Vec<f64> = (0..DIRECTIONS).map(|index| way(start + f64::from(index) * step)).collect();
        let count = ways.len();
        let is_least = |index: &usize| {
            let (before, after) = (ways[(index + count - 1) % count], ways[(index + 1) % count]);
            ways[*index] <= before && ways[*index] <= after && ways[*index] < within
        };
        let mut least: Vec<usize> = (0..count).filter(is_least).collect();
        least.sort_by(|a, b| ways[*a].total_cmp(&ways[*b]));
        let closed_in = least.into_iter().take(CLOSED_IN).map(|index| {
            let middle = start + index as f64 * step;
            close_in((middle - step, middle + step), (middle, ways[index]), &way)
        });
        let (angle, distance) = closed_in.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((distance, self.ray.origin + Point::at_angle(angle) * distance))
    }
}

/// The least of a function between two places, by the golden section, from a first `best` place and value.
fn close_in((mut low, mut high): Interval, mut best: Interval, value: &impl Fn(f64) -> f64) -> Interval {
    let inner = |low: f64, high: f64| (high - (high - low) * GOLDEN, low + (high - low) * GOLDEN);
    let (mut a, mut b) = inner(low, high);
    let (mut at_a, mut at_b) = (value(a), value(b));
    for _ in 0..STEPS {
        for (place, found) in [(a, at_a), (b, at_b)] {
            if found < best.1 {
                best = (place, found);
            }
        }
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = inner(low, high).0;
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = inner(low, high).1;
            at_b = value(b);
        }
    }
    best
}

/// The end of the first metal behind the origin.
pub(super) fn behind(metal: &[Interval]) -> Option<f64> {
    metal.iter().rev().map(|(_, end)| *end).find(|end| *end <= 0.0)
}

/// Where the metal ends ahead that the origin lies in; 0 in air.
fn ends(metal: &[Interval]) -> f64 {
    metal.iter().find(|(start, end)| *start <= 0.0 && *end > 0.0).map_or(0.0, |(_, end)| *end)
}

/// Where metal begins ahead; 0 in metal.
fn begins(metal: &[Interval]) -> f64 {
    metal.iter().find(|(_, end)| *end > 0.0).map_or(f64::INFINITY, |(start, _)| start.max(0.0))
}
