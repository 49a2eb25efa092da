//! Holding an air pass against its original.

use std::collections::BTreeSet;

use super::heights::reach;
use super::scan::Scanned;
use crate::geometry::Point3;
use crate::program::{self, Curve, Known, Motion, Plane, Program, Settings};
use crate::rewrite::{NotWritten, Refusal, followed};
use crate::task::Task;

/// Parts of a motion at which two are held against each other: two curves of one kind in one plane that agree at
/// five points are the same.
const PARTS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Sweeps that differ by less are the same way round, radians.
const SAME_TURN: f64 = 1.0;

/// How the second program must differ from the first.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shift<'a> {
    /// Lift in the unit of both.
    pub by: f64,
    /// How far a point may be off.
    pub tolerance: f64,
    /// Line that new lines were put behind.
    pub behind: u32,
    /// How many.
    pub inserted: u32,
    /// Lines that go to places of the machine, which stay where they are.
    pub machine_lines: &'a BTreeSet<u32>,
}

/// How low and how high the lifted program goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Heights {
    /// Lowest Z of what was lifted.
    pub lowest: f64,
    /// Highest Z that is known.
    pub highest: f64,
    /// The lowest place that does not rise with the lift, and its line in the original: where it lies too low the lift
    /// is of no use.
    pub same: Option<(f64, u32)>,
}

impl Heights {
    fn put_same(&mut self, z: f64, line: u32) {
        if self.same.is_none_or(|(lowest, _)| z < lowest) {
            self.same = Some((z, line));
        }
    }
}

/// Every motion of `after` is that of `before`, lifted, but for places of the machine; nothing else differs.
pub(super) fn lifted(before: &Program, after: &Program, shift: &Shift<'_>) -> Result<Heights, Refusal> {
    followed(after)?;
    let mut heights = Heights { lowest: f64::INFINITY, highest: f64::NEG_INFINITY, same: None };
    let mut rise = 0.0;
    for (a, b) in before.motions.iter().zip(&after.motions) {
        let end = rises(a, rise, shift).into_iter().find(|end| is_lifted(a, b, [rise, *end], shift));
        let end = end.ok_or_else(|| unproven(Some(a.line)))?;
        note(&mut heights, a, b, [rise, end]);
        rise = end;
    }
    let dwells = before.dwells.iter().map(|dwell| (dwell.before, dwell.seconds));
    let same_dwells = dwells.eq(after.dwells.iter().map(|dwell| (dwell.before, dwell.seconds)));
    let tools = before.tools.iter().map(|call| call.number);
    let same_tools = tools.eq(after.tools.iter().map(|call| call.number));
    let same_end = before.ending.end == after.ending.end;
    if before.motions.len() != after.motions.len() || !same_dwells || !same_tools || !same_end {
        return Err(unproven(None));
    }
    Ok(heights)
}

fn unproven(line: Option<u32>) -> Refusal {
    Refusal {
        line,
        column: None,
        message: "Read back, the lifted program does not move here as the original does, only higher, so it was not \
                  written. Check whether a word on or before this line changes what Z means."
            .to_owned(),
    }
}

/// By how much the end of a motion may have risen, when its start has by `rise`.
fn rises(motion: &Motion, rise: f64, shift: &Shift<'_>) -> Vec<f64> {
    let stated = motion.end_known.axis(2);
    if !stated {
        // until the program states Z, and when it has sent it up, it is the same height in both
        vec![if motion.end_known.is_up() { 0.0 } else { rise }]
    } else if motion.start.z == motion.end.z {
        vec![rise, shift.by]
    } else if shift.machine_lines.contains(&motion.line) {
        vec![0.0, shift.by]
    } else {
        vec![shift.by]
    }
}

fn is_lifted(a: &Motion, b: &Motion, rise: [f64; 2], shift: &Shift<'_>) -> bool {
    let [start, end] = rise;
    let close = |a: f64, b: f64| (a - b).abs() <= shift.tolerance;
    // How high a tool that is up is given depends on all heights of its program, and nothing on it.
    let height = |known: Known, a: f64, b: f64, by: f64| known.is_up() || close(a + by, b);
    let plan = |a: Point3, b: Point3| close(a.x, b.x) && close(a.y, b.y);
    let same_curve = match (a.curve, b.curve) {
        (Curve::Straight, Curve::Straight) => {
            plan(a.start, b.start)
                && plan(a.end, b.end)
                && height(a.start_known, a.start.z, b.start.z, start)
                && height(a.end_known, a.end.z, b.end.z, end)
        }
        (Curve::Arc { plane: p, sweep: s, .. }, Curve::Arc { plane: q, sweep: t, .. }) => {
            let by = |part: f64| start + (end - start) * part;
            let near = |part: f64| {
                let (a, b) = (a.at(part), b.at(part));
                plan(a, b) && close(a.z + by(part), b.z)
            };
            p == q && (s - t).abs() < SAME_TURN && PARTS.into_iter().all(near)
        }
        _ => false,
    };
    let line = a.line + if a.line > shift.behind { shift.inserted } else { 0 };
    same_curve
        && line == b.line
        && (a.feed, a.spindle, a.tool, a.kind) == (b.feed, b.spindle, b.tool, b.kind)
        && (a.proven, a.start_known, a.end_known) == (b.proven, b.start_known, b.end_known)
}

/// How low and how high a motion of the lifted program goes.
fn note(heights: &mut Heights, a: &Motion, b: &Motion, [start, end]: [f64; 2]) {
    if !b.end_known.axis(2) {
        return;
    }
    heights.highest = heights.highest.max(b.end.z);
    if end == 0.0 {
        heights.put_same(b.end.z, a.line);
    } else {
        heights.lowest = heights.lowest.min(b.end.z);
    }
    let crosses = b.start.plan() != b.end.plan() || b.curve != Curve::Straight;
    if start == 0.0 && crosses && b.start_known.axis(2) {
        heights.put_same(b.start.z, a.line);
    } else if start != 0.0 && !matches!(b.curve, Curve::Straight | Curve::Arc { plane: Plane::Xy, .. }) {
        let (low, high) = reach(b);
        heights.lowest = heights.lowest.min(low);
        heights.highest = heights.highest.max(high);
    }
}

/// The same with the lines that begin with `/` taken the other way: the operator may set the switch either way.
pub(super) fn with_lines_left_out(
    before: &[u8],
    after: &[u8],
    settings: &Settings,
    shift: &Shift<'_>,
    scanned: &Scanned,
    target: f64,
    task: Task<'_>,
) -> Result<(), NotWritten> {
    let Some(line) = scanned.first_slash else { return Ok(()) };
    let other = Settings { block_delete: !settings.block_delete, ..settings.clone() };
    let before = program::read(before, &other, task)?;
    let after = program::read(after, &other, task)?;
    let high = |heights: Heights| {
        heights.lowest >= target && heights.same.is_none_or(|(lowest, _)| lowest >= target)
    };
    if lifted(&before, &after, shift).is_ok_and(high) {
        return Ok(());
    }
    Err(Refusal::on_line(
        line,
        "Lines that begin with / may be left out at the control, and then the lifted program would not be checked. Take \
         the / off, or take the lines out.",
    )
    .into())
}
