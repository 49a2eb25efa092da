//! Findings about depth: the pass's bottom and the bed.

use super::PassCheck;
use super::outline::with_line;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::Point3;
use crate::measure::Shallow;
use crate::program::Kind;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(bottom) = check.pass.bottom {
        let whole = against_bottom(check, bottom);
        if whole.as_ref().is_none_or(|finding| finding.code != Code::NotToDepth) {
            found.extend(shallow(check, bottom));
        }
        found.extend(whole);
    }
    if let Some(bed) = check.job.bed_top {
        found.extend(cuts_bed(check, bed));
    }
    found
}

/// Lowest place of the motions that `count`, with its line.
pub(super) fn lowest(check: &PassCheck<'_>, count: impl Fn(Kind) -> bool) -> Option<(Point3, u32)> {
    let motions = check.proof.track.placed().iter().map(|placed| &placed.motion);
    motions
        .filter(|motion| count(motion.kind))
        .map(|motion| (if motion.start.z < motion.end.z { motion.start } else { motion.end }, motion.line))
        .min_by(|a, b| a.0.z.total_cmp(&b.0.z))
}

fn against_bottom(check: &PassCheck<'_>, bottom: f64) -> Option<Finding> {
    let zero = check.pass.zero.origin[2];
    let Some((place, line)) = lowest(check, |_| true) else { return Some(no_feed_motion(check)) };
    let reached = place.z - zero;
    let tolerance = check.tolerances.depth;
    if reached < bottom - tolerance {
        let message = format!(
            "{}: the program goes down to Z {}, {} below the lowest Z meant ({}). Check the program and the \
             zero.",
            check.title(),
            check.told.fine(reached),
            check.length(bottom - reached),
            check.told.fine(bottom),
        );
        return Some(
            Finding::new(Code::BelowDepth, Severity::Stop, message)
                .about(bottom - reached)
                .on_line(line)
                .at(place),
        );
    }
    let Some((place, line)) = lowest(check, |kind| kind == Kind::Feed) else {
        return Some(no_feed_motion(check));
    };
    let reached = place.z - zero;
    (reached > bottom + tolerance).then(|| {
        let message = format!(
            "{}: the program only goes down to Z {}, {} above the lowest Z meant ({}). Is it an air pass, or \
             lifted?",
            check.title(),
            check.told.fine(reached),
            check.length(reached - bottom),
            check.told.fine(bottom),
        );
        Finding::new(Code::NotToDepth, Severity::Look, message)
            .about(reached - bottom)
            .on_line(line)
            .at(place)
    })
}

/// Where the pass goes along the outline above its bottom and leaves metal there.
fn shallow(check: &PassCheck<'_>, bottom: f64) -> Vec<Finding> {
    let Some(along) = check.proof.along_outline.as_deref().filter(|_| !check.proof.program.unproven) else {
        return Vec::new();
    };
    let length = along.contact.last().map_or(0.0, |last| last.to);
    let units = check.told;
    let place = |station: f64| if station > length { station - length } else { station };
    let worth = along.shallow.iter().filter(|part| part.to - part.from > check.tolerances.stretch_least);
    let finding = |part: &Shallow| {
        let message = format!(
            "{}: not cut to depth for {} from station {} to {}: it stays up to {} above the lowest Z meant ({}), and \
             leaves metal there. Is a level or a side missing?",
            check.title(),
            units.plain_with_unit(part.to - part.from),
            units.plain(part.from),
            units.plain(place(part.to)),
            check.length(part.by),
            units.fine(bottom),
        );
        let finding = Finding::new(Code::NotToDepth, Severity::Look, message).about(part.by);
        with_line(check, along, finding, part.at)
    };
    worth.map(finding).collect()
}

fn no_feed_motion(check: &PassCheck<'_>) -> Finding {
    let message = format!(
        "{}: the program {} holds no feed motion at all. Is it empty, damaged, or another file?",
        check.title(),
        check.pass.program
    );
    Finding::new(Code::NotToDepth, Severity::Look, message)
}

fn cuts_bed(check: &PassCheck<'_>, bed: f64) -> Option<Finding> {
    let (place, line) = lowest(check, |_| true)?;
    (place.z < bed - check.tolerances.sliver).then(|| {
        let message = format!(
            "{}: the tool goes {} below the top of the bed and would cut what is under the block.",
            check.title(),
            check.length(bed - place.z),
        );
        Finding::new(Code::CutsBed, Severity::Stop, message).about(bed - place.z).on_line(line).at(place)
    })
}
