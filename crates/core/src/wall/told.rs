//! How far metal stands at a station, as it is told.

use std::cell::Cell;

use crate::geometry::{Interval, Path, Point, Ray};

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
        if self.outline.holds(place) { -distance } else { distance }
    }
}

/// The end of the first metal behind the origin.
pub(super) fn behind(metal: &[Interval]) -> Option<f64> {
    metal.iter().rev().map(|(_, end)| *end).find(|end| *end <= 0.0)
}
