//! The deepest place in plan that a cutter newly takes at one height, found with a proven bound.
//!
//! Depth inside a path, distance from what was taken before and distance from what is swept now all change no faster
//! than the place moves. So a circle of places, or a square of them, is settled by one look at its middle: what it can
//! hold at most is the value there and the way to its rim. Whatever is not settled is divided.

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::area::Area;
use crate::geometry::{Bounds, Point, pt};
use crate::wall::Slice;

/// Squares looked at in one search: a limit on work. What is left then is thinner than can matter.
const MOST_SQUARES: usize = 40_000;
/// Parts of a path looked at in one search. What is left then is searched for itself.
const MOST_PARTS: usize = 200_000;
/// A path's part that moves less than this part of what is needed is not divided further.
const FINEST: f64 = 0.125;
/// How exactly the deepest place is found before it is followed up, as a part of the depth.
const COARSE: f64 = 0.01;
/// How exactly it is followed up, as a part of what metal must have to count.
const FINE: f64 = 0.01;

/// What is asked at one height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question<'a> {
    /// What the cutter sweeps now.
    pub(super) swept: &'a [Slice],
    /// What was taken before, or does not count.
    pub(super) gone: &'a [Slice],
    /// The area whose depth is asked for.
    pub(super) area: &'a Area,
    /// Where there is metal at all.
    pub(super) blank: &'a Area,
    /// Only deeper places than this matter.
    pub(super) need: f64,
    /// Deeper than this makes no difference.
    pub(super) enough: f64,
    /// Metal counts that lies more than this from what was taken before and from the blank's edge.
    pub(super) thick: f64,
    /// How exactly a depth matters.
    pub(super) tolerance: f64,
    /// Whether the depth asked for is that in the metal as it stands: what was taken before bounds it as well.
    pub(super) standing: bool,
}

