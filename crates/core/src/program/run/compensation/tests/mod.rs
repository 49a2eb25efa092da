//! Paths in short writing, and what is asked of the centre's path.

mod inside;
mod moves;
mod published;
mod steiner;

use approx::assert_abs_diff_eq;

use super::*;
use crate::geometry::pt;
use crate::program::{Kind, Motion};

/// One programmed move in plan.
#[derive(Debug, Clone, Copy)]
enum Go {
    Line(f64, f64),
    /// Clockwise to a point, about the start and an offset.
    Clockwise(f64, f64, f64, f64),
    Anticlockwise(f64, f64, f64, f64),
}

use Go::{Anticlockwise, Clockwise, Line};

impl Go {
    const fn end(self) -> Point {
        match self {
            Line(x, y) | Clockwise(x, y, ..) | Anticlockwise(x, y, ..) => pt(x, y),
        }
    }

    fn shape(self, from: Point) -> Programmed {
        let (i, j, ccw) = match self {
            Line(..) => return Programmed::Line,
            Clockwise(_, _, i, j) => (i, j, false),
            Anticlockwise(_, _, i, j) => (i, j, true),
        };
        let centre = from + pt(i, j);
        let (a, b) = (from - centre, self.end() - centre);
        let turn = if ccw { 1.0 } else { -1.0 };
        let sweep = (a.cross(b).atan2(a.dot(b)) * turn).rem_euclid(TAU) * turn;
        Programmed::Arc { centre, sweep: if from == self.end() { TAU * turn } else { sweep } }
    }

    /// The move seen in a mirror along Y.
    const fn mirrored(self) -> Self {
        match self {
            Line(x, y) => Line(-x, y),
            Clockwise(x, y, i, j) => Anticlockwise(-x, y, -i, j),
            Anticlockwise(x, y, i, j) => Clockwise(-x, y, -i, j),
        }
    }
}

const fn level(p: Point) -> Point3 {
    pt3(p.x, p.y, 0.0)
}

/// What the centre did: motions in order, and how many there were before each programmed move.
#[derive(Debug)]
struct Walked {
    motions: Vec<Motion>,
    starts: Vec<usize>,
    result: Result<(), CompensationFault>,
}

fn motion(start: Point3, piece: Piece) -> Motion {
    Motion { curve: piece.curve, ..Motion::straight(start, piece.end, Kind::Feed) }
}

/// Follows a path from `from`; stops at the first fault.
fn walk(side: Side, radius: f64, from: Point, path: &[Go]) -> Walked {
    walk_from(on(side, radius), from, path)
}

fn walk_from(mut state: Compensation, from: Point, path: &[Go]) -> Walked {
    let (mut at, mut programmed) = (level(from), from);
    let mut walked = Walked { motions: Vec::new(), starts: Vec::new(), result: Ok(()) };
    for go in path {
        let mut pieces = Vec::new();
        walked.starts.push(walked.motions.len());
        let shape = go.shape(programmed);
        match state.advance(at, level(programmed), level(go.end()), shape, &mut pieces) {
            Ok(None) => {}
            Ok(Some(place)) => {
                end_at(walked.motions.last_mut().expect("a motion"), place);
                at = level(place);
            }
            Err(fault) => {
                walked.result = Err(fault);
                return walked;
            }
        }
        for piece in pieces {
            walked.motions.push(motion(at, piece));
            at = piece.end;
        }
        programmed = go.end();
    }
    walked
}

fn length(motions: &[Motion]) -> f64 {
    motions.iter().map(Motion::length).sum()
}

/// Area inside a closed path by Green's formula, positive counter-clockwise; exact for arcs.
fn area(motions: &[Motion]) -> f64 {
    let twice = |motion: &Motion| {
        let (a, b) = (motion.start.plan(), motion.end.plan());
        match motion.curve {
            Curve::Straight => a.cross(b),
            Curve::Arc { centre, sweep, .. } => {
                let radius = a.distance(centre);
                radius * radius * sweep + centre.cross(b - a)
            }
        }
    };
    motions.iter().map(twice).sum::<f64>() / 2.0
}

/// Ends of arcs lie on them.
fn assert_arcs_close(motions: &[Motion]) {
    for motion in motions {
        if let Curve::Arc { centre, sweep, .. } = motion.curve {
            let end = centre + (motion.start.plan() - centre).turned(sweep);
            assert!(end.distance(motion.end.plan()) < 1e-9, "{motion:?}");
        }
    }
}

/// Two numbers of a closed path.
fn assert_contour(motions: &[Motion], perimeter: f64, surface: f64) {
    let (first, last) = (motions.first().expect("a path"), motions.last().expect("a path"));
    assert!(first.start.distance(last.end) < 1e-9, "the path closes");
    assert_arcs_close(motions);
    assert_abs_diff_eq!(length(motions), perimeter, epsilon = 1e-9);
    assert_abs_diff_eq!(area(motions).abs(), surface, epsilon = 1e-9);
}

/// NISTIR 6556, appendix B, table 12: published. The edge of the material, from (1, 5).
const TABLE_12: [Go; 9] = [
    Line(1.0, 4.0),
    Anticlockwise(2.0, 3.0, 1.0, 0.0),
    Clockwise(3.0, 2.0, 0.0, -1.0),
    Line(3.0, -1.0),
    Clockwise(2.0, -2.0, -1.0, 0.0),
    Line(-2.0, -2.0),
    Clockwise(-2.6, -0.2, 0.0, 1.0),
    Line(1.4, 2.8),
    Clockwise(2.0, 3.0, 0.6, -0.8),
];

/// NISTIR 6556, appendix B, table 13: published. The path of a tool of diameter 1, from (1.5, 5).
const TABLE_13: [Go; 9] = [
    Line(1.5, 4.0),
    Anticlockwise(2.0, 3.5, 0.5, 0.0),
    Clockwise(3.5, 2.0, 0.0, -1.5),
    Line(3.5, -1.0),
    Clockwise(2.0, -2.5, -1.5, 0.0),
    Line(-2.0, -2.5),
    Clockwise(-2.9, 0.2, 0.0, 1.5),
    Line(1.1, 3.2),
    Clockwise(2.0, 3.5, 0.9, -1.2),
];

/// Moves of both tables before the contour.
const ENTRY: usize = 2;

/// Perimeter and area of table 12 moved out by r: P + 2 pi r and A + P r + pi r^2 (Steiner; derived).
fn table_12_moved_out(r: f64) -> (f64, f64) {
    let (perimeter, surface) = (12.0 + TAU, 18.0 + PI);
    (perimeter + TAU * r, surface + perimeter * r + PI * r * r)
}

/// The contour after the entry, which must have been followed.
fn contour(walked: &Walked) -> &[Motion] {
    assert_eq!(walked.result, Ok(()));
    &walked.motions[walked.starts[ENTRY]..]
}

/// A fixed-seed sequence.
struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }
}
