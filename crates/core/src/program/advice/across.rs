//! What only shows when the programs of a job are laid side by side.

use std::collections::BTreeMap;

use crate::finding::{Code, Finding, Severity};
use crate::program::{Curve, Motion, Program, Zero};

/// A pass with the program that was read for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RunPass<'a> {
    /// Index of the pass in the job.
    pub index: usize,
    /// The file of its program.
    pub file: &'a str,
    /// Where its program's origin lies.
    pub zero: Zero,
    /// The program, as read.
    pub program: &'a Program,
}

/// Programs that share a number but not their motion, and programs that share their motion.
pub(crate) fn across(passes: &[RunPass<'_>]) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut by_number: BTreeMap<u32, Vec<&RunPass<'_>>> = BTreeMap::new();
    let mut by_motion: BTreeMap<u64, Vec<&RunPass<'_>>> = BTreeMap::new();
    for pass in passes.iter().filter(|pass| !pass.program.motions.is_empty()) {
        let alike = by_motion.entry(hash(&pass.program.motions)).or_default();
        let twin = alike.iter().copied().find(|other| same_motion(other.program, pass.program));
        found.extend(twin.map(|twin| same(twin, pass)));
        alike.push(pass);
        let Some(number) = pass.program.number else { continue };
        let namesakes = by_number.entry(number).or_default();
        let other = namesakes.iter().find(|other| other.file != pass.file);
        if let Some(other) = other.filter(|_| twin.is_none()) {
            found.push(number_twice(other, pass, number));
        }
        namesakes.push(pass);
    }
    found
}

fn same(first: &RunPass<'_>, second: &RunPass<'_>) -> Finding {
    let place = if first.zero == second.zero { "from the same zero" } else { "from another zero" };
    let passes = (second.index + 1, first.index + 1);
    if first.file == second.file {
        let message = format!(
            "Pass {} runs the program of pass {} again ({}), {place}.",
            passes.0, passes.1, second.file
        );
        return Finding::new(Code::SameMotion, Severity::Note, message).of_pass(second.index);
    }
    let message = format!(
        "Pass {} ({}) moves exactly as pass {} ({}) does, {place}. Check whether the right program was \
         saved under this name.",
        passes.0, second.file, passes.1, first.file
    );
    Finding::new(Code::SameMotion, Severity::Look, message).of_pass(second.index)
}

fn number_twice(first: &RunPass<'_>, second: &RunPass<'_>, number: u32) -> Finding {
    let message = format!(
        "Passes {} ({}) and {} ({}) both are program O{number}: the control keeps one of the two, or refuses the \
         second. Give each a number of its own.",
        first.index + 1,
        first.file,
        second.index + 1,
        second.file
    );
    Finding::new(Code::NumberTwice, Severity::Look, message).of_pass(second.index)
}

/// The numbers that make a motion what it is; feed and spindle do not.
fn shape(motion: &Motion) -> [u64; 8] {
    let (kind, [a, b, c]) = match motion.curve {
        Curve::Straight => (0, [0.0; 3]),
        Curve::Arc { plane, centre, sweep } => (1 + plane as u64, [centre.x, centre.y, sweep]),
    };
    let kind = kind * 2 + motion.kind as u64;
    let end = motion.end;
    // adding zero makes the negative zero a positive one
    let [x, y, z, a, b, c] = [end.x, end.y, end.z, a, b, c].map(|value| (value + 0.0).to_bits());
    [x, y, z, a, b, c, kind, u64::from(motion.start_known.is_place())]
}

/// FNV-1a over whole words.
fn hash(motions: &[Motion]) -> u64 {
    motions.iter().flat_map(shape).fold(0xcbf2_9ce4_8422_2325, |hash, word| {
        (hash ^ word).wrapping_mul(0x0100_0000_01b3).rotate_left(23)
    })
}

fn same_motion(a: &Program, b: &Program) -> bool {
    a.motions.len() == b.motions.len() && a.motions.iter().zip(&b.motions).all(|(a, b)| shape(a) == shape(b))
}
