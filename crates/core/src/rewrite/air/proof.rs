//! Holding an air pass against its original.

use super::scan::Scanned;
use crate::geometry::Point3;
use crate::program::{self, Curve, Motion, Program, Settings};
use crate::rewrite::{NotWritten, Refusal, followed};
use crate::task::Task;

/// Parts of a motion at which two are held against each other: two curves of one kind in one plane that agree at
/// five points are the same.
const PARTS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Sweeps that differ by less are the same way round, radians.
const SAME_TURN: f64 = 1.0;

/// How the second program must differ from the first.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shift {
    /// Lift in the unit of both.
    pub by: f64,
    /// Index of the first motion that ends lifted.
    pub from: usize,
    /// How far a point may be off.
    pub tolerance: f64,
    /// Line that new lines were put behind.
    pub behind: u32,
    /// How many.
    pub inserted: u32,
}

/// Every motion of `after` is that of `before`, lifted; nothing else differs.
pub(super) fn lifted(before: &Program, after: &Program, shift: &Shift) -> Result<(), Refusal> {
    followed(after)?;
    for (index, (a, b)) in before.motions.iter().zip(&after.motions).enumerate() {
        if !is_lifted(a, b, index, shift) {
            return Err(unproven(Some(a.line)));
        }
    }
    let dwells = before.dwells.iter().map(|dwell| (dwell.before, dwell.seconds));
    let same_dwells = dwells.eq(after.dwells.iter().map(|dwell| (dwell.before, dwell.seconds)));
    let tools = before.tools.iter().map(|call| call.number);
    let same_tools = tools.eq(after.tools.iter().map(|call| call.number));
    let same_end = before.ending.end == after.ending.end;
    if before.motions.len() != after.motions.len() || !same_dwells || !same_tools || !same_end {
        return Err(unproven(None));
    }
    Ok(())
}

fn unproven(line: Option<u32>) -> Refusal {
    Refusal {
        line,
        column: None,
        message: "Read back, the lifted program does not move here as the original does, only higher, so it was not \
                  written. Look for a word on or before this line that changes what Z means."
            .to_owned(),
    }
}

fn is_lifted(a: &Motion, b: &Motion, index: usize, shift: &Shift) -> bool {
    let (start_by, end_by) =
        (if index > shift.from { shift.by } else { 0.0 }, if index >= shift.from { shift.by } else { 0.0 });
    let near = |a: Point3, b: Point3, by: f64| {
        let close = |a: f64, b: f64| (a - b).abs() <= shift.tolerance;
        close(a.x, b.x) && close(a.y, b.y) && close(a.z + by, b.z)
    };
    let same_curve = match (a.curve, b.curve) {
        (Curve::Straight, Curve::Straight) => near(a.start, b.start, start_by) && near(a.end, b.end, end_by),
        (Curve::Arc { plane: p, sweep: s, .. }, Curve::Arc { plane: q, sweep: t, .. }) => {
            let by = |part: f64| start_by + (end_by - start_by) * part;
            p == q
                && (s - t).abs() < SAME_TURN
                && PARTS.iter().all(|&part| near(a.at(part), b.at(part), by(part)))
        }
        _ => false,
    };
    let line = a.line + if a.line > shift.behind { shift.inserted } else { 0 };
    same_curve
        && line == b.line
        && (a.feed, a.spindle, a.tool, a.kind) == (b.feed, b.spindle, b.tool, b.kind)
        && (a.proven, a.start_known) == (b.proven, b.start_known)
}

/// The same with the lines that begin with `/` taken the other way: the operator may set the switch either way.
pub(super) fn with_lines_left_out(
    before: &[u8],
    after: &[u8],
    settings: &Settings,
    shift: &Shift,
    scanned: &Scanned,
    target: f64,
    task: Task<'_>,
) -> Result<(), NotWritten> {
    let Some(line) = scanned.first_slash else { return Ok(()) };
    let other = Settings { block_delete: !settings.block_delete, ..settings.clone() };
    let before = program::read(before, &other, task)?;
    let after = program::read(after, &other, task)?;
    let first =
        scanned.first_line.and_then(|line| before.motions.iter().position(|motion| motion.line >= line));
    let result = first.ok_or_else(|| unproven(Some(line))).and_then(|from| {
        lifted(&before, &after, &Shift { from, ..*shift })?;
        let high = super::heights(&after.motions, from).is_none_or(|(lowest, _)| lowest >= target);
        if high { Ok(()) } else { Err(unproven(Some(line))) }
    });
    result.map_err(|_| {
        Refusal::on_line(
            line,
            "Lines that begin with / may be left out at the control, and then the lifted program would not be proven. \
             Take the / off, or take the lines out.",
        )
        .into()
    })
}
