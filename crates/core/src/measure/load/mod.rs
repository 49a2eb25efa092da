//! What the cutter meets along its own path: width, depth, area of cut, engagement and removal rate, for any form.
//!
//! At one height the metal before the cutter is the blank without what the earlier passes swept there, and without
//! what this pass swept up to just behind the cutter. What its front meets is summed over the heights.

mod edge;
mod front;
mod place;
mod sample;
mod slices;
mod underside;

pub use edge::Edge;

use super::sweep::Sweep;
use crate::cutting;
use crate::geometry::Point;
use crate::program::Motion;
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::track::Track;
use crate::units::Units;
use place::Place;
use slices::{Cut, Sum};

/// The cut at one place of the path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadRow {
    /// Distance along the whole path, rapids included.
    pub distance: f64,
    /// Index in the track of the motion it lies on.
    pub motion: usize,
    /// Radial width: the metal before the cutter, laid square to its travel, at the height where it is widest. On a
    /// plunge the most metal on one line through the axis.
    pub width: f64,
    /// Axial depth: from the lowest to the highest height at which metal is met. On a plunge that of the underside: 0
    /// for a flat end.
    pub depth: f64,
    /// Area of cut, square to the travel.
    pub area: f64,
    /// Angle of engagement in degrees: how much of the cutter's turn a tooth is in metal, at the height where it is
    /// most. For a cut from one side it is that of [`cutting::engagement_angle`]; a slot has 180, a plunge up to 360.
    pub engagement: f64,
    /// Removal rate in in³/min or cm³/min: area times feed. `None` where the feed is not known.
    pub rate: Option<f64>,
}

/// The cut all along the path; rows lie on feed motions below the top of the blank only.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AlongLoad {
    /// Rows in order of distance.
    pub rows: Vec<LoadRow>,
}

impl AlongLoad {
    /// The greatest removal rate; `None` when nothing is cut at a known feed.
    pub fn rate_most(&self) -> Option<f64> {
        self.rows.iter().filter_map(|row| row.rate).filter(|rate| *rate > 0.0).reduce(f64::max)
    }

    /// Whether a motion of the track meets metal: one too short for a row of its own when those before and after it do.
    pub fn is_cutting(&self, motion: usize) -> bool {
        let first = self.rows.partition_point(|row| row.motion < motion);
        let end = self.rows.partition_point(|row| row.motion <= motion);
        let cuts = |row: &LoadRow| row.width > 0.0;
        let own = self.rows.get(first..end).unwrap_or_default();
        if own.is_empty() {
            let before = first.checked_sub(1).and_then(|index| self.rows.get(index));
            return before.is_some_and(cuts) && self.rows.get(end).is_some_and(cuts);
        }
        own.iter().any(cuts)
    }
}

/// Everything that the cut along the path of one pass depends on.
#[derive(Debug)]
pub struct Load<'a> {
    /// The tool's path.
    pub track: &'a Track,
    /// The pass.
    pub own: &'a Sweep,
    /// The passes before it.
    pub earlier: Vec<&'a Sweep>,
    /// The blank's sawn edge.
    pub edge: &'a Edge<'a>,
    /// Z of the blank's lower face.
    pub bottom: f64,
    /// Z of the blank's upper face.
    pub top: f64,
    /// The unit of all this.
    pub units: Units,
    /// Tolerances.
    pub tolerances: Tolerances,
}

impl Load<'_> {
    /// The cut all along the path.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn along(&self, task: Task<'_>) -> Result<AlongLoad, Cancelled> {
        task.tell("Measuring the load on the cutter", 0.0);
        Ok(AlongLoad { rows: sample::rows(self, task)? })
    }

    /// The cut at a distance along the path, on the motion `motion` of the track; `None` when there is no such motion.
    pub fn at(&self, motion: usize, distance: f64) -> Option<LoadRow> {
        let placed = self.track.placed().get(motion)?;
        let position = self.track.on(motion, distance)?;
        let slope = Slope::of(&placed.motion, placed.length);
        let heading = position.heading;
        let place = Place::new(self, (position.tip.plan(), position.tip.z), heading, distance);
        let mut cut = Cut::default();
        if let Some(place) = place {
            if heading != Point::default() {
                cut = Sum::of(&place, self.tolerances.none_below);
                cut.area *= slope.level;
            }
            if slope.down > 0.0 {
                self.add_underside(&place, slope.down, &mut cut);
            }
        }
        let (low, high) = cut.heights.unwrap_or_default();
        let feed = placed.motion.feed;
        Some(LoadRow {
            distance,
            motion,
            width: cut.width,
            depth: high - low,
            area: cut.area,
            engagement: cut.angle.to_degrees(),
            rate: cutting::removal_rate(self.units, cut.area, 1.0, feed).filter(|_| feed > 0.0),
        })
    }

    /// On a ramp the underside takes its share of the area; width, depth and angle are those of the front. Straight
    /// down there is no front.
    fn add_underside(&self, place: &Place<'_>, down: f64, cut: &mut Cut) {
        let under = underside::under(self, place, down);
        cut.area += under.area * down;
        if place.heading == Point::default() && under.width >= self.tolerances.none_below {
            cut.width = under.width;
            cut.angle = under.angle;
            cut.heights = under.heights;
        }
    }
}

/// How a motion goes: parts of its length in plan, and downward.
struct Slope {
    level: f64,
    down: f64,
}

impl Slope {
    fn of(motion: &Motion, length: f64) -> Self {
        if length <= 0.0 {
            return Self { level: 0.0, down: 0.0 };
        }
        let rise = ((motion.end.z - motion.start.z) / length).clamp(-1.0, 1.0);
        Self { level: (1.0 - rise * rise).sqrt(), down: (-rise).max(0.0) }
    }
}
