//! A land that comes out wider than it is wanted, or not even: the undercut ends too low, or runs up and down.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::Range;
use crate::job::Does;
use crate::proof::PassProof;

/// What is not even all along is told where none of the passes so far is for a part of the outline only (`partial`).
pub(super) fn findings(check: &PassCheck<'_>, partial: bool) -> Vec<Finding> {
    let uneven =
        [uneven_land, uneven_rounding].into_iter().filter_map(|told| told(check)).filter(|_| !partial);
    too_wide(check).into_iter().chain(uneven).collect()
}

/// Whether it is the last pass that is for this.
fn is_last(check: &PassCheck<'_>, does: Does) -> bool {
    let is_for = |proof: &PassProof| proof.purpose.as_ref().is_some_and(|purpose| purpose.does == does);
    is_for(check.proof) && !check.later.iter().any(is_for)
}

/// The land that the job gives.
fn wanted(check: &PassCheck<'_>) -> Option<f64> {
    check.job.land.filter(|land| *land > 0.0)
}

/// Told by the last pass that undercuts.
fn too_wide(check: &PassCheck<'_>) -> Option<Finding> {
    let wanted = wanted(check)?;
    let land = check.proof.wall.as_ref()?.land?;
    let over = land.most - wanted;
    (is_last(check, Does::Undercut) && over > check.tolerances.land_wide).then(|| {
        let message = format!(
            "{}: after the last undercut the land is up to {} wide, at station {}, where {} is wanted: {} too much. Either the \
             undercut ends too low there (step in farther, or run higher), or the top edge above it is not rounded.",
            check.title(),
            check.length(land.most),
            check.told.plain(land.most_at),
            check.length(wanted),
            check.length(over),
        );
        Finding::new(Code::MetalLeft, Severity::Look, message).about(over).at_station(land.most_at)
    })
}

/// Where no land is given, told by the last pass that undercuts: whatever is wanted, it is the same all along.
fn uneven_land(check: &PassCheck<'_>) -> Option<Finding> {
    let land = check.proof.wall.as_ref()?.land.filter(|_| wanted(check).is_none())?;
    let (least, most) = uneven(check, &land).filter(|_| is_last(check, Does::Undercut))?;
    let message = format!(
        "{}: after the last undercut the land is {least} and {most}. The undercut runs up and down, or nearer to the outline \
         in one place than in another, or the top edge above it is rounded in part. If that is meant, there is nothing to do.",
        check.title(),
    );
    Some(told(message, &land))
}

/// Told by the last pass that rounds the top edge.
fn uneven_rounding(check: &PassCheck<'_>) -> Option<Finding> {
    let lower = check.proof.wall.as_ref()?.rounding_lower?;
    let (least, most) = uneven(check, &lower).filter(|_| is_last(check, Does::Edge))?;
    let message = format!(
        "{}: the edge rounding ends at Z {least} and {most}. The cutter runs up and down, or nearer to the outline in one \
         place than in another. If that is meant, there is nothing to do.",
        check.title(),
    );
    Some(told(message, &lower))
}

/// The least and the most in words, where they differ by more than a program's rounding makes them.
fn uneven(check: &PassCheck<'_>, range: &Range) -> Option<(String, String)> {
    let at = |value: f64, station: f64| {
        format!("{} at station {}", check.length(value), check.told.plain(station))
    };
    let words = || (at(range.least, range.least_at), at(range.most, range.most_at));
    (range.most - range.least > check.tolerances.land_wide).then(words)
}

fn told(message: String, range: &Range) -> Finding {
    let finding = Finding::new(Code::MetalLeft, Severity::Look, message).about(range.most - range.least);
    finding.at_station(range.most_at)
}
