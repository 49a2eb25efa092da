//! What stays in force from line to line, and which words set it.

use super::compensation::Side;
use super::cycle::CycleKind;
use crate::control::ArcCenters;
use crate::program::motion::Plane;
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
    /// G73, G81 to G89.
    Cycle(CycleKind),
}

/// What F means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FeedMode {
    /// G94.
    PerMinute,
    /// G93: one over the minutes of each motion.
    InverseTime,
    /// G95.
    PerRevolution,
}

/// Everything that stays in force but the offsets.
#[derive(Debug, Clone, Copy)]
pub(super) struct Modal {
    pub mode: Mode,
    pub plane: Plane,
    pub units: Units,
    /// G90 rather than G91.
    pub absolute: bool,
    pub feed_mode: FeedMode,
    /// G98 rather than G99.
    pub to_clear: bool,
    /// Feed by the feed mode: in the unit of the result a minute or a revolution, or one over minutes.
    pub feed: f64,
    /// The S word last read.
    pub speed: f64,
    /// 1 for M3, -1 for M4, 0 for M5.
    pub turning: i8,
    /// The tool in the spindle.
    pub tool: u16,
    /// Line of the M7 or M8 that is on.
    pub coolant: Option<u32>,
}

impl Modal {
    pub(super) const fn new(units: Units) -> Self {
        Self {
            mode: Mode::None,
            plane: Plane::Xy,
            units,
            absolute: true,
            feed_mode: FeedMode::PerMinute,
            to_clear: true,
            feed: 0.0,
            speed: 0.0,
            turning: 0,
            tool: 0,
            coolant: None,
        }
    }

    /// Spindle speed as a motion carries it.
    pub(super) fn spindle(&self) -> f32 {
        // `0 - 0` rather than a negative zero
        if self.turning == 0 || self.speed == 0.0 { 0.0 } else { self.speed as f32 * f32::from(self.turning) }
    }

    /// The feed of a motion of this length, in the unit of the result a minute.
    pub(super) fn feed_over(&self, length: f64) -> f64 {
        match self.feed_mode {
            FeedMode::PerMinute => self.feed,
            FeedMode::InverseTime => self.feed * length,
            FeedMode::PerRevolution if self.turning == 0 => 0.0,
            FeedMode::PerRevolution => self.feed * self.speed,
        }
    }
}

/// Words of one group exclude each other on a line (NISTIR 6556, table 4).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Group {
    Motion,
    Plane,
    Distance,
    FeedMode,
    Units,
    Radius,
    Length,
    Retract,
    System,
    PathControl,
    Single,
    Stopping,
    ToolChange,
    Spindle,
    Mist,
    Flood,
    Overrides,
    Call,
    Polar,
    Scale,
    Mirror,
    Macro,
    Rotation,
    Speed,
    Centers,
}

impl Group {
    /// This group's place in a set of groups.
    pub(super) const fn bit(self) -> u32 {
        1 << self as u32
    }
}

/// G words that hold for their line alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Single {
    /// G4.
    Dwell,
    /// G10.
    SetOrigin,
    /// G28 as 0, G30 as 1.
    Home(usize),
    /// G53.
    Machine,
    /// G52.
    Local,
    /// G92.
    Shift,
    /// G92.1.
    ClearShift,
    /// G92.2.
    SuspendShift,
    /// G92.3.
    RestoreShift,
}

impl Single {
    /// G92.1 to G92.3.
    pub(super) const fn only_shifts(self) -> bool {
        matches!(self, Self::ClearShift | Self::SuspendShift | Self::RestoreShift)
    }

    /// Whether it does the same while G68 or G51.1 is in force.
    pub(super) const fn goes_with_turning(self) -> bool {
        matches!(self, Self::Dwell | Self::Machine | Self::Home(_))
    }

