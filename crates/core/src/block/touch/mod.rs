//! Whether what lies above a tool's cutting edges comes to metal: higher up than the flutes, the shank, the holder.
//!
//! Asked of the block as it stands at that moment, in two steps. Metal only ever goes: a motion that would not touch
//! the block as it stood earlier touches nothing, and in an ordinary job the block as the pass finds it settles that
//! for every motion. Only for the few that are left is the pass run again, up to each of them.

mod probe;
mod reach;

use rayon::prelude::*;

use self::probe::highest;
pub use self::reach::{Part, flutes_end, shank_from, widest_between};
use self::reach::{Reach, reaches};
use super::batch::{Batch, Cutter, Shop};
use super::field::Field;
use crate::geometry::{Point3, pt3};
use crate::program::{Kind, Motion};
use crate::task::{Cancelled, Task};
use crate::tool::Tool;
use crate::track::{Placed, Track, plan_bounds, plan_span};

/// Motions run again in one go.
const RUN: usize = 20_000;
/// A motion up or down is looked at in parts that rise by a cell each, but in no more than these.
const MOST_PARTS: f64 = 1000.0;
/// A part of the tool that touched metal on so many motions is not asked for any more.
pub const MOST_COUNTED: usize = 100;

/// One part of the tool that comes to metal in a pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// The part.
    pub part: Part,
    /// Index in the track of the first motion on which it does.
    pub motion: usize,
    /// Top of the metal touched on that motion, where it stands highest.
    pub at: Point3,
    /// The most that metal stands above the part's lower end, on any motion.
    pub most: f64,
    /// On how many motions; from [`MOST_COUNTED`] on they are not counted any more.
    pub motions: usize,
}

/// Follows a tool along a track on the block as the pass finds it, and tells each of its parts that comes to metal
/// standing more than `least` above the part's lower end. The flutes count on feed motions alone: a rapid through
/// metal is wrong already. In plan a part is taken half a cell narrower than it is, so that a wall it runs along
/// does not count.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn touches(
    before: &Field,
    track: &Track,
    tool: &Tool,
    least: f64,
    task: Task<'_>,
) -> Result<Vec<Touch>, Cancelled> {
    let mut walk = Walk {
        reaches: reaches(tool, before.grid().cell / 2.0),
        cutter: Cutter::of(&tool.form, before.grid().cell),
        shop: Shop::silent(),
        found: Vec::new(),
        least,
    };
    let suspects = walk.suspects(before, track, task)?;
    if suspects.is_empty() {
        return Ok(Vec::new());
    }
    let mut field = before.clone();
    let (motions, mut done) = (track.placed(), 0);
    for suspect in suspects {
        task.cancel.check()?;
        let Some(placed) = motions.get(suspect).filter(|placed| walk.meets_metal(&field, &placed.motion))
        else {
            continue;
        };
        for run in motions.get(done..suspect).unwrap_or_default().chunks(RUN) {
            task.cancel.check()?;
            let batch = Batch::new(&field, &walk.cutter, run, None);
            walk.shop.cut(&mut field, &batch);
        }
        walk.motion(&mut field, placed, suspect);
        done = suspect + 1;
        if walk.reaches.is_empty() {
            break;
        }
    }
    Ok(walk.found)
}

/// A pass being followed.
struct Walk {
    /// What is asked for still.
    reaches: Vec<Reach>,
    cutter: Cutter,
    shop: Shop,
    found: Vec<Touch>,
    least: f64,
}

impl Walk {
    /// The motions that would touch the block as the pass finds it.
    fn suspects(&self, before: &Field, track: &Track, task: Task<'_>) -> Result<Vec<usize>, Cancelled> {
        let Some(lowest) = track.lowest() else { return Ok(Vec::new()) };
        let top = f64::from(before.highest_of_all());
        if self.reaches.iter().all(|reach| lowest + reach.from + self.least >= top) {
            return Ok(Vec::new());
        }
        let placed = track.placed();
        let suspect = |index: usize| -> Result<Option<usize>, Cancelled> {
            task.cancel.check()?;
            let motion = placed.get(index).map(|placed| placed.motion);
            Ok(motion.is_some_and(|motion| self.meets_metal(before, &motion)).then_some(index))
        };
        let all: Result<Vec<Option<usize>>, Cancelled> =
            (0..placed.len()).into_par_iter().map(suspect).collect();
        Ok(all?.into_iter().flatten().collect())
    }

    /// Whether any part does, on a block that has at least the metal of the moment.
    fn meets_metal(&self, field: &Field, motion: &Motion) -> bool {
        self.reaches.iter().any(|reach| self.touched(field, motion, reach).is_some())
    }

    /// The highest metal that a part of the tool meets on a motion, taken at the lowest the tip comes.
    fn touched(&self, field: &Field, motion: &Motion, reach: &Reach) -> Option<Point3> {
        if motion.kind == Kind::Rapid && reach.part == Part::Flutes {
            return None;
        }
        let from = motion.start.z.min(motion.end.z) + reach.from + self.least;
        let span = plan_span(motion);
        highest(field, &plan_bounds(motion), from, reach.radius, |p| {
            let distance = span.distance(p);
            distance <= reach.radius && distance > reach.inner
        })
    }

    /// Takes a motion part by part, each from the block as the one before left it.
    fn motion(&mut self, field: &mut Field, placed: &Placed, index: usize) {
        let mut hits: Vec<(Part, Point3, f64)> = Vec::new();
        for part in parts(placed, field.grid().cell) {
            for reach in &self.reaches {
                let Some(at) = self.touched(field, &part.motion, reach) else { continue };
                let rises = at.z - part.motion.start.z.min(part.motion.end.z) - reach.from;
                match hits.iter_mut().find(|hit| hit.0 == reach.part) {
                    Some(hit) if rises > hit.2 => (hit.1, hit.2) = (at, rises),
                    Some(_) => {}
                    None => hits.push((reach.part, at, rises)),
                }
            }
            let batch = Batch::new(field, &self.cutter, &[part], None);
            self.shop.cut(field, &batch);
        }
        for (part, at, rises) in hits {
            self.note(Touch { part, motion: index, at, most: rises, motions: 1 });
        }
    }

    fn note(&mut self, next: Touch) {
        let Some(touch) = self.found.iter_mut().find(|touch| touch.part == next.part) else {
            self.found.push(next);
            return;
        };
        touch.most = touch.most.max(next.most);
        touch.motions += 1;
        if touch.motions >= MOST_COUNTED {
            self.reaches.retain(|reach| reach.part != next.part);
        }
    }
}

/// A motion in parts that rise or fall by about a cell each; a level one is a single part.
fn parts(placed: &Placed, cell: f64) -> Vec<Placed> {
    let rise = (placed.motion.end.z - placed.motion.start.z).abs();
    let count = (rise / cell).ceil().clamp(1.0, MOST_PARTS) as usize;
    let part = |index: usize| {
        let (from, to) = (index as f64 / count as f64, (index + 1) as f64 / count as f64);
        let motion = if count == 1 { placed.motion } else { probe::between(&placed.motion, from, to) };
        Placed { motion, length: placed.length * (to - from), ..*placed }
    };
    (0..count).map(part).collect()
}

impl Field {
    /// No column is higher than this.
    fn highest_of_all(&self) -> f32 {
        self.highest.iter().copied().fold(self.bottom(), f32::max)
    }
}

/// The top of a column, as a place.
fn top_of(field: &Field, column: usize, row: usize) -> Point3 {
    let centre = field.grid().centre(column, row);
    pt3(centre.x, centre.y, f64::from(field.height(column, row)))
}
