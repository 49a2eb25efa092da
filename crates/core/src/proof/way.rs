//! How a pass goes: where it starts, how high it crosses, where it comes down, which way it cuts, where it ends.

use super::Proof;
use crate::geometry::{Path, Point, Point3};
use crate::job::Does;
use crate::program::{Kind, Motion};
use crate::track::{Placed, plan_span};

/// A cutter runs along the outline where its axis is no farther away than this many of its radii, and its way lies this
/// near to the outline's own (cosine).
const BESIDE: f64 = 1.25;
const ALONG: f64 = 0.9;
/// Parts in which an arc is looked at.
const PARTS: u32 = 8;

/// How a pass goes, in the program's own coordinates. What the program does not state is missing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Way {
    /// The first place at which X and Y are known; Z where that is known too.
    pub start: Option<(Point, Option<f64>)>,
    /// The lowest Z at which a rapid goes across.
    pub across: Option<f64>,
    /// Where the first feed begins.
    pub feeds_from: Option<Point3>,
    /// Where the last feed ends.
    pub feeds_to: Option<Point3>,
    /// The Z at which the program ends.
    pub ends_at: Option<f64>,
    /// Which way it cuts along the outline.
    pub turns: Option<Turns>,
}

/// How much of a pass's way along the outline is climb and how much conventional milling, as lengths. With a spindle that
/// turns clockwise seen from above (M3) the block lies to the right of a climb cut (geometry of the tooth's path).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Turns {
    /// Climb milling: the tooth enters where the chip is thickest.
    pub climb: f64,
    /// Conventional milling: the tooth enters where the chip is thinnest.
    pub conventional: f64,
}

impl Proof {
    /// How a pass goes; `None` when there is no such pass.
    pub fn way(&self, pass: usize) -> Option<Way> {
        let done = self.passes.get(pass)?;
        let motions = &done.program.motions;
        let beside = |does: Does| matches!(does, Does::Profile | Does::Undercut | Does::Edge);
        let outside = done.purpose.as_ref().is_none_or(|purpose| beside(purpose.does));
        let turns = self.outline.as_deref().filter(|_| outside);
        let turns = turns.map(|outline| turns_along(outline, done.track.placed(), done.tool_radius));
        Some(Way {
            start: motions
                .iter()
                .find(|motion| motion.end_known.plan())
                .map(|motion| (motion.end.plan(), motion.end_known.axis(2).then_some(motion.end.z))),
            across: motions.iter().filter_map(crosses_at).reduce(f64::min),
            feeds_from: feeds(motions)
                .next()
                .filter(|motion| motion.start_known.is_place())
                .map(|motion| motion.start),
            feeds_to: feeds(motions).last().map(|motion| motion.end),
            ends_at: motions.last().filter(|motion| motion.end_known.axis(2)).map(|motion| motion.end.z),
            turns: turns.filter(|turns| turns.climb + turns.conventional > 0.0),
        })
    }
}

fn feeds(motions: &[Motion]) -> impl DoubleEndedIterator<Item = &Motion> {
    motions.iter().filter(|motion| motion.kind == Kind::Feed)
}

/// The lower end of a rapid that goes across.
fn crosses_at(motion: &Motion) -> Option<f64> {
    let known = motion.start_known.axis(2) && motion.end_known.axis(2);
    let across = !motion.start_known.plan() || motion.start.plan() != motion.end.plan();
    let across = across && motion.end_known.plan();
    (motion.kind == Kind::Rapid && known && across).then(|| motion.start.z.min(motion.end.z))
}

fn turns_along(outline: &Path, placed: &[Placed], radius: f64) -> Turns {
    let mut turns = Turns::default();
    for motion in placed.iter().map(|placed| &placed.motion).filter(|motion| motion.kind == Kind::Feed) {
        let span = plan_span(motion);
        let parts = if matches!(span, crate::geometry::Span::Arc(_)) { PARTS } else { 1 };
        let length = span.length() / f64::from(parts);
        for part in 0..parts {
            let t = (f64::from(part) + 0.5) / f64::from(parts);
            let side = block_beside(outline, span.at(t), span.tangent(t), radius) * f64::from(motion.spindle);
            if side > 0.0 {
                turns.climb += length;
            } else if side < 0.0 {
                turns.conventional += length;
            }
        }
    }
    turns
}

/// Above 0 where the block lies to the right of a way along the outline, below 0 to the left of it, 0 elsewhere.
fn block_beside(outline: &Path, axis: Point, heading: Point, radius: f64) -> f64 {
    let place = outline.place(outline.nearest(axis));
    let off = axis - place.at;
    let beside = off.length() <= radius * BESIDE && off.dot(place.outward) > 0.0;
    let along = heading.dot(place.outward.left());
    if beside && along.abs() >= ALONG { heading.cross(off).signum() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{pt, pt3};
    use crate::program::Zero;
    use crate::track::Track;

    fn square() -> Path {
        let corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)].map(|(x, y)| (pt(x, y), 0.0));
        Path::closed(&corners).expect("a square")
    }

    fn round(corners: &[(f64, f64)], spindle: f32) -> Turns {
        let motion = |pair: &[(f64, f64)]| {
            let [from, to] = [pair[0], pair[1]].map(|(x, y)| pt3(x, y, -0.5));
            Motion { spindle, ..Motion::straight(from, to, Kind::Feed) }
        };
        let motions: Vec<Motion> = corners.windows(2).map(motion).collect();
        let track = Track::new(&motions, &Zero::default(), None, 1e-4);
        turns_along(&square(), track.placed(), 0.25)
    }

    /// Round the outside with M3, clockwise is climb milling (common practice: it is what G41 is programmed for).
    #[test]
    fn clockwise_round_the_outside_climbs() {
        let clockwise = [(-0.25, 0.0), (-0.25, 4.0), (0.0, 4.25), (4.0, 4.25)];
        let turns = round(&clockwise, 1000.0);
        assert!(turns.climb > 7.9 && turns.conventional == 0.0, "{turns:?}");
        let other: Vec<_> = clockwise.into_iter().rev().collect();
        let turns = round(&other, 1000.0);
        assert!(turns.conventional > 7.9 && turns.climb == 0.0, "{turns:?}");
        assert!(round(&other, -1000.0).climb > 7.9, "M4 turns it round");
        assert_eq!(round(&other, 0.0), Turns::default(), "stopped, it cuts neither way");
        assert_eq!(round(&[(-3.0, 2.0), (-0.25, 2.0)], 1000.0), Turns::default(), "a way in is no way along");
        assert_eq!(
            round(&[(1.0, 2.0), (3.0, 2.0)], 1000.0),
            Turns::default(),
            "over the block it is neither"
        );
    }
}
