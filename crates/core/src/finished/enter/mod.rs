//! Where a pass comes into metal that it must leave: feed into the finished block, rapids into any metal.

mod feed;
mod rapid;

pub(crate) use rapid::bent;

use rayon::prelude::*;

use super::area::Area;
use super::block::{Finished, Meant};
use super::gone::Gone;
use super::purpose::{PassFacts, Purpose};
use super::search::Question;
use super::solid::Solid;
use super::width::{Circles, widest_below};
use crate::geometry::{Bounds, Point, Point3, pt3};
use crate::plunged::Plunged;
use crate::program::{Curve, Kind, Motion};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::wall::{Slice, Within, slice};

/// After so many program lines of a pass that come into metal no more are looked for: the pass is wrong as a whole.
const MOST_TOLD: usize = 64;
/// Motions looked at in one go.
const RUN: usize = 4096;
/// Steps of one program line that are looked at first.
const SPREAD: usize = 48;
/// A feed that goes down this much steeper than it goes across comes down on the metal.
const STEEP: f64 = 10.0;
/// Just beyond a border, as a part of the tolerance.
const HAIR: f64 = 1e-3;

/// How a motion comes into metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum How {
    /// A rapid, into metal as it stands.
    Rapid,
    /// A rapid that would come into metal on a machine whose rapids do not go straight.
    BentRapid,
    /// Feed that comes down on the finished block.
    Plunge,
    /// Feed that cuts inside the line of the wall.
    Wall,
    /// Feed into the finished block from above, or right through it.
    Block,
    /// An undercut that takes the land, or the edge over it; by how much its line lies too high, where its cone makes
    /// one.
    Land(Option<f64>),
}

/// One motion that comes into metal it must leave, where it is deepest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entered {
    /// Index in the track.
    pub motion: usize,
    /// Its program line.
    pub line: u32,
    /// The deepest place.
    pub at: Point3,
    /// The least distance from there to any surface of the metal.
    pub depth: f64,
    /// How far inside the line of the wall the place lies.
    pub inside: f64,
    /// How it comes there.
    pub how: How,
}

/// All that one pass is held against.
#[derive(Debug)]
pub struct Held<'a> {
    /// The pass.
    pub facts: PassFacts<'a>,
    /// The blank's edge in plan.
    pub edge: &'a Area,
    /// No place in the blank is deeper than this.
    pub widest: f64,
    /// Z of the blank's faces, upper and lower.
    pub faces: (f64, f64),
    /// What was taken before.
    pub taken: Gone<'a>,
    /// The finished block, when the job says enough for one.
    pub block: Option<Block<'a>>,
    /// The tool where rapids end whose start nobody knows, each before the motion of this index.
    pub arrivals: Vec<(usize, Motion)>,
    /// Tolerances.
    pub tolerances: &'a Tolerances,
}

/// The finished block as one pass must leave it.
#[derive(Debug)]
pub struct Block<'a> {
    /// What it follows from.
    pub meant: &'a Meant<'a>,
    /// The block.
    pub finished: &'a Finished,
    /// Its section, as far inside the line as this pass may cut.
    pub solid: Solid,
    /// What this pass is for.
    pub purpose: &'a Purpose,
    /// What was taken before or is to be taken away anyway.
    pub gone: Gone<'a>,
}

/// The deepest place at one height.
#[derive(Debug, Clone, Copy)]
struct Deep {
    depth: f64,
    inside: f64,
    at: Point,
    height: f64,
}

