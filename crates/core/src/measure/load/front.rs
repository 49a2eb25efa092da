//! The front of the cutter at one height: the half circle that goes ahead, and the parts of it in metal.
//!
//! A circle that is carried along cuts with its front alone, and a place on it at the angle a from the travel goes
//! forward by cos a: so the metal met, laid square to the travel, is the area that a step of the path takes,
//! round corners and arcs as well (exact geometry, derived).

use std::f64::consts::{FRAC_PI_2, TAU};

use super::edge::Edge;
use crate::geometry::{Point, Span};
use crate::wall::Slice;

/// The whole front is looked at in so many parts, each small enough that most of what was swept covers it or stays
/// clear of it.
const PARTS: u32 = 6;

/// What the front meets at one height.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Met {
    /// Metal met, laid square to the travel.
    pub(super) width: f64,
    /// Angle of the cutter's edge in metal, radians.
    pub(super) angle: f64,
}

/// A part of the front where nothing has been taken yet: angles from the travel, positive to its left, and the circle
/// through its ends about its middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Open {
    from: f64,
    to: f64,
    middle: Point,
    half: f64,
}

/// The front half of the cutter's circle at one height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Front {
    pub(super) axis: Point,
    /// Direction of travel, of length 1.
    pub(super) heading: Point,
    pub(super) radius: f64,
    /// What lies no farther outside a swept area counts as inside: rounding.
    pub(super) rounding: f64,
}

impl Front {
    fn at(&self, angle: f64) -> Point {
        let (sin, cos) = angle.sin_cos();
        self.axis + (self.heading * cos + self.heading.left() * sin) * self.radius
    }

    fn open(&self, from: f64, to: f64) -> Open {
        let middle = self.at(f64::midpoint(from, to));
        Open { from, to, middle, half: middle.distance(self.at(from)) }
    }

    /// The whole front.
    pub(super) fn whole(&self) -> Vec<Open> {
        let at = |part: u32| -FRAC_PI_2 + 2.0 * FRAC_PI_2 * f64::from(part) / f64::from(PARTS);
        (0..PARTS).map(|part| self.open(at(part), at(part + 1))).collect()
    }

    /// The circle round all that is still open.
    pub(super) fn round(&self, open: &[Open]) -> (Point, f64) {
        let from = open.iter().map(|part| part.from).fold(FRAC_PI_2, f64::min);
        let to = open.iter().map(|part| part.to).fold(-FRAC_PI_2, f64::max);
        let all = self.open(from, to);
        (all.middle, all.half)
    }

    /// Takes out what lies inside a swept area; false where it changes nothing.
    pub(super) fn take(&self, slice: &Slice, open: &mut Vec<Open>) -> bool {
        if self.is_apart(slice) {
            return false;
        }
        let before = open.len();
        let mut is_met = false;
        open.retain(|part| {
            let (most, least) = reach(slice);
            let off = spine(slice).distance(part.middle);
            is_met |= off <= part.half + most;
            off + part.half > least
        });
        if is_met && !open.is_empty() {
            self.part(&self.cuts(slice), |p| outside_by(slice, p) > self.rounding, open);
        }
        is_met || open.len() != before
    }

    /// Angles at which the front may go in or out of a swept area.
    fn cuts(&self, slice: &Slice) -> Cuts {
        let mut cuts = Cuts(Vec::new());
        match *slice {
            Slice::Capsule { from, start, to, end } => {
                self.on_circle(from, start, &mut cuts);
                if from != to {
                    self.on_circle(to, end, &mut cuts);
                    self.on_tangents((from, start), (to, end), &mut cuts);
                }
            }
            Slice::Band { arc, radius } => {
                for (centre, radius) in [
                    (arc.ends()[0], radius),
                    (arc.ends()[1], radius),
                    (arc.centre, arc.radius + radius),
                    (arc.centre, arc.radius - radius),
                ] {
                    self.on_circle(centre, radius, &mut cuts);
                }
            }
        }
        cuts.0.sort_by(f64::total_cmp);
        cuts
    }

    /// Takes out what lies outside the blank, whose spans `near` may cross the front.
    pub(super) fn take_air(&self, edge: &Edge<'_>, near: &[Span], open: &mut Vec<Open>) {
        let mut cuts = Cuts(Vec::new());
        for span in near {
            match span {
                Span::Line { from, to } => {
                    if let Some(along) = (*to - *from).unit() {
                        self.on_line(*from, along.left(), &mut cuts);
                    }
                }
                Span::Arc(arc) => self.on_circle(arc.centre, arc.radius, &mut cuts),
            }
        }
        cuts.0.sort_by(f64::total_cmp);
        self.part(&cuts, |p| edge.contains(p), open);
    }

    /// Cuts the open parts and keeps those whose middle may stay.
    fn part(&self, cuts: &Cuts, stays: impl Fn(Point) -> bool, open: &mut Vec<Open>) {
        let mut kept = Vec::with_capacity(open.len() + cuts.0.len());
        for part in open.iter() {
            let within = cuts.0.iter().copied().filter(|cut| *cut > part.from && *cut < part.to);
            let mut from = part.from;
            for to in within.chain([part.to]) {
                let piece = if from == part.from && to == part.to { *part } else { self.open(from, to) };
                if stays(piece.middle) {
                    kept.push(piece);
                }
                from = to;
            }
        }
        *open = kept;
    }

