//! The room a lobe takes on one motion, asked column by column: for slopes that have no closed form.

use std::f64::consts::TAU;

use super::cutter::Lobe;
use crate::geometry::{Arc, Bounds, Point, Point3, Span};
use crate::program::{Curve, Motion};
use crate::search::{least, least_in_valley};
use crate::track::plan_bounds;

/// Rounding that keeps the ends of a part of a motion within reach of the column.
const INWARD: f64 = 1.0 - 1e-12;

/// A lobe carried along one motion (straight, or an arc in the XY plane).
#[derive(Debug, Clone)]
pub(super) struct Sweep {
    start: Point3,
    end: Point3,
    arc: Option<Arc>,
    radius: f64,
    bounds: Bounds,
    /// Whether it is a rapid's, whose cutter is taken a little narrower.
    pub(super) rapid: bool,
}

/// A part of a motion, from 0 to 1.
type Part = (f64, f64);

impl Sweep {
    pub(super) fn new(motion: &Motion, lobe: &Lobe, rapid: bool) -> Self {
        let radius = lobe.radius();
        Self {
            start: motion.start,
            end: motion.end,
            arc: Self::arc_of(motion),
            radius,
            bounds: plan_bounds(motion).grown(radius),
            rapid,
        }
    }

    /// The motion's arc in plan, when it is one.
    pub(super) fn arc_of(motion: &Motion) -> Option<Arc> {
        let Curve::Arc { centre, sweep, .. } = motion.curve else { return None };
        let spoke = motion.start.plan() - centre;
        let arc = Arc::new(centre, spoke.length(), spoke.angle(), sweep);
        (arc.radius > 0.0 && sweep != 0.0).then_some(arc)
    }

    /// The lowest the tip comes.
    pub(super) fn lowest(&self) -> f64 {
        self.start.z.min(self.end.z)
    }

    /// The box round it in plan.
    pub(super) fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Whether any of it may lie within `reach` of `p` in plan. May say yes too often, never no.
    pub(super) fn may_reach(&self, p: Point, reach: f64) -> bool {
        self.distance(p) <= self.radius + reach
    }

    /// Distance in plan from a point to the path.
    pub(super) fn distance(&self, p: Point) -> f64 {
        let line = || Span::Line { from: self.start.plan(), to: self.end.plan() };
        self.arc.map_or_else(line, Span::Arc).distance(p)
    }

    /// Calls `visit` with each height range that the lobe takes over a column, one for each part of the motion
    /// during which it stands over it. While it does, its range moves without jumps, so that it takes all from
    /// the lowest of its underside to the highest of its roof.
    pub(super) fn ranges(&self, lobe: &Lobe, p: Point, mut visit: impl FnMut(f64, f64)) {
        if self.start.plan() == self.end.plan() && self.arc.is_none() {
            let away = p.distance(self.start.plan());
            if away <= self.radius {
                let highest = self.start.z.max(self.end.z);
                visit(self.lowest() + lobe.underside(away), highest + lobe.roof(away));
            }
            return;
        }
        let away = self.away_from(p);
        let z = |at: f64| self.start.z + (self.end.z - self.start.z) * at;
        let underside = |at: f64| z(at) + lobe.underside(away(at));
        let roof = |at: f64| -(z(at) + lobe.roof(away(at)));
        let nearest = self.nearest(p);
        for part in self.parts_within(p, self.radius).into_iter().flatten() {
            let [before, behind] = split_at(part, nearest);
            // Toward the nearest place the underside falls and the roof rises: on the side from which the motion comes
            // down nothing is lower than there, on the other nothing higher.
            let (lower, upper) = if self.end.z < self.start.z { (behind, before) } else { (before, behind) };
            let low = if self.arc.is_none() && lobe.is_hollow() {
                least_in_valley(underside, lower)
            } else {
                least(underside, lower, &self.knots(lobe, p, lower))
            };
            let high = if lobe.has_roof() {
                -least(roof, upper, &self.knots(lobe, p, upper))
            } else {
                f64::INFINITY
            };
            visit(low, high);
        }
    }

