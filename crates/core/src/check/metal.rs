//! Findings from the removal of metal: rapids, plunges, and passes that take nothing.

use super::PassCheck;
use super::finished::tells;
use crate::block::{Removal, Taken};
use crate::finding::{Code, Finding, Severity};
use crate::finished::comes_down;
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
    found
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