impl Question<'_> {
    /// Whether the cutter may reach deeper than needed into metal not yet taken. `false` is proven: no circle along
    /// the way reaches that deep, or what it takes was all taken by one earlier motion.
    pub(super) fn may_enter(&self) -> bool {
        let mut left = MOST_PARTS;
        self.swept.iter().any(|slice| self.slice_may_enter(slice, &mut left))
    }

    fn slice_may_enter(&self, slice: &Slice, left: &mut usize) -> bool {
        let travel = slice.travel();
        let mut open = vec![(0.0, 1.0)];
        while let Some((from, to)) = open.pop() {
            let middle = f64::midpoint(from, to);
            let (centre, radius) = slice.circle(middle);
            let reach = radius + travel * (to - from) / 2.0;
            if self.area.depth(centre) + reach <= self.need
                || self.gone.iter().any(|gone| gone.off(centre) + reach <= self.thick)
            {
                continue;
            }
            *left = left.saturating_sub(1);
            if travel * (to - from) <= self.tolerance * FINEST || *left == 0 {
                return true;
            }
            open.extend([(from, middle), (middle, to)]);
        }
        false
    }

    /// The deepest place newly taken, with its depth; `None` when none is deeper than needed.
    pub(super) fn deepest(&self) -> Option<(f64, Point)> {
        let (best, side) = self.search()?;
        Some(self.follow_up(best, side))
    }

    fn search(&self) -> Option<((f64, Point), f64)> {
        let bounds = self.swept.iter().fold(Bounds::EMPTY, |all, slice| all.join(slice.bounds()));
        if bounds.is_empty() {
            return None;
        }
        let half = bounds.width().max(bounds.height()) / 2.0;
        let gone = Rc::new((0..self.gone.len()).collect::<Vec<_>>());
        let mut open =
            BinaryHeap::from([Square { bound: f64::INFINITY, centre: bounds.centre(), half, gone }]);
        let mut best: Option<((f64, Point), f64)> = None;
        for _ in 0..MOST_SQUARES {
            let Some(square) = open.pop() else { break };
            let so_far = best.map_or(self.need, |((depth, _), _)| depth);
            let goal = best.map_or(self.need, |_| so_far + (so_far * COARSE).max(self.tolerance / 2.0));
            if square.bound <= goal || so_far >= self.enough {
                break;
            }
            let Some(look) = self.look(&square, so_far) else { continue };
            if let Some(found) = look.taken {
                best = Some((found, square.half));
            }
            if look.bound > goal {
                open.extend(square.quarters(look));
            }
        }
        best
    }

    /// What a square may hold; `None` when it holds nothing newly taken. A place that is no deeper than `so_far` is
    /// not told.
    fn look(&self, square: &Square, so_far: f64) -> Option<Look> {
        let (p, reach) = (square.centre, square.half * std::f64::consts::SQRT_2);
        let off = self.swept.iter().map(|slice| slice.off(p)).fold(f64::INFINITY, f64::min);
        let metal = self.blank.depth(p);
        if off > reach || metal + reach <= self.thick {
            return None;
        }
        let offs: Vec<(usize, f64)> =
            square.gone.iter().map(|index| (*index, self.gone[*index].off(p))).collect();
        let gap = offs.iter().map(|(_, off)| *off).fold(f64::INFINITY, f64::min);
        if gap + reach <= self.thick {
            return None;
        }
        // What bounds nothing in this square bounds nothing in its quarters.
        let bounds = if self.standing { self.thick.max(gap + reach) } else { self.thick };
        let gone: Vec<usize> =
            offs.into_iter().filter(|(_, off)| off - reach <= bounds).map(|(index, _)| index).collect();
        let depth = if self.standing { self.area.depth(p).min(gap) } else { self.area.depth(p) };
        Some(Look {
            bound: square.bound.min(depth + reach),
            taken: self.taken_near(p, &gone, so_far),
            gone: Rc::new(gone),
        })
    }

    /// The swept place nearest to `p` with its depth, when metal is newly taken there and it is deeper than `least`.
    /// `gone` is what may reach there.
    fn taken_near(&self, p: Point, gone: &[usize], least: f64) -> Option<(f64, Point)> {
        let off = self.swept.iter().map(|slice| (slice, slice.off(p)));
        let nearest = off.min_by(|a, b| a.1.total_cmp(&b.1))?.0;
        let at = nearest.clamp(p);
        let deep = self.area.depth(at);
        if deep <= least || self.blank.depth(at) <= self.thick {
            return None;
        }
        // What was left out for this square bounds nothing in it, but may bound a place beside it.
        let gap =
            if at == p { self.gap(at, gone.iter().copied()) } else { self.gap(at, 0..self.gone.len()) }?;
        let depth = if self.standing { deep.min(gap) } else { deep };
        (depth > least).then_some((depth, at))
    }

    /// Distance from a place to the nearest of what was taken before; `None` where nothing is newly taken.
    fn gap(&self, at: Point, gone: impl Iterator<Item = usize>) -> Option<f64> {
        gone.map(|index| self.gone[index].off(at))
            .try_fold(f64::INFINITY, |least, gap| (gap > self.thick).then_some(least.min(gap)))
    }

    /// Goes on from a good place to the best one about it, in steps that get smaller.
    fn follow_up(&self, (mut depth, mut at): (f64, Point), side: f64) -> (f64, Point) {
        const WAYS: usize = 16;
        let all: Vec<usize> = (0..self.gone.len()).collect();
        let mut step = side.max(self.tolerance);
        while step > self.tolerance * FINE && depth < self.enough {
            let ways = (0..WAYS)
                .map(|way| at + Point::at_angle(way as f64 * std::f64::consts::TAU / WAYS as f64) * step);
            let better =
                ways.filter_map(|p| self.taken_near(p, &all, depth)).max_by(|a, b| a.0.total_cmp(&b.0));
            match better {
                Some(found) => (depth, at) = found,
                None => step /= 2.0,
            }
        }
        (depth, at)
    }
}

/// An upright square of places.
#[derive(Debug)]
struct Square {
    /// No place in it is deeper.
    bound: f64,
    centre: Point,
    half: f64,
    /// Which of what was taken before may reach into it.
    gone: Rc<Vec<usize>>,
}

impl Square {
    fn quarters(&self, look: Look) -> impl Iterator<Item = Self> {
        let (centre, half) = (self.centre, self.half / 2.0);
        [(-half, -half), (half, -half), (-half, half), (half, half)].into_iter().map(move |(x, y)| Self {
            bound: look.bound,
            centre: centre + pt(x, y),
            half,
            gone: Rc::clone(&look.gone),
        })
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound.total_cmp(&other.bound)
    }
}

/// What a look at the middle of a square says of it.
#[derive(Debug)]
struct Look {
    bound: f64,
    /// A place in it or beside it that is newly taken, with its depth.
    taken: Option<(f64, Point)>,
    gone: Rc<Vec<usize>>,
}
