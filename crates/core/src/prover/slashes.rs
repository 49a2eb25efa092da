//! Lines that begin with `/`: run or left out, by a switch of the control that the job may not say.
//!
//! Where both ways come to the same motion nothing needs saying. Where they do not, the job is proven both ways; its
//! figures are those with the lines run, and what only the other way shows is told as well.

use std::sync::Arc;

use super::{Options, ProveError, Prover, verdict};
use crate::finding::{Asks, Code, Finding, Severity};
use crate::job::Job;
use crate::program::{self, Program, Settings};
use crate::proof::{Proof, Source, Verdict};
use crate::task::{Cancelled, Task};

impl Prover {
    /// The proof, with what shows only when the lines that begin with `/` are left out.
    pub(super) fn with_lines_left_out(
        &self,
        mut proof: Proof,
        source: &Source,
        options: &Options,
        task: Task<'_>,
    ) -> Result<Proof, ProveError> {
        let said = source.job.control.as_ref().is_some_and(|control| control.block_delete.is_some());
        if said || options.rough.is_some() || proof.passes.iter().all(|pass| pass.program.deletable.is_none())
        {
            return Ok(proof);
        }
        let mut job = Job::clone(&source.job);
        job.control.get_or_insert_default().block_delete = Some(true);
        let differing = differing(&proof, &job, source, task)?;
        if differing.is_empty() {
            return Ok(proof);
        }
        let other = self.prove_aside(&Source { job: Arc::new(job), ..source.clone() }, options, task)?;
        proof.findings.extend(differing);
        let new: Vec<Finding> = other
            .findings
            .into_iter()
            .filter(|finding| is_new(finding, &proof.findings))
            .map(marked)
            .collect();
        proof.findings.extend(new);
        proof.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        proof.verdict = match other.verdict {
            Verdict::Unproven => Verdict::Unproven,
            _ => verdict(&proof.passes, &proof.findings),
        };
        Ok(proof)
    }
}

/// What to say of each pass that moves otherwise when its lines with `/` are left out.
fn differing(proof: &Proof, job: &Job, source: &Source, task: Task<'_>) -> Result<Vec<Finding>, Cancelled> {
    let mut settings = Settings::for_job(job.units, job.control.as_ref());
    settings.beside.clone_from(&source.beside.subprograms);
    let mut found = Vec::new();
    for (index, (pass, proven)) in job.passes.iter().zip(&proof.passes).enumerate() {
        let (Some(line), Some(text)) = (proven.program.deletable, source.programs.get(index)) else {
            continue;
        };
        let other = program::read(text, &settings.clone().with_tool(pass.tool), task)?;
        let Some(from) = first_difference(&proven.program, &other) else { continue };
        let message = format!(
            "Pass {}: lines that begin with / are run only while the control's block delete switch is off, and the job \
             does not say how it stands. From line {from} on the two ways differ. The figures are those with the lines \
             run; both ways were checked. Say it in the job, control, \"block_delete\": \"off\" or \"on\".",
            index + 1
        );
        let finding = Finding::new(Code::StartState, Severity::Look, message).asking(Asks::BlockDelete);
        found.push(finding.of_pass(index).on_line(from.min(line).max(1)));
    }
    Ok(found)
}

/// The line of the first motion that is not the same both ways; that of the first `/` when one only goes on longer.
fn first_difference(run: &Program, left_out: &Program) -> Option<u32> {
    let (a, b) = (&run.motions, &left_out.motions);
    let first =
        a.iter().zip(b).position(|(a, b)| a != b).or((a.len() != b.len()).then_some(a.len().min(b.len())));
    match first {
        Some(index) => a.get(index).or_else(|| b.get(index)).map(|motion| motion.line),
        None => (run.unproven != left_out.unproven || run.dwells != left_out.dwells)
            .then(|| run.deletable.unwrap_or(1)),
    }
}

fn is_new(finding: &Finding, known: &[Finding]) -> bool {
    let same = |other: &Finding| {
        (other.code, other.pass, other.line) == (finding.code, finding.pass, finding.line)
            && (finding.line.is_some() || other.message == finding.message)
    };
    finding.severity > Severity::Note && !known.iter().any(same)
}

fn marked(mut finding: Finding) -> Finding {
    finding.message = format!("With the lines that begin with / left out: {}", finding.message);
    finding
}
