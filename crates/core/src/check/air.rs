//! A pass that would run an air pass in place of the real program.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::rewrite::{air, diff};
use crate::units::Told;

/// What says that a pass's program is only a lifted one: its own header, or another pass that it repeats higher up.
pub(super) fn same_as_air_pass(check: &PassCheck<'_>, others: &[crate::proof::PassProof]) -> Option<Finding> {
    let text = check.proof.text.bytes();
    let because = if let Some(mark) = air::mark(text) {
        let exactly = others.iter().any(|other| air::is_air_pass_of(&mark, other.text.bytes()));
        let lifted = Told::new(mark.units, check.told.shown()).fine_with_unit(mark.by);
        let known = if exactly { ", which this job runs as well" } else { "" };
        format!("its header says that it is {} lifted by {lifted}{known}", mark.of)
    } else {
        let (other, by) = others.iter().enumerate().find_map(|(other, proof)| {
            let by = diff::lifted_by(&proof.program, &check.proof.program, check.job.units)?;
            (other != check.index && by > check.tolerances.depth).then_some((other, by))
        })?;
        let blank = check.job.blank.as_ref()?;
        let lowest = check.proof.track.lowest()?;
        if lowest < blank.top {
            return None; // the same path at another depth, as of step after step
        }
        format!("it moves as pass {} does, {} higher", other + 1, check.length(by))
    };
    let message = format!(
        "{}: this is an air pass: {because}. It walks above the block and cuts nothing. Run the real program.",
        check.title()
    );
    Some(Finding::new(Code::SameAsAirPass, Severity::Stop, message))
}
