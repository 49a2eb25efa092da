//! The area a pass sweeps at one height, as circles carried along lines and arcs.

use rstar::{AABB, RTree, RTreeObject};

use super::pieces::{Piece, pieces};
use crate::geometry::{Bounds, Interval, OnRay, Ray, envelope};
use crate::plunged::Plunged;
use crate::tool::Form;
use crate::track::Track;
use crate::wall::{Slice, Within};

/// A piece of the swept area with the index of the motion that makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Made {
    piece: Piece,
    motion: u32,
}

impl RTreeObject for Made {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        envelope(&self.piece.slice.bounds())
    }
}

/// The area one pass sweeps at one height, in block coordinates.
#[derive(Debug, Clone)]
pub struct Swath {
    tree: RTree<Made>,
}

impl Swath {
    /// The area swept at `height` by `form` on the whole track. `follow` is how closely a changing radius is
    /// followed.
    pub fn new(track: &Track, form: &Form, height: f64, follow: f64) -> Self {
        let profile = form.profile();
        let (mut made, mut plunged) = (Vec::new(), Plunged::default());
        let new = track.placed().iter().enumerate().filter(|(_, placed)| plunged.adds(&placed.motion));
        for (index, placed) in new {
            pieces(placed, &profile, height, follow, Within::Anywhere, |piece| {
                made.push(Made { piece, motion: index as u32 });
            });
        }
        Self { tree: RTree::bulk_load(made) }
    }

    /// Whether nothing is swept at this height.
    pub fn is_empty(&self) -> bool {
        self.tree.size() == 0
    }

    /// Adds the intervals of the ray inside the area, not merged.
    pub fn along(&self, ray: &Ray, reach: Interval, found: &mut Vec<Interval>) {
        for made in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            made.piece.slice.along(ray, found);
        }
    }

    /// Adds the pieces whose boxes meet a box.
    pub(crate) fn within(&self, bounds: &Bounds, found: &mut Vec<Slice>) {
        let near = self.tree.locate_in_envelope_intersecting(&envelope(bounds));
        found.extend(near.map(|made| made.piece.slice));
    }

    /// The same intervals, for what was swept up to `distance` along the track.
    pub fn along_until(&self, ray: &Ray, reach: Interval, distance: f64, found: &mut Vec<Interval>) {
        for made in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            if let Some(slice) = made.piece.until(distance) {
                slice.along(ray, found);
            }
        }
    }

    /// The motion that made the border of the area at distance `at` along the ray, within `within`; the earliest
    /// when several did.
    pub fn maker_of(&self, ray: &Ray, at: f64, within: f64) -> Option<u32> {
        let mut found = Vec::new();
        let mut maker: Option<u32> = None;
        let reach = (at - within, at + within);
        for made in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            found.clear();
            made.piece.slice.along(ray, &mut found);
            if found.iter().any(|(start, _)| (start - at).abs() <= within) {
                maker = Some(maker.map_or(made.motion, |earliest| earliest.min(made.motion)));
            }
        }
        maker
    }
}
