//! Findings on the finished block: metal that a pass takes and should leave, rapids through metal, and what a pass was
//! taken for without being called so.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::finished::{Entered, How};
use crate::job::Does;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let entered = &check.proof.entered;
    let next = |a: &Entered, b: &Entered| {
        let may_be = is_bent(a) == is_bent(b);
        may_be && (a.line == b.line || (code(a) == code(b) && b.motion <= a.motion + 1))
    };
    let mut events: Vec<Vec<Entered>> = entered.chunk_by(next).map(<[Entered]>::to_vec).collect();
    // A pass that runs too near to the line does so all round: that is one event, whatever corners lie between.
    let is_wall = |event: &Vec<Entered>| deepest(event).is_some_and(|worst| worst.how == How::Wall);
    let walls: Vec<Entered> = events.extract_if(.., |event| is_wall(event)).flatten().collect();
    events.extend((!walls.is_empty()).then_some(walls));
    let events = events.iter().filter(|event| !told_as_depth(check, event));
    let mut found: Vec<Finding> = events.filter_map(|event| event_finding(check, event)).collect();
    found.extend(taken_for(check));
    found
}

/// Whether a motion of this line is told here, so that nothing else has to tell it.
pub(super) fn tells(check: &PassCheck<'_>, line: u32) -> bool {
    check.proof.entered.iter().any(|entered| entered.line == line && !is_bent(entered))
}

/// A face cut that takes the finished top goes below its bottom, and that is told.
fn told_as_depth(check: &PassCheck<'_>, event: &[Entered]) -> bool {
    let faces = check.proof.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Face);
    let too_low = check.pass.bottom.zip(check.proof.lowest);
    faces
        && event.iter().all(|entered| entered.how == How::Block)
        && too_low.is_some_and(|(bottom, lowest)| lowest < bottom - check.tolerances.depth)
}

/// Whether it comes in only where rapids do not go straight.
fn is_bent(entered: &Entered) -> bool {
    entered.how == How::BentRapid
}

fn code(entered: &Entered) -> Code {
    match entered.how {
        How::Rapid | How::BentRapid => Code::RapidThroughBlock,
        How::Plunge => Code::PlungeOnBlock,
        How::Wall => Code::PastOutline,
        How::Block => Code::CutsFinishedBlock,
        How::Land(_) => Code::TakesLand,
    }
}

fn deepest(event: &[Entered]) -> Option<&Entered> {
    event.iter().max_by(|a, b| a.depth.total_cmp(&b.depth))
}

/// One finding for motions that follow each other: where it is worst.
fn event_finding(check: &PassCheck<'_>, event: &[Entered]) -> Option<Finding> {
    let amount = |entered: &Entered| match entered.how {
        How::Wall | How::Land(None) => entered.inside,
        How::Land(Some(climb)) => climb,
        How::Rapid | How::BentRapid | How::Plunge | How::Block => entered.depth,
    };
    // What makes it deepest says what it is; of that the worst.
    let deepest = deepest(event)?;
    let alike = event.iter().filter(|entered| code(entered) == code(deepest));
    let worst = alike.max_by(|a, b| amount(a).total_cmp(&amount(b)))?;
    let by = check.length(amount(worst));
    let message = match worst.how {
        How::Rapid => format!(
            "{}: a rapid goes through metal, up to {by} deep. Lift clear of the block before moving across, and let Z \
             come down beside it.",
            check.title()
        ),
        How::BentRapid => format!(
            "{}: this rapid clears the metal only if it runs in a straight line. Many controls move X and Y each at \
             full speed, not on a straight line, and would go up to {by} deep through metal here. Lift clear of the \
             block first.",
            check.title()
        ),
        How::Plunge => format!(
            "{}: the tool comes straight down on the finished block, {by} deep. {}",
            check.title(),
            remedy(check)
        ),
        How::Wall => wall(check, worst) + &more_lines(event),
        How::Block => format!(
            "{}: takes metal of the finished block, up to {by} deep, at Z {}. {}",
            check.title(),
            check.told.fine(worst.at.z - check.pass.zero.origin[2]),
            remedy(check)
        ),
        How::Land(climb) => land(check, climb.is_some(), &by),
    };
    let severity = if is_bent(worst) { Severity::Look } else { Severity::Stop };
    let finding =
        Finding::new(code(worst), severity, message).about(amount(worst)).on_line(worst.line).at(worst.at);
    let station = check.outline.map(|outline| outline.nearest(worst.at.plan()));
    Some(match station.filter(|_| matches!(worst.how, How::Wall | How::Land(_))) {
        Some(station) => finding.at_station(station),
        None => finding,
    })
}

fn wall(check: &PassCheck<'_>, worst: &Entered) -> String {
    let meant = check.pass.allowance.map_or(0.0, |allowance| (-allowance).max(0.0));
    let instead =
        if meant > 0.0 { format!(", where {} is meant", check.length(meant)) } else { String::new() };
    let station = check.outline.map_or(0.0, |outline| outline.nearest(worst.at.plan()));
    format!(
        "{}: cuts inside the line, up to {} at station {}{instead}. That metal can't be put back; check the program, \
         the tool and the zero.",
        check.title(),
        check.length(worst.inside + meant),
        check.told.plain(station),
    )
}

/// On how many other program lines the same happens.
fn more_lines(event: &[Entered]) -> String {
    let mut lines: Vec<u32> = event.iter().map(|entered| entered.line).collect();
    lines.sort_unstable();
    lines.dedup();
    match lines.len().saturating_sub(1) {
        0 => String::new(),
        1 => " (Also on 1 more program line.)".to_owned(),
        more => format!(" (Also on {more} more program lines.)"),
    }
}

fn land(check: &PassCheck<'_>, by_cone: bool, by: &str) -> String {
    let wanted = check.job.land.filter(|land| *land > 0.0);
    let land = wanted.map_or_else(
        || "no land is given, and the top edge above it must stay".to_owned(),
        |land| format!("a land of {} must stand", check.length(land)),
    );
    if by_cone {
        format!(
            "{}: the top of undercut goes {by} too high; {land}. Step in less, or run deeper.",
            check.title()
        )
    } else {
        format!(
            "{}: what is above the cutting cone cuts up to {by} into the wall over the undercut; {land}. Step in less, \
             or use a cutter with a thinner neck.",
            check.title()
        )
    }
}

/// What to do about metal that is taken from the finished block.
fn remedy(check: &PassCheck<'_>) -> &'static str {
    match check.proof.purpose.as_ref().map(|purpose| purpose.does) {
        Some(Does::Inside) => {
            "It does not stay inside the outline, as a pocket, groove or hole must. Check the program and the zero."
        }
        _ => {
            "Check the program, the depth and the zero. If a pocket, groove or hole is meant, give the pass \"does\": \
             \"inside\"."
        }
    }
}

/// A pass that was taken for a face cut or a pocket, when metal of the block depends on it.
fn taken_for(check: &PassCheck<'_>) -> Option<Finding> {
    let purpose = check.proof.purpose.as_ref().filter(|purpose| purpose.why.is_some())?;
    let what = match purpose.does {
        Does::Face => {
            "a face cut: at its lowest level it covers the whole block, and what it leaves is the finished top"
        }
        Does::Inside => {
            "a pocket: it cuts only inside the outline, and what it takes is no part of the finished block"
        }
        Does::Profile | Does::Undercut | Does::Edge => return None,
    };
    let message = format!(
        "{} is taken for {what}. Confirm it with \"does\": \"{}\" in the job.",
        check.title(),
        purpose.does.word()
    );
    Some(Finding::new(Code::DoesNotSay, Severity::Look, message))
}
