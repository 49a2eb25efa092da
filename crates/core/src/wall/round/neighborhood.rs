//! The metal within a distance of a place, and the nearest of it.

use super::Found;
use super::squares::Squares;
use crate::geometry::{Interval, Path, Point, Ray, merge, without};
use crate::wall::slice::Slice;

/// The metal within a distance of the station.
pub(super) struct Neighborhood<'a> {
    pub(super) origin: Point,
    pub(super) edge: &'a Path,
    /// The distance.
    pub(super) reach: f64,
    /// It is known that there is no metal within this distance.
    pub(super) bare: f64,
    /// Pieces of metal thinner than this are rounding.
    pub(super) sliver: f64,
    /// Whether the blank's edge is farther away than the reach, and if so, whether all within it is blank.
    pub(super) clear: Option<bool>,
    /// What the passes sweep within the reach.
    pub(super) pieces: Vec<Slice>,
    /// How far the place lies outside each of them.
    pub(super) offs: Vec<f64>,
}

impl Neighborhood<'_> {
    /// The nearest metal: what is seen in the direction `first`, unless there is nearer.
    pub(super) fn nearest_metal(&self, first: f64) -> Option<Found> {
        let (angle, distance) = Squares::new(self, (first, self.metal_toward(first))).nearest();
        (distance < self.reach).then(|| (distance, self.origin + Point::at_angle(angle) * distance))
    }

    /// How far the first metal is in a direction; the reach where there is none within it.
    pub(super) fn metal_toward(&self, angle: f64) -> f64 {
        let ray = self.toward(angle);
        let blank: Vec<Interval> = match self.clear {
            Some(true) => vec![(0.0, self.reach)],
            Some(false) => Vec::new(),
            None => ray.inside(self.edge),
        };
        let metal = self.left_of(&blank, &ray, &self.pieces);
        let begins = metal.iter().find(|(_, to)| *to > 0.0).map_or(f64::INFINITY, |(from, _)| from.max(0.0));
        begins.min(self.reach)
    }

    /// From the station in a direction.
    pub(super) fn toward(&self, angle: f64) -> Ray {
        Ray { origin: self.origin, along: Point::at_angle(angle) }
    }

    /// What pieces leave of the blank along a ray.
    pub(super) fn left_of<'p>(
        &self,
        blank: &[Interval],
        ray: &Ray,
        pieces: impl IntoIterator<Item = &'p Slice>,
    ) -> Vec<Interval> {
        let mut swept = Vec::new();
        for piece in pieces {
            piece.along(ray, &mut swept);
        }
        merge(&mut swept, self.sliver);
        without(blank, &swept, self.sliver)
    }
}
