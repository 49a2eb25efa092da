//! The pieces of the area a pass sweeps at one height, each with the stretch of the path that makes it.

use crate::geometry::Interval;
use crate::tool::Profile;
use crate::track::Placed;
use crate::wall::{Slice, Within, slice};

/// A piece of the swept area, made between two distances along the track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) slice: Slice,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Piece {
    /// The piece as far as it was made at `distance` along the track.
    pub(super) fn until(&self, distance: f64) -> Option<Slice> {
        if self.to <= distance {
            return Some(self.slice);
        }
        if self.from >= distance {
            return None;
        }
        let part = (distance - self.from) / (self.to - self.from);
        Some(match self.slice {
            Slice::Capsule { from, start, to, end } => {
                Slice::Capsule { from, start, to: from.toward(to, part), end: start + (end - start) * part }
            }
            Slice::Band { arc, radius } => Slice::Band { arc: arc.swept(arc.sweep * part), radius },
        })
    }
}

/// Gives out the pieces that a cutter sweeps at `height` on one motion, as far as they may reach `within`.
pub(super) fn pieces(
    placed: &Placed,
    profile: &Profile,
    height: f64,
    follow: f64,
    within: Within<'_>,
    mut give: impl FnMut(Piece),
) {
    let along = |part: f64| placed.from + placed.length * part;
    slice(&placed.motion, profile, height, follow, within, |slice, (from, to): Interval| {
        give(Piece { slice, from: along(from), to: along(to) });
    });
}
