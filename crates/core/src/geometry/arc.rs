//! Angles swept by circular arcs.

use std::f64::consts::TAU;

use super::{Bounds, Point};

/// A circular arc in plan, from an angle through a signed sweep (radians, positive counter-clockwise).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre.
    pub centre: Point,
    /// Radius, above 0.
    pub radius: f64,
    /// Angle of the start.
    pub from: f64,
    /// Angle swept; at most a full turn either way.
    pub sweep: f64,
}

impl Arc {
    /// The point a part `t` (0 to 1) of the way along.
    pub fn at(&self, t: f64) -> Point {
        self.centre + Point::at_angle(self.from + self.sweep * t) * self.radius
    }

    /// Whether the direction `angle` (radians) lies within the sweep, and how far along: a part from 0 to 1.
    pub fn part_at(&self, angle: f64) -> Option<f64> {
        let turn = if self.sweep >= 0.0 { angle - self.from } else { self.from - angle }.rem_euclid(TAU);
        let span = self.sweep.abs();
        (turn <= span).then(|| if span > 0.0 { turn / span } else { 0.0 })
    }

    /// Whether the direction `angle` lies within the sweep.
    pub fn covers(&self, angle: f64) -> bool {
        self.part_at(angle).is_some()
    }

    /// The smallest box round the arc.
    pub fn bounds(&self) -> Bounds {
        let quarters =
            (0..4).map(|quarter| f64::from(quarter) * TAU / 4.0).filter(|&angle| self.covers(angle));
        let extremes = quarters.map(|angle| self.centre + Point::at_angle(angle) * self.radius);
        Bounds::of([self.at(0.0), self.at(1.0)].into_iter().chain(extremes))
    }

    /// How many straight steps keep the chord within `tolerance` of the arc: steps of 2 acos(1 - t/R).
    pub fn steps(&self, tolerance: f64) -> usize {
        let part = (tolerance / self.radius).clamp(1e-12, 1.0);
        let step = 2.0 * (1.0 - part).acos();
        (self.sweep.abs() / step).ceil().clamp(1.0, 100_000.0) as usize
    }
}
