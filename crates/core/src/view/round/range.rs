//! From which leave to which the colours of the block run.

use crate::proof::Proof;
use crate::tool::Form;

/// Least and most leave on the upright faces after a pass: along the outline as it was measured last, and down an
/// undercut to the foot of its wall. What is meant lies in the middle. Never so narrow that the colours would tell
/// rounding.
pub fn leave_range(proof: &Proof, pass: usize) -> [f64; 2] {
    let done = proof.passes.get(..=pass).unwrap_or(&proof.passes);
    let measured =
        done.iter().enumerate().rev().find_map(|(index, pass)| Some((index, pass.along_outline.as_ref()?)));
    let allowance = |(index, _): (usize, _)| proof.job.passes.get(index)?.allowance;
    let meant = measured.and_then(allowance).unwrap_or(0.0);
    let least_wide = proof.told.of().pick(0.01, 0.25);
    let (least, most) =
        measured.map_or((0.0, least_wide), |(_, along)| (along.leave.least, along.leave.most));
    let least = foot(proof, pass).map_or(least, |foot| least.min(foot));
    let half = (meant - least).max(most - meant).max(least_wide / 2.0);
    [meant - half, meant + half]
}

/// Leave at the foot of the undercut wall: the cone runs inward by the tangent of its angle from the line down.
fn foot(proof: &Proof, pass: usize) -> Option<f64> {
    let line = proof.passes.get(pass)?.wall.as_ref()?.undercut_line?;
    let below = line.most - proof.job.blank.as_ref()?.bottom();
    let stated = proof.job.passes.iter().take(pass + 1).rev();
    let angle = stated.filter_map(|stated| proof.job.tool(stated.tool)).find_map(|tool| match tool.form {
        Form::Undercut { angle, .. } => Some(angle),
        _ => None,
    })?;
    Some(-below.max(0.0) * angle.to_radians().tan())
}
