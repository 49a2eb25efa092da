//! How a program ends.

use super::Look;
use crate::finding::{Code, Finding, Severity};
use crate::program::End;

pub(super) fn findings(look: &Look<'_>) -> Vec<Finding> {
    if look.program.motions.is_empty() {
        return Vec::new();
    }
    [no_end(look), no_mark(look), coolant(look)].into_iter().flatten().collect()
}

fn no_end(look: &Look<'_>) -> Option<Finding> {
    let ending = look.program.ending;
    match ending.end {
        // the reader itself tells of an M99 that has no caller
        End::Word | End::Return => None,
        End::Text | End::Mark => {
            let message = "The program ends without M30 or M2: spindle and coolant stay on, and controls \
                           wait, run on or start over. Normally M30 is the last line.";
            Some(Finding::new(Code::NoEnd, Severity::Look, message).on_line(ending.line))
        }
    }
}

fn no_mark(look: &Look<'_>) -> Option<Finding> {
    let ending = look.program.ending;
    (ending.opened_by_mark && !ending.closed_by_mark).then(|| {
        let message = "The program begins with % and has no % at its end: the control waits for more, or \
                       takes the file as cut short. Check whether the end of the file is missing.";
        Finding::new(Code::NoEnd, Severity::Look, message).on_line(ending.line)
    })
}

fn coolant(look: &Look<'_>) -> Option<Finding> {
    let line = look.program.coolant_left_on?;
    let message =
        "The coolant started here is still on when the text ends. Normally M9 and M30 come at the end.";
    Some(look.find(Code::CoolantLeftOn, Severity::Note, (line, 'M'), message.to_owned()))
}