    /// How far the axis is from a column at each part of the way, at most the radius.
    ///
    /// On an arc of radius R, from a column at F from its centre and u off its direction: by the law of cosines, written
    /// with the half angle so that nothing is lost where the two are close, (F - R)^2 + 4 F R sin^2(u/2).
    fn away_from(&self, p: Point) -> impl Fn(f64) -> f64 {
        let radius = self.radius;
        let turned = self.arc.map(|arc| {
            let spoke = p - arc.centre;
            let far = spoke.length();
            (arc.sweep, spoke.angle() - arc.from, (far - arc.radius).powi(2), 4.0 * far * arc.radius)
        });
        let (from, way) = (self.start.plan() - p, self.end.plan() - self.start.plan());
        move |at| match turned {
            Some((sweep, ahead, apart, round)) => {
                (apart + round * ((sweep * at - ahead) / 2.0).sin().powi(2)).sqrt().min(radius)
            }
            None => (from + way * at).length().min(radius),
        }
    }

    /// Where in a part the column passes from one line or arc of the silhouette to the next, and where the tool
    /// is nearest.
    fn knots(&self, lobe: &Lobe, p: Point, part: Part) -> Vec<f64> {
        let within = |at: &f64| *at > part.0 && *at < part.1;
        let joints = lobe.joints().filter(|radius| *radius > 0.0 && *radius < self.radius);
        let crossings = joints.flat_map(|radius| self.parts_within(p, radius)).flatten();
        let mut knots: Vec<f64> =
            crossings.flat_map(|(from, to)| [from, to]).chain(self.nearest(p)).collect();
        knots.retain(within);
        knots.sort_by(f64::total_cmp);
        knots.dedup();
        knots
    }

    /// Where the path is nearest to a column; `None` when that is an end.
    fn nearest(&self, p: Point) -> Option<f64> {
        if let Some(arc) = self.arc {
            return arc.part_at((p - arc.centre).angle());
        }
        let way = self.end.plan() - self.start.plan();
        Some((p - self.start.plan()).dot(way) / way.dot(way))
    }

    /// The parts of the motion during which the axis is within `radius` of a column.
    fn parts_within(&self, p: Point, radius: f64) -> [Option<Part>; 3] {
        match self.arc {
            Some(arc) => arc_parts_within(&arc, p, radius),
            None => [self.line_part_within(p, radius), None, None],
        }
    }

    fn line_part_within(&self, p: Point, radius: f64) -> Option<Part> {
        let way = self.end.plan() - self.start.plan();
        let length = way.length();
        let from = p - self.start.plan();
        let (along, off) = (from.dot(way) / length, way.cross(from) / length);
        let square = radius * radius - off * off;
        let half = square.max(0.0).sqrt();
        let part = (((along - half) / length).max(0.0), ((along + half) / length).min(1.0));
        (square >= 0.0 && part.0 <= part.1).then_some(part)
    }
}

/// What lies before and behind a place, where that is within the part; else the part both times.
fn split_at(part: Part, place: Option<f64>) -> [Part; 2] {
    match place {
        Some(at) if at > part.0 && at < part.1 => [(part.0, at), (at, part.1)],
        _ => [part; 2],
    }
}

/// By the law of cosines; parts that meet at a full turn's seam stay apart, since the ends of the motion differ.
fn arc_parts_within(arc: &Arc, p: Point, radius: f64) -> [Option<Part>; 3] {
    let spoke = p - arc.centre;
    let far = spoke.length();
    let sweep = arc.sweep.abs();
    if far + arc.radius <= radius {
        return [Some((0.0, 1.0)), None, None];
    }
    let cosine = (far * far + arc.radius * arc.radius - radius * radius) / (2.0 * far * arc.radius);
    if cosine.is_nan() || cosine > 1.0 {
        return [None; 3];
    }
    if cosine < -1.0 {
        return [Some((0.0, 1.0)), None, None];
    }
    let half = cosine.acos() * INWARD;
    let turn = if arc.sweep >= 0.0 { spoke.angle() - arc.from } else { arc.from - spoke.angle() };
    let middle = turn.rem_euclid(TAU);
    [middle - TAU, middle, middle + TAU].map(|middle| {
        let part = ((middle - half).max(0.0) / sweep, (middle + half).min(sweep) / sweep);
        (part.0 <= part.1).then_some(part)
    })
}
