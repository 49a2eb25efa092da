//! One hole of a canned cycle, from the R level down and out again.

use super::{CycleFault, CycleKind, CycleSetting, CycleState, MOST_STEPS, Step};
use crate::geometry::{Point, Point3};
use crate::program::Plane;

/// Steps of one repeat besides its pecks.
const STEPS_A_HOLE: u32 = 9;

/// Moves shorter than this are none: far below the least increment of any control, above rounding.
const SAME: f64 = 1e-9;

/// What is the same for every repeat of a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hole {
    kind: CycleKind,
    /// The R level.
    pub(super) retract: f64,
    bottom: f64,
    /// The level to come out to.
    clear: f64,
    /// 0 where the cycle has none.
    peck: f64,
    /// 0 where the cycle has none.
    dwell: f64,
    back_off: f64,
    turning: i8,
}

impl Hole {
    pub(super) fn new(
        kind: CycleKind,
        state: &CycleState,
        setting: &CycleSetting,
        from: Point3,
    ) -> Result<Self, CycleFault> {
        let (_, level) = setting.plane.split(from);
        let along = state.along.ok_or(CycleFault::NoDepth)?;
        let retract = state.retract.ok_or(CycleFault::NoRetract)?;
        let (retract, bottom) =
            if setting.absolute { (retract, along) } else { (level + retract, level + retract + along) };
        if retract < bottom {
            return Err(CycleFault::RetractBelow);
        }
        let clear = if setting.to_clear { level.max(retract) } else { retract };
        let (peck, dwell) = (peck(kind, state.peck)?, dwell(kind, state.dwell)?);
        let (back_off, turning) = (setting.chip_break.max(0.0), setting.turning);
        Ok(Self { kind, retract, bottom, clear, peck, dwell, back_off, turning })
    }

    /// Pecks that end above the bottom.
    fn pecks(&self) -> f64 {
        if self.peck > 0.0 { ((self.retract - self.bottom - SAME) / self.peck).max(0.0) } else { 0.0 }
    }

    /// Whether so many holes are few enough.
    pub(super) fn check_count(&self, repeats: u32) -> Result<(), CycleFault> {
        let steps = (f64::from(STEPS_A_HOLE) + 3.0 * self.pecks()) * f64::from(repeats);
        // a count that is no number is no count either
        if steps <= f64::from(MOST_STEPS) { Ok(()) } else { Err(CycleFault::TooManySteps) }
    }

    /// From the R level to the level to come out to.
    pub(super) fn make(&self, walk: &mut Walk<'_>) -> Result<(), CycleFault> {
        self.break_chips(walk);
        walk.feed(self.bottom);
        walk.dwell(self.dwell);
        match self.kind {
            CycleKind::G73 | CycleKind::G81 | CycleKind::G82 | CycleKind::G83 => {
                walk.rapid(self.clear);
            }
            CycleKind::G85 | CycleKind::G89 => walk.feed(self.clear),
            CycleKind::G84 => {
                walk.turn(&[0, -1]);
                walk.feed(self.clear);
                walk.turn(&[0, 1]);
            }
            CycleKind::G86 => {
                walk.turn(&[0]);
                walk.rapid(self.clear);
                walk.turn(&[self.turning]);
            }
            CycleKind::G88 => {
                walk.turn(&[0]);
                return Err(CycleFault::HandRetract);
            }
            CycleKind::G87 => return Err(CycleFault::BackBoring),
        }
        Ok(())
    }

    /// All pecks but the last. Depths count from R, so that rounding does not add up.
    fn break_chips(&self, walk: &mut Walk<'_>) {
        for done in 1..=self.pecks() as u32 {
            let depth = self.retract - self.peck * f64::from(done);
            walk.feed(depth);
            if self.kind == CycleKind::G83 {
                walk.rapid(self.clear);
            }
            walk.rapid((depth + self.back_off).min(self.retract));
        }
    }
}

fn peck(kind: CycleKind, word: Option<f64>) -> Result<f64, CycleFault> {
    match word {
        _ if !kind.pecks() => Ok(0.0),
        None => Err(CycleFault::NoPeck),
        Some(depth) if depth > 0.0 => Ok(depth),
        Some(_) => Err(CycleFault::BadPeck),
    }
}

fn dwell(kind: CycleKind, word: Option<f64>) -> Result<f64, CycleFault> {
    match word {
        _ if !kind.dwells() => Ok(0.0),
        None => Err(CycleFault::NoDwell),
        Some(seconds) if seconds >= 0.0 => Ok(seconds),
        Some(_) => Err(CycleFault::NegativeDwell),
    }
}

/// Where the steps have come to.
pub(super) struct Walk<'a> {
    pub(super) plane: Plane,
    pub(super) pair: Point,
    pub(super) level: f64,
    pub(super) out: &'a mut Vec<Step>,
}

impl Walk<'_> {
    /// Rapid in the plane.
    pub(super) fn across(&mut self, pair: Point) {
        if pair.distance(self.pair) > SAME {
            self.pair = pair;
            self.out.push(Step::Rapid(self.plane.join(pair, self.level)));
        }
    }

    /// Rapid along the axis square to the plane.
    pub(super) fn rapid(&mut self, level: f64) {
        if self.set_level(level) {
            self.out.push(Step::Rapid(self.plane.join(self.pair, level)));
        }
    }

    fn feed(&mut self, level: f64) {
        if self.set_level(level) {
            self.out.push(Step::Feed(self.plane.join(self.pair, level)));
        }
    }

    fn set_level(&mut self, level: f64) -> bool {
        let moves = (level - self.level).abs() > SAME;
        if moves {
            self.level = level;
        }
        moves
    }

    fn dwell(&mut self, seconds: f64) {
        if seconds > 0.0 {
            self.out.push(Step::Dwell(seconds));
        }
    }

    fn turn(&mut self, turning: &[i8]) {
        self.out.extend(turning.iter().map(|&turning| Step::Spindle(turning)));
    }
}
