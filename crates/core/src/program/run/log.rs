//! Findings of one program, kept to a number that a person reads.

use std::fmt::Write as _;

use crate::finding::{Code, Finding, Severity};

/// Findings of one code and weight that are kept.
const MOST: usize = 40;

/// Count of one code and weight, and where the last one kept lies.
#[derive(Debug)]
struct Tally {
    code: Code,
    severity: Severity,
    count: usize,
    last: usize,
}

/// Findings in the order they were made, at most [`MOST`] of one code and weight.
#[derive(Debug, Default)]
pub(super) struct Log {
    findings: Vec<Finding>,
    tallies: Vec<Tally>,
}

impl Log {
    /// Adds what `make` makes, or only counts it when there are enough of its code.
    pub(super) fn add(&mut self, code: Code, severity: Severity, make: impl FnOnce() -> Finding) {
        let next = self.findings.len();
        if let Some(tally) =
            self.tallies.iter_mut().find(|tally| (tally.code, tally.severity) == (code, severity))
        {
            tally.count += 1;
            if tally.count > MOST {
                return;
            }
            tally.last = next;
        } else {
            self.tallies.push(Tally { code, severity, count: 1, last: next });
        }
        self.findings.push(make());
    }

    /// The findings; the last one of a code that was made too often says how many more there are.
    pub(super) fn finish(mut self) -> Vec<Finding> {
        for tally in self.tallies.iter().filter(|tally| tally.count > MOST) {
            if let Some(finding) = self.findings.get_mut(tally.last) {
                let more = tally.count - MOST;
                // writing into a string cannot fail
                let _ = write!(finding.message, " ({more} more of this kind follow in the program.)");
            }
        }
        self.findings
    }
}
