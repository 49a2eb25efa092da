//! Where the load is measured: evenly, and closer where it changes.

use rayon::prelude::*;

use super::{Load, LoadRow};
use crate::measure::along_path::sample_places;
use crate::program::Kind;
use crate::task::{Cancelled, Task};

/// Samples of one pass at first, about.
const SAMPLES: f64 = 1200.0;
/// Samples at the most, after all rounds: fewer of a pass with many motions, each of which costs more.
const MOST_ROWS: (usize, usize) = (1600, 4000);
/// Samples times motions, about.
const MOST_WORK: usize = 20_000_000;
/// Where a job has more passes than this, or a cutter's profile more pieces, each sample costs more, and there are fewer of
/// them.
const MANY: (f64, f64) = (24.0, 24.0);
/// The same for motions.
const MANY_MOTIONS: f64 = 200_000.0;
/// The least part of them that is left.
const LEAST_SHARE: f64 = 0.08;
/// Rounds in which the space between two samples may be halved.
const ROUNDS: u32 = 5;
/// Neighbours whose areas differ by more than this part of the largest get another between them.
const DIFFERENT: f64 = 0.04;

/// Stretches between samples are looked through for the greatest rate when an end comes to this part of it.
const NEAR_MOST: f64 = 0.5;
/// So many of them at the most, the greatest first.
const MOST_STRETCHES: usize = 48;
/// Looks in each at first.
const EVEN_LOOKS: u32 = 3;
/// Looks about the best of those.
const GOLDEN_LOOKS: u32 = 12;
/// The part of a stretch that the golden section keeps.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// The rows of a pass in order of distance.
pub(super) fn rows(load: &Load<'_>, task: Task<'_>) -> Result<Vec<LoadRow>, Cancelled> {
    let spacing = load.tolerances.station_spacing;
    let share = share(load);
    let step = (load.track.feed_length() / (SAMPLES * share)).max(spacing * 2.0);
    let below = |motion: &usize| {
        let placed = load.track.placed().get(*motion);
        placed.is_some_and(|placed| placed.motion.start.z.min(placed.motion.end.z) < load.top)
    };
    let places = sample_places(load.track, step).into_iter().filter(|(motion, _)| below(motion));
    let mut rows = measured(load, places.collect(), task)?;
    let most = (MOST_WORK / load.track.placed().len().max(1)).clamp(MOST_ROWS.0, MOST_ROWS.1);
    let most = (most as f64 * share) as usize;
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
    rows.extend(peaks(load, &rows, (step, share), task)?);
    rows.sort_by(|a, b| {
        (a.distance, a.motion).partial_cmp(&(b.distance, b.motion)).unwrap_or(std::cmp::Ordering::Equal)
    });
    Ok(rows)
}

/// The part of the samples that a pass gets: all of them in an ordinary job.
fn share(load: &Load<'_>) -> f64 {
    let (passes, pieces) = (load.earlier.len() + 1, load.own.profile().pieces().len());
    let motions =
        load.earlier.iter().copied().chain([load.own]).map(|sweep| sweep.placed().len()).sum::<usize>();
    let few =
        (MANY.0 / passes as f64).min(MANY.1 / pieces.max(1) as f64).min(MANY_MOTIONS / motions.max(1) as f64);
    few.clamp(LEAST_SHARE, 1.0)
}

/// The greatest rates between the samples: looked for in the stretches whose ends come near to the greatest one, so that
/// the answer does not hang on where samples fall, and on how a way is cut into motions.
fn peaks(
    load: &Load<'_>,
    rows: &[LoadRow],
    (step, share): (f64, f64),
    task: Task<'_>,
) -> Result<Vec<LoadRow>, Cancelled> {
    let rate = |row: &LoadRow| row.rate.unwrap_or(0.0);
    let most = rows.iter().map(rate).fold(0.0, f64::max);
    let mut stretches: Vec<(f64, f64, f64)> = rows
        .windows(2)
        .map(|pair| (pair[0].distance, pair[1].distance, rate(&pair[0]).max(rate(&pair[1]))))
        .filter(|(from, to, rate)| {
            *rate > 0.0 && *rate >= NEAR_MOST * most && to > from && to - from <= 4.0 * step
        })
        .collect();
    stretches.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.total_cmp(&b.0)));
    stretches.truncate((MOST_STRETCHES as f64 * share).ceil() as usize);
    let found = stretches.into_par_iter().map(|(from, to, _)| {
        task.cancel.check()?;
        Ok(peak(load, from, to))
    });
    let found: Vec<Option<LoadRow>> = found.collect::<Result<_, Cancelled>>()?;
    Ok(found.into_iter().flatten().filter(|row| rate(row) > most).collect())
}

/// The greatest rate between two places of the path: a few even looks, then the golden section about the best of them.
fn peak(load: &Load<'_>, from: f64, to: f64) -> Option<LoadRow> {
    let at = |distance: f64| {
        let motion = load.track.index_at(distance);
        let is_feed = load.track.placed().get(motion).is_some_and(|placed| placed.motion.kind == Kind::Feed);
        if is_feed { load.at(motion, distance) } else { None }
    };
    let rate = |row: &Option<LoadRow>| row.and_then(|row| row.rate).unwrap_or(0.0);
    let part = (to - from) / f64::from(EVEN_LOOKS + 1);
    let even: Vec<(f64, Option<LoadRow>)> =
        (1..=EVEN_LOOKS).map(|look| from + part * f64::from(look)).map(|place| (place, at(place))).collect();
    let (middle, mut best) = even.into_iter().max_by(|a, b| rate(&a.1).total_cmp(&rate(&b.1)))?;
    let (mut low, mut high) = (middle - part, middle + part);
    let mut inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    let mut seen = inner.map(at);
    for _ in 0..GOLDEN_LOOKS {
        for row in &seen {
            if rate(row) > rate(&best) {
                best = *row;
            }
        }
        if rate(&seen[0]) >= rate(&seen[1]) {
            high = inner[1];
            inner = [high - GOLDEN * (high - low), inner[0]];
            seen = [at(inner[0]), seen[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + GOLDEN * (high - low)];
            seen = [seen[1], at(inner[1])];
        }
    }
    best
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
