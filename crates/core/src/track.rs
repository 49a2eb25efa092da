//! The tool's path of one pass in block coordinates, followed by distance or by time.

use crate::geometry::{Arc, Bounds, Point, Point3, Span, pt3, steps};
use crate::program::{Curve, Dwell, Kind, Motion, Plane, Program, Zero};

/// One motion in block coordinates, with where it lies along the pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// The motion; its points are in block coordinates, and any arc is in the XY plane.
    pub motion: Motion,
    /// Distance along the whole path (rapids included) at its start.
    pub from: f64,
    /// Its length.
    pub length: f64,
    /// Time since the start of the pass at its start, seconds.
    pub from_seconds: f64,
    /// Its time in seconds; 0 when its speed is not known.
    pub seconds: f64,
}

/// The tool's path of one pass in block coordinates.
#[derive(Debug, Clone, Default)]
pub struct Track {
    placed: Vec<Placed>,
    feed_length: f64,
    rapid_length: f64,
    seconds: f64,
}

/// Where the tool is at some distance along a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Index of the motion.
    pub index: usize,
    /// The tool's tip in block coordinates.
    pub tip: Point3,
    /// Direction of travel in plan, of length 1; zero for a motion straight up or down.
    pub heading: Point,
    /// Line of the program, from 1.
    pub line: u32,
    /// Time since the start of the pass, seconds.
    pub seconds: f64,
}

impl Track {
    /// Places what a program does. `rapid` is the machine's rapid speed in the same unit a minute.
    ///
    /// Rapids before the program has said where all three axes stand are left out: nobody knows where the machine
    /// stands then. Arcs in the other planes become straight steps within `tolerance`. Dwells take their time. A tool
    /// that is up is drawn at `above` (block coordinates) or at the highest Z of its program, whichever is higher.
    pub fn of_program(
        program: &Program,
        zero: &Zero,
        rapid: Option<f64>,
        tolerance: f64,
        above: Option<f64>,
    ) -> Self {
        let mut track = Self { placed: Vec::with_capacity(program.motions.len()), ..Self::default() };
        track.follow(&program.motions, &program.dwells, zero, &Follow { rapid, tolerance, above });
        track
    }

    /// The same for motions alone.
    pub fn new(motions: &[Motion], zero: &Zero, rapid: Option<f64>, tolerance: f64) -> Self {
        let mut track = Self { placed: Vec::with_capacity(motions.len()), ..Self::default() };
        track.follow(motions, &[], zero, &Follow { rapid, tolerance, above: None });
        track
    }

    fn follow(&mut self, motions: &[Motion], dwells: &[Dwell], zero: &Zero, how: &Follow) {
        let mut dwells = dwells.iter().peekable();
        for (index, motion) in motions.iter().enumerate() {
            while let Some(dwell) = dwells.next_if(|dwell| dwell.before <= index) {
                self.seconds += dwell.seconds;
            }
            if !motion.start_known.is_place() && motion.kind == Kind::Rapid {
                continue;
            }
            let placed = raised(in_block(motion, zero), how.above);
            match placed.curve {
                Curve::Arc { plane: Plane::Zx | Plane::Yz, .. } => {
                    self.push_steps(motion, zero, how.rapid, how.tolerance);
                }
                _ => self.push(placed, how.rapid),
            }
        }
        self.seconds += dwells.map(|dwell| dwell.seconds).sum::<f64>();
    }

    fn push(&mut self, motion: Motion, rapid: Option<f64>) {
        let length = motion.length();
        let seconds = motion.seconds(rapid).unwrap_or(0.0);
        self.placed.push(Placed { motion, from: self.length(), length, from_seconds: self.seconds, seconds });
        self.seconds += seconds;
        match motion.kind {
            Kind::Rapid => self.rapid_length += length,
            Kind::Feed => self.feed_length += length,
        }
    }

    fn push_steps(&mut self, motion: &Motion, zero: &Zero, rapid: Option<f64>, tolerance: f64) {
        let Curve::Arc { plane, centre, sweep } = motion.curve else { return };
        let (from, _) = plane.split(motion.start);
        let steps = steps(from.distance(centre), sweep, tolerance);
        for step in 0..steps {
            let part = |index: usize| motion.at(index as f64 / steps as f64);
            let straight =
                Motion { start: part(step), end: part(step + 1), curve: Curve::Straight, ..*motion };
            self.push(in_block(&straight, zero), rapid);
        }
    }

    /// The motions in order.
    pub fn placed(&self) -> &[Placed] {
        &self.placed
    }

    /// Length of the whole path, rapids included.
    pub fn length(&self) -> f64 {
        self.placed.last().map_or(0.0, |last| last.from + last.length)
    }

    /// Length at feed.
    pub fn feed_length(&self) -> f64 {
        self.feed_length
    }

    /// Length at rapid.
    pub fn rapid_length(&self) -> f64 {
        self.rapid_length
    }

    /// Time of the whole path with its dwells, as far as speeds are known.
    pub fn seconds(&self) -> f64 {
        self.seconds
    }

    /// Lowest tip Z of all motions.
    pub fn lowest(&self) -> Option<f64> {
        self.placed.iter().map(|placed| placed.motion.start.z.min(placed.motion.end.z)).reduce(f64::min)
    }

