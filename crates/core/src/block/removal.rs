//! The removal of metal by one pass, with stored states to scrub from.

use super::batch::{Batch, Cutter, Shop, TileCut};
use super::field::{Field, TILE};
use super::grid::Grid;
use super::history::History;
use super::tally::Entry;
use crate::geometry::{Point3, pt3};
use crate::program::Motion;
use crate::task::{Cancelled, Task};
use crate::tool::Form;
use crate::track::{Placed, Track};

/// Columns looked at in one batch: some milliseconds of work.
const BATCH_WORK: f64 = 1e6;
/// Most motions of one batch.
const BATCH_MOTIONS: usize = 20_000;

/// What one motion took.
///
/// Where short motions follow each other and the tool is shaped, or goes down a slope, a column's metal is counted
/// to the one of them that leaves it lowest: up to one diameter of travel after the tool first touched it, one radius
/// when it stays level. In all other cases it is counted to the very motion that takes it. Short feed motions on one
/// straight line, with the same feed and speed, are counted together as far as they keep within the width of a cell:
/// under the first of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Index of the motion in the track.
    pub motion: usize,
    /// Volume.
    pub volume: f64,
    /// The most taken from one column.
    pub deepest: f64,
    /// Where that was: the column, and the lower end of what was taken.
    pub at: Point3,
}

/// The removal of metal by one pass.
#[derive(Debug, Clone)]
pub struct Removal {
    cutter: Cutter,
    history: History,
    end: Field,
    taken: Vec<Taken>,
    volume: f64,
}

impl Removal {
    /// Runs the form along the track, starting with the block as `start`.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn run(start: &Field, track: &Track, form: &Form, task: Task<'_>) -> Result<Self, Cancelled> {
        let cutter = Cutter::of(form, start.grid().cell);
        let mut field = start.clone();
        let mut history = History::new(start);
        let shop = Shop::counting();
        let mut taken = Vec::new();
        let motions = track.placed();
        let effort = Effort { radius: cutter.radius(), cell: start.grid().cell, parts: cutter.has_lobes() };
        let all: f64 = motions.iter().map(|placed| effort.of(placed)).sum();
        let (mut done, mut spent) = (0, 0.0);
        let (mut placed, mut more) = effort.batch(motions);
        let mut batch = Batch::new(start, &cutter, placed, None);
        while !placed.is_empty() {
            task.cancel.check()?;
            let end = done + placed.len();
            let (next, next_more) = effort.batch(&motions[end..]);
            // Laying out needs no heights, so the next batch is laid out while this one is cut.
            let (tiles, next_batch) =
                rayon::join(|| shop.cut(&mut field, &batch), || Batch::new(start, &cutter, next, None));
            gather(&tiles, &batch.groups, start.grid(), done, &mut taken);
            spent += more;
            let progress = if all > 0.0 { spent / all } else { end as f64 / motions.len() as f64 };
            history.note(&field, end, progress, &tiles);
            task.tell("Removing metal", progress);
            (done, placed, more, batch) = (end, next, next_more, next_batch);
        }
        let volume = taken.iter().map(|taken| taken.volume).sum();
        Ok(Self { cutter, history, end: field, taken, volume })
    }

    /// The block after the pass.
    pub fn end(&self) -> &Field {
        &self.end
    }

    /// Volume removed by the pass.
    pub fn volume(&self) -> f64 {
        self.volume
    }

    /// What each motion took, in order; motions that took nothing are left out.
    pub fn taken(&self) -> &[Taken] {
        &self.taken
    }

    /// The block after `distance` along the track, made from the nearest stored state of each tile before it.
    pub fn field_at(&self, track: &Track, distance: f64) -> Field {
        if distance >= track.length() {
            return self.end.clone();
        }
        let motions = track.placed();
        let index = track.index_at(distance);
        let shop = Shop::silent();
        let (mut field, done) = self.history.field_after(&shop, &self.cutter, motions, index, &self.end);
        let mut rest: Vec<Placed> = motions[done..index].to_vec();
        if let Some(placed) = motions.get(index) {
            let part = if placed.length > 0.0 { (distance - placed.from) / placed.length } else { 1.0 };
            rest.push(first_part(placed, part.clamp(0.0, 1.0)));
        }
        let batch = Batch::new(&field, &self.cutter, &rest, None);
        let _ = shop.cut(&mut field, &batch);
        field
    }

    /// Bytes held beyond the field at the start: the end, and the states stored between.
    pub fn bytes(&self) -> usize {
        self.end.bytes() + self.history.bytes(&self.end)
    }
}

