//! Motions laid out as strokes: straight spans in runs wherever their sweep has a closed form, else one by one.
//!
//! How a planner split its path must not matter, neither to the block nor to the time it takes. So steps that keep to
//! a straight line within [`LAID_WITHIN`] become one span, arcs become spans within the same tolerance, and spans that
//! follow each other are joined so that each looks only at the columns it alone decides.

use std::f64::consts::SQRT_2;

use super::cutter::{Lobe, Shape};
use super::line::Line;
use super::span::{Heading, Motions, Span};
use super::sweep::Sweep;
use crate::geometry::{Arc, Bounds, Point, Point3, pt3};
use crate::program::{Curve, Kind, Motion};
use crate::track::Placed;

/// Spans keep to the path within this part of a cell, sideways and up and down.
const LAID_WITHIN: f64 = 3e-3;
/// Motions longer than this part of the cutter's radius are counted apart: what a column loses goes to the very
/// motion that takes it. In a run of shorter ones a shaped tool's metal goes to the one that leaves it lowest.
const SHORT: f64 = 0.5;
/// Neighbours are joined unless the path turns by more than the angle of this cosine between them.
const LEAST_COSINE: f64 = 0.5;

/// One piece of work on the block.
#[derive(Debug, Clone)]
pub(super) enum Stroke {
    /// A straight span whose sweep has a closed form.
    Span(Span),
    /// One motion, worked out column by column; the number counts from the batch's first motion.
    Sweep(Sweep, u32),
}

impl Stroke {
    /// The lowest the tip comes.
    pub(super) fn lowest(&self) -> f64 {
        match self {
            Self::Span(span) => span.low.z,
            Self::Sweep(sweep, _) => sweep.lowest(),
        }
    }

    /// The box round it in plan.
    pub(super) fn bounds(&self) -> Bounds {
        match self {
            Self::Span(span) => span.bounds(),
            Self::Sweep(sweep, _) => *sweep.bounds(),
        }
    }

    /// Whether any column in a square of this half side round `p` has to be looked at. May say yes too often, never
    /// no.
    pub(super) fn may_reach(&self, p: Point, half: f64) -> bool {
        match self {
            Self::Span(span) => span.may_reach(p, half),
            Self::Sweep(sweep, _) => sweep.may_reach(p, half * SQRT_2),
        }
    }
}

/// The strokes of some motions, in order.
#[derive(Debug, Default)]
pub(super) struct Strokes {
    pub(super) list: Vec<Stroke>,
    /// For the spans that stand for several motions: where these begin and end along it, in cells from its lower end;
    /// the first begins and the last ends at infinity.
    pub(super) marks: Vec<f32>,
}

/// A straight piece of the path before its place in the run is known.
#[derive(Debug, Clone, Copy)]
struct Step {
    from: Point3,
    to: Point3,
    first: u32,
    count: u32,
    rapid: bool,
    /// Whether it may be joined to the step before it.
    joins: bool,
}

impl Step {
    fn rises(&self) -> bool {
        self.to.z >= self.from.z
    }

    fn axis(&self) -> Point {
        (self.to.plan() - self.from.plan()).unit().unwrap_or_default()
    }
}

/// Lays out motions for one lobe of a cutter. `narrow` is the same lobe as a rapid has it.
pub(super) fn strokes(placed: &[Placed], lobe: &Lobe, narrow: &Lobe, cell: f64) -> Strokes {
    let mut layout = Layout {
        lobe,
        narrow,
        cell,
        within: cell * LAID_WITHIN,
        run: Vec::new(),
        line: None,
        strokes: Strokes::default(),
        placed,
    };
    layout.run.reserve(placed.len());
    layout.strokes.list.reserve(placed.len());
    for (index, placed) in placed.iter().enumerate() {
        layout.motion(&placed.motion, placed.length, index as u32);
    }
    layout.end_run();
    layout.strokes
}

struct Layout<'a> {
    lobe: &'a Lobe,
    narrow: &'a Lobe,
    cell: f64,
    within: f64,
    /// Steps that follow each other.
    run: Vec<Step>,
    /// The straight line that the last steps keep to.
    line: Option<Line>,
    strokes: Strokes,
    placed: &'a [Placed],
}

