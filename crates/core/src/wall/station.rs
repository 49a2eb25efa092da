//! What the line square to the outline at one station meets, at any height.

use super::Wall;
use super::pass::Carried;
use super::train::Trains;
use crate::geometry::{Interval, Path, Place, Ray, merge, without};
use crate::tool::Profile;

/// The outline itself is met this near to a station, as a part of the outline's length.
const OWN_CROSSING: f64 = 1e-7;
/// Motions times heights looked at on one wall, about: a limit on work. An ordinary wall needs a hundredth of it.
const MOST_LOOKS: usize = 1_000_000;
/// So many heights are looked at however many motions there are, and never more than the second number.
const HEIGHTS: (usize, usize) = (400, 5000);
/// Heights looked at for each height at which a part of a cutter begins or ends.
const FOR_EACH_JOINT: usize = 10;

/// What one pass does near a station.
#[derive(Debug, Clone)]
pub(super) struct Near<'a> {
    /// The motions that may meet the ray.
    pub(super) trains: Trains<'a>,
    /// The cutter's profile.
    pub(super) profile: &'a Profile,
}

/// A station: the ray square to the outline, the blank along it, and the motions near it.
#[derive(Debug, Clone)]
pub(super) struct Station<'a> {
    /// From the station outward.
    pub(super) ray: Ray,
    /// How far the ray belongs to this station.
    pub(super) reach: Interval,
    /// The blank along the ray.
    pub(super) blank: Vec<Interval>,
    /// Lower and upper face of the blank.
    pub(super) faces: Interval,
    /// The passes in order.
    pub(super) passes: Vec<Near<'a>>,
    /// The wall it is a station of.
    pub(super) wall: &'a Wall<'a>,
}

impl<'a> Station<'a> {
    /// The station at a place of the outline.
    pub(super) fn new(wall: &'a Wall<'a>, place: &Place) -> Self {
        let ray = Ray { origin: place.at, along: place.outward };
        let (inner, outer) = reach(wall.outline, wall.edge, &ray);
        let reach = (inner.max(-wall.tolerances.inward), outer);
        let clipped = |(from, to): Interval| (from.max(reach.0), to.min(reach.1));
        let inside = ray.inside(wall.edge).into_iter().map(clipped).filter(|(from, to)| from < to);
        let near = |pass: &&'a super::WallPass| Near {
            trains: Trains::new(pass.near(&ray, reach, wall.top), &ray),
            profile: pass.profile(),
        };
        Self {
            ray,
            reach,
            blank: inside.collect(),
            faces: (wall.bottom, wall.top),
            passes: wall.passes.iter().map(near).collect(),
            wall,
        }
    }

    /// The same station with a blank that ends at `face` and goes down as far as the tip, and this pass alone.
    pub(super) fn alone(&self, pass: usize, face: f64) -> Self {
        let passes: Vec<Near<'a>> = self.passes.get(pass).cloned().into_iter().collect();
        let tips = passes.iter().flat_map(|near| near.trains.firsts()).map(Carried::tip);
        let faces = (tips.fold(self.faces.0, f64::min), self.faces.1);
        Self { blank: vec![(self.reach.0, face)], faces, passes, ..self.clone() }
    }

    /// The metal along the ray at a height, before the first pass and after each.
    pub(super) fn metal_at(&self, height: f64) -> Vec<Vec<Interval>> {
        let sliver = self.wall.tolerances.sliver;
        let inside = height >= self.faces.0 && height <= self.faces.1;
        let mut metal = if inside { self.blank.clone() } else { Vec::new() };
        let mut states = Vec::with_capacity(self.passes.len() + 1);
        let mut swept = Vec::new();
        states.push(metal.clone());
        for pass in &self.passes {
            swept.clear();
            pass.trains.sweep(pass.profile, (height, self.wall.tolerances.follow), &mut swept);
            if !swept.is_empty() {
                merge(&mut swept, sliver);
                metal = without(&metal, &swept, sliver);
            }
            states.push(metal.clone());
        }
        states
    }

    /// Adds what one motion sweeps of the ray at a height.
    pub(super) fn sweep(&self, carried: &Carried, profile: &Profile, height: f64, swept: &mut Vec<Interval>) {
        carried.sweep(profile, (height, self.wall.tolerances.follow), &self.ray, swept);
    }

    /// The leave at a height, before the first pass and after each: the distance outward to where the metal ends
    /// that the station lies in; in air, minus the distance inward to the first metal. `None` where there is none.
    pub(super) fn leaves_at(&self, height: f64) -> Vec<Option<f64>> {
        self.metal_at(height).iter().map(|metal| leave(metal)).collect()
    }

    /// The heights at which a part of a cutter begins or ends, with the faces of the blank: between two of them
    /// the face runs without a jump of the cutters' own making. Rising, and apart.
    pub(super) fn joints(&self) -> Vec<f64> {
        self.joints_with([])
    }

    /// The same, with some more heights.
    pub(super) fn joints_with(&self, more: impl IntoIterator<Item = f64>) -> Vec<f64> {
        let (bottom, top) = self.faces;
        let mut found = vec![bottom, top];
        found.extend(more.into_iter().filter(|height| *height > bottom && *height < top));
        for pass in &self.passes {
            let ends = |carried: &Carried| [carried.motion.start.z, carried.motion.end.z];
            let mut tips: Vec<f64> = pass.trains.firsts().flat_map(ends).collect();
            tips.sort_by(f64::total_cmp);
            tips.dedup();
            for tip in tips {
                let within = pass.profile.joints().map(|joint| tip + joint);
                found.extend(within.filter(|height| *height > bottom && *height < top));
            }
        }
        found.sort_by(f64::total_cmp);
        thin(&mut found, self.wall.tolerances.height);
        let most = self.most_heights() / FOR_EACH_JOINT;
        if found.len() > most {
            thin(&mut found, (top - bottom) / most as f64);
        }
        found
    }

    /// How many heights may be looked at here.
    pub(super) fn most_heights(&self) -> usize {
        let trains: usize = self.passes.iter().map(|pass| pass.trains.len()).sum();
        (MOST_LOOKS / trains.max(1)).clamp(HEIGHTS.0, HEIGHTS.1)
    }
}

