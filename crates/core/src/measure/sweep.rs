//! One pass found by place: which of its motions reach a line or a box in plan, at whatever height.

use rstar::{AABB, RTree, RTreeObject};

use super::pieces::{Piece, pieces};
use crate::geometry::{Bounds, Interval, OnRay, Ray, envelope};
use crate::plunged::Plunged;
use crate::program::Kind;
use crate::tool::{Form, Profile};
use crate::track::{Placed, Track, plan_bounds};
use crate::wall::Within;

/// The box in plan that the cutter reaches on one motion.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Reached {
    bounds: Bounds,
    motion: usize,
}

impl RTreeObject for Reached {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(&self.bounds)
    }
}

/// One pass found by place. It depends on nothing but track and form, so it can be kept between proofs.
#[derive(Debug, Clone)]
pub struct Sweep {
    profile: Profile,
    widest: f64,
    placed: Vec<Placed>,
    /// Without those straight up and down where the cutter has been.
    tree: RTree<Reached>,
}

impl Sweep {
    /// The pass that carries `form` along `track`, rapids included: they remove metal as well.
    pub fn new(track: &Track, form: &Form) -> Self {
        let profile = form.profile();
        let widest = profile.widest();
        let reached = |(motion, placed): (usize, &Placed)| Reached {
            bounds: plan_bounds(&placed.motion).grown(widest),
            motion,
        };
        let mut plunged = Plunged::default();
        let new = track.placed().iter().enumerate().filter(|(_, placed)| plunged.adds(&placed.motion));
        let tree = RTree::bulk_load(new.map(reached).collect());
        Self { profile, widest, placed: track.placed().to_vec(), tree }
    }

    /// The cutter's profile.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// The cutter's largest radius.
    pub const fn widest(&self) -> f64 {
        self.widest
    }

    /// The heights at which the tip begins or ends its feeds, rising, the lowest `most` of them.
    pub fn levels(&self, most: usize) -> Vec<f64> {
        let feeds =
            self.placed.iter().map(|placed| &placed.motion).filter(|motion| motion.kind == Kind::Feed);
        let mut levels: Vec<f64> = feeds.flat_map(|motion| [motion.start.z, motion.end.z]).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        levels.truncate(most);
        levels
    }

    /// The motions on which the cutter may reach into a box.
    pub(super) fn near(&self, bounds: &Bounds) -> impl Iterator<Item = &Placed> {
        let found = self.tree.locate_in_envelope_intersecting(&envelope(bounds));
        found.filter_map(|reached| self.placed.get(reached.motion))
    }

    /// The same with their index in the track.
    pub(crate) fn motions_near(&self, bounds: &Bounds) -> impl Iterator<Item = (usize, &Placed)> {
        let found = self.tree.locate_in_envelope_intersecting(&envelope(bounds));
        found.filter_map(|reached| Some((reached.motion, self.placed.get(reached.motion)?)))
    }

    /// The motions in order.
    pub(crate) fn placed(&self) -> &[Placed] {
        &self.placed
    }

    /// Adds the intervals of the ray inside the area swept at `height`, not merged.
    pub fn along(&self, ray: &Ray, reach: Interval, (height, follow): (f64, f64), found: &mut Vec<Interval>) {
        self.each(ray, reach, (height, follow), |piece| piece.slice.along(ray, found));
    }

    /// The same, for what was swept up to `distance` along the track.
    pub fn along_until(
        &self,
        ray: &Ray,
        reach: Interval,
        at: (f64, f64),
        distance: f64,
        found: &mut Vec<Interval>,
    ) {
        self.each(ray, reach, at, |piece| {
            if let Some(made) = piece.until(distance) {
                made.along(ray, found);
            }
        });
    }

    fn each(&self, ray: &Ray, reach: Interval, (height, follow): (f64, f64), mut give: impl FnMut(Piece)) {
        for reached in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            if let Some(placed) = self.placed.get(reached.motion) {
                pieces(placed, &self.profile, height, follow, Within::Ray(ray, reach), &mut give);
            }
        }
    }
}
