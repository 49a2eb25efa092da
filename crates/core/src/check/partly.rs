//! Findings of a program that was followed in part: told like any other, and marked as such.

use std::fmt::Write as _;

use crate::finding::{Code, Finding, Severity};
use crate::proof::PassProof;

/// What the rest of the program may still undo, wherever it was found.
const WHOLE_PASS: &[Code] = &[
    Code::NoContact,
    Code::LightCut,
    Code::HeavyCut,
    Code::LeaveOffAllowance,
    Code::NotToDepth,
    Code::CutsNothing,
    Code::MetalLeft,
    Code::NotNeeded,
];

/// Says of each finding that it holds only for what was followed, unless it lies before the first word that could not be.
pub(super) fn marked(proof: &PassProof, found: Vec<Finding>) -> Vec<Finding> {
    if !proof.program.unproven {
        return found;
    }
    let from = first_unproven(proof);
    let before = |finding: &Finding| {
        finding.line.zip(from).is_some_and(|(line, from)| line < from) && !WHOLE_PASS.contains(&finding.code)
    };
    let mark = |mut finding: Finding| {
        if !before(&finding) {
            let until = from.map_or_else(String::new, |line| format!(": not from line {line} on"));
            // writing into a string cannot fail
            let _ = write!(finding.message, " (This holds for what could be followed{until}.)");
        }
        finding
    };
    found.into_iter().map(mark).collect()
}

/// The line from which on the program proves nothing.
fn first_unproven(proof: &PassProof) -> Option<u32> {
    let program = &proof.program;
    let stops = program.findings.iter().filter(|finding| finding.severity == Severity::Stop);
    let told = stops.filter_map(|finding| finding.line);
    let shown = program.motions.iter().find(|motion| !motion.proven).map(|motion| motion.line);
    told.chain(shown).min()
}