/// Drops what lies closer than `apart` to the one kept before it, but never the last.
pub(super) fn thin(heights: &mut Vec<f64>, apart: f64) {
    let Some(last) = heights.pop() else { return };
    let mut kept = f64::NEG_INFINITY;
    heights.retain(|height| {
        let keep = height - kept >= apart && last - height >= apart;
        if keep {
            kept = *height;
        }
        keep
    });
    heights.push(last);
}

/// Where the metal ends, seen from the station.
pub(super) fn leave(metal: &[Interval]) -> Option<f64> {
    let here = metal.iter().find(|(from, to)| *from <= 0.0 && *to > 0.0);
    here.or_else(|| metal.iter().rev().find(|(_, to)| *to <= 0.0)).map(|(_, to)| *to)
}

/// How far a ray belongs to its station: to the next crossing of the outline on either side, and not beyond all
/// there is.
fn reach(outline: &Path, edge: &Path, ray: &Ray) -> Interval {
    let mut crossings = Vec::new();
    ray.crossings(outline, &mut crossings);
    let own = outline.length() * OWN_CROSSING;
    // At a sharp corner the ray may run along the next span: its far end bounds the reach as well.
    let along = |vertex: &crate::geometry::Point| (*vertex - ray.origin).dot(ray.along);
    let on_ray = |vertex: &&crate::geometry::Point| ray.at(along(vertex)).distance(**vertex) < own;
    crossings.extend(outline.vertices().iter().filter(on_ray).map(along));
    let bounds = outline.bounds().join(edge.bounds());
    let all = bounds.width() + bounds.height();
    let inner = crossings.iter().copied().filter(|at| *at < -own).fold(-all, f64::max);
    let outer = crossings.iter().copied().filter(|at| *at > own).fold(all, f64::min);
    (inner, outer)
}