    /// The box round the path in plan.
    pub fn bounds(&self) -> Bounds {
        self.placed.iter().fold(Bounds::EMPTY, |all, placed| all.join(plan_bounds(&placed.motion)))
    }

    /// Index of the motion at `distance` along the path.
    pub fn index_at(&self, distance: f64) -> usize {
        self.placed.partition_point(|placed| placed.from <= distance).saturating_sub(1)
    }

    /// Where the tool is at `distance` along the path; `None` for a track without motions.
    pub fn at(&self, distance: f64) -> Option<Position> {
        self.on(self.index_at(distance), distance)
    }

    /// Where the tool is at `distance` along the path on the motion `index`, held to that motion's ends; `None`
    /// when there is no such motion.
    pub fn on(&self, index: usize, distance: f64) -> Option<Position> {
        let placed = self.placed.get(index)?;
        let part = if placed.length > 0.0 {
            ((distance - placed.from) / placed.length).clamp(0.0, 1.0)
        } else {
            1.0
        };
        Some(Position {
            index,
            tip: placed.motion.at(part),
            heading: heading(&placed.motion, part),
            line: placed.motion.line,
            seconds: placed.from_seconds + placed.seconds * part,
        })
    }

    /// Distance along the path at a time in seconds since the start of the pass.
    pub fn distance_at(&self, seconds: f64) -> f64 {
        let index = self.placed.partition_point(|placed| placed.from_seconds <= seconds).saturating_sub(1);
        let Some(placed) = self.placed.get(index) else { return 0.0 };
        let part = if placed.seconds > 0.0 {
            ((seconds - placed.from_seconds) / placed.seconds).clamp(0.0, 1.0)
        } else {
            1.0
        };
        placed.from + placed.length * part
    }

    /// Distance along the path at the end of the first motions of this program line; when it has none, of those of the
    /// nearest line before it, or of the first motion there is.
    pub fn distance_of_line(&self, line: u32) -> f64 {
        // Called programs and repeats make lines come again and out of order.
        let lines = self.placed.iter().map(|placed| placed.motion.line);
        let nearest = lines.filter(|own| *own <= line).max();
        let of_line = |placed: &Placed| Some(placed.motion.line) == nearest;
        let first = self.placed.iter().position(of_line).unwrap_or(0);
        let run = self.placed.iter().skip(first).take_while(|placed| of_line(placed));
        run.last().or(self.placed.first()).map_or(0.0, |placed| placed.from + placed.length)
    }

    /// Distance along the path of the point of the path nearest to `p` in plan, feed motions only.
    pub fn nearest(&self, p: Point) -> Option<f64> {
        let mut best: Option<(f64, f64)> = None;
        for placed in self.placed.iter().filter(|placed| placed.motion.kind == Kind::Feed) {
            let (part, distance) = nearest_part(&placed.motion, p);
            if best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, placed.from + part * placed.length));
            }
        }
        best.map(|(_, along)| along)
    }
}

/// Part of the way along (0 to 1) of a motion's point nearest to `p` in plan, and the distance between them.
fn nearest_part(motion: &Motion, p: Point) -> (f64, f64) {
    plan_span(motion).nearest(p)
}

/// The motion's line in plan.
pub fn plan_span(motion: &Motion) -> Span {
    match motion.curve {
        Curve::Arc { plane: Plane::Xy, centre, sweep } => {
            let spoke = motion.start.plan() - centre;
            Span::Arc(Arc::new(centre, spoke.length(), spoke.angle(), sweep))
        }
        _ => Span::Line { from: motion.start.plan(), to: motion.end.plan() },
    }
}

/// The box round a motion in plan.
pub fn plan_bounds(motion: &Motion) -> Bounds {
    plan_span(motion).bounds()
}

/// Unit vector of travel in plan; zero for a motion straight up or down.
pub fn heading(motion: &Motion, part: f64) -> Point {
    let span = plan_span(motion);
    if span.length() > 0.0 { span.tangent(part) } else { Point::default() }
}

/// How a program is laid out as a track.
#[derive(Debug, Clone, Copy)]
struct Follow {
    rapid: Option<f64>,
    tolerance: f64,
    above: Option<f64>,
}

/// The motion with its ends that are up at this height at the least.
fn raised(mut motion: Motion, above: Option<f64>) -> Motion {
    let Some(above) = above else { return motion };
    if motion.start_known.is_up() {
        motion.start.z = motion.start.z.max(above);
    }
    if motion.end_known.is_up() {
        motion.end.z = motion.end.z.max(above);
    }
    motion
}

/// The motion from program to block coordinates.
fn in_block(motion: &Motion, zero: &Zero) -> Motion {
    let angle = zero.turn.to_radians();
    let place = |p: Point3| {
        let turned = p.plan().turned(angle);
        pt3(turned.x + zero.origin[0], turned.y + zero.origin[1], p.z + zero.origin[2])
    };
    let curve = match motion.curve {
        Curve::Arc { plane: Plane::Xy, centre, sweep } => {
            let moved = place(pt3(centre.x, centre.y, 0.0)).plan();
            Curve::Arc { plane: Plane::Xy, centre: moved, sweep }
        }
        other => other,
    };
    Motion { start: place(motion.start), end: place(motion.end), curve, ..*motion }
}
