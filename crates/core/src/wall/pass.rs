//! One pass as the wall needs it: its motions, found by place, and the cutter's profile.

use rstar::{AABB, RTree, RTreeObject};

use super::slice::{Within, slice_along};
use crate::geometry::{Bounds, Interval, OnRay, Ray, Span, envelope};
use crate::plunged::without_pecks;
use crate::program::{Kind, Motion};
use crate::tool::{Form, Profile};
use crate::track::{Track, plan_span};

/// One pass as the wall needs it. It depends on nothing but track and form, so it can be kept between proofs.
#[derive(Debug, Clone)]
pub struct WallPass {
    form: Form,
    profile: Profile,
    pub(super) motions: Vec<Carried>,
    tree: RTree<Reached>,
}

/// One motion with its line in plan.
#[derive(Debug, Clone, Copy)]
pub(super) struct Carried {
    pub(super) motion: Motion,
    pub(super) plan: Span,
}

impl Carried {
    /// The lowest height of the tip.
    pub(super) const fn tip(&self) -> f64 {
        self.motion.start.z.min(self.motion.end.z)
    }

    /// Adds what a cutter sweeps of a ray at a height, not merged.
    pub(super) fn sweep(
        &self,
        profile: &Profile,
        (height, follow): (f64, f64),
        ray: &Ray,
        swept: &mut Vec<Interval>,
    ) {
        slice_along((&self.plan, &self.motion), profile, height, follow, Within::line(ray), |piece, _| {
            piece.along(ray, swept);
        });
    }
}

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

impl WallPass {
    /// The pass that carries `form` along `track`, rapids included: they remove metal as well.
    pub fn new(track: &Track, form: &Form) -> Self {
        let carried = |motion: Motion| Carried { motion, plan: plan_span(&motion) };
        let motions: Vec<Carried> = without_pecks(track.placed().iter().map(|placed| placed.motion))
            .into_iter()
            .map(carried)
            .collect();
        let reached = |(motion, at): (usize, &Carried)| {
            let bounds = at.plan.bounds().grown(form.radius());
            Reached { bounds, motion }
        };
        let tree = RTree::bulk_load(motions.iter().enumerate().map(reached).collect());
        Self { form: form.clone(), profile: form.profile(), motions, tree }
    }

    /// The cutter's form.
    pub fn form(&self) -> &Form {
        &self.form
    }

    /// The cutter's profile.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// The heights at which flats of the cutter go level, its end or a shoulder, the same ones again and again: there what
    /// is swept jumps.
    pub(crate) fn levels(&self) -> impl Iterator<Item = f64> {
        let level = self.motions.iter().map(|carried| &carried.motion).filter(|it| it.start.z == it.end.z);
        let mut last = f64::NAN;
        let tips = level.map(|it| it.start.z).filter(move |tip| std::mem::replace(&mut last, *tip) != *tip);
        let flats = self.profile.pieces().iter().filter(|piece| piece.is_level());
        tips.flat_map(move |tip| flats.clone().map(move |flat| tip + flat.from.y))
    }

    /// Whether a feed moves in plan with its tip at such a height at either end.
    pub(crate) fn feeds_along_at(&self, at: impl Fn(f64) -> bool) -> bool {
        let along = |motion: &Motion| motion.kind == Kind::Feed && motion.start.plan() != motion.end.plan();
        self.motions
            .iter()
            .map(|carried| &carried.motion)
            .any(|motion| along(motion) && (at(motion.start.z) || at(motion.end.z)))
    }

    /// The motions, in order, on which the cutter may meet the ray at or below `top`.
    pub(super) fn near(&self, ray: &Ray, reach: Interval, top: f64) -> Vec<&Carried> {
        let found = self.tree.locate_with_selection_function(OnRay { ray, reach });
        let mut indices: Vec<usize> = found.map(|reached| reached.motion).collect();
        indices.sort_unstable();
        let motions = indices.into_iter().filter_map(|index| self.motions.get(index));
        motions.filter(|carried| carried.tip() <= top).collect()
    }

    /// The motions, not in order, on which the cutter may come into a box at a height.
    pub(super) fn within(&self, bounds: &Bounds, height: f64) -> impl Iterator<Item = &Carried> {
        let found = self.tree.locate_in_envelope_intersecting(&envelope(bounds));
        let motions = found.filter_map(|reached| self.motions.get(reached.motion));
        motions.filter(move |carried| carried.tip() <= height)
    }
}
