//! What the check of a job comes to in words: the same in the table, the window and the pictures.

use super::{Proof, Verdict};
use crate::finding::Severity;

/// The caution that goes with a result without findings, wherever it is shown.
pub const NO_PROMISE: &str = "A result without findings is no promise that the cut is safe: walk it around above the \
                              work first, hand on feed hold.";

/// The cautions that go with every check and stand on every page of a record.
pub const CAUTION: &str = "\
Blockwright reads programs and computes; it does not see the machine. A result without findings is no promise that \
the cut is safe: walk it around above the work first, hand on feed hold. Check the tool in the spindle, the work \
offset and the clamps. Wear eye protection, and keep the guards and interlocks working. Follow the machine's manual, \
local codes and the shop's licensed practice.";

/// The exit status of a command that checked a job: 0 with nothing to look at, 1 with findings. Notes alone are
/// nothing to look at.
pub fn status(proof: &Proof) -> u8 {
    u8::from(proof.verdict != Verdict::Clear)
}

/// How many findings must be looked at before the job is run: stops and checks. Notes are not among them.
pub fn to_look_at(proof: &Proof) -> usize {
    proof.findings.iter().filter(|finding| finding.severity != Severity::Note).count()
}

/// How many findings are only worth knowing.
pub fn notes(proof: &Proof) -> usize {
    proof.findings.len() - to_look_at(proof)
}

/// How many findings there are, for a heading: `2`, or `2 + 3 notes`.
pub fn count_words(proof: &Proof) -> String {
    match (to_look_at(proof), notes(proof)) {
        (found, 0) => found.to_string(),
        (found, notes) => format!("{found} + {}", counted(notes, "note")),
    }
}

/// The verdict in plain words, with a capital and without a full stop.
pub fn verdict_words(proof: &Proof) -> String {
    let places = counted(to_look_at(proof), "place");
    let before = format!("{places} to look at before you run it");
    match proof.verdict {
        Verdict::Clear if proof.passes.is_empty() => "Nothing checked: the job has no passes".to_owned(),
        Verdict::Clear if proof.start.is_none() => {
            "No findings, but only words and depths were checked: the job has no blank".to_owned()
        }
        Verdict::Clear => "Checked: no findings".to_owned(),
        Verdict::Look => format!("Checked: {before}"),
        Verdict::Stop => format!("Do not run it as it is: {places} to look at"),
        Verdict::Unproven => format!("Not all of it could be followed: {before}"),
    }
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
