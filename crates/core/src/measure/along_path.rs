//! Thickness of cut along the tool's own path: metal on the line through the axis square to the travel.

use rayon::prelude::*;

use super::contact::FOLLOWS;
use super::sweep::Sweep;
use crate::geometry::{Interval, Path, Point, Ray, merge, without};
use crate::measure::{AlongPath, PathRow};
use crate::program::Kind;
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::track::{Position, Track};

/// Samples of one pass, about.
const SAMPLES: f64 = 6000.0;
/// In a job of more passes than this, or of more motions, each sample costs more, and there are fewer of them.
const MANY: (f64, f64) = (30.0, 50_000.0);
/// So many at the least.
const FEWEST: f64 = 1000.0;
/// What the tool itself swept on its last way counts as metal still, as far back as this many radii: the line
/// square to the travel is first touched R asin(r/R) ahead of the axis on an arc of radius R, which is r on a
/// straight line and at most r pi/2.
const JUST_SWEPT: f64 = std::f64::consts::FRAC_PI_2;
/// A way that goes more squarely than this to the outline (cosine, 45 degrees) leads in or out: its front cuts.
const SQUARE: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// Most levels of one pass that are looked at.
const MOST_LEVELS: usize = 8;
/// Samples lie no closer than this many station spacings.
const LEAST_SPACINGS: f64 = 2.0;

/// The height at which a pass is measured along its path: the gauge height when the pass reaches it, else midway
/// between its lowest point and the top of the blank. `None` when the pass stays above the blank.
pub fn measuring_height(track: &Track, gauge: f64, top: f64) -> Option<f64> {
    let lowest = track.lowest()?;
    if lowest <= gauge { Some(gauge) } else { (lowest < top).then(|| f64::midpoint(lowest, top)) }
}

/// The block and the outline that a pass is measured against along its path.
#[derive(Debug, Clone, Copy)]
pub struct Block<'a> {
    /// The blank's sawn edge.
    pub edge: &'a Path,
    /// Z of its lower and of its upper face.
    pub faces: Interval,
    /// The outline, and what the pass is to leave there, when it is held against it.
    pub held: Option<(&'a Path, f64)>,
}

/// Thickness of cut along the path of one pass at `height`; where it takes nothing there, at the other levels that it or
/// a pass before it runs at. `earlier` are the passes before it, `own` itself.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn along_path(
    (track, own): (&Track, &Sweep),
    block: Block<'_>,
    earlier: &[&Sweep],
    height: f64,
    tolerances: &Tolerances,
    task: Task<'_>,
) -> Result<AlongPath, Cancelled> {
    let heights = other_heights(own, earlier, block.faces);
    let measure = PathMeasure { track, own, block, earlier, height, heights, tolerances };
    let sweeps = earlier.iter().copied().chain([own]);
    let motions: usize = sweeps.map(|sweep| sweep.placed().len()).sum();
    let share = (MANY.0 / (earlier.len() + 1) as f64).min(MANY.1 / motions.max(1) as f64).min(1.0);
    let step = (track.feed_length() / (SAMPLES * share).max(FEWEST))
        .max(tolerances.station_spacing * LEAST_SPACINGS);
    task.tell("Measuring along the path", 0.0);
    let samples: Result<Vec<PathRow>, Cancelled> = sample_places(track, step)
        .into_par_iter()
        .map(|(index, distance)| {
            task.cancel.check()?;
            Ok(PathRow { distance, cut: measure.cut_on(index, distance) })
        })
        .collect();
    let rows = samples?;
    let (none, approach) = measure.without_contact(&rows);
    Ok(AlongPath { height, rows, none, approach })
}

/// The middles between the heights at which a part of a cutter begins or ends, as far as passes run at few levels.
fn other_heights(own: &Sweep, earlier: &[&Sweep], (bottom, top): Interval) -> Vec<f64> {
    let mut joints = vec![bottom, top];
    for sweep in earlier.iter().copied().chain([own]) {
        for tip in sweep.levels(MOST_LEVELS) {
            joints.extend(sweep.profile().joints().map(|joint| tip + joint));
        }
    }
    joints.retain(|joint| *joint >= bottom && *joint <= top);
    joints.sort_by(f64::total_cmp);
    joints.dedup();
    joints.windows(2).map(|pair| f64::midpoint(pair[0], pair[1])).collect()
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

/// What a place of the path is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Cut,
    None,
    Approach,
}

struct PathMeasure<'a> {
    track: &'a Track,
    own: &'a Sweep,
    block: Block<'a>,
    earlier: &'a [&'a Sweep],
    height: f64,
    /// Looked at where nothing is taken at that height.
    heights: Vec<f64>,
    tolerances: &'a Tolerances,
}

