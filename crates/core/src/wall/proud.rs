//! Where metal stands farther out at other heights than at that at which stock left is measured.

use rayon::prelude::*;

use super::Wall;
use super::station::Station;
use crate::geometry::Interval;
use crate::search::close_in;
use crate::task::{Cancelled, Task};

/// Stations looked at, evenly apart: no fewer and no more than these.
const STATIONS: [f64; 2] = [60.0, 1000.0];
/// Steps of the search for the place between two of them where most stands.
const SEARCH_STEPS: usize = 14;

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
    /// It is looked for so closely that nothing more than `noise` higher than `limit` can stand between two stations: where
    /// a cutter of this `radius` is taken off the wall along a stretch g, a cusp of g^2 / 8 r is left (derived: the sagitta
    /// of a chord).
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub(crate) fn proud(
        &self,
        between: Interval,
        gauge: f64,
        limit: f64,
        (radius, noise): (f64, f64),
        task: Task<'_>,
    ) -> Result<Option<Proud>, Cancelled> {
        let length = self.outline.length();
        let apart = (8.0 * radius * noise).sqrt();
        let count = (length / apart).ceil().clamp(STATIONS[0], STATIONS[1]);
        let part = length / count;
        let seen = |station: f64| {
            let found = self.proud_at(station, between, gauge, limit);
            found.map(|(most, z)| (most, z, station))
        };
        let look = |index: u32| {
            task.cancel.check()?;
            Ok(seen(part * (f64::from(index) + 0.5)))
        };
        let found = (0..count as u32).into_par_iter().map(look).collect::<Result<Vec<_>, Cancelled>>()?;
        let found: Vec<(f64, f64, f64)> = found.into_iter().flatten().collect();
        let along = part * found.len() as f64;
        let farther = |a: (f64, f64, f64), b: (f64, f64, f64)| if b.0 > a.0 { b } else { a };
        let Some(mut worst) = found.into_iter().reduce(farther) else { return Ok(None) };
        let ends = ((worst.2 - part).max(0.0), (worst.2 + part).min(length));
        close_in(ends, (worst.2, -worst.0), SEARCH_STEPS, |station| {
            let here = seen(station);
            worst = here.map_or(worst, |here| farther(worst, here));
            here.map_or(0.0, |(most, ..)| -most)
        });
        let (most, z, station) = worst;
        Ok(Some(Proud { most, z, station, length: along }))
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
