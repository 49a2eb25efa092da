//! Boxes as the tree of places holds them, and what a ray selects of it.

use rstar::{AABB, RTreeObject, SelectionFunction};

use super::{Bounds, Interval, Ray, pt};

/// The box of a tree that is as large as this one.
pub(crate) fn envelope(bounds: &Bounds) -> AABB<[f64; 2]> {
    AABB::from_corners([bounds.low.x, bounds.low.y], [bounds.high.x, bounds.high.y])
}

/// Selects the boxes that a ray meets between two distances.
pub(crate) struct OnRay<'a> {
    pub(crate) ray: &'a Ray,
    pub(crate) reach: Interval,
}

impl<T: RTreeObject<Envelope = AABB<[f64; 2]>>> SelectionFunction<T> for OnRay<'_> {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 2]>) -> bool {
        let (low, high) = (envelope.lower(), envelope.upper());
        self.ray.meets(&Bounds { low: pt(low[0], low[1]), high: pt(high[0], high[1]) }, self.reach)
    }

    fn should_unpack_leaf(&self, leaf: &T) -> bool {
        SelectionFunction::<T>::should_unpack_parent(self, &leaf.envelope())
    }
}
