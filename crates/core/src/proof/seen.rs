//! Which findings a person has ticked as seen: a tick holds while the finding is as bad as it was then.

use crate::finding::Finding;
use crate::job::{Job, Seen};

/// What is kept of station and amount is rounded to this part of the job's unit, far below what is told.
const DIGITS: f64 = 1e5;

/// A finding of a job, as it is noted when it has been seen.
fn seen_of(job: &Job, finding: &Finding) -> Seen {
    let name = |pass: usize| job.passes.get(pass).map(|pass| pass.name.clone());
    let round = |value: f64| (value * DIGITS).round() / DIGITS;
    Seen {
        code: finding.code.text().to_owned(),
        pass: finding.pass.and_then(name),
        line: finding.line,
        station: finding.station.map(round),
        amount: finding.amount.map(round),
    }
}

/// Whether both speak of the same kind of finding at the same place, within this much.
fn same_place(a: &Seen, b: &Seen, within: f64) -> bool {
    a.code == b.code && a.pass == b.pass && a.line == b.line && near(a.station, b.station, within)
}

fn near(a: Option<f64>, b: Option<f64>, within: f64) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= within,
        (a, b) => a.is_none() && b.is_none(),
    }
}

/// How far a place may move and still be the same: as far as the ends of a stretch are sure.
fn place_within(job: &Job) -> f64 {
    job.units.pick(0.005, 0.12)
}

/// Whether a finding of this job has been seen as it is now: one whose amount has changed has not.
pub fn has_seen(job: &Job, finding: &Finding) -> bool {
    let wanted = seen_of(job, finding);
    let amount = job.units.pick(0.0001, 0.0025);
    let mut seen = job.seen.iter().filter(|seen| same_place(seen, &wanted, place_within(job)));
    seen.any(|seen| near(seen.amount, wanted.amount, amount))
}

/// The job with a finding noted as seen, or as not seen after all. What was noted of the same kind of finding at the same
/// place goes.
#[must_use]
pub fn with_seen(job: &Job, finding: &Finding, seen: bool) -> Job {
    let wanted = seen_of(job, finding);
    let mut job = job.clone();
    let within = place_within(&job);
    job.seen.retain(|other| !same_place(other, &wanted, within));
    job.seen.extend(seen.then_some(wanted));
    job
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Code, Severity};

    const JOB: &str = r#"{"schema":"blockwright-job/1","units":"inch","tools":[{"number":1,
        "form":{"kind":"flat","diameter":0.5}}],"passes":[{"name":"A","program":"a.nc","tool":1}]}"#;

    fn found(amount: f64) -> Finding {
        let finding = Finding::new(Code::NoContact, Severity::Look, "No contact");
        finding.about(amount).at_station(11.2).of_pass(0)
    }

    #[test]
    fn a_finding_that_has_changed_has_not_been_seen() {
        let job = crate::job::read(JOB.as_bytes()).expect("a job");
        assert!(!has_seen(&job, &found(0.368)));
        let job = with_seen(&job, &found(0.368), true);
        assert!(has_seen(&job, &found(0.368)) && has_seen(&job, &found(0.368_02)));
        assert!(!has_seen(&job, &found(0.369)), "a thousandth longer");
        let job = with_seen(&job, &found(0.369), true);
        assert_eq!(job.seen.len(), 1, "the tick from before goes");
        let again = crate::job::read(crate::job::write(&job).as_bytes()).expect("reads back");
        assert_eq!(again, job);
        assert!(with_seen(&job, &found(0.369), false).seen.is_empty());
    }
}
