//! How low and how high motions go.

use crate::geometry::Arc;
use crate::program::{Curve, Motion, Plane};

/// Lowest and highest Z that one motion reaches, exact for arcs too.
pub(super) fn reach(motion: &Motion) -> (f64, f64) {
    let (low, high) = (motion.start.z.min(motion.end.z), motion.start.z.max(motion.end.z));
    let Curve::Arc { plane, centre, sweep } = motion.curve else { return (low, high) };
    if plane == Plane::Xy {
        return (low, high);
    }
    let (from, _) = plane.split(motion.start);
    let spoke = from - centre;
    let bounds = Arc::new(centre, spoke.length(), spoke.angle(), sweep).bounds();
    match plane {
        Plane::Zx => (low.min(bounds.low.x), high.max(bounds.high.x)),
        _ => (low.min(bounds.low.y), high.max(bounds.high.y)),
    }
}

/// Lowest and highest Z of all motions from index `from` on; of that one only its end counts, since the program
/// states no Z before.
pub(in crate::rewrite) fn heights(motions: &[Motion], from: usize) -> Option<(f64, f64)> {
    let (first, rest) = motions.get(from..)?.split_first()?;
    let ends = (first.end.z, first.end.z);
    Some(rest.iter().map(reach).fold(ends, |(low, high), (l, h)| (low.min(l), high.max(h))))
}
