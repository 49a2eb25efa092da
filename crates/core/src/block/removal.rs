//! The removal of metal by one pass, with stored states to scrub from.

use super::batch::{Cutter, TileCut, cut};
use super::field::{Field, Grid, TILE};
use super::history::History;
use super::tally::Entry;
use crate::geometry::{Point3, pt3};
use crate::program::Motion;
use crate::task::{Cancelled, Task};
use crate::tool::Form;
use crate::track::{Placed, Track};

/// Columns looked at in one batch: some milliseconds of work.
const BATCH_WORK: f64 = 7e5;
/// Most motions of one batch.
const BATCH_MOTIONS: usize = 20_000;

/// What one motion took.
///
/// Where short motions follow each other and the tool is shaped, or goes down a slope, a column's metal is counted
/// to the one of them that leaves it lowest: up to one radius of travel after the tool first touched it. In all
/// other cases it is counted to the very motion that takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Index of the motion in the track.
    pub motion: usize,
    /// Volume.
    pub volume: f64,
    /// Columns cut.
    pub cells: u32,
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
        let cutter = Cutter::of(form);
        let mut field = start.clone();
        let mut history = History::new(start);
        let mut taken = Vec::new();
        let motions = track.placed();
        let mut done = 0;
        while done < motions.len() {
            task.cancel.check()?;
            let batch = batch(&motions[done..], cutter.radius(), field.grid().cell);
            let cuts = cut(&mut field, &cutter, batch, None);
            gather(&cuts, field.grid(), done, batch.len(), &mut taken);
            done += batch.len();
            history.note(&field, done, &cuts);
            task.tell("Removing metal", done as f64 / motions.len() as f64);
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
        let (mut field, done) = self.history.field_after(&self.cutter, motions, index, &self.end);
        let mut rest: Vec<Placed> = motions[done..index].to_vec();
        if let Some(placed) = motions.get(index) {
            let part = if placed.length > 0.0 { (distance - placed.from) / placed.length } else { 1.0 };
            rest.push(first_part(placed, part.clamp(0.0, 1.0)));
        }
        let _ = cut(&mut field, &self.cutter, &rest, None);
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

/// The motions of the next batch: until they look at about so many columns, or are so many.
fn batch(motions: &[Placed], radius: f64, cell: f64) -> &[Placed] {
    let mut work = 0.0;
    let enough = |placed: &Placed| {
        let ends = if placed.length > radius / 2.0 { 2.0 * radius } else { 0.0 };
        work += (placed.length + ends) * 2.0 * radius / (cell * cell);
        work > BATCH_WORK
    };
    let count = motions.iter().take(BATCH_MOTIONS).position(enough).map_or(BATCH_MOTIONS, |last| last + 1);
    &motions[..count.min(motions.len())]
}

/// Adds up what the motions of a batch took, tile after tile in their order.
fn gather(cuts: &[TileCut], grid: &Grid, first: usize, motions: usize, taken: &mut Vec<Taken>) {
    let mut sums: Vec<(Entry, usize)> = vec![(Entry::default(), 0); motions];
    for cut in cuts {
        for (motion, entry) in &cut.taken {
            let Some((sum, tile)) = sums.get_mut(*motion as usize) else { continue };
            sum.height += entry.height;
            sum.cells += entry.cells;
            if entry.deepest > sum.deepest {
                (sum.deepest, sum.left, sum.at, *tile) = (entry.deepest, entry.left, entry.at, cut.tile);
            }
        }
    }
    taken.reserve(sums.iter().filter(|(sum, _)| sum.cells > 0).count());
    let (across, _) = grid.tiles();
    for (motion, (sum, tile)) in sums.iter().enumerate().filter(|(_, (sum, _))| sum.cells > 0) {
        let at = sum.at as usize;
        let place = grid.centre(tile % across * TILE + at % TILE, tile / across * TILE + at / TILE);
        taken.push(Taken {
            motion: first + motion,
            volume: sum.height * grid.cell * grid.cell,
            cells: sum.cells,
            deepest: f64::from(sum.deepest),
            at: pt3(place.x, place.y, f64::from(sum.left)),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::blank_field;
    use crate::geometry::{Path, pt};
    use crate::job::Zero;
    use crate::program::{Curve, Kind};
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
            let place = crate::geometry::Point::at_angle(turn) * radius;
            pt3(place.x, place.y, -0.2 - 0.1 * (turn * 0.7).sin())
        };
        let motion = |step: usize| Motion {
            start: at(step),
            end: at(step + 1),
            curve: Curve::Straight,
            feed: 10.0,
            spindle: 1000.0,
            line: 1,
            tool: 1,
            kind: Kind::Feed,
            proven: true,
            start_known: true,
        };
        let motions: Vec<Motion> = (0..steps).map(motion).collect();
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
        let cells = start.grid().columns * start.grid().rows;
        let all = start.bytes() + whole.bytes();
        assert!(all <= 16 * cells, "{all} bytes for {cells} cells");
    }
}