    /// Whether it takes the axis words of its line, and leaves none to the motion in force.
    pub(super) const fn takes_axes(self) -> bool {
        matches!(self, Self::SetOrigin | Self::Home(_) | Self::Local | Self::Shift)
    }
}

/// What a G word asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GWord {
    Motion(Mode),
    Plane(Plane),
    Absolute(bool),
    FeedMode(FeedMode),
    Units(Units),
    /// G40, G41, G42.
    Radius(Option<Side>),
    /// G43, G49.
    Length(bool),
    /// G98, G99.
    ToClear(bool),
    /// G54 to G59.3, counted from 0.
    System(u16),
    /// G54.1, whose P says which.
    Extended,
    /// G68, G69.
    Rotate(bool),
    /// G51.1, G50.1.
    Mirror(bool),
    Single(Single),
    /// How corners are taken: G61, G61.1, G64, by its number in tenths. The programmed path is followed.
    Path(u32),
    /// What I, J and K are measured from: G90.1, G91.1.
    Centers(ArcCenters),
    /// Ends what is never on here.
    Off,
}

/// The G word of this number, in tenths, if it can be followed.
pub(super) const fn g_word(tenths: u32) -> Option<(Group, GWord)> {
    Some(match tenths {
        0 => (Group::Motion, GWord::Motion(Mode::Rapid)),
        10 => (Group::Motion, GWord::Motion(Mode::Line)),
        20 => (Group::Motion, GWord::Motion(Mode::Arc { ccw: false })),
        30 => (Group::Motion, GWord::Motion(Mode::Arc { ccw: true })),
        730 => cycle(CycleKind::G73),
        800 => (Group::Motion, GWord::Motion(Mode::None)),
        810 => cycle(CycleKind::G81),
        820 => cycle(CycleKind::G82),
        830 => cycle(CycleKind::G83),
        840 => cycle(CycleKind::G84),
        850 => cycle(CycleKind::G85),
        860 => cycle(CycleKind::G86),
        870 => cycle(CycleKind::G87),
        880 => cycle(CycleKind::G88),
        890 => cycle(CycleKind::G89),
        170 => (Group::Plane, GWord::Plane(Plane::Xy)),
        180 => (Group::Plane, GWord::Plane(Plane::Zx)),
        190 => (Group::Plane, GWord::Plane(Plane::Yz)),
        200 => (Group::Units, GWord::Units(Units::Inch)),
        210 => (Group::Units, GWord::Units(Units::Mm)),
        400 => (Group::Radius, GWord::Radius(None)),
        410 => (Group::Radius, GWord::Radius(Some(Side::Left))),
        420 => (Group::Radius, GWord::Radius(Some(Side::Right))),
        430 => (Group::Length, GWord::Length(true)),
        490 => (Group::Length, GWord::Length(false)),
        540 | 550 | 560 | 570 | 580 | 590 => (Group::System, GWord::System((tenths / 10 - 54) as u16)),
        591..=593 => (Group::System, GWord::System((tenths - 585) as u16)),
        610 | 611 | 640 => (Group::PathControl, GWord::Path(tenths)),
        900 => (Group::Distance, GWord::Absolute(true)),
        910 => (Group::Distance, GWord::Absolute(false)),
        930 => (Group::FeedMode, GWord::FeedMode(FeedMode::InverseTime)),
        940 => (Group::FeedMode, GWord::FeedMode(FeedMode::PerMinute)),
        950 => (Group::FeedMode, GWord::FeedMode(FeedMode::PerRevolution)),
        980 => (Group::Retract, GWord::ToClear(true)),
        990 => (Group::Retract, GWord::ToClear(false)),
        40 => single(Single::Dwell),
        100 => single(Single::SetOrigin),
        280 => single(Single::Home(0)),
        300 => single(Single::Home(1)),
        530 => single(Single::Machine),
        920 => single(Single::Shift),
        921 => single(Single::ClearShift),
        922 => single(Single::SuspendShift),
        923 => single(Single::RestoreShift),
        _ => return None,
    })
}

