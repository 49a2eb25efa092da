//! Short level moves that follow one another, taken together where a ray goes right through what they sweep.
//!
//! ```text
//!            ray
//!             |  _____
//!        ___--|--     --___      the way of the cutter's middle, in many short moves
//!      --     |            --
//!             |                  where all of them lie nearer to the line of the ray than the radius, every circle
//!                                meets it, and so does the next one: together they are one stretch of it
//! ```
//!
//! That stretch goes from the least to the most of any move, and a move that can reach neither farther is passed over.

use std::ops::Range;

use super::pass::Carried;
use crate::geometry::{Interval, Point, Ray, Span};
use crate::tool::Profile;

/// The motions near a ray, those that follow one another at one height together.
#[derive(Debug, Clone)]
pub(super) struct Trains<'a> {
    ray: Ray,
    moves: Vec<Seen<'a>>,
    ranges: Vec<Range<usize>>,
}

/// A motion as it lies to a ray.
#[derive(Debug, Clone, Copy)]
struct Seen<'a> {
    carried: &'a Carried,
    /// Where the cutter's middle lies along the ray, and to its left; of a straight motion alone.
    along: Interval,
    aside: Interval,
}

impl<'a> Seen<'a> {
    fn new(carried: &'a Carried, ray: &Ray) -> Self {
        let places = [carried.motion.start.plan(), carried.motion.end.plan()].map(|p| p - ray.origin);
        let [along, aside] =
            [|ray: &Ray, p: Point| ray.along.dot(p), |ray: &Ray, p: Point| ray.along.cross(p)]
                .map(|how| places.map(|p| how(ray, p)))
                .map(|[a, b]| (a.min(b), a.max(b)));
        Self { carried, along, aside }
    }

    fn is_straight_and_level(&self) -> bool {
        let motion = &self.carried.motion;
        motion.start.z == motion.end.z && matches!(self.carried.plan, Span::Line { .. })
    }

    fn is_followed_by(&self, next: &Self) -> bool {
        self.is_straight_and_level()
            && next.is_straight_and_level()
            && self.carried.motion.end == next.carried.motion.start
    }

    /// Whether the circle meets the ray all along the motion.
    fn is_met_by(&self, radius: f64) -> bool {
        self.aside.0 > -radius && self.aside.1 < radius
    }

    /// How near its middle comes to the line of the ray.
    fn off(&self) -> f64 {
        if self.aside.0 <= 0.0 && self.aside.1 >= 0.0 {
            0.0
        } else {
            self.aside.0.abs().min(self.aside.1.abs())
        }
    }

    /// Whether it may reach beyond an interval of the ray: no circle of it goes farther along the ray than its middle
    /// does, and half the chord that the line of the ray cuts out of it.
    fn may_widen(&self, all: Interval, radius: f64) -> bool {
        let off = self.off();
        let half = radius * radius - off * off;
        let reaches = |from_middle: f64| from_middle < 0.0 || from_middle * from_middle < half;
        reaches(self.along.0 - all.0) || reaches(all.1 - self.along.1)
    }

    fn swept(&self, radius: f64, ray: &Ray) -> Option<Interval> {
        let motion = &self.carried.motion;
        let (from, to) = (motion.start.plan(), motion.end.plan());
        ray.in_capsule(from, radius, to, radius)
    }
}

impl<'a> Trains<'a> {
    /// The motions, in order, as they lie to a ray.
    pub(super) fn new(motions: Vec<&'a Carried>, ray: &Ray) -> Self {
        let moves: Vec<Seen<'a>> = motions.into_iter().map(|carried| Seen::new(carried, ray)).collect();
        let mut ranges = Vec::new();
        let mut first = 0;
        for train in moves.chunk_by(Seen::is_followed_by) {
            ranges.push(first..first + train.len());
            first += train.len();
        }
        Self { ray: *ray, moves, ranges }
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.ranges.len()
    }

    pub(super) fn is_empty(&self) -> bool {
        self.ranges.is_empty()
    }

