//! A land that comes out wider than it is wanted: the undercut ends too low.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::job::Does;
use crate::proof::PassProof;

/// Told by the last pass that undercuts.
pub(super) fn too_wide(check: &PassCheck<'_>) -> Option<Finding> {
    let wanted = check.job.land.filter(|land| *land > 0.0)?;
    let land = check.proof.wall.as_ref()?.land?;
    let undercuts =
        |proof: &PassProof| proof.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Undercut);
    let is_last = undercuts(check.proof) && !check.later.iter().any(undercuts);
    let over = land.most - wanted;
    (is_last && over > check.tolerances.land_wide).then(|| {
        let message = format!(
            "{}: after the last undercut the land is up to {} wide, at station {}, where {} is wanted: {} too much. Either the \
             undercut ends too low there (step in farther, or run higher), or the edge over it is not taken off.",
            check.title(),
            check.length(land.most),
            check.told.plain(land.most_at),
            check.length(wanted),
            check.length(over),
        );
        Finding::new(Code::MetalLeft, Severity::Look, message).about(over).at_station(land.most_at)
    })
}
