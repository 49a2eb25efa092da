//! Thickness of cut along the tool's own path: metal on the line through the axis square to the travel.

use rayon::prelude::*;

use super::sweep::Sweep;
use crate::geometry::{Interval, Path, Point, Ray, merge, without};
use crate::program::Kind;
use crate::proof::{AlongPath, PathRow};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::track::{Position, Track};

/// Samples of one pass, about.
const SAMPLES: f64 = 6000.0;
/// What the tool itself swept on its last way counts as metal still, as far back as this many radii: the line
/// square to the travel is first touched R asin(r/R) ahead of the axis on an arc of radius R, which is r on a
/// straight line and at most r pi/2.
const JUST_SWEPT: f64 = std::f64::consts::FRAC_PI_2;
/// Samples lie no closer than this many station spacings.
const LEAST_SPACINGS: f64 = 2.0;

/// The height at which a pass is measured along its path: the gauge height when the pass reaches it, else midway
/// between its lowest point and the top of the blank. `None` when the pass stays above the blank.
pub fn measuring_height(track: &Track, gauge: f64, top: f64) -> Option<f64> {
    let lowest = track.lowest()?;
    if lowest <= gauge { Some(gauge) } else { (lowest < top).then(|| f64::midpoint(lowest, top)) }
}

/// Thickness of cut along the path of one pass at `height`. `earlier` are the passes before it, `own` itself.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn along_path(
    (track, own): (&Track, &Sweep),
    edge: &Path,
    earlier: &[&Sweep],
    height: f64,
    tolerances: &Tolerances,
    task: Task<'_>,
) -> Result<AlongPath, Cancelled> {
    let measure = PathMeasure { track, own, edge, earlier, height, tolerances };
    let step = (track.feed_length() / SAMPLES).max(tolerances.station_spacing * LEAST_SPACINGS);
    task.tell("Measuring along the path", 0.0);
    let samples: Result<Vec<PathRow>, Cancelled> = sample_places(track, step)
        .into_par_iter()
        .map(|(index, distance)| {
            task.cancel.check()?;
            Ok(PathRow { distance, cut: measure.cut_on(index, distance) })
        })
        .collect();
    let rows = samples?;
    let none = measure.none(&rows);
    Ok(AlongPath { height, rows, none })
}

/// Motion and distance of the samples: both ends of every feed motion that is not shorter than a step, and steps
/// between.
pub(super) fn sample_places(track: &Track, step: f64) -> Vec<(usize, f64)> {
    let mut places = Vec::new();
    let mut next = 0.0;
    for (index, placed) in track.placed().iter().enumerate() {
        let end = placed.from + placed.length;
        if placed.motion.kind == Kind::Rapid || placed.length == 0.0 {
            next = end;
            continue;
        }
        if placed.length < step {
            if end >= next {
                places.push((index, end));
                next = end + step;
            }
            continue;
        }
        let steps = (placed.length / step).ceil() as usize;
        places.extend((0..=steps).map(|at| (index, placed.from + placed.length * at as f64 / steps as f64)));
        next = end + step;
    }
    places
}

struct PathMeasure<'a> {
    track: &'a Track,
    own: &'a Sweep,
    edge: &'a Path,
    earlier: &'a [&'a Sweep],
    height: f64,
    tolerances: &'a Tolerances,
}

impl PathMeasure<'_> {
    fn cut_on(&self, index: usize, distance: f64) -> f64 {
        self.track.on(index, distance).map_or(0.0, |position| self.cut_at(&position, distance))
    }

    fn cut_at(&self, position: &Position, distance: f64) -> f64 {
        let Some(radius) = self.own.profile().radius_at(self.height - position.tip.z) else { return 0.0 };
        let heading = self.heading(position);
        let ray = Ray { origin: position.tip.plan(), along: heading.left() };
        let chord = [(-radius, radius)];
        let mut taken = self.air(&ray, radius);
        let at = (self.height, self.tolerances.follow);
        for sweep in self.earlier {
            sweep.along(&ray, chord[0], at, &mut taken);
        }
        self.own.along_until(&ray, chord[0], at, distance - radius * JUST_SWEPT, &mut taken);
        merge(&mut taken, self.tolerances.sliver);
        without(&chord, &taken, self.tolerances.sliver).iter().map(|(from, to)| to - from).sum()
    }

    /// The direction of travel, or of the next motion that has one in plan.
    fn heading(&self, position: &Position) -> Point {
        if position.heading != Point::default() {
            return position.heading;
        }
        let later = self.track.placed()[position.index..].iter().take(8);
        let next = later.map(|placed| crate::track::heading(&placed.motion, 0.0));
        next.into_iter().find(|heading| *heading != Point::default()).unwrap_or(Point { x: 1.0, y: 0.0 })
    }

    /// The parts of the chord outside the blank.
    fn air(&self, ray: &Ray, radius: f64) -> Vec<Interval> {
        without(&[(-radius, radius)], &ray.inside(self.edge), self.tolerances.sliver)
    }

    /// Stretches of feed motion without contact.
    fn none(&self, rows: &[PathRow]) -> Vec<(f64, f64)> {
        let empty = |cut: f64| cut < self.tolerances.none_below;
        let mut found: Vec<(f64, f64)> = Vec::new();
        let mut open: Option<f64> = None;
        for pair in rows.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            if self.rapid_between(a, b) {
                found.extend(open.take().map(|from| (from, a.distance)));
                continue;
            }
            if open.is_none() && empty(a.cut) {
                open = Some(a.distance);
            }
            let border = match (empty(a.cut), empty(b.cut)) {
                (true, false) | (false, true) => self.border(a, b),
                _ => continue,
            };
            match open.take() {
                Some(from) => found.push((from, border)),
                None => open = Some(border),
            }
        }
        if let (Some(from), Some(last)) = (open, rows.last()) {
            found.push((from, last.distance));
        }
        found.retain(|(from, to)| to - from > self.tolerances.stretch_end);
        found
    }

    fn rapid_between(&self, a: &PathRow, b: &PathRow) -> bool {
        let middle = self.track.index_at(f64::midpoint(a.distance, b.distance));
        self.track.placed()[middle].motion.kind == Kind::Rapid
    }

    fn border(&self, a: &PathRow, b: &PathRow) -> f64 {
        let tolerances = self.tolerances;
        let empty_before = a.cut < tolerances.none_below;
        let (mut low, mut high) = (a.distance, b.distance);
        while high - low > tolerances.stretch_end {
            let middle = f64::midpoint(low, high);
            let index = self.track.index_at(middle);
            if (self.cut_on(index, middle) < tolerances.none_below) == empty_before {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::midpoint(low, high)
    }
}
