//! The best fit, and the proof that there is no better.
//!
//! Branch and bound over boxes of shifts and turns. In a box no margin is above what the bound of its slopes says
//! (`bound`), nor above the margin in its middle by more than anything can move in it. Boxes that cannot hold a
//! better fit are dropped, the most promising is halved, until what may still be gained is under
//! [`proven_within`](super::proven_within).

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::f64::consts::PI;
use std::rc::Rc;

use super::bound::{Slope, most};
use super::margin::{Lie, Pair, Room};
use super::polish::polished;
use super::position::{Fit, GIVEN_UP, Limits};
use super::slope::Sloped;
use super::witness::{Held, Known, Witness};
use super::{follow, proven_within};
use crate::geometry::{Path, pt};
use crate::task::{Cancelled, Task};
use crate::units::Units;

/// Boxes looked at before the search stops with what it has; ordinary shapes need some hundred to some thousand.
const MOST_BOXES: usize = 20_000;
/// Tightest witnesses from which slopes are made.
const TIGHTEST: usize = 12;
/// Times a witness is added to a box's bound.
const ROUNDS: usize = 8;
/// How far the first fit is looked for round the block's own lie, as a part of its size,
const FIRST_REACH: f64 = 0.1;
/// and the last round what the search found, in times of what that leaves open.
const LAST_REACH: f64 = 20.0;
/// Turns looked at first, so that of fits that are as good the one with less turning is taken (radians).
const SMALL_TURN: f64 = 0.2;
/// Steps of the search for the least move that is as good.
const SHORTEN_STEPS: u32 = 12;
/// Places that hold a fit, of which the stations are told.
const MOST_TIGHT: usize = 500;

/// The best fit of the outline on the blank.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn best(
    outline: &Path,
    edge: &Path,
    limits: &Limits,
    units: Units,
    task: Task<'_>,
) -> Result<Fit, Cancelled> {
    let pair = Pair::new(outline, edge, follow(units));
    let none = Lie { shift: pt(0.0, 0.0), turn: 0.0 };
    let present = pair.margin_at(none);
    let mut search = Search {
        pair: &pair,
        limits: *limits,
        gap: proven_within(units),
        best: (present, none),
        heap: BinaryHeap::new(),
        dropped: f64::NEG_INFINITY,
        boxes: 0,
    };
    // A good fit known beforehand leaves few boxes that may hold a better one.
    search.best = polished(&pair, limits, FIRST_REACH * pair.size, search.best, task)?;
    for room in rooms(&pair, limits) {
        search.run(room, task)?;
    }
    // The search stops at a place that depends on its way.
    search.best = polished(&pair, limits, LAST_REACH * search.gap, search.best, task)?;
    search.shorten();
    let (least_margin, lie) = search.best;
    Ok(Fit {
        dx: lie.shift.x,
        dy: lie.shift.y,
        turn: lie.turn.to_degrees(),
        centroid: pair.centroid,
        least_margin,
        bound: search.dropped.max(least_margin),
        present,
        binding: binding(&pair, outline, lie, least_margin, proven_within(units)),
    })
}

/// Everything within the limits: small turns first, then the rest.
fn rooms(pair: &Pair, limits: &Limits) -> Vec<Room> {
    let most_turn = if limits.turn.is_finite() { limits.turn.to_radians().clamp(0.0, PI) } else { PI };
    let bounds = pair.edge_bounds.grown(pair.size);
    let span = |free: bool, low: f64, high: f64, at: f64| {
        let most = if free { limits.shift.unwrap_or(f64::INFINITY).max(0.0) } else { 0.0 };
        let (low, high) = ((low - at).max(-most).min(most), (high - at).min(most).max(-most));
        (f64::midpoint(low, high), (high - low) / 2.0)
    };
    let (x, wide) = span(limits.x, bounds.low.x, bounds.high.x, pair.centroid.x);
    let (y, high) = span(limits.y, bounds.low.y, bounds.high.y, pair.centroid.y);
    let room = |from: f64, to: f64| Room {
        middle: Lie { shift: pt(x, y), turn: f64::midpoint(from, to) },
        half: [wide, high, (to - from) / 2.0],
    };
    let small = most_turn.min(SMALL_TURN);
    let mut rooms = vec![room(-small, small)];
    if most_turn > small {
        rooms.extend([room(small, most_turn), room(-most_turn, -small)]);
    }
    rooms
}

struct Open {
    bound: f64,
    room: Room,
    known: Rc<[Known]>,
    /// Which of x, y and turn to halve.
    axis: usize,
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Open {}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Open {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound.total_cmp(&other.bound)
    }
}