impl Layout<'_> {
    fn motion(&mut self, motion: &Motion, length: f64, index: u32) {
        let rapid = motion.kind == Kind::Rapid;
        let lobe = if rapid { self.narrow } else { self.lobe };
        let arc = Sweep::arc_of(motion);
        let level = motion.start.z == motion.end.z;
        let plunge = arc.is_none() && motion.start.plan() == motion.end.plan();
        if plunge || (arc.is_some() && !level && lobe.kind() == Shape::Other) {
            self.end_run();
            self.strokes.list.push(Stroke::Sweep(Sweep::new(motion, lobe, rapid), index));
            return;
        }
        let short = length <= SHORT * lobe.radius();
        let steps = arc.map_or(1, |arc| arc.steps(self.within));
        let at =
            |step: usize| if step == steps { motion.end } else { along(motion, arc.as_ref(), step, steps) };
        for step in 0..steps {
            let (from, to) = (at(step), at(step + 1));
            let joins = step > 0 || (short && self.follows(index));
            self.step(Step { from, to, first: index, count: 1, rapid, joins });
        }
    }

    /// Whether a motion may be joined to the one before it as far as its kind and the spindle go.
    fn follows(&self, index: u32) -> bool {
        let index = index as usize;
        let (Some(now), Some(before)) = (self.placed.get(index), self.placed.get(index.wrapping_sub(1)))
        else {
            return false;
        };
        let (now, before, long) = (&now.motion, &before.motion, before.length > SHORT * self.lobe.radius());
        let same = now.spindle.total_cmp(&0.0) == before.spindle.total_cmp(&0.0);
        now.kind == Kind::Feed && before.kind == Kind::Feed && same && !long && now.start == before.end
    }

    fn step(&mut self, step: Step) {
        if step.from.plan() == step.to.plan() {
            return;
        }
        let follows = step.joins && self.run.last().is_some_and(|last| last.to == step.from);
        if !follows {
            self.end_run();
        }
        if let (Some(last), Some(line)) = (self.run.last_mut(), &mut self.line)
            && line.takes(step.from, step.to, self.within)
        {
            last.to = step.to;
            last.count = step.first + step.count - last.first;
            return;
        }
        self.line = Some(Line::new(step.from, step.to, step.axis(), self.within));
        self.run.push(step);
    }

    /// Turns the steps of the run into spans, each with its neighbours.
    fn end_run(&mut self) {
        let mut run = std::mem::take(&mut self.run);
        self.line = None;
        // On a slope a column's lowest underside and highest roof come at different places: each span takes all its
        // columns from the one to the other.
        let alone = |step: &Step| self.lobe.has_roof() && step.from.z != step.to.z;
        let joined = |a: &Step, b: &Step| {
            a.rises() == b.rises() && a.axis().dot(b.axis()) >= LEAST_COSINE && !alone(a) && !alone(b)
        };
        for (index, step) in run.iter().enumerate() {
            let before = index.checked_sub(1).and_then(|before| run.get(before));
            let before = before.filter(|before| joined(before, step));
            let after = run.get(index + 1).filter(|after| joined(step, after));
            let (below, above) = if step.rises() { (before, after) } else { (after, before) };
            let span = self.span(step, below, above.is_some());
            self.strokes.list.push(Stroke::Span(span));
        }
        run.clear();
        self.run = run;
    }

    fn span(&mut self, step: &Step, below: Option<&Step>, above: bool) -> Span {
        let lobe = if step.rapid { self.narrow } else { self.lobe };
        let heading = heading(step, lobe);
        let (low, high) = if step.rises() { (step.from, step.to) } else { (step.to, step.from) };
        let marks = self.strokes.marks.len() as u32;
        if step.count > 1 {
            let own = self.placed.iter().skip(step.first as usize).take(step.count as usize);
            let scale = 1.0 / self.cell;
            let along = |p: Point3| ((p.plan() - low.plan()).dot(heading.axis) * scale) as f32;
            self.strokes.marks.push(f32::NEG_INFINITY);
            if step.rises() {
                self.strokes.marks.extend(own.map(|placed| along(placed.motion.end)));
            } else {
                self.strokes.marks.extend(own.rev().map(|placed| along(placed.motion.start)));
            }
            if let Some(last) = self.strokes.marks.last_mut() {
                *last = f32::INFINITY;
            }
        }
        Span {
            low,
            high,
            heading,
            length: low.plan().distance(high.plan()),
            below: below.map(|step| self::heading(step, lobe)),
            above,
            radius: lobe.radius(),
            motions: Motions { first: step.first, count: step.count, marks, backwards: !step.rises() },
            rapid: step.rapid,
        }
    }
}

/// Where a step leads from its lower to its higher end, and how far ahead its valleys lie.
fn heading(step: &Step, lobe: &Lobe) -> Heading {
    let axis = if step.rises() { step.axis() } else { -step.axis() };
    let (rise, way) = ((step.to.z - step.from.z).abs(), step.from.plan().distance(step.to.plan()));
    let lead = match lobe.kind() {
        Shape::Flat => (1.0, 1.0),
        Shape::Ball => (rise / rise.hypot(way), rise / rise.hypot(way)),
        Shape::Other => (0.0, if rise > 0.0 { 1.0 } else { 0.0 }),
    };
    Heading { axis, climb: rise / way, lead }
}

/// The point at one of the equal steps of a motion; an arc's own angle is what is divided.
fn along(motion: &Motion, arc: Option<&Arc>, step: usize, steps: usize) -> Point3 {
    let part = step as f64 / steps as f64;
    match (motion.curve, arc) {
        (Curve::Arc { .. }, Some(arc)) if step > 0 => {
            let place = arc.at(part);
            pt3(place.x, place.y, motion.start.z + (motion.end.z - motion.start.z) * part)
        }
        _ => motion.start,
    }
}
