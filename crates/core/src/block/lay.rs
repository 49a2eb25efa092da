//! Motions laid out as strokes: straight spans in runs wherever their sweep has a closed form, else one by one.
//!
//! How a planner split its path must not matter, neither to the block nor to the time it takes. So level steps that
//! keep to a straight line within [`LAID_WITHIN`] become one span, arcs become spans within the same tolerance,
//! and spans that follow each other are joined so that each looks only at the columns it alone decides.

use std::f64::consts::SQRT_2;

use super::cutter::{Lobe, Shape};
use super::span::{Motions, Span};
use super::sweep::Sweep;
use crate::geometry::{Arc, Bounds, Point, Point3, pt3};
use crate::program::{Curve, Kind, Motion};
use crate::track::Placed;

/// Spans keep to the path within this part of a cell, sideways.
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
    /// Where the motions of a span end along it, for the spans that stand for several.
    pub(super) marks: Vec<f64>,
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
    fn is_level(&self) -> bool {
        self.from.z == self.to.z
    }

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
        within: cell * LAID_WITHIN,
        run: Vec::new(),
        line: None,
        strokes: Strokes::default(),
        placed,
    };
    for (index, placed) in placed.iter().enumerate() {
        layout.motion(&placed.motion, placed.length, index as u32);
    }
    layout.end_run();
    layout.strokes
}

struct Layout<'a> {
    lobe: &'a Lobe,
    narrow: &'a Lobe,
    within: f64,
    /// Steps that follow each other.
    run: Vec<Step>,
    /// The straight line that the last level steps keep to.
    line: Option<Line>,
    strokes: Strokes,
    placed: &'a [Placed],
}

impl Layout<'_> {
    fn motion(&mut self, motion: &Motion, length: f64, index: u32) {
        let rapid = motion.kind == Kind::Rapid;
        let lobe = if rapid { self.narrow } else { self.lobe };
        let closed = motion.start.z == motion.end.z || lobe.kind() != Shape::Other;
        let arc = Sweep::arc_of(motion);
        if !closed || (arc.is_none() && motion.start.plan() == motion.end.plan()) {
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
        let level = step.is_level();
        if level
            && let (Some(last), Some(line)) = (self.run.last_mut(), &mut self.line)
            && line.takes(step.to.plan(), self.within)
        {
            last.to = step.to;
            last.count = step.first + step.count - last.first;
            return;
        }
        self.line = level.then(|| Line::new(&step, self.within));
        self.run.push(step);
    }

    /// Turns the steps of the run into spans, each with its neighbours.
    fn end_run(&mut self) {
        let run = std::mem::take(&mut self.run);
        self.line = None;
        let joined = |a: &Step, b: &Step| a.rises() == b.rises() && a.axis().dot(b.axis()) >= LEAST_COSINE;
        for (index, step) in run.iter().enumerate() {
            let before = index.checked_sub(1).and_then(|before| run.get(before));
            let before = before.filter(|before| joined(before, step));
            let after = run.get(index + 1).filter(|after| joined(step, after));
            let (below, above) = if step.rises() { (before, after) } else { (after, before) };
            let span = self.span(step, below, above.is_some());
            self.strokes.list.push(Stroke::Span(span));
        }
    }

    fn span(&mut self, step: &Step, below: Option<&Step>, above: bool) -> Span {
        let lobe = if step.rapid { self.narrow } else { self.lobe };
        let (axis, lead) = climb(step, lobe);
        let (low, high) = if step.rises() { (step.from, step.to) } else { (step.to, step.from) };
        let marks = self.strokes.marks.len() as u32;
        if step.count > 1 {
            let own = self.placed.iter().skip(step.first as usize).take(step.count as usize);
            let ends = own.map(|placed| (placed.motion.end.plan() - low.plan()).dot(axis));
            self.strokes.marks.extend(ends);
        }
        Span {
            low,
            high,
            axis,
            length: low.plan().distance(high.plan()),
            lead,
            below: below.map(|step| climb(step, lobe)),
            above,
            radius: lobe.radius(),
            motions: Motions { first: step.first, count: step.count, marks },
            rapid: step.rapid,
        }
    }
}

/// Direction of a step from its lower to its higher end in plan, and how far ahead its valleys lie.
fn climb(step: &Step, lobe: &Lobe) -> (Point, f64) {
    let axis = if step.rises() { step.axis() } else { -step.axis() };
    let rise = (step.to.z - step.from.z).abs();
    let lead = match lobe.kind() {
        Shape::Flat => 1.0,
        Shape::Ball => rise / rise.hypot(step.from.plan().distance(step.to.plan())),
        Shape::Other => 0.0,
    };
    (axis, lead)
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

/// A straight line from where a step began, and the slopes against it that pass all steps so far near enough.
#[derive(Debug, Clone, Copy)]
struct Line {
    from: Point,
    axis: Point,
    reached: f64,
    slopes: (f64, f64),
}

impl Line {
    fn new(step: &Step, within: f64) -> Self {
        let reached = step.from.plan().distance(step.to.plan());
        Self {
            from: step.from.plan(),
            axis: step.axis(),
            reached,
            slopes: (-within / reached, within / reached),
        }
    }

    /// Takes a further end onto the line, when a straight line to it passes all ends so far within `within` and
    /// in order.
    fn takes(&mut self, to: Point, within: f64) -> bool {
        let way = to - self.from;
        let (along, off) = (way.dot(self.axis), self.axis.cross(way));
        let slope = off / along;
        if along <= self.reached || slope < self.slopes.0 || slope > self.slopes.1 {
            return false;
        }
        let (low, high) = ((off - within) / along, (off + within) / along);
        self.slopes = (self.slopes.0.max(low), self.slopes.1.min(high));
        self.reached = along;
        true
    }
}
