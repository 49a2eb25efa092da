//! What stays in force from line to line, and which words set it.

use super::motion::Plane;
use crate::units::Units;

/// What axis words make the tool do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mode {
    /// Nothing: no motion word yet, or G80.
    None,
    /// G0.
    Rapid,
    /// G1.
    Line,
    /// G2 and G3.
    Arc {
        /// G3.
        ccw: bool,
    },
}

/// Everything that stays in force.
#[derive(Debug, Clone, Copy)]
pub(super) struct Modal {
    pub mode: Mode,
    pub plane: Plane,
    pub units: Units,
    /// G90 rather than G91.
    pub absolute: bool,
    /// Feed, in the unit of the result a minute.
    pub feed: f64,
    /// The S word last read.
    pub speed: f64,
    /// 1 for M3, -1 for M4, 0 for M5.
    pub turning: i8,
    /// The T word last read.
    pub tool: u16,
}

impl Modal {
    pub(super) const fn new(units: Units) -> Self {
        Self {
            mode: Mode::None,
            plane: Plane::Xy,
            units,
            absolute: true,
            feed: 0.0,
            speed: 0.0,
            turning: 0,
            tool: 0,
        }
    }

    /// Spindle speed as a motion carries it.
    pub(super) fn spindle(&self) -> f32 {
        // `0 - 0` rather than a negative zero
        if self.turning == 0 || self.speed == 0.0 { 0.0 } else { self.speed as f32 * f32::from(self.turning) }
    }
}

/// Words of one group exclude each other on a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Group {
    Motion,
    Plane,
    Distance,
    FeedMode,
    Units,
    Radius,
    Length,
    Stopping,
    ToolChange,
    Spindle,
    Mist,
    Flood,
}

impl Group {
    /// This group's place in a set of groups.
    pub(super) const fn bit(self) -> u32 {
        1 << self as u32
    }
}

/// What a G word asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GWord {
    Motion(Mode),
    Plane(Plane),
    Absolute(bool),
    Units(Units),
    /// Asks for what is always so here.
    Granted,
}

/// The G word of this number, in tenths, if it can be followed.
pub(super) const fn g_word(tenths: u32) -> Option<(Group, GWord)> {
    Some(match tenths {
        0 => (Group::Motion, GWord::Motion(Mode::Rapid)),
        10 => (Group::Motion, GWord::Motion(Mode::Line)),
        20 => (Group::Motion, GWord::Motion(Mode::Arc { ccw: false })),
        30 => (Group::Motion, GWord::Motion(Mode::Arc { ccw: true })),
        800 => (Group::Motion, GWord::Motion(Mode::None)),
        170 => (Group::Plane, GWord::Plane(Plane::Xy)),
        180 => (Group::Plane, GWord::Plane(Plane::Zx)),
        190 => (Group::Plane, GWord::Plane(Plane::Yz)),
        200 => (Group::Units, GWord::Units(Units::Inch)),
        210 => (Group::Units, GWord::Units(Units::Mm)),
        400 => (Group::Radius, GWord::Granted),
        490 => (Group::Length, GWord::Granted),
        900 => (Group::Distance, GWord::Absolute(true)),
        910 => (Group::Distance, GWord::Absolute(false)),
        940 => (Group::FeedMode, GWord::Granted),
        _ => return None,
    })
}

/// What a G word that cannot be followed does to the axis words of its line, the stronger the later.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) enum Stranger {
    /// It leaves them to the motion in force.
    #[default]
    Bystander,
    /// It takes them for itself, on this line.
    TakesAxes,
    /// It takes them for itself until the next motion word.
    Cycle,
}

/// What is known of a G word that cannot be followed.
pub(super) const fn stranger(tenths: u32) -> Stranger {
    match tenths {
        40 | 100 | 280..=309 | 530 | 920..=923 => Stranger::TakesAxes,
        50..=69 | 310..=389 | 730..=769 | 810..=899 => Stranger::Cycle,
        _ => Stranger::Bystander,
    }
}

/// What an M word asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MWord {
    /// M0 and M1: the operator starts it again.
    Pause,
    /// M2 and M30.
    End,
    /// M3, M4, M5 as 1, -1, 0.
    Turn(i8),
    ToolChange,
    Coolant,
}

/// The M word of this number, if it can be followed, with the set of groups it belongs to.
pub(super) const fn m_word(number: u32) -> Option<(u32, MWord)> {
    Some(match number {
        0 | 1 => (Group::Stopping.bit(), MWord::Pause),
        2 | 30 => (Group::Stopping.bit(), MWord::End),
        3 => (Group::Spindle.bit(), MWord::Turn(1)),
        4 => (Group::Spindle.bit(), MWord::Turn(-1)),
        5 => (Group::Spindle.bit(), MWord::Turn(0)),
        6 => (Group::ToolChange.bit(), MWord::ToolChange),
        7 => (Group::Mist.bit(), MWord::Coolant),
        8 => (Group::Flood.bit(), MWord::Coolant),
        9 => (Group::Mist.bit() | Group::Flood.bit(), MWord::Coolant),
        _ => return None,
    })
}
