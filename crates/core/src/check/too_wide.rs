//! Where a pass's tool is too wide for an inner corner of the outline.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::fit::{Reach, tightest_inner};
use crate::geometry::Path;

pub(super) fn findings(check: &PassCheck<'_>, outline: Option<&Path>) -> Vec<Finding> {
    let (Some(reach), Some(outline)) = (&check.proof.reach, outline) else { return Vec::new() };
    match reach.left.as_ref() {
        Ok(left) => {
            let worth = left.iter().filter(|left| left.most > check.tolerances.allowance);
            worth.map(|left| finding(check, reach.radius, left, outline)).collect()
        }
        Err(error) => {
            let message = format!(
                "{}: whether its tool goes into every corner of the outline is not checked: {error}.",
                check.title()
            );
            vec![Finding::new(Code::NotChecked, Severity::Note, message)]
        }
    }
}

/// Whether it is told already that the tool is too wide for the outline at this station.
pub(super) fn explains(check: &PassCheck<'_>, station: f64) -> bool {
    let (Some(reach), Some(outline)) = (&check.proof.reach, check.outline) else { return false };
    let told = reach.left.iter().flatten().filter(|left| left.most > check.tolerances.allowance);
    told.into_iter().any(|left| outline.way(left.from, station) <= outline.way(left.from, left.to))
}

fn finding(check: &PassCheck<'_>, radius: f64, left: &Reach, outline: &Path) -> Finding {
    let length = outline.way(left.from, left.to);
    let allowance = check.pass.allowance.unwrap_or(0.0);
    let tightest = tightest_inner(outline).map(|inner| inner.radius - allowance).filter(|room| *room > 0.0);
    let remedy = match tightest {
        Some(room) if room < radius => {
            format!("a tool of radius {} or less would go in everywhere", check.length(room))
        }
        _ => "take the corner with a smaller tool, or make the corner's radius larger".to_owned(),
    };
    let message = format!(
        "{}: its tool is too wide for the outline: with a radius of {} at the gauge height it can't touch {} from station \
         {}, and leaves up to {} there beyond {}. That metal stays in the corner: {remedy}.",
        check.title(),
        check.length(radius),
        check.told.plain_with_unit(length),
        check.told.plain(left.from),
        check.length(left.most),
        if allowance == 0.0 {
            "the outline".to_owned()
        } else {
            format!("the {} meant", check.length(allowance))
        },
    );
    Finding::new(Code::ToolTooWide, Severity::Look, message).at_station(left.at)
}
