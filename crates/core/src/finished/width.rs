//! A cutter's widest circle carried along a motion.

use super::area::Area;
use crate::geometry::Span;
use crate::program::Motion;
use crate::tool::Profile;
use crate::track::plan_span;
use crate::wall::Slice;

/// Parts of a path looked at for one question: a limit on work. What is left then counts as reached.
const MOST_PARTS: usize = 100_000;
/// A part that moves less than this is not divided further, as a part of the radius.
const FINEST: f64 = 1e-4;

/// The widest radius between the tip and a height above it.
pub(super) fn widest_below(profile: &Profile, height: f64) -> f64 {
    let joints = profile.joints().filter(|joint| *joint <= height);
    let radii = joints.chain([height.max(0.0)]).filter_map(|height| profile.radius_at(height));
    radii.fold(0.0, f64::max)
}

/// A circle of one radius along a motion's path in plan.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circles {
    /// The area swept.
    pub(super) slice: Slice,
    radius: f64,
}

impl Circles {
    /// A circle of this radius along a motion.
    pub(super) fn of(motion: &Motion, radius: f64) -> Self {
        let slice = match plan_span(motion) {
            Span::Arc(arc) if arc.radius > 0.0 => Slice::Band { arc, radius },
            _ => Slice::Capsule {
                from: motion.start.plan(),
                start: radius,
                to: motion.end.plan(),
                end: radius,
            },
        };
        Self { slice, radius }
    }

    /// Whether every circle stays at least `margin` inside an area: proven by halving.
    pub(super) fn stay_inside(&self, area: &Area, margin: f64) -> bool {
        let travel = self.slice.travel();
        let mut open = vec![(0.0, 1.0)];
        let mut parts = 0;
        while let Some((from, to)) = open.pop() {
            let middle = f64::midpoint(from, to);
            let room = area.depth(self.slice.circle(middle).0) - self.radius - margin;
            let half = travel * (to - from) / 2.0;
            if room < 0.0 {
                return false;
            }
            if room >= half || half <= self.radius * FINEST {
                continue;
            }
            parts += 1;
            if parts > MOST_PARTS {
                return false;
            }
            open.extend([(from, middle), (middle, to)]);
        }
        true
    }
}