fn first_part(placed: &Placed, part: f64) -> Placed {
    let motion: Motion = placed.motion.first_part(part);
    Placed { motion, length: placed.length * part, ..*placed }
}

/// How much work a motion is: about so many columns have to be looked at.
struct Effort {
    radius: f64,
    cell: f64,
    /// Whether rapids and feeds are batches of their own: lobes are cut one after another, and what one of them takes at
    /// a feed must not be counted to another's rapid.
    parts: bool,
}

impl Effort {
    fn of(&self, placed: &Placed) -> f64 {
        let ends = if placed.length > self.radius / 2.0 { 2.0 * self.radius } else { 0.0 };
        (placed.length + ends) * 2.0 * self.radius / (self.cell * self.cell)
    }

    /// The motions of the next batch, and their work: until that is enough, or they are so many.
    fn batch<'a>(&self, motions: &'a [Placed]) -> (&'a [Placed], f64) {
        let (mut count, mut work) = (0, 0.0);
        let goes_on = |count: usize| {
            let kind = |index: usize| motions.get(index).map(|placed| placed.motion.kind);
            count < motions.len().min(BATCH_MOTIONS) && (!self.parts || kind(count) == kind(0))
        };
        while goes_on(count) && work <= BATCH_WORK {
            work += self.of(&motions[count]);
            count += 1;
        }
        (&motions[..count], work)
    }
}

/// Adds up what the motions of a batch took, tile after tile in their order. `firsts` are the first motions of the groups
/// that were counted, and `first` is the batch's first motion.
fn gather(cuts: &[TileCut], firsts: &[u32], grid: &Grid, first: usize, taken: &mut Vec<Taken>) {
    let mut sums: Vec<(Entry, usize)> = vec![(Entry::default(), 0); firsts.len()];
    for cut in cuts {
        for (group, entry) in &cut.outcome.taken {
            if let Some(sum) = sums.get_mut(*group as usize) {
                add(sum, (entry, cut.tile));
            }
        }
    }
    // A motion has several groups when it is an arc, or the cutter several lobes.
    let mut order: Vec<usize> = (0..sums.len()).filter(|group| sums[*group].0.deepest > 0.0).collect();
    order.sort_by_key(|group| firsts[*group]);
    let (across, _) = grid.tiles();
    for groups in order.chunk_by(|a, b| firsts[*a] == firsts[*b]) {
        let mut sum = (Entry::default(), 0);
        for group in groups {
            add(&mut sum, (&sums[*group].0, sums[*group].1));
        }
        let (sum, tile) = sum;
        let at = sum.at as usize;
        let place = grid.centre(tile % across * TILE + at % TILE, tile / across * TILE + at / TILE);
        taken.push(Taken {
            motion: first + groups.first().map_or(0, |group| firsts[*group] as usize),
            volume: sum.height * grid.cell * grid.cell,
            deepest: f64::from(sum.deepest),
            at: pt3(place.x, place.y, f64::from(sum.left)),
        });
    }
}

