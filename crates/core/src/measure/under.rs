//! What comes out below the block: how far under its lower face, how far in under it, and how near to the bed.

use super::keep_clear::deepest;
use crate::geometry::{Path, Point3};
use crate::tool::Tool;
use crate::track::Track;

/// What of a pass comes out below the block's lower face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Under {
    /// Z of the lowest tip, block coordinates.
    pub tip: f64,
    /// How far that is below the lower face.
    pub below: f64,
    /// How far it stays above the bed, negative below it; `None` where the job gives no bed.
    pub above_bed: Option<f64>,
    /// How far what is below the face comes in under the block, square to the outline; 0 when it stays outside, `None`
    /// without an outline.
    pub reach: Option<f64>,
    /// Whether the tool's axis itself comes in under the block, as that of a drill does.
    pub through: bool,
    /// The place where it comes in farthest, else the lowest one.
    pub at: Point3,
    /// The program line of that.
    pub line: u32,
}

/// What of a pass comes out below the block, whose lower face lies at `bottom`; `None` when nothing does.
pub(crate) fn under(
    (bottom, bed): (f64, Option<f64>),
    tool: &Tool,
    track: &Track,
    outline: Option<&Path>,
) -> Option<Under> {
    let low = |z: f64| z < bottom;
    let motions = track.placed().iter().map(|placed| &placed.motion);
    let ends = motions
        .map(|motion| (if motion.start.z < motion.end.z { motion.start } else { motion.end }, motion.line));
    let (lowest, line) = ends.filter(|(at, _)| low(at.z)).min_by(|a, b| a.0.z.total_cmp(&b.0.z))?;
    let found = outline.and_then(|outline| Some((deepest(track, tool, (outline, bottom))?, outline)));
    let (place, line) =
        found.filter(|((by, ..), _)| *by > 0.0).map_or((lowest, line), |((_, at, line), _)| (at, line));
    Some(Under {
        tip: lowest.z,
        below: bottom - lowest.z,
        above_bed: bed.map(|bed| lowest.z - bed),
        reach: found.map(|((by, ..), _)| by.max(0.0)),
        through: found.is_some_and(|((by, ..), _)| by > tool.form.radius()),
        at: place,
        line,
    })
}
