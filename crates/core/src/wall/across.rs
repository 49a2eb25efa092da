//! The finished block from wall to wall.

use super::Wall;
use super::station::Station;
use crate::geometry::{Place, Ray};

/// Two walls face away from each other when their directions are opposite within this: a tenth of a degree.
const OPPOSITE: f64 = 1.5e-6;

impl Wall<'_> {
    /// Width of the finished block on the face that it stands on, straight across from a station: from the wall here to
    /// the wall opposite. `None` where the wall opposite is not parallel, or either wall is cut away.
    pub fn root_across(&self, station: f64) -> Option<f64> {
        let here = self.place_at(station);
        let ray = Ray { origin: here.at, along: here.outward };
        let mut crossings = Vec::new();
        ray.crossings(self.outline, &mut crossings);
        let far = crossings.into_iter().filter(|q| *q < -self.tolerances.hair * 2.0).reduce(f64::max)?;
        let there = self.place_at(self.outline.nearest(ray.at(far)));
        let opposite = 1.0 + here.outward.dot(there.outward) <= OPPOSITE;
        opposite.then(|| Some(self.foot(&here)? + self.foot(&there)? - far))?
    }

    /// How far outside the outline the finished wall stands at the lower face of the block.
    fn foot(&self, place: &Place) -> Option<f64> {
        let just_above = self.bottom + self.tolerances.height;
        Station::new(self, place).leaves_at(just_above).last().copied().flatten()
    }
}
