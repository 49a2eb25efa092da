//! Clamps, screws and stops: tool and holder against the areas that the job wants kept clear.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::finished::bent;
use crate::job::KeepClear;
use crate::measure::keep_clear::{Body, entries, entries_of};
use crate::program::{Kind, Motion};

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let body = Body::of(check.tool);
    let of = |area: &KeepClear| {
        into_area(check, &body, area)
            .or_else(|| bent_into(check, &body, area))
            .or_else(|| near(check, &body, area))
    };
    check.job.keep_clear.iter().filter_map(of).collect()
}

/// A rapid that comes into an area where the machine does not keep it straight.
fn bent_into(check: &PassCheck<'_>, body: &Body, area: &KeepClear) -> Option<Finding> {
    let rapids = check.proof.track.placed().iter().map(|placed| placed.motion);
    let known = |motion: &Motion| motion.start_known.is_place() && motion.end_known.is_place();
    let rapids = rapids.filter(|motion| motion.kind == Kind::Rapid).filter(known);
    let ways = rapids.filter_map(|motion| bent(&motion)).flatten();
    let entry = entries_of(ways, body, area, check.tolerances.sliver).into_iter().next()?;
    let message = format!(
        "{}: this rapid clears clamp area {} only if it runs in a straight line. Many controls move X and Y each at \
         full speed, not on a straight line, and the {} would come {} into it here. Lift above Z {} first.",
        check.title(),
        area.name,
        entry.what,
        check.length(entry.by),
        check.told.fine(area.top),
    );
    let finding = Finding::new(Code::KeepClear, Severity::Look, message).about(entry.by);
    Some(finding.on_line(entry.line).at(entry.at))
}

/// A tool that clears an area by less than a touch-off may be wrong.
fn near(check: &PassCheck<'_>, body: &Body, area: &KeepClear) -> Option<Finding> {
    let near = check.tolerances.near;
    let wider = KeepClear { top: area.top + near, ..area.clone() };
    let entries = entries(&check.proof.track, body, &wider, -near);
    let first = entries.first()?;
    let message = format!(
        "{}: the {} clears clamp area {} by less than {}. A touch-off or a clamp that is off by as much makes them meet: \
         check both, or go farther around.",
        check.title(),
        first.what,
        area.name,
        check.length(near),
    );
    Some(Finding::new(Code::KeepClear, Severity::Look, message).on_line(first.line).at(first.at))
}

fn into_area(check: &PassCheck<'_>, body: &Body, area: &KeepClear) -> Option<Finding> {
    let entries = entries(&check.proof.track, body, area, check.tolerances.sliver);
    let first = entries.first()?;
    // Of motions that come in equally far the first is told.
    let worst = entries.iter().reduce(|worst, next| if next.by > worst.by { next } else { worst })?;
    let lines = if entries.len() > 1 {
        format!(" On {} motions in all; it is worst on line {}.", entries.len(), worst.line)
    } else {
        String::new()
    };
    let message = format!(
        "{}: the {} comes {} into clamp area {}, which stands up to Z {}.{lines} Lift above it before \
         crossing, go around it, or clamp elsewhere.",
        check.title(),
        worst.what,
        check.length(worst.by),
        area.name,
        check.told.fine(area.top),
    );
    Some(
        Finding::new(Code::KeepClear, Severity::Stop, message)
            .about(worst.by)
            .on_line(first.line)
            .at(first.at),
    )
}
