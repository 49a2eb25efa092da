//! What a cutter sweeps at one height on one motion: circles carried along lines and arcs.

use std::ops::Range;

use crate::geometry::{Arc, Bounds, Interval, Point, Rail, Ray, Span, outer_normals, steps};
use crate::program::Motion;
use crate::tool::{Piece, Profile};
use crate::track::plan_span;

/// A piece of the area swept at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slice {
    /// A circle whose radius runs evenly from `start` to `end` along a line, which may be a point.
    Capsule {
        /// Start of the line.
        from: Point,
        /// Radius there.
        start: f64,
        /// End of the line.
        to: Point,
        /// Radius there.
        end: f64,
    },
    /// A circle of one radius along an arc.
    Band {
        /// The arc.
        arc: Arc,
        /// Radius.
        radius: f64,
    },
}

impl Slice {
    /// Adds the intervals of a ray inside the area, not merged.
    pub fn along(&self, ray: &Ray, found: &mut Vec<Interval>) {
        match self {
            Self::Capsule { from, start, to, end } => found.extend(ray.in_capsule(*from, *start, *to, *end)),
            Self::Band { arc, radius } => ray.in_arc_band(arc, *radius, found),
        }
    }

    /// How far a point lies outside the area; inside, a number below 0 that is at most its depth. It changes no faster
    /// than the point moves.
    pub fn off(&self, p: Point) -> f64 {
        match *self {
            Self::Band { arc, radius } => return arc.distance(p) - radius,
            // Most are as wide all along.
            Self::Capsule { from, start, to, end } if start == end => {
                let (way, ahead) = (to - from, p - from);
                let square = way.dot(way);
                let part = if square > 0.0 { (ahead.dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
                return (ahead - way * part).length() - start;
            }
            Self::Capsule { .. } => {}
        }
        let (centre, radius) = self.circle(self.nearest(p));
        p.distance(centre) - radius
    }

    /// The point of the area nearest to `p`: `p` itself inside.
    pub fn clamp(&self, p: Point) -> Point {
        let (centre, radius) = self.circle(self.nearest(p));
        let distance = p.distance(centre);
        if distance <= radius { p } else { centre.toward(p, radius / distance) }
    }

    /// Part of the way along (0 to 1) of the circle that comes nearest to `p`.
    fn nearest(&self, p: Point) -> f64 {
        match *self {
            Self::Band { arc, .. } => Span::Arc(arc).nearest(p).0,
            Self::Capsule { from, start, to, end } => {
                let length = from.distance(to);
                let widens = (end - start) / length;
                if widens.is_nan() || widens.abs() >= 1.0 {
                    return if end > start { 1.0 } else { 0.0 };
                }
                let axis = (to - from) * (1.0 / length);
                let (ahead, aside) = (axis.dot(p - from), axis.cross(p - from).abs());
                // The way to it is square to the common tangent.
                ((ahead + widens * aside / (1.0 - widens * widens).sqrt()) / length).clamp(0.0, 1.0)
            }
        }
    }

    /// The circle a part `t` (0 to 1) of the way along: its centre and its radius.
    pub fn circle(&self, t: f64) -> (Point, f64) {
        match *self {
            Self::Capsule { from, start, to, end } => (from.toward(to, t), start + (end - start) * t),
            Self::Band { arc, radius } => (arc.at(t), radius),
        }
    }

    /// Its radius at the start and at the end.
    pub const fn radii(&self) -> [f64; 2] {
        match *self {
            Self::Capsule { start, end, .. } => [start, end],
            Self::Band { radius, .. } => [radius, radius],
        }
    }

    /// The lines and circles without ends on which its rim lies.
    pub fn rims(&self) -> impl Iterator<Item = Rail> + use<> {
        let circle = |centre: Point, radius: f64| (radius > 0.0).then_some(Rail::Circle { centre, radius });
        let rims = match *self {
            Self::Band { arc, radius } => {
                let [first, last] = arc.ends();
                [
                    circle(arc.centre, arc.radius + radius),
                    circle(arc.centre, arc.radius - radius),
                    circle(first, radius),
                    circle(last, radius),
                ]
            }
            Self::Capsule { from, start, to, end } => {
                let tangent =
                    |normal: Point| Rail::Line { origin: from + normal * start, along: normal.left() };
                let tangents = outer_normals((from, start), (to, end));
                let [left, right] =
                    tangents.map_or([None; 2], |normals| normals.map(|normal| Some(tangent(normal))));
                [circle(from, start), circle(to, end), left, right]
            }
        };
        rims.into_iter().flatten()
    }

    /// How far centre and rim of the circle move from one end to the other, added up.
    pub fn travel(&self) -> f64 {
        match *self {
            Self::Capsule { from, start, to, end } => from.distance(to) + (end - start).abs(),
            Self::Band { arc, .. } => arc.radius * arc.sweep.abs(),
        }
    }

    /// The smallest upright box round it.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Capsule { from, start, to, end } => {
                Bounds::of([*from]).grown(*start).join(Bounds::of([*to]).grown(*end))
            }
            Self::Band { arc, radius } => arc.bounds().grown(*radius),
        }
    }
}

