//! The area a pass sweeps at one height, as circles carried along lines and arcs.

use rstar::{AABB, RTree, RTreeObject, SelectionFunction};

use crate::geometry::{Bounds, Interval, Point, Ray};
use crate::plunged::Plunged;
use crate::tool::Form;
use crate::track::Track;
use crate::wall::{Slice, slice};

/// A piece of the swept area, made between two distances along the track.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    shape: Slice,
    from: f64,
    to: f64,
    motion: u32,
}

impl Piece {
    /// The piece as far as it was made at `distance` along the track.
    fn until(&self, distance: f64) -> Option<Self> {
        if self.to <= distance {
            return Some(*self);
        }
        if self.from >= distance {
            return None;
        }
        let part = (distance - self.from) / (self.to - self.from);
        let shape = match self.shape {
            Slice::Capsule { from, start, to, end } => {
                Slice::Capsule { from, start, to: from.toward(to, part), end: start + (end - start) * part }
            }
            Slice::Band { arc, radius } => Slice::Band { arc: arc.swept(arc.sweep * part), radius },
        };
        Some(Self { shape, ..*self })
    }
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        let bounds = self.shape.bounds();
        AABB::from_corners([bounds.low.x, bounds.low.y], [bounds.high.x, bounds.high.y])
    }
}

/// Selects the pieces whose boxes a ray meets.
struct OnRay<'a> {
    ray: &'a Ray,
    reach: Interval,
}

impl OnRay<'_> {
    fn meets(&self, envelope: &AABB<[f64; 2]>) -> bool {
        let (low, high) = (envelope.lower(), envelope.upper());
        let bounds = Bounds { low: Point { x: low[0], y: low[1] }, high: Point { x: high[0], y: high[1] } };
        self.ray.meets(&bounds, self.reach)
    }
}

impl SelectionFunction<Piece> for OnRay<'_> {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 2]>) -> bool {
        self.meets(envelope)
    }

    fn should_unpack_leaf(&self, leaf: &Piece) -> bool {
        self.meets(&leaf.envelope())
    }
}

/// The area one pass sweeps at one height, in block coordinates.
#[derive(Debug, Clone)]
pub struct Swath {
    tree: RTree<Piece>,
}

impl Swath {
    /// The area swept at `height` by `form` on the whole track. `follow` is how closely a changing radius is
    /// followed.
    pub fn new(track: &Track, form: &Form, height: f64, follow: f64) -> Self {
        let profile = form.profile();
        let (mut pieces, mut plunged) = (Vec::new(), Plunged::default());
        let new = track.placed().iter().enumerate().filter(|(_, placed)| plunged.adds(&placed.motion));
        for (index, placed) in new {
            let along = |part: f64| placed.from + placed.length * part;
            slice(&placed.motion, &profile, height, follow, |shape, (from, to)| {
                pieces.push(Piece { shape, from: along(from), to: along(to), motion: index as u32 });
            });
        }
        Self { tree: RTree::bulk_load(pieces) }
    }

    /// Whether nothing is swept at this height.
    pub fn is_empty(&self) -> bool {
        self.tree.size() == 0
    }

    /// Adds the intervals of the ray inside the area, not merged.
    pub fn along(&self, ray: &Ray, reach: Interval, found: &mut Vec<Interval>) {
        for piece in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            piece.shape.along(ray, found);
        }
    }

    /// Adds the pieces whose boxes meet a box.
    pub(crate) fn within(&self, bounds: &Bounds, found: &mut Vec<Slice>) {
        let corners = ([bounds.low.x, bounds.low.y], [bounds.high.x, bounds.high.y]);
        let near = self.tree.locate_in_envelope_intersecting(&AABB::from_corners(corners.0, corners.1));
        found.extend(near.map(|piece| piece.shape));
    }

    /// The same intervals, for what was swept up to `distance` along the track.
    pub fn along_until(&self, ray: &Ray, reach: Interval, distance: f64, found: &mut Vec<Interval>) {
        for piece in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            if let Some(made) = piece.until(distance) {
                made.shape.along(ray, found);
            }
        }
    }

    /// The motion that made the border of the area at distance `at` along the ray, within `within`; the earliest
    /// when several did.
    pub fn maker_of(&self, ray: &Ray, at: f64, within: f64) -> Option<u32> {
        let mut found = Vec::new();
        let mut maker: Option<u32> = None;
        for piece in
            self.tree.locate_with_selection_function(OnRay { ray, reach: (at - within, at + within) })
        {
            found.clear();
            piece.shape.along(ray, &mut found);
            if found.iter().any(|(start, _)| (start - at).abs() <= within) {
                maker = Some(maker.map_or(piece.motion, |earliest| earliest.min(piece.motion)));
            }
        }
        maker
    }
}
