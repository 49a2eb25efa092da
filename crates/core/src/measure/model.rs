//! What is measured along the outline and along the path of a tool.

use serde::Serialize;

use super::Stretch;
use crate::geometry::{Point, Range};

/// One station of the outline as one pass leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationRow {
    /// Distance along the outline.
    pub station: f64,
    /// The point on the outline.
    pub at: Point,
    /// Unit vector square to the outline, away from the block.
    pub outward: Point,
    /// Leave before the pass.
    pub before: f64,
    /// Leave after the pass.
    pub after: f64,
    /// How far outside the outline the place lies that `after` tells of: the same but next to a corner, where a place
    /// of another side may be the nearest.
    pub face: f64,
    /// The thickest cut over all heights.
    pub cut: f64,
    /// The height at which it is that; `None` where nothing is taken.
    pub cut_z: Option<f64>,
    /// The program line that takes it, where it is thicker than the job's limit.
    pub cut_line: Option<u32>,
    /// How far inside the outline the pass itself took metal; 0 when it did not.
    pub past: f64,
    /// Index in the track of the motion that made the face left here, when this pass made it.
    pub by: Option<u32>,
}

/// What one pass does along the outline: what it leaves at the gauge height, and what it takes over all heights.
#[derive(Debug, Clone)]
pub struct AlongOutline {
    /// Stations in order.
    pub rows: Vec<StationRow>,
    /// Contact along the whole outline without gap or overlap.
    pub contact: Vec<Stretch>,
    /// Leave after the pass.
    pub leave: Range,
    /// The thickest cut over all heights.
    pub cut: Range,
    /// The heights of the least and of the most of it; `None` where nothing is taken.
    pub cut_z: [Option<f64>; 2],
    /// Deepest cut inside the outline and its station, when there is any.
    pub past: Option<(f64, f64)>,
    /// The stations at which something was measured after the pass, in the job's order.
    pub measured: Vec<StationRow>,
    /// Where it stays above its bottom and leaves metal.
    pub shallow: Vec<Shallow>,
}

impl AlongOutline {
    /// The station from one to another at which a value is least; over the first vertex where the second is less than the
    /// first, or beyond the outline's length. Of stations that are as low within `same` the one nearest to the middle.
    pub fn least_row(
        &self,
        (from, to): (f64, f64),
        same: f64,
        value: impl Fn(&StationRow) -> f64,
    ) -> Option<&StationRow> {
        let length = self.contact.last()?.to;
        let to = if to < from { to + length } else { to };
        let way = |row: &StationRow| if row.station < from { row.station + length } else { row.station };
        let inside = || self.rows.iter().filter(|row| way(row) <= to && value(row).is_finite());
        let least = inside().map(&value).reduce(f64::min)?;
        let off = |row: &StationRow| (way(row) - f64::midpoint(from, to)).abs();
        inside().filter(|row| value(row) <= least + same).min_by(|a, b| off(a).total_cmp(&off(b)))
    }
}

/// A stretch of the outline along which a pass stays above its bottom and leaves metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shallow {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends; beyond the outline's length where it goes on past the first vertex.
    pub to: f64,
    /// By how much at the most.
    pub by: f64,
    /// The station where that is; of places that are alike the middle one.
    pub at: f64,
}

/// One sample of the thickness of cut along the tool's own path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathRow {
    /// Distance along the whole path, rapids included.
    pub distance: f64,
    /// Metal taken on the line through the tool's axis square to its travel.
    pub cut: f64,
}

/// Thickness of cut along the tool's own path; samples lie on feed motions only.
#[derive(Debug, Clone)]
pub struct AlongPath {
    /// Height at which it was measured, block coordinates; where nothing is taken there, the other levels were looked at.
    pub height: f64,
    /// Samples in order of distance.
    pub rows: Vec<PathRow>,
    /// Stretches of feed motion without contact where metal was expected, as distances along the path.
    pub none: Vec<(f64, f64)>,
    /// Stretches of feed motion without contact where none was expected: lead-in, lead-out, ways beside the block.
    pub approach: Vec<(f64, f64)>,
}

/// A stretch of the outline where the blank is short.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Short {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends; less than `from` where it goes on past the first vertex.
    pub to: f64,
    /// How far the blank ends inside the outline at the most.
    pub most: f64,
}

/// How the outline lies on the blank as sawn.
#[derive(Debug, Clone, PartialEq)]
pub struct BlankProof {
    /// Least distance, square to the outline, to the sawn edge; negative where short.
    pub least_margin: f64,
    /// Station of the least margin.
    pub least_margin_at: f64,
    /// Stretches where the blank is short.
    pub short: Vec<Short>,
}
