//! The removal of metal by one pass, with stored states to scrub from.

use rayon::prelude::*;

use super::field::{Field, TILE};
use super::stamp::{TilePlace, TileTaken};
use super::sweep::Sweep;
use crate::geometry::{Point, Point3, pt3};
use crate::program::{Kind, Motion};
use crate::task::{Cancelled, Task};
use crate::tool::Form;
use crate::track::Track;

/// Columns visited between two stored states, to begin with: about a fiftieth of a second of work.
const STATE_WORK: f64 = 4e6;
/// Most motions between two stored states.
const STATE_MOTIONS: usize = 20_000;
/// Most stored states of a pass; when there are more, every other is dropped and the rest lie twice as far apart.
const MOST_STATES: usize = 64;
/// The stored states of a pass may together hold as much as this many whole fields.
const MOST_FIELDS: usize = 3;
/// A rapid's tool is taken smaller by this part of its radius, so that backing off from a face it has just cut
/// does not count as going through metal.
const RAPID_CLEARANCE: f64 = 1e-5;

/// What one motion took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Index of the motion in the track.
    pub motion: usize,
    /// Volume.
    pub volume: f64,
    /// Columns lowered.
    pub cells: u32,
    /// The most taken from one column.
    pub deepest: f64,
    /// Where that was: the column, and the height left.
    pub at: Point3,
}

#[derive(Debug, Clone)]
struct State {
    motions_done: usize,
    field: Field,
}

/// The removal of metal by one pass.
#[derive(Debug, Clone)]
pub struct Removal {
    form: Form,
    states: Vec<State>,
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
        let mut field = start.clone();
        let mut states = vec![State { motions_done: 0, field: field.clone() }];
        let mut taken = Vec::new();
        let (mut work, mut apart) = (STATE_WORK, STATE_MOTIONS);
        let motions = track.placed();
        let mut done = 0;
        while done < motions.len() {
            task.cancel.check()?;
            let sweeps = batch(&field, track, form, done, work, apart);
            cut(&mut field, &sweeps, done, &mut taken);
            done += sweeps.len();
            task.tell("Removing metal", done as f64 / motions.len() as f64);
            states.push(State { motions_done: done, field: field.clone() });
            if states.len() > MOST_STATES
                || (states.len() > 4 && stored_tiles(&states) > MOST_FIELDS * field.tiles.len())
            {
                let mut index = 0;
                states.retain(|_| {
                    index += 1;
                    index % 2 == 1
                });
                work *= 2.0;
                apart *= 2;
            }
        }
        let volume = taken.iter().map(|taken| taken.volume).sum();
        Ok(Self { form: form.clone(), states, end: field, taken, volume })
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

    /// The block after `distance` along the track, made from the nearest stored state before it.
    pub fn field_at(&self, track: &Track, distance: f64) -> Field {
        if distance >= track.length() {
            return self.end.clone();
        }
        let index = track.index_at(distance);
        let after = self.states.partition_point(|state| state.motions_done <= index).max(1);
        let state = &self.states[after - 1];
        let mut field = state.field.clone();
        let mut sweeps: Vec<Sweep> = track.placed()[state.motions_done..index]
            .iter()
            .map(|placed| sweep_of(&placed.motion, &self.form))
            .collect();
        if let Some(placed) = track.placed().get(index) {
            let part = if placed.length > 0.0 { (distance - placed.from) / placed.length } else { 1.0 };
            sweeps.push(sweep_of(&placed.motion.first_part(part.clamp(0.0, 1.0)), &self.form));
        }
        cut(&mut field, &sweeps, state.motions_done, &mut Vec::new());
        field
    }
}

/// Tiles that the states hold beyond those of the first.
fn stored_tiles(states: &[State]) -> usize {
    let differ = |pair: &[State]| {
        let tiles = pair[0].field.tiles.iter().zip(&pair[1].field.tiles);
        tiles.filter(|(a, b)| !std::sync::Arc::ptr_eq(a, b)).count()
    };
    states.windows(2).map(differ).sum()
}

