//! What moves differently between two programs, apart from what is only text.
//!
//! Motions are held against each other, not lines: a program that was renumbered, rewritten or commented anew moves
//! the same. Motions without length count for nothing.

mod align;
mod json;
mod only_text;
mod pair;
mod reach;
mod steps;
mod stretch;
mod table;

pub use json::json;
pub use table::table;

use crate::geometry::Point3;
use crate::program::{Kind, Program};
use crate::rewrite::air;
use crate::task::{Cancelled, Task};
use crate::units::Units;

use align::Run;
use steps::Steps;

/// Stretches that are told; a program that differs more is another program.
pub const MOST_STRETCHES: usize = 1000;

/// What is held against each other.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// The text.
    pub text: &'a [u8],
    /// What it does, read into the same unit as the other.
    pub program: &'a Program,
}

/// How closely two motions must agree to be the same: half a least increment, 0.00005 in or 0.0005 mm.
pub const fn tolerance(units: Units) -> f64 {
    // the rounding between inch and millimetre, far below either
    units.pick(0.000_05, 0.000_5) + 1e-9
}

/// The plain answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// Both move the same.
    Same {
        /// Not even the text differs.
        text_equal: bool,
    },
    /// B is A moved in Z alone, by this much: above 0 when B walks above.
    Lifted {
        /// Z of B less Z of A.
        by: f64,
    },
    /// They move differently.
    Differs,
    /// One of them cannot be followed to its end, so nothing can be said for certain.
    Unproven,
}

/// Program lines, from the first to the last, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lines {
    /// First.
    pub from: u32,
    /// Last.
    pub to: u32,
}

/// One thing that differs. Lengths in the unit of the programs.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Z of B less Z of A: below 0 where B runs deeper. The two are alike where the whole stretch differs evenly.
    Depth {
        /// The change nearest to none.
        least: f64,
        /// The change farthest from none.
        most: f64,
    },
    /// In plan.
    Position {
        /// How far apart at most.
        most: f64,
        /// Where that is in A.
        at: Point3,
    },
    /// A line in one, an arc in the other, or an arc the other way round.
    Form,
    /// Feed.
    Feed {
        /// In A.
        from: f64,
        /// In B.
        to: f64,
    },
    /// Spindle speed in rev/min, negative for M4, 0 while stopped.
    Spindle {
        /// In A.
        from: f64,
        /// In B.
        to: f64,
    },
    /// Tool number.
    Tool {
        /// In A.
        from: u16,
        /// In B.
        to: u16,
    },
    /// Rapid or feed.
    Kind {
        /// In A.
        from: Kind,
        /// In B.
        to: Kind,
    },
    /// Seconds that the tool stands still before these motions.
    Dwell {
        /// In A.
        from: f64,
        /// In B.
        to: f64,
    },
    /// Only A has these motions.
    Missing,
    /// Only B has these motions.
    Added,
    /// Another path: so many motions in A, so many in B.
    Path {
        /// In A.
        from: usize,
        /// In B.
        to: usize,
    },
    /// Both have these motions, but in another order.
    Order,
}

/// Motions next to each other that differ in the same way.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Lines of A, unless only B has it.
    pub a: Option<Lines>,
    /// Lines of B, unless only A has it.
    pub b: Option<Lines>,
    /// How many motions.
    pub motions: usize,
    /// Where it begins.
    pub at: Point3,
    /// What differs.
    pub changes: Vec<Change>,
}

/// A program in short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// Its number.
    pub number: Option<u32>,
    /// Its lines.
    pub lines: usize,
    /// Its motions.
    pub motions: usize,
    /// Its lowest Z, once it has stated one.
    pub lowest: Option<f64>,
    /// The line and column from which on it cannot be followed.
    pub unproven_from: Option<(u32, u32)>,
}

/// What differs between two programs, A and B.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// Unit of every length here.
    pub units: Units,
    /// The plain answer.
    pub verdict: Verdict,
    /// A in short.
    pub a: Summary,
    /// B in short.
    pub b: Summary,
    /// What moves differently, in the order of the programs. Empty when the verdict is that they are the same; for a
    /// lift one stretch.
    pub stretches: Vec<Stretch>,
    /// How many more stretches there are than are told.
    pub untold: usize,
    /// Where they first ask for different things that motions do not show: zeros, offsets, coolant, stops. As a
    /// sentence.
    pub besides: Option<String>,
    /// What differs in the text alone, as sentences.
    pub only_text: Vec<String>,
}

