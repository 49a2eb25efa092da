//! Circular arcs, and the directions they sweep.

use std::f64::consts::{PI, TAU};

use super::{Bounds, Point};

/// A circular arc in plan, from an angle through a signed sweep (radians, positive counter-clockwise). Made by
/// [`Arc::new`] and not changed: the directions of its ends go with its angles, since they are asked for far more often
/// than arcs are made.
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
    /// Unit vectors from the centre to the start and to the end.
    spokes: [Point; 2],
}

impl Arc {
    /// The arc about a centre, from an angle through a signed sweep, both in radians.
    pub fn new(centre: Point, radius: f64, from: f64, sweep: f64) -> Self {
        let spokes = [Point::at_angle(from), Point::at_angle(from + sweep)];
        Self { centre, radius, from, sweep, spokes }
    }

    /// The same from the same start through another sweep.
    #[must_use]
    pub fn swept(&self, sweep: f64) -> Self {
        Self::new(self.centre, self.radius, self.from, sweep)
    }

    /// The same at another radius.
    #[must_use]
    pub fn of_radius(&self, radius: f64) -> Self {
        Self { radius, ..*self }
    }

    /// From one part (0 to 1) of the way along to another.
    #[must_use]
    pub fn between(&self, from: f64, to: f64) -> Self {
        if (from, to) == (0.0, 1.0) {
            return *self;
        }
        Self::new(self.centre, self.radius, self.from + self.sweep * from, self.sweep * (to - from))
    }

    /// The point a part `t` (0 to 1) of the way along.
    pub fn at(&self, t: f64) -> Point {
        self.centre + Point::at_angle(self.from + self.sweep * t) * self.radius
    }

    /// Its start and its end.
    pub fn ends(&self) -> [Point; 2] {
        self.spokes.map(|spoke| self.centre + spoke * self.radius)
    }

    /// Unit vectors from the centre to the start and to the end.
    pub const fn spokes(&self) -> [Point; 2] {
        self.spokes
    }

    /// Whether the direction `angle` (radians) lies within the sweep, and how far along: a part from 0 to 1.
    pub fn part_at(&self, angle: f64) -> Option<f64> {
        let turn = if self.sweep >= 0.0 { angle - self.from } else { self.from - angle }.rem_euclid(TAU);
        let span = self.sweep.abs();
        (turn <= span).then(|| if span > 0.0 { turn / span } else { 0.0 })
    }

    /// Whether a point lies within the sweep as seen from the centre. The centre itself does.
    pub fn covers(&self, p: Point) -> bool {
        let way = p - self.centre;
        let [first, last] = if self.sweep >= 0.0 { self.spokes } else { [self.spokes[1], self.spokes[0]] };
        let (behind_first, before_last) = (first.cross(way), way.cross(last));
        let span = self.sweep.abs();
        if span > PI {
            return span >= TAU || behind_first >= 0.0 || before_last >= 0.0;
        }
        // Of a sweep of next to nothing the far side is on both lines as well.
        behind_first >= 0.0 && before_last >= 0.0 && (span > 1.0 || way.dot(first) >= 0.0)
    }

    /// Distance from a point to the nearest place of the arc.
    pub fn distance(&self, p: Point) -> f64 {
        if self.covers(p) {
            return (p.distance(self.centre) - self.radius).abs();
        }
        let [start, end] = self.ends();
        p.distance(start).min(p.distance(end))
    }

    /// The smallest box round the arc.
    pub fn bounds(&self) -> Bounds {
        let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let extremes = quarters.map(|(x, y)| self.centre + Point { x, y } * self.radius);
        let [start, end] = self.ends();
        Bounds::of([start, end].into_iter().chain(extremes.into_iter().filter(|at| self.covers(*at))))
    }

    /// How many straight steps keep the chord within `tolerance` of the arc.
    pub fn steps(&self, tolerance: f64) -> usize {
        steps(self.radius, self.sweep, tolerance)
    }
}

/// How many straight steps keep the chord within `tolerance` of an arc: steps of 2 acos(1 - t/R).
pub fn steps(radius: f64, sweep: f64, tolerance: f64) -> usize {
    let part = (tolerance / radius).clamp(1e-12, 1.0);
    let step = 2.0 * (1.0 - part).acos();
    (sweep.abs() / step).ceil().clamp(1.0, 100_000.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    #[test]
    fn what_is_covered_agrees_with_its_angle() {
        let sweeps = [0.0, 1e-9, 0.3, 1.0, 1.5, PI, 3.5, 5.0, 6.0, TAU];
        for sweep in sweeps.into_iter().flat_map(|sweep| [sweep, -sweep]) {
            for start in 0..24 {
                let arc = Arc::new(pt(0.3, -0.2), 1.7, f64::from(start) * 0.31 - PI, sweep);
                for step in 0..720 {
                    let angle = f64::from(step) * TAU / 720.0 + 1e-4;
                    let turn =
                        (if sweep >= 0.0 { angle - arc.from } else { arc.from - angle }).rem_euclid(TAU);
                    if (turn - sweep.abs()).abs() < 1e-7 || turn.min(TAU - turn) < 1e-7 {
                        continue;
                    }
                    let p = arc.centre + Point::at_angle(angle) * 0.8;
                    assert_eq!(arc.covers(p), arc.part_at(angle).is_some(), "{arc:?} at {angle}");
                }
            }
        }
    }

    #[test]
    fn a_part_and_the_ends_lie_on_the_arc() {
        let arc = Arc::new(pt(1.0, 2.0), 0.5, 0.4, -2.0);
        let part = arc.between(0.25, 0.75);
        for (got, at) in part.ends().into_iter().chain(arc.ends()).zip([0.25, 0.75, 0.0, 1.0]) {
            assert!(got.distance(arc.at(at)) < 1e-15, "{at}");
        }
        assert_eq!(arc.swept(1.0).ends()[0], arc.ends()[0]);
        assert!((arc.of_radius(1.0).distance(pt(1.0, 2.0)) - 1.0).abs() < 1e-15);
    }
}