fn sweep_of(motion: &Motion, form: &Form) -> Sweep {
    let less = if motion.kind == Kind::Rapid { form.radius() * RAPID_CLEARANCE } else { 0.0 };
    Sweep::new(motion, form, less)
}

/// The sweeps from motion `from` on, until they visit `work` columns or are `most` in number.
fn batch(field: &Field, track: &Track, form: &Form, from: usize, work: f64, most: usize) -> Vec<Sweep> {
    let cell = field.grid().cell;
    let mut sweeps = Vec::new();
    let mut visits = 0.0;
    for placed in track.placed()[from..].iter().take(most) {
        visits += (placed.length + 2.0 * form.radius()) * 2.0 * form.radius() / (cell * cell);
        sweeps.push(sweep_of(&placed.motion, form));
        if visits > work {
            break;
        }
    }
    sweeps
}

/// Cuts the sweeps in order, tile beside tile: a tile sees its own sweeps in their order, so that the outcome is
/// the same however many cores work.
fn cut(field: &mut Field, sweeps: &[Sweep], first_motion: usize, taken: &mut Vec<Taken>) {
    let lists = sweeps_by_tile(field, sweeps);
    let grid = *field.grid();
    let (across, _) = grid.tiles();
    let bottom = field.bottom();
    let parts: Vec<Vec<(u32, TileTaken)>> = field
        .tiles
        .par_iter_mut()
        .zip(&lists)
        .enumerate()
        .map(|(index, (tile, list))| {
            let place =
                TilePlace { grid: &grid, column: index % across * TILE, row: index / across * TILE, bottom };
            let each = list.iter().map(|&sweep| (sweep, place.cut(tile, &sweeps[sweep as usize])));
            each.filter(|(_, taken)| taken.cells > 0).collect()
        })
        .collect();
    let mut of_sweep: Vec<TileTaken> = vec![TileTaken::default(); sweeps.len()];
    for (sweep, part) in parts.into_iter().flatten() {
        let sum = &mut of_sweep[sweep as usize];
        sum.height += part.height;
        sum.cells += part.cells;
        if part.deepest > sum.deepest {
            (sum.deepest, sum.at) = (part.deepest, part.at);
        }
    }
    for (index, sum) in of_sweep.iter().enumerate().filter(|(_, sum)| sum.cells > 0) {
        let z = sweeps[index].lowest_at(sum.at).unwrap_or(f64::from(bottom)).max(f64::from(bottom));
        taken.push(Taken {
            motion: first_motion + index,
            volume: sum.height * grid.cell * grid.cell,
            cells: sum.cells,
            deepest: f64::from(sum.deepest),
            at: pt3(sum.at.x, sum.at.y, z),
        });
    }
}

/// For each tile, the sweeps that may reach it, in order.
fn sweeps_by_tile(field: &Field, sweeps: &[Sweep]) -> Vec<Vec<u32>> {
    let grid = field.grid();
    let (across, up) = grid.tiles();
    let side = TILE as f64 * grid.cell;
    let mut lists = vec![Vec::new(); across * up];
    let half_diagonal = side * std::f64::consts::FRAC_1_SQRT_2;
    for (number, sweep) in sweeps.iter().enumerate() {
        if sweep.lowest() >= f64::from(field.top()) {
            continue;
        }
        let bounds = sweep.bounds();
        let range = |low: f64, high: f64, origin: f64, count: usize| {
            let low = ((low - origin) / side).floor().clamp(0.0, count as f64);
            let high = ((high - origin) / side).floor().clamp(-1.0, count as f64 - 1.0);
            low as usize..(high + 1.0) as usize
        };
        for row in range(bounds.low.y, bounds.high.y, grid.origin.y, up) {
            for column in range(bounds.low.x, bounds.high.x, grid.origin.x, across) {
                let middle = Point {
                    x: grid.origin.x + (column as f64 + 0.5) * side,
                    y: grid.origin.y + (row as f64 + 0.5) * side,
                };
                if sweep.may_reach(middle, half_diagonal) {
                    lists[row * across + column].push(number as u32);
                }
            }
        }
    }
    lists
}
