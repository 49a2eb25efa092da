//! Motions laid out as strokes: straight spans in runs wherever their sweep has a closed form, else one by one.
//!
//! How a planner split its path must not matter, neither to the block nor to the time it takes. So steps that keep to
//! a straight line within [`LAID_WITHIN`] become one span, arcs become spans within the same tolerance, and spans that
//! follow each other are joined so that each looks only at the columns it alone decides.

use std::f64::consts::SQRT_2;

use super::cutter::{Lobe, Shape};
use super::grid::Grid;
use super::line::Line;
use super::span::{Groups, Heading, Span};
use super::sweep::Sweep;
use crate::geometry::{Arc, Bounds, Point, Point3, pt3};
use crate::plunged::Plunged;
use crate::program::{Curve, Kind, Motion};
use crate::track::Placed;

/// The tool's path is followed this near, in cells, sideways and up and down.
pub const LAID_WITHIN: f64 = 2e-2;
/// Motions longer than this part of the cutter's radius are counted apart: what a column loses goes to the very
/// motion that takes it. In a run of shorter ones a shaped tool's metal goes to the one that leaves it lowest.
const SHORT: f64 = 0.5;
/// Motions that a span stands for are counted in groups at least this long, in cells: which of those within a cell's width
/// takes a column cannot be told.
const GROUP: f32 = 1.0;
/// Groups that end this near to even places, in cells, count as even.
const EVEN_WITHIN: f32 = 0.1;
/// Neighbours are joined unless the path turns by more than the angle of this cosine between them.
const LEAST_COSINE: f64 = 0.5;

