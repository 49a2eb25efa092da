//! Clamps, screws and stops: tool and holder against the areas that the job wants kept clear.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::job::KeepClear;
use crate::measure::keep_clear::{Body, entries};

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let body = Body::of(check.tool);
    check.job.keep_clear.iter().filter_map(|area| into_area(check, &body, area)).collect()
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
         crossing, go round it, or clamp elsewhere.",
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
