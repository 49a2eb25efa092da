//! The box round all that tools sweep.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::geometry::{Point, Point3, pt, pt3};
use crate::job::{Job, PathSource, Vertex, check_closed};
use crate::program::{Curve, Kind, Motion, Program, Zero};

/// The largest number of a job file, with room for rounding.
const LARGEST: f64 = 1e9 - 1.0;

/// The upright rectangle round all that the tools of a job sweep while they feed below the blank's top, larger by
/// `margin` on every side; round all feed motions where none goes below it. `programs` are those of its passes, in the
/// job's unit.
///
/// # Errors
/// Why there is none, in plain words.
pub fn box_round(job: &Job, programs: &[&Program], (top, margin): (f64, f64)) -> Result<Vec<Vertex>, String> {
    let mut swept: Option<Extent> = None;
    for below in [true, false] {
        for (pass, program) in job.passes.iter().zip(programs) {
            let feeds = program
                .motions
                .iter()
                .filter(|motion| motion.kind == Kind::Feed && motion.start_known.is_place());
            // Leads above the block say nothing of its size.
            let cuts =
                feeds.filter(|motion| !below || motion.start.z.min(motion.end.z) + pass.zero.origin[2] < top);
            let radius = job.tool(pass.tool).map_or(0.0, |tool| tool.form.radius());
            let Some(extent) = Extent::of(cuts, Some(pass.zero)) else { continue };
            let extent = extent.wider(radius + margin);
            swept = Some(swept.map_or(extent, |other| other.with(extent)));
        }
        if swept.is_some() {
            break;
        }
    }
    let Extent { low, high } = swept.ok_or("no program feeds anywhere: state the blank by its corners")?;
    rectangle([low.x, low.y], [high.x, high.y])
}

/// These vertices as an outline.
///
/// # Errors
/// Why they make no closed path, in plain words.
pub fn closed(vertices: Vec<Vertex>) -> Result<PathSource, String> {
    match check_closed(&vertices) {
        Ok(()) => Ok(PathSource::Vertices(vertices)),
        Err((Some(index), why)) => Err(format!("vertex {}: {why}", index + 1)),
        Err((None, why)) => Err(why),
    }
}

/// The rectangle between two opposite corners.
///
/// # Errors
/// Why it is no blank, in plain words.
pub fn rectangle(a: [f64; 2], b: [f64; 2]) -> Result<Vec<Vertex>, String> {
    if [a, b].as_flattened().iter().any(|value| !value.is_finite()) {
        return Err("the size of the blank is not a number".to_owned());
    }
    // What a job file would not take.
    if [a, b].as_flattened().iter().any(|value| value.abs() > LARGEST) {
        return Err("the size of the blank is too large to be meant".to_owned());
    }
    // Far below what can be sawn, but sums of decimals then look as they would on paper.
    let tidy = |value: f64| (value * 1e6).round() / 1e6;
    let (low, high) =
        ([a[0].min(b[0]), a[1].min(b[1])].map(tidy), [a[0].max(b[0]), a[1].max(b[1])].map(tidy));
    if low[0] >= high[0] || low[1] >= high[1] {
        return Err("the blank has no area: its corners lie on one line".to_owned());
    }
    let corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])];
    Ok(corners.map(|(x, y)| Vertex { at: pt(x, y), bulge: 0.0 }).to_vec())
}

/// The lowest Z that is fed to, and its line.
pub(super) fn lowest_feed(motions: &[Motion]) -> Option<(f64, u32)> {
    let mut lowest: Option<(f64, u32)> = None;
    for motion in motions.iter().filter(|motion| motion.kind == Kind::Feed) {
        // What the program has not said yet is no depth of its own.
        if !motion.end_known.axis(2) {
            continue;
        }
        let whole = if motion.start_known.axis(2) { Extent::of(std::iter::once(motion), None) } else { None };
        let ends = whole.map_or(motion.end.z, |extent| extent.low.z);
        if lowest.is_none_or(|(z, _)| ends < z) {
            lowest = Some((ends, motion.line));
        }
    }
    lowest.filter(|(z, _)| z.abs() <= LARGEST).map(|(z, line)| ((z * 1e6).round() / 1e6, line))
}

/// The smallest upright box round a path.
#[derive(Debug, Clone, Copy)]
struct Extent {
    low: Point3,
    high: Point3,
}

impl Extent {
    /// Round motions, put into the block by `zero` where one is given.
    fn of<'a>(motions: impl Iterator<Item = &'a Motion>, zero: Option<Zero>) -> Option<Self> {
        let mut extent: Option<Self> = None;
        let zero = zero.unwrap_or_default();
        let [x, y, z] = zero.origin;
        let put = |p: Point3| {
            let plan = p.plan().turned(zero.turn.to_radians());
            pt3(plan.x + x, plan.y + y, p.z + z)
        };
        for motion in motions {
            let mut grow = |p: Point3| {
                let e = extent.get_or_insert(Self { low: p, high: p });
                e.low = pt3(e.low.x.min(p.x), e.low.y.min(p.y), e.low.z.min(p.z));
                e.high = pt3(e.high.x.max(p.x), e.high.y.max(p.y), e.high.z.max(p.z));
            };
            grow(put(motion.start));
            grow(put(motion.end));
            for t in quarters(motion, zero.turn) {
                grow(put(motion.at(t)));
            }
        }
        extent
    }

    fn wider(self, by: f64) -> Self {
        let Self { low, high } = self;
        Self { low: pt3(low.x - by, low.y - by, low.z), high: pt3(high.x + by, high.y + by, high.z) }
    }

    fn with(self, other: Self) -> Self {
        let Self { low, high } = self;
        Self {
            low: pt3(low.x.min(other.low.x), low.y.min(other.low.y), low.z.min(other.low.z)),
            high: pt3(high.x.max(other.high.x), high.y.max(other.high.y), high.z.max(other.high.z)),
        }
    }
}

/// Where along an arc it runs square to an axis of the block, which is where it reaches farthest.
fn quarters(motion: &Motion, turn: f64) -> Vec<f64> {
    let Curve::Arc { plane, centre, sweep } = motion.curve else { return Vec::new() };
    if sweep == 0.0 || !sweep.is_finite() {
        return Vec::new();
    }
    let (from, _) = plane.split(motion.start);
    let from: Point = from - centre;
    let start = from.angle() + if plane == crate::program::Plane::Xy { turn.to_radians() } else { 0.0 };
    // Further turns of a helix reach no farther than the first.
    (0..4)
        .map(|quarter| (f64::from(quarter) * FRAC_PI_2 - start) * sweep.signum())
        .map(|ahead| ahead.rem_euclid(TAU) / sweep.abs())
        .filter(|&t| t < 1.0)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::rectangle;

    #[test]
    fn no_blank_is_larger_than_a_job_file_takes() {
        assert!(rectangle([0.0, 0.0], [4.0, 3.0]).is_ok());
        for corner in [[-1.2e9, 3.0], [4.0, 1e300], [4.0, f64::INFINITY]] {
            assert!(rectangle([0.0, 0.0], corner).is_err(), "{corner:?}");
        }
    }
}