struct Search<'a> {
    pair: &'a Pair,
    limits: Limits,
    gap: f64,
    best: (f64, Lie),
    heap: BinaryHeap<Open>,
    /// The greatest bound of a box that was given up.
    dropped: f64,
    boxes: usize,
}

impl Search<'_> {
    fn run(&mut self, room: Room, task: Task<'_>) -> Result<(), Cancelled> {
        // What is only as good as a fit with less turning is not taken.
        let least = self.best;
        self.open(room, &self.pair.all(), f64::INFINITY);
        let limit = self.boxes + MOST_BOXES;
        loop {
            task.cancel.check()?;
            let Some(open) = self.heap.pop() else { break };
            if open.bound <= self.best.0 + self.gap || self.boxes >= limit {
                self.dropped = self.dropped.max(open.bound);
                self.heap.clear();
                break;
            }
            for side in [-0.5, 0.5] {
                let mut room = open.room;
                let half = room.half[open.axis];
                room.half[open.axis] = half / 2.0;
                match open.axis {
                    0 => room.middle.shift.x += side * half,
                    1 => room.middle.shift.y += side * half,
                    _ => room.middle.turn += side * half,
                }
                self.open(room, &open.known, open.bound);
            }
            if self.boxes % 256 < 2 {
                task.tell("Finding the best position", self.boxes as f64 / limit as f64);
            }
        }
        if self.best.0 <= least.0 + self.gap && least.0.is_finite() && room.middle.turn != 0.0 {
            self.dropped = self.dropped.max(self.best.0);
            self.best = least;
        }
        Ok(())
    }

    /// Looks at a box, and keeps it for halving when it may hold a better fit.
    fn open(&mut self, room: Room, known: &[Known], above: f64) {
        self.boxes += 1;
        if let Some(most) = self.limits.shift {
            let near = |middle: f64, half: f64| (middle.abs() - half).max(0.0);
            let (x, y) = (near(room.middle.shift.x, room.half[0]), near(room.middle.shift.y, room.half[1]));
            if x.hypot(y) > most {
                return;
            }
        }
        let coarse = room.half[0].hypot(room.half[1]) + room.half[2] * self.pair.size;
        let held = self.pair.hold(known, &room, coarse);
        let holds = self.look(room.middle, &held);
        let flat = held.iter().map(Held::flat).fold(above, f64::min);
        let mut kept: Vec<Known> = held.iter().map(|held| self.pair.known(held)).collect();
        kept.sort_by(|a, b| a.low.total_cmp(&b.low));
        let mut sloped = self.slopes(held, holds, &room);
        let (mut bound, mut axis) = (flat, 0);
        for _ in 0..ROUNDS {
            let at;
            (bound, axis, at) = self.bound_of(&sloped, &room, bound);
            if bound <= self.best.0 + self.gap {
                self.dropped = self.dropped.max(bound);
                return;
            }
            let Some(at) = at else { break };
            let lie = Lie {
                shift: room.middle.shift + pt(at[0] * room.half[0], at[1] * room.half[1]),
                turn: room.middle.turn + at[2] * room.half[2],
            };
            let there = Room { middle: lie, half: [0.0; 3] };
            let holds = self.look(lie, &self.pair.hold(&kept, &there, coarse));
            // What holds the margin down where the bound is reached makes the bound lower, unless it is known.
            let Some(witness) = holds.filter(|w| !sloped.iter().any(|s| s.witness == *w)) else { break };
            for held in self.pair.hold(&[Known::new(witness)], &room, 0.0) {
                self.pair.slopes(&held, &room, &mut sloped);
            }
        }
        if bound <= self.best.0 + self.gap {
            self.dropped = self.dropped.max(bound);
        } else {
            kept.truncate(kept.partition_point(|known| known.low <= bound));
            self.heap.push(Open { bound, room, known: kept.into(), axis });
        }
    }

    /// The bound of a box, the axis whose halving would lower it most, and where in the box the bound is reached.
    fn bound_of(&self, sloped: &[Sloped], room: &Room, known: f64) -> (f64, usize, Option<[f64; 3]>) {
        let all: Vec<Slope> = sloped.iter().map(|sloped| sloped.slope).collect();
        let Some(found) = most(&all) else { return (known, self.widest(room), None) };
        let (mut bound, mut weights) = (found.value, found.weights);
        if bound < 0.0 {
            let sure: Vec<usize> =
                (0..sloped.len()).filter(|i| !matches!(sloped[*i].witness, Witness::Outline(_))).collect();
            let slopes: Vec<Slope> = sure.iter().map(|index| sloped[*index].slope).collect();
            bound = 0.0;
            if let Some(short) = most(&slopes).filter(|short| short.value < 0.0) {
                bound = short.value;
                weights = short.weights.into_iter().map(|(index, weight)| (sure[index], weight)).collect();
            }
        }
        let bound = bound.min(known);
        let part =
            |of: fn(&Sloped) -> f64| weights.iter().map(|(index, w)| w * of(&sloped[*index])).sum::<f64>();
        let (turns, shifts) = (part(|sloped| sloped.turns), part(|sloped| sloped.shifts));
        // Where neither makes the bound loose, other witnesses hold elsewhere in the box, and it is too large.
        let loose = (bound - self.best.0) / 4.0;
        let axis = if turns >= shifts && turns > loose {
            2
        } else if shifts > turns && shifts > loose {
            usize::from(room.half[1] > room.half[0])
        } else {
            self.widest(room)
        };
        (bound, axis, Some(found.at))
    }

    /// The axis along which most can move.
    fn widest(&self, room: &Room) -> usize {
        let [x, y, turn] = room.half;
        if turn * self.pair.size >= x.max(y) { 2 } else { usize::from(y > x) }
    }

    /// Takes a lie if it is the best so far, and says what holds it down. Looks closely only where these leave hope.
    fn look(&mut self, lie: Lie, held: &[Held]) -> Option<Witness> {
        let (mut value, mut holds) = self.pair.margin(lie, held, self.best.0);
        if value > self.best.0 && held.iter().any(Held::stands_for_others) {
            (value, holds) = self.pair.margin_of(lie);
        }
        self.take(value, lie);
        holds
    }

    fn take(&mut self, value: f64, lie: Lie) {
        let allowed = self.limits.shift.is_none_or(|most| lie.shift.length() <= most * (1.0 + 1e-12));
        if allowed && value > self.best.0 {
            self.best = (value, lie);
        }
    }

    fn slopes(&self, mut held: Vec<Held>, holds: Option<Witness>, room: &Room) -> Vec<Sloped> {
        if let Some(witness) = holds {
            held.extend(self.pair.hold(&[Known::new(witness)], room, 0.0));
        }
        held.sort_by(|a, b| (a.value + a.moves).total_cmp(&(b.value + b.moves)));
        let mut sloped = Vec::new();
        for held in held.iter().take(TIGHTEST) {
            self.pair.slopes(held, room, &mut sloped);
        }
        sloped
    }

    /// Of fits that are as good, the one that moves least: every part of the move is taken back as far as it can be.
    fn shorten(&mut self) {
        let (value, mut lie) = self.best;
        let enough = value - self.gap * GIVEN_UP;
        for axis in [2, 0, 1] {
            let with = |part: f64| {
                let mut lie = lie;
                match axis {
                    0 => lie.shift.x *= part,
                    1 => lie.shift.y *= part,
                    _ => lie.turn *= part,
                }
                lie
            };
            let holds = |part: f64| self.pair.margin_at(with(part)) >= enough;
            let (mut low, mut high) = (0.0, 1.0);
            if holds(0.0) {
                high = 0.0;
            }
            for _ in 0..SHORTEN_STEPS {
                let middle = f64::midpoint(low, high);
                if holds(middle) { high = middle } else { low = middle }
            }
            lie = with(high);
        }
        let found = self.pair.margin_at(lie);
        self.dropped = self.dropped.max(value);
        self.best =
            if found >= enough { (found, lie) } else { (self.pair.margin_at(self.best.1), self.best.1) };
    }
}

/// Stations at which the margin is reached, one for each stretch.
fn binding(pair: &Pair, outline: &Path, lie: Lie, margin: f64, within: f64) -> Vec<f64> {
    // A little room, so that none that is as tight is left out.
    let room = Room { middle: lie, half: [within, 0.0, 0.0] };
    let apart = outline.length() / 24.0;
    let mut held = pair.hold(&pair.all(), &room, 0.0);
    held.retain(|held| (held.value - margin).abs() <= within);
    let station = |held: &Held| (held.value, outline.nearest(pair.on_outline(lie, held.witness)));
    let some = held.len().div_ceil(MOST_TIGHT).max(1);
    let mut tight: Vec<(f64, f64)> = held.iter().step_by(some).map(station).collect();
    tight.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut stations: Vec<f64> = Vec::new();
    for (_, station) in tight {
        let near = |other: &f64| {
            let off = (station - other).abs();
            off.min(outline.length() - off) < apart
        };
        if !stations.iter().any(near) {
            stations.push(station);
        }
    }
    stations.sort_by(f64::total_cmp);
    stations
}
