//! Where metal stands farther out at other heights than at that at which stock left is measured.

use rayon::prelude::*;

use super::Wall;
use super::station::Station;
use crate::geometry::Interval;
use crate::task::{Cancelled, Task};

/// Stations looked at, evenly apart: a foot or a rim that a pass leaves goes along the outline.
const STATIONS: u32 = 60;

/// Metal that stands out from a wall which is right at its gauge height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proud {
    /// How far out it stands from the outline at the most.
    pub most: f64,
    /// The height at which it does.
    pub z: f64,
    /// The station.
    pub station: f64,
    /// About how much of the outline it goes along.
    pub length: f64,
}

impl Wall<'_> {
    /// Where metal stands farther out than `limit` between two heights, all passes done, though it does not at the
    /// `gauge` height: what it leaves there is measured, and told, by itself. `None` where it nowhere does.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub(crate) fn proud(
        &self,
        between: Interval,
        gauge: f64,
        limit: f64,
        task: Task<'_>,
    ) -> Result<Option<Proud>, Cancelled> {
        let part = self.outline.length() / f64::from(STATIONS);
        let look = |index: u32| {
            task.cancel.check()?;
            let station = part * (f64::from(index) + 0.5);
            Ok(self.proud_at(station, between, gauge, limit).map(|(most, z)| (most, z, station)))
        };
        let found = (0..STATIONS).into_par_iter().map(look).collect::<Result<Vec<_>, Cancelled>>()?;
        let found: Vec<(f64, f64, f64)> = found.into_iter().flatten().collect();
        let length = part * found.len() as f64;
        let worst = found.into_iter().reduce(|a, b| if b.0 > a.0 { b } else { a });
        Ok(worst.map(|(most, z, station)| Proud { most, z, station, length }))
    }

    /// How far out beyond `limit` metal stands at a station between two heights, and at which of them; `None` where it does
    /// so at the gauge height. Between two joints of cutters it is looked at beside both and in the middle.
    fn proud_at(&self, station: f64, (low, high): Interval, gauge: f64, limit: f64) -> Option<(f64, f64)> {
        let at = Station::new(self, &self.place_at(station));
        let stands = |height: f64| at.leaves_at(height).pop().flatten();
        if stands(gauge)? > limit {
            return None;
        }
        let margin = self.tolerances.height;
        let mut most: Option<(f64, f64)> = None;
        for pair in at.joints().windows(2) {
            let (from, to) = (pair[0].max(low) + margin, pair[1].min(high) - margin);
            if from >= to {
                continue;
            }
            for height in [from, f64::midpoint(from, to), to] {
                let Some(out) = stands(height) else { continue };
                if out > limit && most.is_none_or(|(most, _)| out > most) {
                    most = Some((out, height));
                }
            }
        }
        most
    }
}
