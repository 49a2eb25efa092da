//! Findings about what comes out below the block: in under it, or near to the bed.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::measure::Under;

/// What comes in under the block, and what only just clears the bed.
pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let found = check.proof.under;
    let inside = found.and_then(|found| Some((found, found.reach?)));
    let reaches = inside.filter(|(_, reach)| *reach > check.tolerances.under_block);
    let told = reaches.map(|(found, reach)| {
        let message = format!("{}: {} {}", check.title(), comes_in(check, &found, reach), bed(check, &found));
        Finding::new(Code::UnderBlock, Severity::Note, message).about(reach).on_line(found.line).at(found.at)
    });
    told.into_iter().chain(near_bed(check)).collect()
}

fn comes_in(check: &PassCheck<'_>, found: &Under, reach: f64) -> String {
    let below = check.length(found.below);
    if found.through {
        return format!(
            "the tool comes out {below} below the bottom face. What the block stands on must leave that place free."
        );
    }
    format!(
        "the cutter goes {below} below the bottom face and reaches under the block by up to {}. What the block stands on \
         must end farther in than that: name it in the job as a clamp area to have it checked.",
        check.length(reach)
    )
}

fn bed(check: &PassCheck<'_>, found: &Under) -> String {
    match found.above_bed {
        Some(above) if above >= 0.0 => format!("The tip stays {} above the bed.", check.length(above)),
        Some(_) => "The tip goes below the top of the bed.".to_owned(),
        None => "The job gives no bed, so how near the tip comes to it is not checked.".to_owned(),
    }
}

/// A pass that clears the bed by less than a touch-off may be wrong.
fn near_bed(check: &PassCheck<'_>) -> Option<Finding> {
    let bed = check.job.bed_top?;
    let (place, line) = super::depth::lowest(check, |_| true)?;
    let above = place.z - bed;
    let near = above >= -check.tolerances.sliver && above < check.tolerances.near;
    near.then(|| {
        let message = format!(
            "{}: the tip comes within {} of the bed. A touch-off or a spacer that is off by as much cuts what is under \
             the block: check both, or raise the pass.",
            check.title(),
            check.length(above.max(0.0)),
        );
        Finding::new(Code::NearBed, Severity::Look, message).about(above.max(0.0)).on_line(line).at(place)
    })
}
