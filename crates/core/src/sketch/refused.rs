//! Why something cannot be done to a path being drawn.

use super::MOST_VERTICES;
use crate::geometry::Point;
use crate::units::Told;

/// Why an edit was not made; the path is as it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refused {
    /// There is no such vertex or span.
    NoSuch,
    /// A number is none, or far too large.
    NoNumber,
    /// The span would have no length.
    NoLength,
    /// There are as many vertices as are taken.
    Full,
    /// The path is closed already.
    Closed,
    /// The path is not closed.
    Open {
        /// From its last vertex to its first.
        gap: f64,
    },
    /// The path encloses nothing.
    Flat,
    /// The path crosses itself or runs along itself.
    Crosses {
        /// Where.
        at: Point,
    },
    /// The vertex is an end, or what meets there runs straight on: there is no corner.
    NoCorner,
    /// The radius does not fit into the corner.
    TooLarge {
        /// The largest that does, where that is known.
        most: Option<f64>,
    },
    /// The radius is smaller than half the chord.
    TooSmall {
        /// Half the chord.
        least: f64,
    },
    /// The points lie on one line: no arc goes through them.
    NoArc,
}

impl Refused {
    /// What is wrong and what would do, in plain words; lengths in `units`.
    pub fn message(&self, units: impl Into<Told>) -> String {
        let units = units.into();
        match self {
            Self::NoSuch => "That vertex or span is not there any more.".to_owned(),
            Self::NoNumber => "That length cannot be drawn.".to_owned(),
            Self::NoLength => "Two vertices would be at the same place: move one, or delete one.".to_owned(),
            Self::Full => format!("The path has {MOST_VERTICES} vertices, the most there can be."),
            Self::Closed => {
                "The path is closed. Add a vertex to a span, or open the path at a span first.".to_owned()
            }
            Self::Open { gap } => format!(
                "The path is open: {} from its last vertex to its first. Close it first.",
                units.fine_with_unit(*gap)
            ),
            Self::Flat => "The path encloses no area yet.".to_owned(),
            Self::Crosses { at } => format!(
                "The path crosses or runs along itself at X{} Y{}: a cutter could not follow it.",
                units.fine(at.x),
                units.fine(at.y)
            ),
            Self::NoCorner => {
                "There is no corner: the spans run on in one line, or the path ends here.".to_owned()
            }
            Self::TooLarge { most: Some(most) } => {
                format!("That radius does not fit here: {} is the largest.", units.fine_with_unit(*most))
            }
            Self::TooLarge { most: None } => "That radius does not fit here: use a smaller one.".to_owned(),
            Self::TooSmall { least } => {
                format!("The radius must be at least half the chord, {}.", units.fine_with_unit(*least))
            }
            Self::NoArc => "No arc goes through these points.".to_owned(),
        }
    }
}