    /// Every motion, in order.
    pub(super) fn motions(&self) -> impl Iterator<Item = &'a Carried> {
        self.moves.iter().map(|seen| seen.carried)
    }

    /// One motion of each train: all of them have its heights.
    pub(super) fn firsts(&self) -> impl Iterator<Item = &'a Carried> {
        self.ranges.iter().map(|train| self.moves[train.start].carried)
    }

    /// Adds what a cutter sweeps of the ray at a height, not merged.
    pub(super) fn sweep(&self, profile: &Profile, (height, follow): (f64, f64), swept: &mut Vec<Interval>) {
        for train in &self.ranges {
            let moves = &self.moves[train.clone()];
            let [first, _, ..] = moves else {
                for one in moves {
                    one.carried.sweep(profile, (height, follow), &self.ray, swept);
                }
                continue;
            };
            let above = height - first.carried.motion.start.z;
            if let Some(radius) = profile.radius_at(above).filter(|_| above >= 0.0) {
                self.together(moves, radius, swept);
            }
        }
    }

    fn together(&self, moves: &[Seen<'a>], radius: f64, swept: &mut Vec<Interval>) {
        for part in moves.chunk_by(|a, b| a.is_met_by(radius) == b.is_met_by(radius)) {
            let met = part.first().is_some_and(|seen| seen.is_met_by(radius));
            // The nearest first: it goes about as far as any.
            let nearest = part.iter().min_by(|a, b| a.off().total_cmp(&b.off())).filter(|_| met);
            let Some(mut all) = nearest.and_then(|seen| seen.swept(radius, &self.ray)) else {
                swept.extend(part.iter().filter_map(|seen| seen.swept(radius, &self.ray)));
                continue;
            };
            for seen in part {
                if seen.may_widen(all, radius)
                    && let Some((from, to)) = seen.swept(radius, &self.ray)
                {
                    all = (all.0.min(from), all.1.max(to));
                }
            }
            swept.push(all);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{merge, pt, pt3};
    use crate::program::{Kind, Motion};
    use crate::testing::Random;
    use crate::tool::Form;
    use crate::track::plan_span;

    /// Ways of short moves that wander, some out of reach and back, some up and down, against each move by itself.
    #[test]
    fn trains_sweep_what_their_motions_do() {
        let mut random = Random::new(31);
        let ray = Ray { origin: pt(0.3, -0.2), along: pt(0.6, 0.8) };
        let forms = [
            Form::Flat { diameter: 0.5 },
            Form::Ball { diameter: 0.4 },
            Form::Undercut { diameter: 0.7, angle: 10.0, height: 0.3 },
        ];
        let mut met = 0;
        for round in 0..400 {
            let form = &forms[round % forms.len()];
            let profile = form.profile();
            let (mut at, mut heading) =
                (pt3(random.between(-0.6, 0.6), random.between(-0.6, 0.6), -0.5), 0.0);
            let step = 10.0_f64.powf(random.between(-3.0, -0.5));
            let mut moves = Vec::new();
            for _ in 0..60 {
                heading += random.between(-0.5, 0.5);
                let way = Point::at_angle(heading) * step;
                let climbs = random.between(0.0, 1.0) < 0.05;
                let z = if climbs { random.between(-0.6, -0.4) } else { at.z };
                let to = pt3(at.x + way.x, at.y + way.y, z);
                let motion = Motion::straight(at, to, Kind::Feed);
                moves.push(Carried { motion, plan: plan_span(&motion) });
                at = to;
            }
            let trains = Trains::new(moves.iter().collect(), &ray);
            assert!(trains.len() < moves.len());
            for height in [-0.55, -0.5, -0.41, -0.3, -0.1] {
                let (mut together, mut each) = (Vec::new(), Vec::new());
                trains.sweep(&profile, (height, 1e-5), &mut together);
                for one in &moves {
                    one.sweep(&profile, (height, 1e-5), &ray, &mut each);
                }
                merge(&mut together, 1e-12);
                merge(&mut each, 1e-12);
                met += each.len();
                assert_eq!(together.len(), each.len(), "round {round} at {height}: {together:?} {each:?}");
                for (a, b) in together.iter().zip(&each) {
                    assert!((a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12, "{round}: {a:?} {b:?}");
                }
            }
        }
        assert!(met > 500, "{met} stretches were met");
    }
}