/// One piece of work on the block.
#[derive(Debug, Clone)]
pub(super) enum Stroke {
    /// A straight span whose sweep has a closed form.
    Span(Span),
    /// One motion, worked out column by column, with its place in the batch's count.
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
    /// For the spans that stand for several groups: where these begin and end along it, in cells from its lower end; the
    /// first begins and the last ends at infinity.
    pub(super) marks: Vec<f32>,
    /// The first motion of each group that is counted, counted itself from the batch's first.
    pub(super) groups: Vec<u32>,
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

/// A motion on the lattice's own axes, on which all that is laid out lies.
fn on_lattice(motion: &Motion) -> Motion {
    let place = |p: Point3| {
        let Point { x, y } = Grid::to_lattice(p.plan());
        pt3(x, y, p.z)
    };
    let curve = match motion.curve {
        Curve::Arc { plane, centre, sweep } => Curve::Arc { plane, centre: Grid::to_lattice(centre), sweep },
        Curve::Straight => Curve::Straight,
    };
    Motion { start: place(motion.start), end: place(motion.end), curve, ..*motion }
}

/// Lays out motions for one lobe of a cutter. `narrow` is the same lobe as a rapid has it; `counted` are the groups that
/// are counted already.
pub(super) fn strokes(placed: &[Placed], lobe: &Lobe, narrow: &Lobe, cell: f64, counted: u32) -> Strokes {
    let mut layout = Layout {
        lobe,
        narrow,
        cell,
        within: cell * LAID_WITHIN,
        run: Vec::new(),
        line: None,
        strokes: Strokes::default(),
        placed,
        counted,
        plunged: Default::default(),
    };
    layout.run.reserve(placed.len());
    layout.strokes.list.reserve(placed.len());
    for (index, placed) in placed.iter().enumerate() {
        layout.motion(&on_lattice(&placed.motion), placed.length, index as u32);
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
    counted: u32,
    /// Where feeds, and where rapids, have gone straight up and down.
    plunged: (Plunged, Plunged),
}

impl Layout<'_> {
    fn motion(&mut self, motion: &Motion, length: f64, index: u32) {
        let rapid = motion.kind == Kind::Rapid;
        let lobe = if rapid { self.narrow } else { self.lobe };
        let arc = Sweep::arc_of(motion);
        let level = motion.start.z == motion.end.z;
        let plunge = arc.is_none() && motion.start.plan() == motion.end.plan();
        // A rapid's cutter is narrower: it meets nothing where a feed's has been.
        let been = if rapid && plunge { &mut self.plunged.1 } else { &mut self.plunged.0 };
        if plunge && (!been.adds(motion) || rapid && !self.plunged.0.would_add(motion)) {
            self.end_run();
            return;
        }
        // On a slope the steps of an arc share the columns only where the underside comes down on each but once.
        let shared = lobe.is_hollow() && !lobe.has_roof();
        if plunge || (arc.is_some() && !level && !shared) {
            self.end_run();
            let group = self.next_group();
            self.strokes.groups.push(index);
            self.strokes.list.push(Stroke::Sweep(Sweep::new(motion, lobe, rapid), group));
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
        Span {
            low,
            high,
            heading,
            length: low.plan().distance(high.plan()),
            below: below.map(|step| self::heading(step, lobe)),
            above,
            radius: lobe.radius(),
            groups: self.group(step, low, heading.axis),
            rapid: step.rapid,
        }
    }

    /// The next group's place in the batch's count.
    fn next_group(&self) -> u32 {
        self.counted + self.strokes.groups.len() as u32
    }

    /// Puts the motions of a step in groups, and marks where these end: at least a cell apart, but a longer motion is
    /// alone, and all of a group have one feed and one speed.
    fn group(&mut self, step: &Step, low: Point3, axis: Point) -> Groups {
        let Strokes { marks, groups, .. } = &mut self.strokes;
        let (begin, from) = (marks.len(), groups.len());
        let scale = 1.0 / self.cell;
        marks.push(f32::NEG_INFINITY);
        let (mut reached, mut before) = (0.0, 0.0);
        let mut open: Option<(u32, &Motion)> = None;
        for number in 0..step.count {
            let index = step.first + if step.rises() { number } else { step.count - 1 - number };
            let Some(Placed { motion, .. }) = self.placed.get(index as usize) else { break };
            let farther = if step.rises() { motion.end } else { motion.start };
            let along = ((Grid::to_lattice(farther.plan()) - low.plan()).dot(axis) * scale) as f32;
            let alike = |last: &Motion| last.feed == motion.feed && last.spindle == motion.spindle;
            if let Some((first, _)) = open.filter(|(_, last)| along - before >= GROUP || !alike(last)) {
                marks.push(before);
                groups.push(first);
                (reached, open) = (before, None);
            }
            let first = open.filter(|_| step.rises()).map_or(index, |(first, _)| first);
            open = Some((first, motion));
            if along - reached >= GROUP {
                marks.push(along);
                groups.push(first);
                (reached, open) = (along, None);
            }
            before = along;
        }
        if let Some((first, _)) = open {
            marks.push(before);
            groups.push(first);
        }
        if !step.rises() {
            groups[from..].reverse();
        }
        let even = evenly(&marks[begin..]);
        if let Some(last) = marks.last_mut() {
            *last = f32::INFINITY;
        }
        let count = groups.len() - from;
        if count <= 1 {
            marks.truncate(begin);
        }
        Groups {
            first: self.counted + from as u32,
            count: count as u32,
            marks: begin as u32,
            backwards: !step.rises(),
            even,
        }
    }
}

/// How many parts there are in a cell, when marks part a length evenly, the last part aside; else 0. Most planners' steps
/// are even.
fn evenly(marks: &[f32]) -> f32 {
    let between = marks.get(1..marks.len() - 1).unwrap_or_default();
    let Some(step) = between.last().map(|last| last / between.len() as f32) else { return 0.0 };
    let is_near = |(number, mark): (u32, &f32)| (mark - number as f32 * step).abs() <= EVEN_WITHIN;
    if step >= GROUP / 2.0 && (1..).zip(between).all(is_near) { 1.0 / step } else { 0.0 }
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
