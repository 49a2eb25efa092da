//! The height at which most of the finished wall is straight.

use super::station::Station;
use super::{Wall, face};
use crate::geometry::Interval;
use crate::task::{Cancel, Cancelled};

/// Stations looked at, evenly spread.
const STATIONS: u32 = 32;
/// No station lies at the first vertex, nor where a corner of an even outline would.
const OFF: f64 = 0.37;

/// A height measured at keeps this part of the widest free stretch away from levels, where that is narrow.
const KEPT_FREE: f64 = 0.25;
/// Rounding in what lies between two levels.
const HAIR: f64 = 1e-9;

/// The height nearest to the middle of a band that lies at least `apart` from the levels at which passes run: at such a
/// height itself a pass can be said to cut or not to. Where levels lie close together, it is less far from them.
pub(crate) fn off_levels(levels: impl Iterator<Item = f64>, (low, high): Interval, apart: f64) -> f64 {
    let middle = f64::midpoint(low, high);
    let mut levels: Vec<f64> = levels.filter(|z| *z > low && *z < high).chain([low, high]).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let widest = levels.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    let apart = apart.min(widest * KEPT_FREE);
    let free = levels.windows(2).filter(|pair| pair[1] - pair[0] >= 2.0 * apart * (1.0 - HAIR));
    let nearest = free.map(|pair| middle.min(pair[1] - apart).max(pair[0] + apart));
    // Of two equally near the upper one: more of the passes reach down to it.
    let off = |height: f64| (height - middle).abs() - if height > middle { HAIR } else { 0.0 };
    nearest.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(middle)
}

/// Where the finished wall is straight at the most stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straight {
    /// Lower and upper end.
    pub band: Interval,
    /// Whether it is the land above an undercut.
    pub is_land: bool,
}

impl Wall<'_> {
    /// The tallest band of height at which the wall after all passes is straight at most stations: the land where passes
    /// leave one, else the face under the rounding or the top. `None` where no station has one. One place that differs,
    /// such as a groove across the block, does not decide.
    ///
    /// # Errors
    /// [`Cancelled`] when the work was asked to stop.
    pub fn straight(&self, cancel: &Cancel) -> Result<Option<Straight>, Cancelled> {
        let station = |index: u32| (f64::from(index) + OFF) / f64::from(STATIONS) * self.outline.length();
        let heights = |index| face::after_all(&Station::new(self, &self.place_at(station(index))));
        let mut bands: Vec<(Interval, bool)> = Vec::new();
        for index in 0..STATIONS {
            cancel.check()?;
            let found = heights(index);
            bands.extend(found.straight.map(|band| (band, found.undercut_line.is_some())));
        }
        let is_land = bands.iter().any(|(_, land)| *land);
        let of_kind: Vec<Interval> =
            bands.into_iter().filter(|(_, land)| *land == is_land).map(|(band, _)| band).collect();
        Ok(most_common(&of_kind, self.tolerances.step).map(|band| Straight { band, is_land }))
    }
}

/// The stretch of height that counts for most: its height times the number of bands that hold all of it. Each band is
/// taken shorter by `margin` at both ends, so that bands that meet at a corner have nothing in common.
fn most_common(bands: &[Interval], margin: f64) -> Option<Interval> {
    let drawn_in = |(low, high): &Interval| (low + margin, high - margin);
    let bands: Vec<Interval> = bands.iter().map(drawn_in).filter(|(low, high)| low < high).collect();
    let pairs = bands.iter().flat_map(|(low, _)| bands.iter().map(move |(_, high)| (*low, *high)));
    let worth = |(low, high): Interval| {
        let holding = bands.iter().filter(|band| band.0 <= low && high <= band.1).count();
        (high - low) * holding as f64
    };
    let best = pairs.filter(|(low, high)| low < high).max_by(|a, b| worth(*a).total_cmp(&worth(*b)))?;
    Some((best.0 - margin, best.1 + margin))
}

#[cfg(test)]
mod tests {
    use super::{most_common, off_levels};

    #[test]
    fn a_height_keeps_off_levels() {
        let off = |levels: &[f64]| off_levels(levels.iter().copied(), (-0.5, 0.0), 0.02);
        for (levels, want) in [
            (&[][..], -0.25),
            (&[-0.25], -0.23),
            (&[-0.26], -0.24),
            (&[-0.24], -0.26),
            (&[-0.1, -0.4, -0.7], -0.25),
            // Too close together to pass between.
            (&[-0.24, -0.26], -0.22),
            (&[-0.25, -0.23, -0.29], -0.27),
        ] {
            assert!((off(levels) - want).abs() < 1e-12, "{levels:?}: {}", off(levels));
        }
        // Nothing but close levels: a quarter of the widest stretch is kept free.
        let many = (1..100).map(|level| f64::from(level) * -0.005);
        let found = off_levels(many, (-0.5, 0.0), 0.02);
        assert!((found + 0.248_75).abs() < 1e-12, "{found}");
    }

    #[test]
    fn a_place_that_differs_does_not_decide() {
        let of = |bands: &[(f64, f64)]| most_common(bands, 0.001);
        assert_eq!(of(&[]), None);
        let near = |found: Option<(f64, f64)>, want: (f64, f64)| {
            assert!(
                found.is_some_and(|f| (f.0 - want.0).abs() < 1e-12 && (f.1 - want.1).abs() < 1e-12),
                "{found:?}"
            );
        };
        near(of(&[(-1.0, 0.0)]), (-1.0, 0.0));
        // Common to three, while a fourth, with a groove in it, has only its upper part.
        near(of(&[(-1.0, 0.0), (-0.8, 0.0), (-1.0, -0.2), (-0.1, 0.0)]), (-0.8, -0.2));
        // Bands that only meet have nothing in common: the taller counts.
        near(of(&[(-1.0, -0.3), (-0.3, 0.0)]), (-1.0, -0.3));
        assert_eq!(of(&[(-0.1, -0.0995)]), None);
    }
}
