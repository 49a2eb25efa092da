//! Passes that run from different work offsets, against the zeros that the job has for them.

use super::Lies;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::pt;
use crate::job::{Job, Pass};
use crate::program::{Program, system_name};
use crate::proof::PassProof;
use crate::tolerance::Tolerances;

/// One finding for each work offset that is not that of the first pass.
pub(super) fn findings(
    job: &Job,
    passes: &[PassProof],
    lies: &Lies<'_>,
    tolerances: &Tolerances,
) -> Vec<Finding> {
    let programs = passes.iter().map(|proof| &proof.program);
    let run = job.passes.iter().zip(programs).enumerate();
    let run = run.map(|(index, (pass, program))| Ran { index, pass, program });
    let mut all = run.filter(|ran| !ran.program.motions.is_empty());
    let Some(first) = all.next() else { return Vec::new() };
    let mut seen = vec![first.program.system];
    let mut found = Vec::new();
    for other in all {
        let is_new = !seen.contains(&other.program.system);
        if let Some((by_offsets, by_zeros)) = apart(job, &first, &other) {
            let is_off = |axis: usize| (by_offsets[axis] - by_zeros[axis]).abs() > tolerances.touched_off;
            if let Some(axis) = (0..2).find(|axis| is_off(*axis)) {
                found.push(disagree(&first, &other, lies, (axis, by_offsets[axis], by_zeros[axis])));
            }
        } else if is_new {
            found.push(told(&first, &other));
        }
        seen.push(other.program.system);
    }
    found
}

/// A pass with its program.
struct Ran<'a> {
    index: usize,
    pass: &'a Pass,
    program: &'a Program,
}

impl Ran<'_> {
    fn offset(&self) -> String {
        system_name(self.program.system)
    }
}

/// How far two zeros lie apart in X and Y along the machine's axes, by the work offsets and by the passes. `None` where the
/// offsets are not known, or the block lies turned otherwise in one of the passes. Z is left to the touch-off: without
/// tool lengths it has each tool's own.
fn apart(job: &Job, first: &Ran<'_>, other: &Ran<'_>) -> Option<([f64; 2], [f64; 2])> {
    let control = job.control.as_ref()?;
    let zeros = [first.pass.zero, other.pass.zero];
    if first.program.system == other.program.system || zeros[0].turn != zeros[1].turn {
        return None;
    }
    let [a, b] = [first, other].map(|ran| control.work_offset(ran.program.system));
    let ([ax, ay, _], [bx, by, _]) = (a?, b?);
    let [from, to] = zeros.map(|zero| pt(zero.origin[0], zero.origin[1]));
    let off = (to - from).turned(-zeros[0].turn.to_radians());
    Some(([bx - ax, by - ay], [off.x, off.y]))
}

fn disagree(
    first: &Ran<'_>,
    other: &Ran<'_>,
    lies: &Lies<'_>,
    (axis, offsets, zeros): (usize, f64, f64),
) -> Finding {
    let length = |value: f64| lies.told.fine_with_unit(value);
    let message = format!(
        "Pass {} runs from {}, pass {} from {}: by the job's work offsets they lie {} {} apart, by the zeros of the two \
         passes {}. One of the two is wrong; the pass is checked from its zero.",
        other.index + 1,
        other.offset(),
        first.index + 1,
        first.offset(),
        ["X", "Y"][axis],
        length(offsets),
        length(zeros)
    );
    Finding::new(Code::OtherZero, Severity::Look, message).of_pass(other.index)
}

/// What there is to say where the work offsets are not known. Two of them for one and the same zero are odd.
fn told(first: &Ran<'_>, other: &Ran<'_>) -> Finding {
    let is_same = first.pass.zero == other.pass.zero;
    let severity = if is_same { Severity::Look } else { Severity::Note };
    let lies =
        if is_same { "though the job has one zero for both" } else { "as the job has another zero for it" };
    let message = format!(
        "Pass {} runs from {}, and pass {} from {}, {lies}: touch {} off where the job has the zero of pass {}.",
        other.index + 1,
        other.offset(),
        first.index + 1,
        first.offset(),
        other.offset(),
        other.index + 1
    );
    Finding::new(Code::OtherZero, severity, message).of_pass(other.index)
}