/// The places in plan that are asked for. Of a motion followed in many steps, those that cannot reach them are passed
/// over, many at a time.
#[derive(Debug, Clone, Copy)]
pub enum Within<'a> {
    /// All of the plane.
    Anywhere,
    /// A ray between two distances.
    Ray(&'a Ray, Interval),
    /// A box.
    Box(&'a Bounds),
}

impl<'a> Within<'a> {
    /// The whole of a line.
    pub const fn line(ray: &'a Ray) -> Self {
        Self::Ray(ray, (f64::NEG_INFINITY, f64::INFINITY))
    }

    /// Whether a circle may reach a place that is asked for. May say yes too often, never no.
    fn may_reach(self, centre: Point, radius: f64) -> bool {
        match self {
            Self::Anywhere => true,
            Self::Ray(ray, reach) => {
                let from = centre - ray.origin;
                let along = ray.along.dot(from);
                let between = along + radius >= reach.0 && along - radius <= reach.1;
                between && ray.along.cross(from).abs() <= radius
            }
            Self::Box(bounds) => bounds.grown(radius).meets(&Bounds::of([centre])),
        }
    }
}

/// Steps of a motion that are not divided any further.
const FEW_STEPS: usize = 4;

/// Gives out the pieces of the area that a cutter sweeps at `height` on a motion (straight, or an arc or helix about
/// an upright axis), each with the parts of the motion, 0 to 1, between which it is made, as far as they may reach
/// `within`.
///
/// Exact for level motions, plunges and straight ramps of straight-sided parts of the cutter. A rounded part on a
/// ramp, and any tapering part on a helix, is followed in steps whose chords stay within `follow` of it.
pub fn slice(
    motion: &Motion,
    profile: &Profile,
    height: f64,
    follow: f64,
    within: Within<'_>,
    give: impl FnMut(Slice, Interval),
) {
    slice_along((&plan_span(motion), motion), profile, height, follow, within, give);
}

/// [`slice`] for a motion whose line in plan is known already.
pub(super) fn slice_along(
    (plan, motion): (&Span, &Motion),
    profile: &Profile,
    height: f64,
    follow: f64,
    within: Within<'_>,
    mut give: impl FnMut(Slice, Interval),
) {
    let (start, end) = (motion.start.z, motion.end.z);
    if start.min(end) > height {
        return;
    }
    let slicer = Slicer { motion, plan, height, follow, within };
    if start == end {
        if let Some(radius) = profile.radius_at(height - start) {
            give(slicer.even(radius, (0.0, 1.0)), (0.0, 1.0));
        }
        return;
    }
    let met = profile.pieces_between(height - start.max(end), height - start.min(end));
    for piece in met.filter(|piece| !piece.is_level()) {
        if let Some(parts) = slicer.parts_between(piece.from.y, piece.to.y) {
            slicer.along_piece(piece, parts, &mut give);
        }
    }
    let top = profile.top();
    if let Some(parts) = slicer.parts_between(top.y, f64::INFINITY) {
        give(slicer.even(top.x, parts), parts);
    }
}

struct Slicer<'a> {
    motion: &'a Motion,
    plan: &'a Span,
    height: f64,
    follow: f64,
    within: Within<'a>,
}

