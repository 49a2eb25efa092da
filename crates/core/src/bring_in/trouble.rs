//! What is wrong with a drawing that can still be used.

use std::fmt;

use super::offset::is_inside;
use crate::finding::{Code, Severity};
use crate::geometry::{Path, Point};
use crate::units::{Told, Units};

/// What is wrong with a drawing, and where, in the drawing's unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    /// Two ends that do not quite meet were joined.
    Gap {
        /// Between the two ends.
        at: Point,
        /// From end to end.
        size: f64,
    },
    /// A line ends and none goes on from there.
    OpenEnd {
        /// The end.
        at: Point,
        /// How far away the nearest other open end is.
        nearest: Option<f64>,
    },
    /// More than two lines meet; the straightest way on was taken.
    Branch {
        /// Where they meet.
        at: Point,
    },
    /// Something is drawn twice; it counts once.
    Overlap {
        /// Middle of what is drawn twice.
        at: Point,
    },
    /// The path runs back along itself.
    RunsBack {
        /// Where.
        at: Point,
    },
    /// The path crosses itself.
    SelfCrossing {
        /// Where.
        at: Point,
    },
    /// Things that are no curves in plan were left out.
    LeftOut {
        /// What the file calls them.
        kind: String,
        /// How many.
        count: usize,
    },
    /// Curves that the file does not state well enough to be followed were left out.
    NotFollowed {
        /// What the file calls them, and how they are stated.
        kind: String,
        /// How many.
        count: usize,
    },
    /// The file states another unit than the job does for it.
    UnitsDiffer {
        /// The file's own, which counts.
        file: Units,
        /// The job's.
        stated: Units,
    },
}

impl Trouble {
    /// Where it is, for those that have a place.
    pub const fn at(&self) -> Option<Point> {
        match self {
            Self::Gap { at, .. }
            | Self::OpenEnd { at, .. }
            | Self::Branch { at }
            | Self::Overlap { at }
            | Self::RunsBack { at }
            | Self::SelfCrossing { at } => Some(*at),
            Self::LeftOut { .. } | Self::NotFollowed { .. } | Self::UnitsDiffer { .. } => None,
        }
    }

    /// What kind of finding it makes.
    pub const fn code(&self) -> Code {
        match self {
            Self::Gap { .. } => Code::DrawingGap,
            Self::OpenEnd { .. } => Code::DrawingOpen,
            Self::Branch { .. } => Code::DrawingBranch,
            Self::Overlap { .. } => Code::DrawingTwice,
            Self::RunsBack { .. } | Self::SelfCrossing { .. } => Code::DrawingCrosses,
            Self::LeftOut { .. } | Self::NotFollowed { .. } => Code::DrawingLeftOut,
            Self::UnitsDiffer { .. } => Code::DrawingUnits,
        }
    }

    /// How much it weighs when `taken` is the path that was taken, if there is one. What is open inside that path is
    /// some hole or mark; outside it may be the path that was meant.
    pub fn severity(&self, taken: Option<&Path>) -> Severity {
        match self {
            Self::Gap { .. } | Self::Overlap { .. } | Self::LeftOut { .. } => Severity::Note,
            Self::OpenEnd { at, .. } if taken.is_some_and(|path| is_inside(path, *at)) => Severity::Note,
            Self::OpenEnd { .. }
            | Self::Branch { .. }
            | Self::RunsBack { .. }
            | Self::SelfCrossing { .. }
            | Self::NotFollowed { .. }
            | Self::UnitsDiffer { .. } => Severity::Look,
        }
    }

    /// The trouble in plain words, lengths in `units`.
    pub fn message(&self, units: impl Into<Told>) -> String {
        let units = units.into();
        let place = |at: Point| format!("X{} Y{}", units.fine(at.x), units.fine(at.y));
        match self {
            Self::Gap { at, size } => {
                format!("a gap of {} at {} was closed", units.fine_with_unit(*size), place(*at))
            }
            Self::OpenEnd { at, nearest: Some(size) } => format!(
                "a line ends at {}, {} from the nearest other end: no path closes there until they meet",
                place(*at),
                units.fine_with_unit(*size)
            ),
            Self::OpenEnd { at, nearest: None } => {
                format!("a line ends at {}: no path closes there", place(*at))
            }
            Self::Branch { at } => {
                format!(
                    "more than two lines meet at {}: it is not clear which way the path goes on",
                    place(*at)
                )
            }
            Self::Overlap { at } => format!("something is drawn twice at {}", place(*at)),
            Self::RunsBack { at } => format!("the path runs back along itself at {}", place(*at)),
            Self::SelfCrossing { at } => format!("the path crosses itself at {}", place(*at)),
            Self::LeftOut { kind, count } => {
                format!("{kind}: {count} not used, not a line, arc or curve in plan")
            }
            Self::NotFollowed { kind, count } => format!(
                "{kind}: {count} not used, since it does not tell how it runs between them: save it with its control \
                 points, or as a polyline"
            ),
            Self::UnitsDiffer { file, stated } => format!(
                "the file is in {}, the job says {}: the file's own unit is used",
                file.name(),
                stated.name()
            ),
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message(Units::Inch))
    }
}