impl PathMeasure<'_> {
    fn cut_on(&self, index: usize, distance: f64) -> f64 {
        self.track.on(index, distance).map_or(0.0, |position| self.cut_at(&position, distance))
    }

    fn cut_at(&self, position: &Position, distance: f64) -> f64 {
        let so_far = |radius: f64| distance - radius * JUST_SWEPT;
        self.cut_with(position, so_far)
    }

    /// The cut on metal that the pass itself has made as far along its path as `made` says for the radius there.
    fn cut_with(&self, position: &Position, made: impl Fn(f64) -> f64) -> f64 {
        let cut = self.cut_at_height(position, &made, self.height);
        if cut >= self.tolerances.none_below {
            return cut;
        }
        let others = self.heights.iter().map(|height| self.cut_at_height(position, &made, *height));
        others.fold(cut, f64::max)
    }

    fn cut_at_height(&self, position: &Position, made: &impl Fn(f64) -> f64, height: f64) -> f64 {
        let Some(radius) = self.own.profile().radius_at(height - position.tip.z) else { return 0.0 };
        let heading = self.heading(position);
        let ray = Ray { origin: position.tip.plan(), along: heading.left() };
        let chord = [(-radius, radius)];
        let mut taken = self.air(&ray, radius);
        let at = (height, self.tolerances.follow);
        for sweep in self.earlier {
            sweep.along(&ray, chord[0], at, &mut taken);
        }
        self.own.along_until(&ray, chord[0], at, made(radius), &mut taken);
        merge(&mut taken, self.tolerances.sliver);
        without(&chord, &taken, self.tolerances.sliver).iter().map(|(from, to)| to - from).sum()
    }

    fn state(&self, index: usize, distance: f64, cut: f64) -> State {
        if cut >= self.tolerances.none_below {
            return State::Cut;
        }
        // What the pass itself has taken before, as where it comes round to its beginning, is not expected again.
        let taken = |position: &Position| {
            self.cut_with(position, |_| f64::NEG_INFINITY) >= self.tolerances.none_below
        };
        let misses = |position: &Position| self.expects(position) && !taken(position);
        let missed = self.track.on(index, distance).is_some_and(|position| misses(&position));
        if missed { State::None } else { State::Approach }
    }

    /// Whether metal is expected at a place: below the top, where the pass goes along the outline at its allowance; of
    /// one that is not held against it, where the cutter is over the blank.
    fn expects(&self, position: &Position) -> bool {
        let (at, radius) = (position.tip.plan(), self.own.widest());
        if position.tip.z >= self.block.faces.1 {
            return false;
        }
        let inside = |path: &Path| path.holds(at);
        match self.block.held {
            Some((outline, allowance)) => {
                let place = outline.place(outline.nearest(at));
                let along = self.heading(position).dot(place.outward).abs() < SQUARE;
                let off = at.distance(place.at) - radius;
                along && off <= allowance + radius * FOLLOWS || inside(outline)
            }
            None => self.block.edge.distance(at) < radius || inside(self.block.edge),
        }
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
        without(&[(-radius, radius)], &ray.inside(self.block.edge), self.tolerances.sliver)
    }

    /// Stretches of feed motion without contact: where metal was expected, and where not.
    fn without_contact(&self, rows: &[PathRow]) -> (Vec<Interval>, Vec<Interval>) {
        let (mut none, mut approach) = (Vec::new(), Vec::new());
        for run in self.runs(rows) {
            let mut stretches = self.stretches(run);
            if self.block.held.is_none() {
                // Not held against the outline: what comes before its first cut and after its last is its way there.
                let first = stretches.iter().position(|(state, _)| *state == State::Cut);
                let last = stretches.iter().rposition(|(state, _)| *state == State::Cut);
                for (index, (state, _)) in stretches.iter_mut().enumerate() {
                    if first.is_some_and(|first| index < first) || last.is_some_and(|last| index > last) {
                        *state = State::Approach;
                    }
                }
            }
            for (state, stretch) in stretches {
                match state {
                    State::Cut => {}
                    State::None => none.push(stretch),
                    State::Approach => approach.push(stretch),
                }
            }
        }
        let worth = |(from, to): &Interval| to - from > self.tolerances.stretch_end;
        none.retain(worth);
        approach.retain(worth);
        (none, approach)
    }

    /// The samples between two rapids.
    fn runs<'r>(&self, rows: &'r [PathRow]) -> Vec<&'r [PathRow]> {
        rows.chunk_by(|a, b| !self.rapid_between(a, b)).collect()
    }

    /// One run's stretches of one state, one after another.
    fn stretches(&self, run: &[PathRow]) -> Vec<(State, Interval)> {
        let state = |row: &PathRow| self.state(self.track.index_at(row.distance), row.distance, row.cut);
        let Some((first, last)) = run.first().zip(run.last()) else { return Vec::new() };
        let mut found = Vec::new();
        let (mut open, mut from) = (state(first), first.distance);
        for pair in run.windows(2) {
            let next = state(&pair[1]);
            if next != open {
                let border = self.border((pair[0].distance, pair[1].distance), open);
                found.push((open, (from, border)));
                (open, from) = (next, border);
            }
        }
        found.push((open, (from, last.distance)));
        found
    }

    fn rapid_between(&self, a: &PathRow, b: &PathRow) -> bool {
        let middle = self.track.index_at(f64::midpoint(a.distance, b.distance));
        self.track.placed()[middle].motion.kind == Kind::Rapid
    }

    fn border(&self, (mut low, mut high): Interval, first: State) -> f64 {
        while high - low > self.tolerances.stretch_end {
            let middle = f64::midpoint(low, high);
            let index = self.track.index_at(middle);
            let same = self.state(index, middle, self.cut_on(index, middle)) == first;
            if same { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }
}
