//! Where the load is measured: evenly, and closer where it changes.

use rayon::prelude::*;

use super::{Load, LoadRow};
use crate::measure::along_path::sample_places;
use crate::program::Kind;
use crate::search::close_in;
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
const GOLDEN_LOOKS: usize = 12;
/// Between looks evenly apart the rate is greater than at them by at most this many times what it bends there. For a
/// parabola it is a quarter, for a ridge one.
const MAY_RISE: f64 = 2.0;

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
    let most = rows.iter().map(rate_of).fold(0.0, f64::max);
    let mut stretches: Vec<(&LoadRow, &LoadRow)> = rows
        .windows(2)
        .map(|pair| (&pair[0], &pair[1]))
        .filter(|(from, to)| {
            let (length, rate) = (to.distance - from.distance, rate_of(from).max(rate_of(to)));
            rate > 0.0 && rate >= NEAR_MOST * most && length > 0.0 && length <= 4.0 * step
        })
        .collect();
    let greatest = |(from, to): &(&LoadRow, &LoadRow)| rate_of(from).max(rate_of(to));
    stretches.sort_by(|a, b| greatest(b).total_cmp(&greatest(a)).then(a.0.distance.total_cmp(&b.0.distance)));
    stretches.truncate((MOST_STRETCHES as f64 * share).ceil() as usize);
    let looked = stretches.into_par_iter().map(|(from, to)| {
        task.cancel.check()?;
        Ok(Looked::new(load, from, to))
    });
    let looked: Vec<Looked> = looked.collect::<Result<_, Cancelled>>()?;
    let most = looked.iter().map(Looked::most).fold(most, f64::max);
    let found = looked.into_par_iter().map(|looked| {
        task.cancel.check()?;
        Ok(if looked.may_be() > most { looked.closed_in(load) } else { looked.best() })
    });
    let found: Vec<Option<LoadRow>> = found.collect::<Result<_, Cancelled>>()?;
    let sampled = rows.iter().map(rate_of).fold(0.0, f64::max);
    Ok(found.into_iter().flatten().filter(|row| rate_of(row) > sampled).collect())
}

/// A stretch of the path looked at evenly, with its ends: where, and the cut there.
struct Looked(Vec<(f64, Option<LoadRow>)>);

impl Looked {
    fn new(load: &Load<'_>, from: &LoadRow, to: &LoadRow) -> Self {
        let part = (to.distance - from.distance) / f64::from(EVEN_LOOKS + 1);
        let mut looked = vec![(from.distance, Some(*from))];
        let places = (1..=EVEN_LOOKS).map(|look| from.distance + part * f64::from(look));
        looked.extend(places.map(|place| (place, on_feed(load, place))));
        looked.push((to.distance, Some(*to)));
        Self(looked)
    }

    /// The greatest rate seen.
    fn most(&self) -> f64 {
        self.0.iter().map(|(_, row)| rate(row.as_ref())).fold(0.0, f64::max)
    }

    /// The greatest that it may be anywhere between.
    fn may_be(&self) -> f64 {
        let bent = |seen: &[(f64, Option<LoadRow>)]| {
            (f64::midpoint(rate(seen[0].1.as_ref()), rate(seen[2].1.as_ref())) - rate(seen[1].1.as_ref()))
                .abs()
        };
        self.most() + MAY_RISE * self.0.windows(3).map(bent).fold(0.0, f64::max)
    }

    /// The best of the even looks.
    fn inner(&self) -> &[(f64, Option<LoadRow>)] {
        &self.0[1..self.0.len() - 1]
    }

    fn best(&self) -> Option<LoadRow> {
        self.inner()
            .iter()
            .max_by(|a, b| rate(a.1.as_ref()).total_cmp(&rate(b.1.as_ref())))
            .and_then(|(_, row)| *row)
    }

    /// The greatest rate found by the golden section about the best of the even looks.
    fn closed_in(&self, load: &Load<'_>) -> Option<LoadRow> {
        let part = self.0[1].0 - self.0[0].0;
        let (middle, mut best) =
            *self.inner().iter().max_by(|a, b| rate(a.1.as_ref()).total_cmp(&rate(b.1.as_ref())))?;
        let first = (middle, -rate(best.as_ref()));
        close_in((middle - part, middle + part), first, GOLDEN_LOOKS, |distance| {
            let row = on_feed(load, distance);
            if rate(row.as_ref()) > rate(best.as_ref()) {
                best = row;
            }
            -rate(row.as_ref())
        });
        best
    }
}

fn rate_of(row: &LoadRow) -> f64 {
    row.rate.unwrap_or(0.0)
}

fn rate(row: Option<&LoadRow>) -> f64 {
    row.map_or(0.0, rate_of)
}

/// The cut at a distance along the path, on a feed motion.
fn on_feed(load: &Load<'_>, distance: f64) -> Option<LoadRow> {
    let motion = load.track.index_at(distance);
    let is_feed = load.track.placed().get(motion).is_some_and(|placed| placed.motion.kind == Kind::Feed);
    if is_feed { load.at(motion, distance) } else { None }
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
