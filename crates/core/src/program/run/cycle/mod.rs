//! Canned cycles: from one program line to the moves of a hole (NISTIR 6556, 3.5.16).

mod fault;
mod hole;
#[cfg(test)]
mod tests;

pub(in crate::program) use fault::{CycleFault, why};

use hole::{Hole, Walk};

use crate::geometry::{Point, Point3, pt};
use crate::program::Plane;

/// Steps that one line may make; a plate of holes has far fewer, and it bounds the memory that a mistyped L or Q takes.
const MOST_STEPS: u32 = 100_000;

/// How close L must be to a whole number (NISTIR 6556, 3.3.2.1).
const NEAR_INTEGER: f64 = 0.0001;

/// Which cycle, by its word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) enum CycleKind {
    /// Pecks that only back off a little to break the chip. Not in the report: common practice, no source.
    G73,
    /// Drilling: feed in, rapid out.
    G81,
    /// Drilling with a dwell: feed in, dwell, rapid out.
    G82,
    /// Pecks, coming out after each.
    G83,
    /// Right-hand tap.
    G84,
    /// Boring: feed in, feed out.
    G85,
    /// Boring: feed in, dwell, stop the spindle, rapid out, restart.
    G86,
    /// Back boring; refused, since a cutter is followed as round.
    G87,
    /// Boring: feed in, dwell, stop the spindle, out by hand.
    G88,
    /// Boring: feed in, dwell, feed out.
    G89,
}

impl CycleKind {
    const fn pecks(self) -> bool {
        matches!(self, Self::G73 | Self::G83)
    }

    const fn dwells(self) -> bool {
        matches!(self, Self::G82 | Self::G86 | Self::G88 | Self::G89)
    }
}

/// The words of one line, lengths in the unit of the result.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::program) struct CycleWords {
    /// First in-plane word, in the order of [`Plane::split`]: X in G17, Z in G18, Y in G19.
    pub first: Option<f64>,
    /// Second in-plane word: Y in G17, X in G18, Z in G19.
    pub second: Option<f64>,
    /// The depth, along the axis square to the plane: Z in G17, Y in G18, X in G19.
    pub along: Option<f64>,
    /// R: the level where the feed begins.
    pub retract: Option<f64>,
    /// Q: depth of one peck.
    pub peck: Option<f64>,
    /// P: dwell in seconds.
    pub dwell: Option<f64>,
    /// L: repeats.
    pub repeats: Option<f64>,
}

/// The numbers a cycle keeps from line to line.
///
/// They hold while the same cycle stays in force in the same plane; [`steps`] forgets them when it is given another.
/// When any other motion word has come between (G0 to G3, G80), start from the default again.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::program) struct CycleState {
    of: Option<(CycleKind, Plane)>,
    along: Option<f64>,
    retract: Option<f64>,
    peck: Option<f64>,
    dwell: Option<f64>,
}

impl CycleState {
    fn take(&mut self, kind: CycleKind, plane: Plane, words: &CycleWords) {
        if self.of != Some((kind, plane)) {
            *self = Self { of: Some((kind, plane)), ..Self::default() };
        }
        self.along = words.along.or(self.along);
        self.retract = words.retract.or(self.retract);
        self.peck = words.peck.or(self.peck);
        self.dwell = words.dwell.or(self.dwell);
    }
}

/// The modes that a cycle depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) struct CycleSetting {
    /// G17, G18 or G19: the cycle works square to it.
    pub plane: Plane,
    /// G90 rather than G91.
    pub absolute: bool,
    /// G98: come out to the level before the cycle when that is above R. G99: to R.
    pub to_clear: bool,
    /// 1 for M3, -1 for M4, 0 while stopped.
    pub turning: i8,
    /// What G73 backs off after a peck, and how far above the last bottom the rapid of G83 ends. The report says
    /// "backed off a bit".
    pub chip_break: f64,
}

/// What a control does next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) enum Step {
    /// Straight, as fast as the machine goes.
    Rapid(Point3),
    /// Straight, at the feed in force.
    Feed(Point3),
    /// Waits, seconds.
    Dwell(f64),
    /// Turns the spindle: 1 clockwise, -1 counter-clockwise, 0 stops it.
    Spindle(i8),
}

/// Adds to `out` what a control does for one line with a cycle in force, from `from` (program coordinates).
///
/// With G91 the in-plane words and R are increments from where the tool stands and the depth is one from R, also for
/// numbers kept from an earlier line. R and depth stay where they are for all repeats. Moves of no length are left
/// out. Whether G93 or cutter radius compensation forbids the cycle is the caller's to say.
///
/// # Errors
/// What the control would refuse; `out` is then as it was. Only for [`CycleFault::HandRetract`] the steps down to the
/// operator's part have been added.
pub(in crate::program) fn steps(
    kind: CycleKind,
    words: &CycleWords,
    state: &mut CycleState,
    setting: &CycleSetting,
    from: Point3,
    out: &mut Vec<Step>,
) -> Result<(), CycleFault> {
    state.take(kind, setting.plane, words);
    if words.first.is_none() && words.second.is_none() && words.along.is_none() {
        return Err(CycleFault::NoAxes);
    }
    check_words(kind, words, setting)?;
    let repeats = repeats(words.repeats)?;
    let hole = Hole::new(kind, state, setting, from)?;
    hole.check_count(repeats)?;
    let (pair, level) = setting.plane.split(from);
    let mut walk = Walk { plane: setting.plane, pair, level, out };
    if walk.level < hole.retract {
        walk.rapid(hole.retract);
    }
    for _ in 0..repeats {
        let next = next_pair(walk.pair, words, setting.absolute);
        walk.across(next);
        walk.rapid(hole.retract);
        hole.make(&mut walk)?;
    }
    Ok(())
}

fn check_words(kind: CycleKind, words: &CycleWords, setting: &CycleSetting) -> Result<(), CycleFault> {
    match kind {
        CycleKind::G87 => return Err(CycleFault::BackBoring),
        CycleKind::G84 if setting.turning != 1 => return Err(CycleFault::TapDirection),
        CycleKind::G86 | CycleKind::G88 if setting.turning == 0 => return Err(CycleFault::SpindleOff),
        _ => {}
    }
    if words.peck.is_some() && !kind.pecks() {
        return Err(CycleFault::Unused(b'Q'));
    }
    if words.dwell.is_some() && !kind.dwells() {
        return Err(CycleFault::Unused(b'P'));
    }
    Ok(())
}

/// L, 1 when it is missing.
fn repeats(word: Option<f64>) -> Result<u32, CycleFault> {
    let Some(value) = word else { return Ok(1) };
    let whole = value.round();
    if whole < 1.0 || (value - whole).abs() > NEAR_INTEGER || !value.is_finite() {
        return Err(CycleFault::BadRepeats);
    }
    if whole > f64::from(MOST_STEPS) {
        return Err(CycleFault::TooManySteps);
    }
    Ok(whole as u32)
}

fn next_pair(now: Point, words: &CycleWords, absolute: bool) -> Point {
    let axis = |word: Option<f64>, now: f64| match word {
        None => now,
        Some(value) if absolute => value,
        Some(value) => now + value,
    };
    pt(axis(words.first, now.x), axis(words.second, now.y))
}