impl Slicer<'_> {
    /// One radius along a part of the motion.
    fn even(&self, radius: f64, (from, to): Interval) -> Slice {
        match *self.plan {
            Span::Arc(arc) if arc.radius > 0.0 => {
                let part = arc.between(from, to);
                Slice::Band { arc: part, radius }
            }
            _ => Slice::Capsule {
                from: self.motion.at(from).plan(),
                start: radius,
                to: self.motion.at(to).plan(),
                end: radius,
            },
        }
    }

    /// The part of a sloping motion on which the height lies between two heights above the tip.
    fn parts_between(&self, low: f64, high: f64) -> Option<Interval> {
        let (start, end) = (self.motion.start.z, self.motion.end.z);
        let part = |above: f64| (self.height - above - start) / (end - start);
        let (a, b) = (part(low), part(high));
        let (from, to) = (a.min(b).max(0.0), a.max(b).min(1.0));
        (from <= to).then_some((from, to))
    }

    fn along_piece(&self, piece: &Piece, parts: Interval, give: &mut impl FnMut(Slice, Interval)) {
        if piece.from.x == piece.to.x {
            give(self.even(piece.from.x, parts), parts);
            return;
        }
        let stops = self.stops(piece, parts, (self.above(piece, parts.0), self.above(piece, parts.1)));
        self.along_steps(piece, &stops, 0..stops.steps, give);
    }

    /// Height above the tip, a part of the way along, at which the piece is met.
    fn above(&self, piece: &Piece, part: f64) -> f64 {
        // The tip rises evenly: on an arc its place in plan takes longer to find, and is not asked for here.
        let (start, end) = (self.motion.start.z, self.motion.end.z);
        let tip = if part >= 1.0 { end } else { start + (end - start) * part };
        (self.height - tip).clamp(piece.from.y, piece.to.y)
    }

    fn along_steps(
        &self,
        piece: &Piece,
        stops: &Stops,
        range: Range<usize>,
        give: &mut impl FnMut(Slice, Interval),
    ) {
        if range.len() > FEW_STEPS {
            let ends = (stops.part(range.start), stops.part(range.end));
            let half = (ends.1 - ends.0) * self.plan.length() / 2.0;
            let middle = self.plan.at(f64::midpoint(ends.0, ends.1));
            if self.within.may_reach(middle, half + piece.from.x.max(piece.to.x)) {
                let divided = range.start.midpoint(range.end);
                self.along_steps(piece, stops, range.start..divided, give);
                self.along_steps(piece, stops, divided..range.end, give);
            }
            return;
        }
        let stop = |step: usize| {
            let part = stops.part(step);
            (part, self.motion.at(part).plan(), piece.radius_at(self.above(piece, part)))
        };
        let mut last = stop(range.start);
        for step in range {
            let next = stop(step + 1);
            let ((part_from, from, start), (part_to, to, end)) = (last, next);
            give(Slice::Capsule { from, start, to, end }, (part_from, part_to));
            last = next;
        }
    }

    fn stops(&self, piece: &Piece, parts: Interval, heights: Interval) -> Stops {
        let plan = match *self.plan {
            Span::Line { .. } => 1,
            Span::Arc(arc) => steps(arc.radius, arc.sweep * (parts.1 - parts.0), self.follow),
        };
        let Some(centre) = piece.centre else { return Stops { parts, bend: None, steps: plan } };
        let radius = piece.from.distance(centre);
        let angle = |height: f64| ((height - centre.y) / radius).clamp(-1.0, 1.0).asin();
        let (from, to) = (angle(heights.0), angle(heights.1));
        let arc = Arc::new(centre, radius, from, to - from);
        let low = from.sin();
        let bend = Bend { from, sweep: arc.sweep, low, rise: (from + arc.sweep).sin() - low };
        Stops { parts, steps: plan.max(arc.steps(self.follow)), bend: Some(bend) }
    }
}

/// Where along a motion its steps end: even in the angle on a rounded part of the cutter, since near a level
/// tangent the radius runs away from even steps of height.
struct Stops {
    parts: Interval,
    bend: Option<Bend>,
    steps: usize,
}

/// The rounded part gone over, by the angle from level.
struct Bend {
    from: f64,
    sweep: f64,
    /// The sine of `from`, and how much greater that at the end is.
    low: f64,
    rise: f64,
}

impl Stops {
    fn part(&self, step: usize) -> f64 {
        let even = step as f64 / self.steps as f64;
        let across = self.bend.as_ref().map_or(even, |bend| {
            let so_far = (bend.from + bend.sweep * even).sin() - bend.low;
            if bend.rise == 0.0 { even } else { (so_far / bend.rise).clamp(0.0, 1.0) }
        });
        self.parts.0 + (self.parts.1 - self.parts.0) * across
    }
}