/// The same for words that the published report does not have and most controls do (common practice, no source).
pub(super) const fn usual_g_word(tenths: u32) -> Option<(Group, GWord)> {
    Some(match tenths {
        131 | 150 => (Group::Polar, GWord::Off),
        500 => (Group::Scale, GWord::Off),
        501 => (Group::Mirror, GWord::Mirror(false)),
        511 => (Group::Mirror, GWord::Mirror(true)),
        520 => single(Single::Local),
        541 => (Group::System, GWord::Extended),
        670 => (Group::Macro, GWord::Off),
        680 => (Group::Rotation, GWord::Rotate(true)),
        690 => (Group::Rotation, GWord::Rotate(false)),
        901 => (Group::Centers, GWord::Centers(ArcCenters::Absolute)),
        911 => (Group::Centers, GWord::Centers(ArcCenters::Incremental)),
        970 => (Group::Speed, GWord::Off),
        _ => return None,
    })
}

const fn cycle(kind: CycleKind) -> (Group, GWord) {
    (Group::Motion, GWord::Motion(Mode::Cycle(kind)))
}

const fn single(single: Single) -> (Group, GWord) {
    (Group::Single, GWord::Single(single))
}

/// What a G word that cannot be followed does to the axis words of its line, the stronger the later.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) enum Stranger {
    /// There is none, or it leaves them to the motion in force.
    #[default]
    Bystander,
    /// It takes them for itself, on this line.
    TakesAxes,
    /// It takes them for itself until the next motion word.
    Cycle,
}

/// What an M word asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MWord {
    /// M0, M1 and M60 (the operator starts it again).
    Granted,
    /// M48 and M49: whether the operator's overrides work.
    Overrides(bool),
    /// M2 and M30.
    End,
    /// M3, M4, M5 as 1, -1, 0.
    Turn(i8),
    ToolChange,
    /// M7 and M8, or M9.
    Coolant(bool),
    /// M98.
    Call,
    /// M99.
    Return,
}

/// The M word of this number, if it can be followed, with the set of groups it belongs to.
pub(super) const fn m_word(number: u32) -> Option<(u32, MWord)> {
    Some(match number {
        0 | 1 | 60 => (Group::Stopping.bit(), MWord::Granted),
        2 | 30 => (Group::Stopping.bit(), MWord::End),
        3 => (Group::Spindle.bit(), MWord::Turn(1)),
        4 => (Group::Spindle.bit(), MWord::Turn(-1)),
        5 => (Group::Spindle.bit(), MWord::Turn(0)),
        6 => (Group::ToolChange.bit(), MWord::ToolChange),
        7 => (Group::Mist.bit(), MWord::Coolant(true)),
        8 => (Group::Flood.bit(), MWord::Coolant(true)),
        9 => (Group::Mist.bit() | Group::Flood.bit(), MWord::Coolant(false)),
        48 => (Group::Overrides.bit(), MWord::Overrides(true)),
        49 => (Group::Overrides.bit(), MWord::Overrides(false)),
        98 => (Group::Call.bit(), MWord::Call),
        99 => (Group::Call.bit(), MWord::Return),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::explain::explain;

    /// Whoever adds a word adds its sentence.
    #[test]
    fn every_word_that_is_followed_is_explained() {
        let told = |letter: u8, number: f64| explain(letter, Some(number), &[]);
        for tenths in (0..10_000).filter(|tenths| g_word(*tenths).or(usual_g_word(*tenths)).is_some()) {
            let words = told(b'G', f64::from(tenths) / 10.0);
            assert!(!words.contains("is not a code"), "G{}: {words}", f64::from(tenths) / 10.0);
        }
        for number in (0..1000).filter(|number| m_word(*number).is_some()) {
            let words = told(b'M', f64::from(number));
            assert!(!words.contains("is not a code"), "M{number}: {words}");
        }
    }
}
