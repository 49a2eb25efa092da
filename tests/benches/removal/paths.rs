//! The block and the paths that are timed.

use blockwright_core::block::{Field, blank_field};
use blockwright_core::geometry::{Path, Point3, pt, pt3};
use blockwright_core::program::{Curve, Motion};
use blockwright_core::track::Track;
use blockwright_core::units::Units;
use blockwright_tests::motions::{self, feed};

const CELL: f64 = 0.002;
/// Lines of the surfacing pass, and motions along each.
pub(crate) const LINES: usize = 500;
pub(crate) const STEPS: usize = 1000;
/// Half the length of a line, and the distance from line to line.
pub(crate) const REACH: f64 = 2.4;

/// 5 x 5 in: 6.25 million cells.
pub(crate) fn plate() -> Field {
    let corners = [pt(-2.5, -2.5), pt(2.5, -2.5), pt(2.5, 2.5), pt(-2.5, 2.5)].map(|at| (at, 0.0));
    blank_field(&Path::closed(&corners).expect("a square"), 0.0, -1.0, CELL, Units::Inch).expect("fits")
}

/// Once round a circle of 4 in across in short moves.
pub(crate) fn profile(moves: usize) -> Track {
    let at = |step: usize| {
        let angle = std::f64::consts::TAU * step as f64 / moves as f64;
        pt3(2.0 * angle.cos(), 2.0 * angle.sin(), -0.5)
    };
    track((0..=moves).map(at))
}

/// Line by line over a wavy surface, there and back.
pub(crate) fn surfacing(lines: usize, steps: usize) -> Track {
    track((0..lines).flat_map(|line| on_line(line, steps)))
}

/// One line of the surfacing pass.
pub(crate) fn surfacing_line(line: usize) -> Track {
    track(on_line(line, STEPS))
}

/// Y of a line.
pub(crate) fn line_y(line: usize) -> f64 {
    REACH * (2.0 * line as f64 / (LINES - 1) as f64 - 1.0)
}

fn on_line(line: usize, steps: usize) -> impl Iterator<Item = Point3> {
    let y = line_y(line);
    (0..=steps).map(move |step| {
        let part = 2.0 * step as f64 / steps as f64 - 1.0;
        let x = if line.is_multiple_of(2) { REACH * part } else { -REACH * part };
        pt3(x, y, -0.3 + 0.1 * (2.0 * x).sin() * (1.5 * y).cos())
    })
}

fn track(points: impl Iterator<Item = Point3>) -> Track {
    let points: Vec<Point3> = points.collect();
    let all: Vec<Motion> = points.windows(2).map(|pair| feed(pair[0], pair[1], Curve::Straight)).collect();
    motions::track(&all)
}