impl Held<'_> {
    /// Every motion of the pass that comes into metal it must leave, in order.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn entered(&self, task: Task<'_>) -> Result<Vec<Entered>, Cancelled> {
        let arrived = self.arrivals.iter().filter_map(|(index, motion)| self.rapid(*index, motion));
        let mut found: Vec<Entered> = arrived.collect();
        let mut plunged = Plunged::default();
        // A rapid straight up or down where the cutter has been, as in and out of a hole drilled in pecks, meets nothing.
        let mut is_new = |motion: &Motion| {
            let known = motion.start_known.is_place() && motion.end_known.is_place();
            !known || plunged.adds(motion) || motion.kind == Kind::Feed
        };
        let motions: Vec<(usize, Motion)> = self
            .facts
            .sweep
            .placed()
            .iter()
            .enumerate()
            .map(|(index, placed)| (index, placed.motion))
            .filter(|(_, motion)| is_new(motion))
            .collect();
        let mut lines = 0;
        for run in motions.chunks(RUN) {
            task.cancel.check()?;
            let near: Vec<&(usize, Motion)> =
                run.par_iter().filter(|(index, motion)| self.may_enter(*index, motion)).collect();
            for line in near.chunk_by(|a, b| a.1.line == b.1.line) {
                task.cancel.check()?;
                found.extend(self.line_enters(line));
                lines += usize::from(found.last().is_some_and(|last| last.line == line[0].1.line));
                if lines >= MOST_TOLD {
                    return Ok(in_order(found));
                }
            }
        }
        Ok(in_order(found))
    }

    /// Where the motions of one program line come in. An arc out of plan is many short steps: when some of them, evenly
    /// spread, come in, only those beside the deepest are looked at besides.
    fn line_enters(&self, motions: &[&(usize, Motion)]) -> Vec<Entered> {
        let look = |motions: &[&(usize, Motion)]| -> Vec<Entered> {
            let told = motions.par_iter().map(|(index, motion)| self.enters(*index, motion));
            told.collect::<Vec<_>>().into_iter().flatten().collect()
        };
        let apart = motions.len().div_ceil(SPREAD).max(1);
        let spread: Vec<&(usize, Motion)> = motions.iter().copied().step_by(apart).collect();
        let mut found = look(&spread);
        if apart == 1 {
            return found;
        }
        let Some(deepest) = found.iter().max_by(|a, b| a.depth.total_cmp(&b.depth)) else {
            return look(motions);
        };
        let at = motions.partition_point(|(index, _)| *index < deepest.motion);
        found.extend(look(&motions[at.saturating_sub(apart)..(at + apart).min(motions.len())]));
        found.sort_by_key(|entered| entered.motion);
        found.dedup_by_key(|entered| entered.motion);
        found
    }

    /// Whether a motion's widest circle may come into the metal at all.
    fn may_enter(&self, index: usize, motion: &Motion) -> bool {
        let (top, area, need) = match (motion.kind, &self.block) {
            (Kind::Rapid, _) => (self.faces.0, self.edge, self.tolerances.none_below),
            (Kind::Feed, Some(block)) if !block.is_inside(index) => {
                (block.solid.top, block.meant.outline, block.solid.inset + self.tolerances.land)
            }
            (Kind::Feed, _) => return false,
        };
        let low = motion.start.z.min(motion.end.z);
        if low >= top - self.tolerances.touch {
            return false;
        }
        let may = |motion: &Motion| {
            let circles = Circles::of(motion, widest_below(self.facts.sweep.profile(), top - low));
            let swept = [circles.slice];
            Question { area, need, ..self.plain(&swept) }.may_enter()
        };
        let bent = || bent(motion).filter(|_| motion.kind == Kind::Rapid);
        may(motion) || bent().is_some_and(|ways| ways.iter().any(may))
    }

    fn enters(&self, index: usize, motion: &Motion) -> Option<Entered> {
        // Where it starts is a guess: what is known is where it ends.
        let motion = if motion.start_known.is_place() { *motion } else { standing(motion) };
        if !motion.end_known.is_place() {
            return None;
        }
        match motion.kind {
            Kind::Rapid => self.rapid(index, &motion).or_else(|| self.bent_rapid(index, &motion)),
            Kind::Feed => self.feed(index, &motion, self.block.as_ref()?),
        }
    }

    /// A question about nothing in particular.
    fn plain<'q>(&'q self, swept: &'q [Slice]) -> Question<'q> {
        Question {
            swept,
            gone: &[],
            area: self.edge,
            blank: self.edge,
            need: 0.0,
            enough: f64::INFINITY,
            thick: self.tolerances.none_below,
            tolerance: self.tolerances.past_outline,
            standing: false,
        }
    }

    fn slices(&self, motion: &Motion, height: f64) -> Vec<Slice> {
        let mut found = Vec::new();
        slice(
            motion,
            self.facts.sweep.profile(),
            height,
            self.tolerances.follow,
            Within::Anywhere,
            |slice, _| {
                found.push(slice);
            },
        );
        found
    }
}

impl Block<'_> {
    fn is_inside(&self, motion: usize) -> bool {
        let own = self.finished.insides.get(self.gone.pass);
        own.and_then(|motions| motions.get(motion)).copied().unwrap_or(false)
    }
}

fn told(index: usize, motion: &Motion, deep: Deep, how: How) -> Entered {
    Entered {
        motion: index,
        line: motion.line,
        at: pt3(deep.at.x, deep.at.y, deep.height),
        depth: deep.depth,
        inside: deep.inside,
        how,
    }
}

fn in_order(mut found: Vec<Entered>) -> Vec<Entered> {
    found.sort_by_key(|entered| entered.motion);
    found
}

fn bounds(slices: &[Slice]) -> Bounds {
    slices.iter().fold(Bounds::EMPTY, |all, slice| all.join(slice.bounds()))
}

/// The tool standing where the motion ends.
pub fn standing(motion: &Motion) -> Motion {
    Motion { start: motion.end, curve: Curve::Straight, start_known: motion.end_known, ..*motion }
}

/// Whether a motion goes down so steeply that the tool comes down on what is under it.
pub fn comes_down(motion: &Motion, least: f64) -> bool {
    let down = motion.start.z - motion.end.z;
    motion.curve == Curve::Straight
        && down > least
        && motion.start.plan().distance(motion.end.plan()) * STEEP <= down
}
