//! Helpers for the whole-job tests in the folder `tests` beside this one: jobs and programs made from a few words.

pub mod changed;
pub mod motions;

use std::sync::Arc;

use blockwright_core::demo;
use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::job::{self, Job};
use blockwright_core::proof::{Beside, Proof, Source};
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Task};

/// A fixed-seed generator (multiplier of the usual 64-bit linear congruence), so that a failure comes again.
#[derive(Debug, Clone)]
pub struct Random(pub u64);

impl Random {
    /// The next number from `low` up to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }
}

/// Proves a job given as JSON text with its programs in the order of the passes.
///
/// # Errors
/// The prover's own.
///
/// # Panics
/// When the job text itself is not a job.
pub fn try_prove(job: &str, programs: &[&str], cell: Option<f64>) -> Result<Proof, ProveError> {
    let source = source(job, programs);
    let cancel = Cancel::new();
    Prover::new().prove(&source, &Options { cell, ..Options::default() }, Task::quiet(&cancel))
}

/// The same, for jobs that must be provable.
///
/// # Panics
/// When the job can't be proven.
pub fn prove(job: &str, programs: &[&str], cell: Option<f64>) -> Proof {
    match try_prove(job, programs, cell) {
        Ok(proof) => proof,
        Err(error) => unreachable!("the job must be provable: {error}"),
    }
}

/// A source from texts.
///
/// # Panics
/// When the job text itself is not a job.
pub fn source(job: &str, programs: &[&str]) -> Source {
    let job = match job::read(job.as_bytes()) {
        Ok(job) => job,
        Err(error) => unreachable!("the job must be readable: {error}"),
    };
    let programs = programs.iter().map(|text| Arc::from(text.as_bytes())).collect();
    Source { job: Arc::new(job), programs, beside: Beside::default() }
}

/// The same with the drawings that the job names.
///
/// # Panics
/// When the job text itself is not a job.
pub fn source_with(job: &str, programs: &[&str], drawings: &[(&str, &str)]) -> Source {
    let bytes = |(name, text): &(&str, &str)| ((*name).to_owned(), Arc::from(text.as_bytes()));
    let drawings = drawings.iter().map(bytes).collect();
    Source { beside: Beside { drawings, ..Beside::default() }, ..source(job, programs) }
}

/// An embedded sample by its folder.
///
/// # Panics
/// When there is no such sample.
pub fn sample(folder: &str) -> Source {
    let bytes = |name: &str| match demo::file(&format!("{folder}/{name}")) {
        Some(bytes) => bytes,
        None => unreachable!("{folder}/{name} is not embedded"),
    };
    let job: Job = match job::read(bytes("job.json")) {
        Ok(job) => job,
        Err(error) => unreachable!("{folder}: {error}"),
    };
    let programs = job.passes.iter().map(|pass| Arc::from(bytes(&pass.program))).collect();
    let drawings = job.drawings().map(|(_, name)| (name.to_owned(), Arc::from(bytes(name)))).collect();
    Source { job: Arc::new(job), programs, beside: Beside { drawings, ..Beside::default() } }
}

/// Codes of the findings that are more than notes, without repeats, in order of first mention.
pub fn codes(proof: &Proof) -> Vec<&'static str> {
    let mut found = Vec::new();
    let more = |finding: &&Finding| finding.severity > Severity::Note && finding.code != Code::NotChecked;
    for finding in proof.findings.iter().filter(more) {
        if !found.contains(&finding.code.text()) {
            found.push(finding.code.text());
        }
    }
    found
}

/// A rounded rectangle from (0,0), of a width, a height and a corner radius, offset by `by` and shifted, as a path of a
/// job.
pub fn rounded([w, h, r]: [f64; 3], by: f64, shift: [f64; 2]) -> String {
    let b = std::f64::consts::FRAC_PI_8.tan();
    let o = by;
    let vertices = [
        [r, -o, 0.0],
        [w - r, -o, b],
        [w + o, r, 0.0],
        [w + o, h - r, b],
        [w - r, h + o, 0.0],
        [r, h + o, b],
        [-o, h - r, 0.0],
        [-o, r, b],
    ];
    let texts = vertices.map(|v| format!("[{:.12}, {:.12}, {:.17}]", v[0] + shift[0], v[1] + shift[1], v[2]));
    format!("{{ \"vertices\": [{}] }}", texts.join(", "))
}
