//! Findings from the removal of metal: rapids, plunges, and passes that take nothing.

use super::PassCheck;
use super::finished::tells;
use crate::block::{Removal, Taken};
use crate::finding::{Code, Finding, Severity};
use crate::finished::comes_down;
use crate::geometry::pt3;
use crate::job::Does;
use crate::program::{Kind, Motion};

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let Some(removal) = &check.proof.removal else { return Vec::new() };
    let mut found = Vec::new();
    let mut last = None;
    for taken in removal.taken() {
        let motion = &check.proof.track.placed()[taken.motion].motion;
        if taken.deepest <= check.tolerances.touch || last == Some(motion.line) || tells(check, motion.line) {
            continue;
        }
        let finding = through(check, taken, motion).or_else(|| plunge(check, taken, motion));
        if finding.is_some() {
            last = Some(motion.line);
        }
        found.extend(finding);
    }
    found.extend(cuts_nothing(check, removal));
    found.extend(top_left(check, removal));
    found
}

/// A pass that faces less of the block than this is meant to leave the rest.
const FACES_MOST: f64 = 0.5;
/// Less of the block's top than this part of it is the edge of a cell.
const LEAST_LEFT: f64 = 0.002;

/// Where the top of the block still stands above what a facing pass takes it down to, all passes done.
fn top_left(check: &PassCheck<'_>, own: &Removal) -> Option<Finding> {
    let outline = check.outline?;
    check.proof.purpose.as_ref().filter(|purpose| purpose.does == Does::Face)?;
    let level = check.proof.lowest? + check.pass.zero.origin[2];
    let field = check.later.iter().rev().find_map(|later| later.removal.as_deref()).unwrap_or(own).end();
    let grid = field.grid();
    let (mut left, mut highest) = (0_usize, (level, None));
    for row in 0..grid.rows {
        for column in 0..grid.columns {
            let height = f64::from(field.height(column, row));
            if height <= level + check.tolerances.depth {
                continue;
            }
            let at = grid.centre(column, row);
            if outline.holds(at) {
                left += 1;
                if height > highest.0 + check.tolerances.touch {
                    highest = (height, Some(at));
                }
            }
        }
    }
    let part = left as f64 * grid.cell * grid.cell / outline.area();
    let at = highest.1?;
    (part > LEAST_LEFT && part < 1.0 - FACES_MOST).then(|| {
        let message = format!(
            "{}: leaves {:.0} % of the block's top standing, up to {} above the Z {} that it faces to, and no later pass \
             takes it. Check where its path ends, and how far its rows lie apart.",
            check.title(),
            (part * 100.0).max(1.0),
            check.length(highest.0 - level),
            check.told.fine(level),
        );
        let finding = Finding::new(Code::MetalLeft, Severity::Look, message).about(highest.0 - level);
        finding.at(pt3(at.x, at.y, highest.0))
    })
}

fn through(check: &PassCheck<'_>, taken: &Taken, motion: &Motion) -> Option<Finding> {
    (motion.kind == Kind::Rapid).then(|| {
        let message = format!(
            "{}: a rapid goes through metal, up to {} deep. Lift clear of the block before moving across, and let Z \
             come down beside it.",
            check.title(),
            check.length(taken.deepest)
        );
        Finding::new(Code::RapidThroughBlock, Severity::Stop, message).about(taken.deepest).on_line(motion.line).at(taken.at)
    })
}

fn plunge(check: &PassCheck<'_>, taken: &Taken, motion: &Motion) -> Option<Finding> {
    let straight_down = comes_down(motion, check.tolerances.follow);
    (straight_down && !check.tool.form.can_plunge()).then(|| {
        let message = format!(
            "{}: the tool comes straight down on metal, {} deep. Let Z come down beside the block, or make sure \
             that the cutter is center-cutting.",
            check.title(),
            check.length(taken.deepest)
        );
        Finding::new(Code::PlungeOnBlock, Severity::Look, message).about(taken.deepest).on_line(motion.line).at(taken.at)
    })
}

fn cuts_nothing(check: &PassCheck<'_>, removal: &Removal) -> Option<Finding> {
    removal.taken().is_empty().then(|| {
        let message = format!(
            "{}: takes no metal at all. Is it the right program, at the right depth, from the right zero? If so, it \
             may not be needed.",
            check.title()
        );
        Finding::new(Code::CutsNothing, Severity::Look, message)
    })
}
