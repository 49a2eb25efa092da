//! Corners that turn towards the tool, as controls cut them that look at the move ahead (common practice, no source):
//! the move before ends where the two ways of the tool's centre meet, and the move after begins there.
//!
//! ```text
//!        |  way of the centre along the second side
//!        |
//!   -----x--- - -    it ends at x, and not square to the end of the first side
//!        |
//!
//!   ____________     the first side, and the tool above it
//!               |
//! ```
//!
//! A move that comes onto the path ends square beside the start of what follows.

use super::Piece;
use crate::geometry::{Arc, Point, Rail, Span, pt3};
use crate::program::{Curve, Motion};

/// Places are the same within this: far below the least increment of any control.
const SAME_PLACE: f64 = 1e-7;

/// What the centre did last along the path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Last {
    /// It came onto the path.
    Approach,
    /// It went along a side of it, corners apart.
    Side(Span),
}

/// What a piece follows in plan.
pub(super) fn span(from: Point, piece: &Piece) -> Span {
    match piece.curve {
        Curve::Straight => Span::Line { from, to: piece.end.plan() },
        Curve::Arc { centre, sweep, .. } => {
            let spoke = from - centre;
            Span::Arc(Arc::new(centre, spoke.length(), spoke.angle(), sweep))
        }
    }
}

impl Last {
    /// Where it ends when `next` follows, whose start lies square beside the corner. `None` where the two do not meet: the
    /// tool has no room in the corner.
    pub(super) fn ends_at(&self, next: &Span, corner: Point) -> Option<Point> {
        let side = match self {
            Self::Approach => return Some(next.at(0.0)),
            Self::Side(side) => side,
        };
        let (a, b) = (Rail::of(side)?, Rail::of(next)?);
        let on_both =
            |place: &Point| side.distance(*place) < SAME_PLACE && next.distance(*place) < SAME_PLACE;
        a.meet(&b).filter(on_both).min_by(|a, b| a.distance(corner).total_cmp(&b.distance(corner)))
    }
}

/// How much of an arc's sweep lies between its start and a place on it.
pub(super) fn sweep_to(start: Point, centre: Point, sweep: f64, place: Point) -> f64 {
    let arc = Arc::new(centre, start.distance(centre), (start - centre).angle(), sweep);
    arc.part_at((place - centre).angle()).map_or(sweep, |part| sweep * part)
}

/// Ends a motion along the path at another place in plan.
pub(in crate::program) fn end_at(motion: &mut Motion, place: Point) {
    motion.end = pt3(place.x, place.y, motion.end.z);
    if let Curve::Arc { centre, sweep, .. } = &mut motion.curve {
        *sweep = sweep_to(motion.start.plan(), *centre, *sweep, place);
    }
}