    /// What is met where nothing has been taken; what is narrower than `least` is rounding.
    pub(super) fn met(&self, open: &[Open], least: f64) -> Met {
        let mut met = Met::default();
        for part in open {
            let width = self.radius * (part.to.sin() - part.from.sin());
            if width > least {
                met.width += width;
                met.angle += part.to - part.from;
            }
        }
        met
    }

    /// Whether a swept area cannot touch the front: too far away, or behind the axis.
    fn is_apart(&self, slice: &Slice) -> bool {
        let ahead = |p: Point, radius: f64| self.heading.dot(p - self.axis) + radius >= 0.0;
        match slice {
            Slice::Capsule { from, start, to, end } => {
                let off = Span::Line { from: *from, to: *to }.distance(self.axis);
                off > self.radius + start.max(*end) || !(ahead(*from, *start) || ahead(*to, *end))
            }
            Slice::Band { arc, radius } => {
                arc.distance(self.axis) > self.radius + radius || !ahead(arc.centre, arc.radius + radius)
            }
        }
    }

    /// Angle of a direction from the travel.
    fn angle_of(&self, direction: Point) -> f64 {
        self.heading.cross(direction).atan2(self.heading.dot(direction))
    }

    /// Where the front crosses a circle.
    fn on_circle(&self, centre: Point, radius: f64, cuts: &mut Cuts) {
        let offset = centre - self.axis;
        let apart = offset.length();
        if apart <= 0.0 || radius <= 0.0 || apart > self.radius + radius {
            return;
        }
        let cosine =
            ((self.radius - radius) * (self.radius + radius) + apart * apart) / (2.0 * self.radius * apart);
        cuts.both(self.angle_of(offset), cosine);
    }

    /// Where the front crosses the line through `origin` square to `normal`, of length 1.
    fn on_line(&self, origin: Point, normal: Point, cuts: &mut Cuts) {
        cuts.both(self.angle_of(normal), (origin - self.axis).dot(normal) / self.radius);
    }

    /// Where the front crosses the outer tangents of two circles.
    fn on_tangents(&self, (from, start): (Point, f64), (to, end): (Point, f64), cuts: &mut Cuts) {
        let lean = (start - end) / from.distance(to);
        let Some(along) = (to - from).unit().filter(|_| lean.abs() < 1.0) else { return };
        let square = (1.0 - lean * lean).sqrt();
        for side in [1.0, -1.0] {
            let normal = along * lean + along.left() * (square * side);
            self.on_line(from + normal * start, normal, cuts);
        }
    }
}

/// Angles at which the front may go in or out of an area.
struct Cuts(Vec<f64>);

impl Cuts {
    /// The angles on both sides of `middle` that have this cosine from it.
    fn both(&mut self, middle: f64, cosine: f64) {
        if cosine.abs() <= 1.0 {
            let half = cosine.acos();
            self.push(middle + half);
            self.push(middle - half);
        }
    }

    fn push(&mut self, angle: f64) {
        let turned = (angle + TAU / 2.0).rem_euclid(TAU) - TAU / 2.0;
        if turned.abs() < FRAC_PI_2 {
            self.0.push(turned);
        }
    }
}

/// The line that the circle of a swept area was carried along.
const fn spine(slice: &Slice) -> Span {
    match *slice {
        Slice::Capsule { from, to, .. } => Span::Line { from, to },
        Slice::Band { arc, .. } => Span::Arc(arc),
    }
}

/// The largest and the smallest radius of a swept area.
const fn reach(slice: &Slice) -> (f64, f64) {
    match *slice {
        Slice::Capsule { start, end, .. } => (start.max(end), start.min(end)),
        Slice::Band { radius, .. } => (radius, radius),
    }
}

/// How far a point lies outside a swept area; negative inside.
fn outside_by(slice: &Slice, p: Point) -> f64 {
    match *slice {
        Slice::Capsule { from, start, to, end } if start == end => {
            Span::Line { from, to }.distance(p) - start
        }
        Slice::Capsule { from, start, to, end } => outside_taper((from, start), (to, end), p),
        Slice::Band { radius, .. } => spine(slice).distance(p) - radius,
    }
}

/// The same for circles whose radius runs evenly from one end to the other: the least of distance less radius, where
/// its slope along the line is 0, or at an end.
fn outside_taper((from, start): (Point, f64), (to, end): (Point, f64), p: Point) -> f64 {
    let off = |t: f64| p.distance(from.toward(to, t)) - (start + (end - start) * t);
    let ends = off(0.0).min(off(1.0));
    let length = from.distance(to);
    let growth = (end - start) / length;
    let Some(along) = (to - from).unit().filter(|_| growth.abs() < 1.0) else { return ends };
    let (ahead, aside) = (along.dot(p - from), along.cross(p - from).abs());
    let foot = ahead + growth * aside / (1.0 - growth * growth).sqrt();
    ends.min(off((foot / length).clamp(0.0, 1.0)))
}
