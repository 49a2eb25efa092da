//! What a cutter that goes down takes with its underside: rings, each at its own height.

use std::f64::consts::PI;

use super::Load;
use super::place::Place;
use crate::geometry::{Interval, Point, Ray, merge};
use crate::tool::Profile;

/// Lines through the axis along which the rings are looked at, evenly turned.
const LINES: u32 = 12;
/// Rings that a sloping part of the underside is divided into, evenly across; of many parts each into fewer.
const RINGS: usize = 16;
/// Rings that all of the underside is divided into, more only where it has more parts.
const MOST_RINGS: usize = 64;

/// What the underside meets.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Under {
    /// Metal met, in plan.
    pub(super) area: f64,
    /// The most metal on one line through the axis.
    pub(super) width: f64,
    /// Angle all round at which there is metal, radians.
    pub(super) angle: f64,
    /// Lowest and highest height at which metal is met.
    pub(super) heights: Option<(f64, f64)>,
}

/// The part of the underside between two radii, with their heights above the tip.
struct Ring {
    radii: Interval,
    heights: Interval,
}

impl Ring {
    /// The part of the ring below a height above the tip.
    fn below(&self, height: f64, profile: &Profile) -> Option<Self> {
        if height <= self.heights.0 {
            return None;
        }
        if height >= self.heights.1 {
            return Some(Self { ..*self });
        }
        let outer = profile.radius_at(height)?.clamp(self.radii.0, self.radii.1);
        Some(Self { radii: (self.radii.0, outer), heights: (self.heights.0, height) })
    }

    /// The height at which the ring is looked at: that of its middle.
    fn middle(&self, profile: &Profile) -> f64 {
        let height = profile.height_at(f64::midpoint(self.radii.0, self.radii.1)).unwrap_or(self.heights.0);
        height.clamp(self.heights.0, self.heights.1)
    }
}

/// The rings of a cutter's underside: wherever it is wider than anywhere below.
fn rings(profile: &Profile) -> Vec<Ring> {
    let mut rings = Vec::new();
    let mut widest = 0.0;
    let steps_of_each = (MOST_RINGS / profile.pieces().len().max(1)).clamp(1, RINGS);
    for piece in profile.pieces() {
        if piece.to.x <= widest {
            continue;
        }
        let steps = if piece.is_level() { 1 } else { steps_of_each };
        let (inner, outer) = (piece.from.x.max(widest), piece.to.x);
        let at = |step: usize| inner + (outer - inner) * step as f64 / steps as f64;
        let height = |radius: f64| {
            let found = profile.height_at(radius).unwrap_or(piece.from.y);
            found.clamp(piece.from.y, piece.to.y)
        };
        for step in 0..steps {
            let radii = (at(step), at(step + 1));
            rings.push(Ring { radii, heights: (height(radii.0), height(radii.1)) });
        }
        widest = outer;
    }
    rings
}

/// What the underside meets at a place, on a way that goes down by the part `down` of its length.
pub(super) fn under(load: &Load<'_>, place: &Place<'_>, down: f64) -> Under {
    let profile = load.own.profile();
    let rings = rings(profile);
    let mut found = Under::default();
    for line in 0..LINES {
        let along = Point::at_angle(PI * f64::from(line) / f64::from(LINES));
        let ray = Ray { origin: place.axis, along };
        let blank = ray.inside(load.edge.path());
        let mut metal = Vec::new();
        for ring in &rings {
            let Some(ring) = ring.below(load.top - place.tip, profile) else { continue };
            let above = ring.middle(profile);
            let height = place.tip + above;
            if height < load.bottom {
                continue;
            }
            // At this height the cutter itself has just taken what lies inside the ring's middle: it counts as far
            // back as it had only taken what lies inside the ring.
            let back = (above - ring.heights.0) / down;
            let on_line = place.metal_on(&ray, &blank, height, back);
            let before = metal.len();
            clip(&on_line, ring.radii, &mut metal);
            if metal.len() > before {
                let (low, high) = found.heights.unwrap_or((height, height));
                found.heights = Some((low.min(height), high.max(height)));
            }
        }
        found.add(metal, load.tolerances.sliver);
    }
    found
}

impl Under {
    fn add(&mut self, mut metal: Vec<Interval>, rounding: f64) {
        let turn = PI / f64::from(LINES);
        // An interval from a to b on one side of the axis stands for the ring sector (b^2 - a^2) / 2 times its angle.
        let sectors = metal.iter().map(|(from, to)| (to * to - from * from).abs() / 2.0);
        self.area += sectors.sum::<f64>() * turn;
        let sides = [metal.iter().any(|(from, _)| *from < 0.0), metal.iter().any(|(_, to)| *to > 0.0)];
        self.angle += sides.iter().filter(|side| **side).count() as f64 * turn;
        merge(&mut metal, rounding);
        self.width = self.width.max(metal.iter().map(|(from, to)| to - from).sum());
    }
}

/// Adds the parts of `metal` between two radii on either side of the axis.
fn clip(metal: &[Interval], (inner, outer): Interval, found: &mut Vec<Interval>) {
    for &(from, to) in metal {
        for (low, high) in [(-outer, -inner), (inner, outer)] {
            let part = (from.max(low), to.min(high));
            if part.0 < part.1 {
                found.push(part);
            }
        }
    }
}
