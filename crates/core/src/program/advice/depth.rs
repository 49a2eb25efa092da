//! One dip below the depth that a program cuts at.

use super::Look;
use crate::finding::{Code, Finding, Severity};
use crate::program::{Curve, Kind, Motion};

/// Heights closer than this are one level.
const SAME: f64 = 0.001;
/// Programs with more levels follow a surface or a long ramp.
const MOST_LEVELS: usize = 64;
/// A level with a smaller part of the floor's length than this is a dip.
const SMALL_PART: f64 = 0.05;
/// A move that goes this many times as far in plan as it comes down is a ramp.
const RAMP: f64 = 3.0;

/// A height that feed motions run along or come down to.
#[derive(Debug, Clone, Copy)]
struct Level {
    z: f64,
    /// Length cut along it.
    length: f64,
    /// How often the tool comes to it, and from which line first.
    visits: u32,
    line: u32,
    /// Come to by a ramp or a helix.
    ramped: bool,
}

pub(super) fn findings(look: &Look<'_>) -> Option<Finding> {
    let levels = levels(look)?;
    let same = look.inches(SAME);
    let floor =
        levels.iter().max_by(|a, b| a.length.total_cmp(&b.length)).filter(|level| level.length > 0.0)?;
    let mut lower = levels.iter().filter(|level| level.z < floor.z - same);
    let dip = lower.next().filter(|_| lower.next().is_none())?;
    if dip.visits != 1 || dip.ramped || dip.length >= floor.length * SMALL_PART {
        return None;
    }
    let message = format!(
        "Z goes down to {} once, {} below the depth that most of the program cuts at ({}). Check whether \
         the number is right.",
        look.length(dip.z),
        look.length(floor.z - dip.z),
        look.length(floor.z)
    );
    Some(look.find(Code::OddDepth, Severity::Look, (dip.line, 'Z'), message))
}

/// Every level of the program; `None` when there are too many to speak of a floor.
fn levels(look: &Look<'_>) -> Option<Vec<Level>> {
    let same = look.inches(SAME);
    let mut levels: Vec<Level> = Vec::new();
    let mut last = 0;
    for motion in &look.program.motions {
        let level = (motion.end.z - motion.start.z).abs() <= same;
        if motion.kind == Kind::Rapid && (level || motion.end.z > motion.start.z) {
            continue;
        }
        let here = |level: &Level| (level.z - motion.end.z).abs() <= same;
        if !levels.get(last).is_some_and(here) {
            last = levels.iter().position(here).unwrap_or(levels.len());
        }
        if last == levels.len() {
            if last == MOST_LEVELS {
                return None;
            }
            levels.push(Level { z: motion.end.z, length: 0.0, visits: 0, line: motion.line, ramped: false });
        }
        if let Some(found) = levels.get_mut(last) {
            if level {
                found.length += motion.length();
            } else {
                found.visits += 1;
                found.ramped |= is_ramp(motion);
            }
        }
    }
    Some(levels)
}

/// Whether a motion comes down gently or on a helix.
fn is_ramp(motion: &Motion) -> bool {
    let drop = motion.start.z - motion.end.z;
    motion.curve != Curve::Straight || motion.start.plan().distance(motion.end.plan()) > drop * RAMP
}
