//! Where the load is measured: evenly, and closer where it changes.

use rayon::prelude::*;

use super::{Load, LoadRow};
use crate::measure::along_path::sample_places;
use crate::task::{Cancelled, Task};

/// Samples of one pass at first, about.
const SAMPLES: f64 = 1200.0;
/// Samples at the most, after all rounds: fewer of a pass with many motions, each of which costs more.
const MOST_ROWS: (usize, usize) = (1600, 4000);
/// Samples times motions, about.
const MOST_WORK: usize = 20_000_000;
/// Rounds in which the space between two samples may be halved.
const ROUNDS: u32 = 5;
/// Neighbours whose areas differ by more than this part of the largest get another between them.
const DIFFERENT: f64 = 0.04;

/// The rows of a pass in order of distance.
pub(super) fn rows(load: &Load<'_>, task: Task<'_>) -> Result<Vec<LoadRow>, Cancelled> {
    let spacing = load.tolerances.station_spacing;
    let step = (load.track.feed_length() / SAMPLES).max(spacing * 2.0);
    let below = |motion: &usize| {
        let placed = load.track.placed().get(*motion);
        placed.is_some_and(|placed| placed.motion.start.z.min(placed.motion.end.z) < load.top)
    };
    let places = sample_places(load.track, step).into_iter().filter(|(motion, _)| below(motion));
    let mut rows = measured(load, places.collect(), task)?;
    let most = (MOST_WORK / load.track.placed().len().max(1)).clamp(MOST_ROWS.0, MOST_ROWS.1);
    for _ in 0..ROUNDS {
        let between = between(&rows, spacing);
        if between.is_empty() || rows.len() + between.len() > most {
            break;
        }
        rows.extend(measured(load, between, task)?);
        rows.sort_by(|a, b| {
            (a.motion, a.distance).partial_cmp(&(b.motion, b.distance)).unwrap_or(std::cmp::Ordering::Equal)
        });
    }
    Ok(rows)
}

fn measured(load: &Load<'_>, places: Vec<(usize, f64)>, task: Task<'_>) -> Result<Vec<LoadRow>, Cancelled> {
    let rows = places.into_par_iter().map(|(motion, distance)| {
        task.cancel.check()?;
        Ok(load.at(motion, distance))
    });
    let rows: Vec<Option<LoadRow>> = rows.collect::<Result<_, Cancelled>>()?;
    Ok(rows.into_iter().flatten().collect())
}

/// Places halfway between neighbours on one motion that differ.
fn between(rows: &[LoadRow], spacing: f64) -> Vec<(usize, f64)> {
    let most = rows.iter().map(|row| row.area).fold(0.0, f64::max);
    let differ = |a: &LoadRow, b: &LoadRow| {
        (a.area - b.area).abs() > DIFFERENT * most || (a.width > 0.0) != (b.width > 0.0)
    };
    let pairs = rows.windows(2).map(|pair| (&pair[0], &pair[1]));
    pairs
        .filter(|(a, b)| a.motion == b.motion && b.distance - a.distance > spacing && differ(a, b))
        .map(|(a, b)| (a.motion, f64::midpoint(a.distance, b.distance)))
        .collect()
}