/// Holds two programs against each other. Both must have been read into `units`.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn compare(a: Side<'_>, b: Side<'_>, units: Units, task: Task<'_>) -> Result<Difference, Cancelled> {
    let tolerance = tolerance(units);
    let (from, to) = (Steps::of(a.program), Steps::of(b.program));
    let text_equal = a.text == b.text;
    let lift = lifted(&from, &to, tolerance);
    let (stretches, untold) = if text_equal {
        (Vec::new(), 0)
    } else {
        let runs = align::align(&from, &to, tolerance, task)?;
        stretch::stretches(&from, &to, &runs, tolerance)
    };
    let besides = besides(a.program, b.program);
    let verdict = if text_equal {
        Verdict::Same { text_equal }
    } else if a.program.unproven || b.program.unproven {
        Verdict::Unproven
    } else if besides.is_some() {
        Verdict::Differs
    } else if stretches.is_empty() {
        Verdict::Same { text_equal }
    } else {
        lift.map_or(Verdict::Differs, |by| Verdict::Lifted { by })
    };
    Ok(Difference {
        units,
        verdict,
        a: summary(a.program),
        b: summary(b.program),
        stretches,
        untold,
        besides,
        only_text: only_text::notes(a, b),
    })
}

/// The first thing that only one of the programs asks for there, of what motions do not show.
fn besides(a: &Program, b: &Program) -> Option<String> {
    let count = a.besides.len().max(b.besides.len());
    let first = (0..count).find(|&index| {
        let words = |program: &'_ Program| program.besides.get(index).map(|(_, words)| words.clone());
        words(a) != words(b)
    })?;
    let at = |program: &Program, index: usize| program.besides.get(index).cloned();
    let told = |(line, words): &(u32, String)| format!("{words} (line {line})");
    let words = |asked: Option<(u32, String)>| asked.map(|(_, words)| words);
    Some(match (at(a, first), at(b, first)) {
        (Some(own), other) if words(at(a, first + 1)) == words(other.clone()) => {
            format!("Besides the motion, A has {}; B does not.", told(&own))
        }
        (other, Some(own)) if words(at(b, first + 1)) == words(other.clone()) => {
            format!("Besides the motion, B has {}; A does not.", told(&own))
        }
        (Some(own), Some(other)) => {
            format!("Besides the motion, A has {} where B has {}.", told(&own), told(&other))
        }
        (Some(own), None) => format!("Besides the motion, A has {}; B does not.", told(&own)),
        (None, Some(own)) => format!("Besides the motion, B has {}; A does not.", told(&own)),
        (None, None) => return None,
    })
}

/// By how much B is A moved in Z alone, when it is: above 0 when B walks above. Both read into `units`, and followed
/// to their ends.
pub fn lifted_by(a: &Program, b: &Program, units: Units) -> Option<f64> {
    if a.unproven || b.unproven {
        return None;
    }
    lifted(&Steps::of(a), &Steps::of(b), tolerance(units))
}

fn lifted(a: &Steps<'_>, b: &Steps<'_>, tolerance: f64) -> Option<f64> {
    if a.list.len() != b.list.len() || a.last_dwell != b.last_dwell {
        return None;
    }
    let rise = |index: usize| Some(b.list.get(index)?.motion.end.z - a.list.get(index)?.motion.end.z);
    let first = (0..a.list.len()).find(|&index| rise(index).is_some_and(|rise| rise.abs() > tolerance))?;
    let by = rise(first)?;
    let level = |index: usize, step: &steps::Step<'_>| {
        // until the program states Z, it is the same unknown height in both
        index >= first || (!step.motion.start_known.is_place() && step.motion.start.z == step.motion.end.z)
    };
    let all_level = a.list.iter().enumerate().all(|(index, step)| level(index, step));
    let all_lifted = a.list.iter().zip(&b.list).enumerate().all(|(index, (a, b))| {
        let moved = steps::Shift {
            start: if index > first { by } else { 0.0 },
            end: if index >= first { by } else { 0.0 },
        };
        pair::changes(a, b, moved, true, tolerance).is_empty()
    });
    (all_level && all_lifted).then_some(by)
}

fn summary(program: &Program) -> Summary {
    let stated = program
        .motions
        .iter()
        .position(|motion| motion.start.z != motion.end.z || motion.start_known.is_place());
    let place = program.findings.iter().find(|finding| finding.severity == crate::finding::Severity::Stop);
    Summary {
        number: program.number,
        lines: program.lines,
        motions: program.motions.len(),
        lowest: stated.and_then(|from| air::heights(&program.motions, from)).map(|(low, _)| low),
        unproven_from: program.unproven.then(|| {
            place.map_or((0, 0), |place| (place.line.unwrap_or_default(), place.column.unwrap_or_default()))
        }),
    }
}

/// Lines of a run of steps.
fn lines_of(steps: &Steps<'_>, from: usize, to: usize) -> Option<Lines> {
    let run = steps.list.get(from..to)?;
    Some(Lines { from: run.first()?.motion.line, to: run.last()?.motion.line })
}

/// Two runs that lie against each other without being alike.
const fn is_path(run: &Run) -> bool {
    run.a.0 < run.a.1 && run.b.0 < run.b.1
}
