//! A sample with something changed, and what is found then.

use std::sync::Arc;

use blockwright_core::finding::{Code, Finding};
use blockwright_core::job::Job;
use blockwright_core::proof::Source;
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};

/// A source with its job changed.
pub fn of_job(source: &Source, change: impl FnOnce(&mut Job)) -> Source {
    let mut job = (*source.job).clone();
    change(&mut job);
    Source { job: Arc::new(job), ..source.clone() }
}

/// The program of a pass with every `from` replaced.
///
/// # Panics
/// When the program has no `from`.
pub fn of_program(source: &Source, pass: usize, from: &str, to: &str) -> Source {
    let text = String::from_utf8_lossy(&source.programs[pass]);
    assert!(text.contains(from), "{from} is in the program");
    let mut programs = source.programs.clone();
    programs[pass] = Arc::from(text.replace(from, to).into_bytes());
    Source { programs, ..source.clone() }
}

/// The findings of a code; on a coarse heightfield: for what is not measured on it.
///
/// # Panics
/// When the job can't be checked.
pub fn found(source: &Source, code: Code) -> Vec<Finding> {
    let (cancel, cell) = (Cancel::new(), source.job.units.pick(0.05, 1.25));
    let options = Options { cell: Some(cell), ..Options::default() };
    let proof = match Prover::new().prove(source, &options, Task::quiet(&cancel)) {
        Ok(proof) => proof,
        Err(error) => unreachable!("the job must be provable: {error}"),
    };
    proof.findings.iter().filter(|finding| finding.code == code).cloned().collect()
}
