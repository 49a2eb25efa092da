//! A program as the steps that are held against each other.

use crate::program::{Curve, Motion, Program};

/// Motions shorter than this go nowhere; far below any least increment.
const NOWHERE: f64 = 1e-9;

/// A motion with the time that the tool stands still before it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step<'a> {
    pub motion: &'a Motion,
    /// Seconds.
    pub dwell: f64,
}

/// All of a program.
#[derive(Debug)]
pub(super) struct Steps<'a> {
    pub list: Vec<Step<'a>>,
    /// Seconds that the tool stands still behind the last motion.
    pub last_dwell: f64,
}

/// How far the second motion of a pair is known to be above the first.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shift {
    pub start: f64,
    pub end: f64,
}

impl<'a> Steps<'a> {
    /// The motions that go somewhere.
    pub(super) fn of(program: &'a Program) -> Self {
        let mut dwells = program.dwells.iter().peekable();
        let mut waiting = 0.0;
        let mut list = Vec::with_capacity(program.motions.len());
        for (index, motion) in program.motions.iter().enumerate() {
            while let Some(dwell) = dwells.next_if(|dwell| dwell.before <= index) {
                waiting += dwell.seconds;
            }
            if goes_somewhere(motion) {
                list.push(Step { motion, dwell: std::mem::take(&mut waiting) });
            }
        }
        let rest: f64 = dwells.map(|dwell| dwell.seconds).sum();
        Self { list, last_dwell: waiting + rest }
    }
}

fn goes_somewhere(motion: &Motion) -> bool {
    !motion.start_known.is_place()
        || motion.curve != Curve::Straight
        || motion.start.distance(motion.end) > NOWHERE
}
