//! Metal that a pass cuts loose.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::pt3;
use crate::job::Blank;
use crate::proof::Loose;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    check.proof.loose.iter().map(|loose| finding(check, loose)).collect()
}

fn finding(check: &PassCheck<'_>, loose: &Loose) -> Finding {
    // The block is looked at in cells, so sizes are told no closer than a machinist would by eye.
    let eye = check.told.pick(0.01, 0.1);
    let about = |length: f64| check.told.plain((length / eye).ceil() * eye);
    let [x, y] = loose.across.map(about);
    let message = format!(
        "{}: metal comes loose here, about {x} by {y} {}: the pass cuts it through all around, and no clamp area of the job \
         reaches it. Loose metal can be caught by the cutter and thrown. Clamp it, leave it hanging on, or cut it away.",
        check.title(),
        check.told.short(),
    );
    let z = check.job.blank.as_ref().map_or(0.0, Blank::bottom);
    let finding =
        Finding::new(Code::LooseMetal, Severity::Look, message).about(loose.across[0].max(loose.across[1]));
    let finding = finding.at(pt3(loose.place.x, loose.place.y, z));
    match check.outline {
        Some(outline) => finding.at_station(outline.nearest(loose.place)),
        None => finding,
    }
}