/// Adds what was taken from one tile; what was deepest so far stays.
fn add(sum: &mut (Entry, usize), (entry, tile): (&Entry, usize)) {
    if sum.0.put(entry) {
        sum.1 = tile;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::blank_field;
    use crate::geometry::{Path, Point, pt};
    use crate::program::Kind;
    use crate::program::Zero;
    use crate::task::Cancel;
    use crate::units::Units;

    fn plate() -> Field {
        let corners = [pt(-1.0, -1.0), pt(1.0, -1.0), pt(1.0, 1.0), pt(-1.0, 1.0)].map(|at| (at, 0.0));
        blank_field(&Path::closed(&corners).expect("a square"), 0.0, -1.0, 0.004, Units::Inch).expect("fits")
    }

    /// A spiral of short motions that sinks slowly, so that most tiles are visited again and again.
    fn spiral(steps: usize) -> Track {
        let at = |step: usize| {
            let turn = step as f64 * 0.02;
            let radius = 0.1 + 0.7 * step as f64 / steps as f64;
            let place = Point::at_angle(turn) * radius;
            pt3(place.x, place.y, -0.2 - 0.1 * (turn * 0.7).sin())
        };
        let motions: Vec<Motion> =
            (0..steps).map(|step| Motion::straight(at(step), at(step + 1), Kind::Feed)).collect();
        Track::new(&motions, &Zero::default(), None, 1e-5)
    }

    fn same(a: &Field, b: &Field) -> bool {
        a.tiles == b.tiles && a.voids == b.voids
    }

    #[test]
    fn one_core_and_several_leave_the_same_block_and_count_the_same() {
        let (start, cancel) = (plate(), Cancel::new());
        // A silhouette on a slope is worked out column by column, so half a turn has to do.
        for (form, motions) in [
            (Form::Ball { diameter: 0.25 }, 6000),
            (Form::Silhouette { points: vec![[0.1, 0.0], [0.1, 0.05], [0.05, 0.1]] }, 150),
        ] {
            let track = spiral(motions);
            let run = |cores: usize| {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build().expect("threads");
                pool.install(|| {
                    Removal::run(&start, &track, &form, Task::quiet(&cancel)).expect("nobody cancels")
                })
            };
            let (one, several) = (run(1), run(3));
            assert!(same(one.end(), several.end()));
            assert_eq!(one.taken(), several.taken());
        }
    }

    /// The path is laid out a little beside where it is; a rapid that goes down where a feed has been meets nothing.
    #[test]
    fn a_rapid_down_into_what_is_cut_takes_nothing() {
        let (start, cancel) = (plate(), Cancel::new());
        let ring = |step: usize| {
            let place = Point::at_angle(step as f64 * 0.002) * 0.5;
            pt3(place.x, place.y, -0.2)
        };
        let lifted = |p: Point3| pt3(p.x, p.y, 0.1);
        let mut motions: Vec<Motion> =
            (0..3142).map(|step| Motion::straight(ring(step), ring(step + 1), Kind::Feed)).collect();
        let feeds = motions.len();
        for step in (0..3142).step_by(7) {
            motions.push(Motion::straight(lifted(ring(step)), ring(step), Kind::Rapid));
        }
        let track = Track::new(&motions, &Zero::default(), None, 1e-5);
        let form = Form::Flat { diameter: 0.25 };
        let done = Removal::run(&start, &track, &form, Task::quiet(&cancel)).expect("nobody cancels");
        let by_rapids: Vec<&Taken> = done.taken().iter().filter(|taken| taken.motion >= feeds).collect();
        assert!(by_rapids.is_empty(), "{by_rapids:?}");
    }

    #[test]
    fn scrubbing_is_exact_and_keeps_to_its_memory() {
        let (start, track, cancel) = (plate(), spiral(12_000), Cancel::new());
        let form = Form::Ball { diameter: 0.25 };
        let whole = Removal::run(&start, &track, &form, Task::quiet(&cancel)).expect("nobody cancels");
        for part in [0.0, 0.21, 0.5, 0.83, 0.999] {
            let distance = track.length() * part;
            let index = track.index_at(distance);
            let mut motions: Vec<Motion> =
                track.placed()[..index].iter().map(|placed| placed.motion).collect();
            let placed = track.placed()[index];
            motions.push(placed.motion.first_part((distance - placed.from) / placed.length));
            let so_far = Track::new(&motions, &Zero::default(), None, 1e-5);
            let run = Removal::run(&start, &so_far, &form, Task::quiet(&cancel)).expect("nobody cancels");
            assert!(same(&whole.field_at(&track, distance), run.end()), "at {part}");
        }
        let cells = start.cells();
        let all = start.bytes() + whole.bytes();
        assert!(all <= 16 * cells, "{all} bytes for {cells} cells");
    }
}
