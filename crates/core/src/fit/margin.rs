//! The margin of one lie of the outline, and how it can change from there.

use super::bound::Slope;
use super::field::Field;
use super::slope::{Sloped, sloped};
use super::witness::{Group, Held, Known, Witness, corners, discs, grouped};
use crate::geometry::{Bounds, Path, Point, pt};

/// Places along the edge at which the outline's depth over it is looked at where the blank is short.
const EDGE_LOOKS: f64 = 300.0;
/// Steps of the search between two of them.
const SEARCH_STEPS: usize = 24;
/// Deepest places from which that search sets out.
const DEEPEST: usize = 3;
/// Groups are divided once the outline moves no more than so many times their spread.
const COARSE: f64 = 1.0;

/// Where the outline lies: turned about its centroid, then shifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lie {
    pub(super) shift: Point,
    pub(super) turn: f64,
}

/// A box of lies round a middle one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    pub(super) middle: Lie,
    pub(super) half: [f64; 3],
}

/// Outline and edge, made ready.
#[derive(Debug)]
pub(super) struct Pair {
    outline: Field,
    edge: Field,
    pub(super) centroid: Point,
    pub(super) edge_bounds: Bounds,
    pub(super) size: f64,
    groups: Vec<Group>,
    step: f64,
}

impl Pair {
    pub(super) fn new(path: &Path, edge: &Path, follow: f64) -> Self {
        let (outline, edge) = (Field::new(path, follow), Field::new(edge, follow));
        let centroid = centroid(&outline.corners);
        let around: f64 = sides(&edge.corners).map(|(a, b)| a.distance(b)).sum();
        let step = around / EDGE_LOOKS;
        let mut places = Vec::new();
        for (a, b) in sides(&edge.corners) {
            let parts = (a.distance(b) / step).ceil().max(1.0);
            let inner = (1..parts as usize).map(|part| a.toward(b, part as f64 / parts));
            places.extend(std::iter::once(a).chain(inner).map(Witness::Edge));
        }
        let mut groups = grouped(&corners(path, &outline, follow), step);
        groups.extend(grouped(&discs(&outline), step));
        groups.extend(grouped(&places, step));
        let edge_bounds = Bounds::of(edge.corners.iter().copied());
        let size = outline.corners.iter().map(|p| p.distance(centroid)).fold(0.0, f64::max);
        Self { outline, edge, centroid, edge_bounds, size, groups, step }
    }

    /// Every witness, with nothing known of it: one for each group.
    pub(super) fn all(&self) -> Vec<Known> {
        let known = |(index, group): (usize, &Group)| Known {
            group: (!group.others.is_empty()).then_some(index),
            ..Known::new(group.first)
        };
        self.groups.iter().enumerate().map(known).collect()
    }

    fn placed(&self, lie: Lie, p: Point) -> Point {
        self.centroid + (p - self.centroid).turned(lie.turn) + lie.shift
    }

    fn back(&self, lie: Lie, p: Point) -> Point {
        self.centroid + (p - lie.shift - self.centroid).turned(-lie.turn)
    }

    /// What is known of a witness from what it allows at the middle of a room. Between two places on the edge another
    /// may lie deeper.
    pub(super) fn known(&self, held: &Held) -> Known {
        let between = if held.witness.is_edge() { self.step / 2.0 } else { 0.0 };
        let low =
            held.value - held.moves - between - held.group.map_or(0.0, |group| self.groups[group].spread);
        Known { witness: held.witness, low, side: held.side, group: held.group }
    }

    /// What witnesses allow at the middle of a room. They come with the lowest first; those that cannot hold the margin
    /// down anywhere in the room are left out, and groups are looked at through one of them where the search is still
    /// `coarse`: where so much more than their spread is moved about.
    pub(super) fn hold(&self, known: &[Known], room: &Room, coarse: f64) -> Vec<Held> {
        let at = (Point::at_angle(room.middle.turn), room.half[0].hypot(room.half[1]));
        let mut flat = f64::INFINITY;
        let mut found: Vec<Held> = Vec::new();
        let mut divided = Vec::new();
        for known in known {
            if known.low > flat {
                break;
            }
            let mut held = self.held(*known, room, at);
            flat = flat.min(held.flat());
            if let Some(group) = held.group.filter(|group| coarse < self.groups[*group].spread * COARSE) {
                divided.push((self.known(&held).low, group, held.side));
                held.group = None;
            }
            found.push(held);
        }
        divided.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (low, group, side) in divided {
            if low > flat {
                break;
            }
            for witness in &self.groups[group].others {
                let held = self.held(Known { side, ..Known::new(*witness) }, room, at);
                flat = flat.min(held.flat());
                found.push(held);
            }
        }
        found
    }

    fn held(&self, known: Known, room: &Room, (turn, shifts): (Point, f64)) -> Held {
        let middle = self.centroid + room.middle.shift;
        let (here, at, depth, radius, side) = match known.witness {
            Witness::Outline(p) | Witness::Disc(p, _) => {
                let at = middle + turned(p - self.centroid, turn);
                let near = self.edge.near_from(at, known.side);
                let radius = if let Witness::Disc(_, radius) = known.witness { radius } else { 0.0 };
                (at, at, near.depth, radius, near.side)
            }
            Witness::Edge(v) => {
                let here = self.centroid + turned(v - middle, pt(turn.x, -turn.y));
                let near = self.outline.near_from(here, known.side);
                (here, v, -near.depth, 0.0, near.side)
            }
        };
        let spoke = at - middle;
        let moves = shifts + spoke.length() * room.half[2];
        Held {
            witness: known.witness,
            value: depth - radius,
            depth,
            here,
            spoke,
            moves,
            side,
            group: known.group,
        }
    }

    /// The margin at a lie when none but these hold it down (or places on the edge between them), and what does; not
    /// looked at closely where it is not above `floor`.
    pub(super) fn margin(&self, lie: Lie, held: &[Held], floor: f64) -> (f64, Option<Witness>) {
        let mut least = (f64::INFINITY, None);
        let short = held.iter().any(|held| held.value < 0.0);
        let mut deep: Vec<(f64, Point)> = Vec::new();
        for held in held {
            match held.witness {
                Witness::Edge(v) => deep.push((held.value, v)),
                Witness::Outline(_) if held.value < 0.0 => continue,
                Witness::Outline(_) | Witness::Disc(..) => {}
            }
            if held.value < least.0 {
                least = (held.value, Some(held.witness));
            }
        }
        if short && least.0 > floor {
            deep.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, v) in deep.iter().take(DEEPEST) {
                let (value, v) = self.deepest_near(lie, *v);
                if value < least.0 {
                    least = (value, Some(Witness::Edge(v)));
                }
            }
        }
        if short { (least.0.min(0.0), least.1) } else { least }
    }

    /// The margin at a lie, and what holds it down.
    pub(super) fn margin_of(&self, lie: Lie) -> (f64, Option<Witness>) {
        let room = Room { middle: lie, half: [0.0; 3] };
        self.margin(lie, &self.hold(&self.all(), &room, 0.0), f64::NEG_INFINITY)
    }

    /// The margin at a lie.
    pub(super) fn margin_at(&self, lie: Lie) -> f64 {
        self.margin_of(lie).0
    }

    /// The place on the edge near `v` that lies deepest in the outline: along the sides on both hands.
    fn deepest_near(&self, lie: Lie, v: Point) -> (f64, Point) {
        let value = |p: Point| -self.outline.near(self.back(lie, p)).depth;
        let mut best = (value(v), v);
        for (a, b) in sides(&self.edge.corners) {
            let along = b - a;
            let length = along.length();
            let at = (v - a).dot(along) / (length * length);
            if v.distance(a.toward(b, at.clamp(0.0, 1.0))) > self.step {
                continue;
            }
            let reach = self.step / length;
            let (mut low, mut high) = ((at - reach).clamp(0.0, 1.0), (at + reach).clamp(0.0, 1.0));
            for _ in 0..SEARCH_STEPS {
                let (p, q) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                let (at_p, at_q) = (value(a.toward(b, p)), value(a.toward(b, q)));
                for (found, part) in [(at_p, p), (at_q, q)] {
                    if found < best.0 {
                        best = (found, a.toward(b, part));
                    }
                }
                if at_p <= at_q { high = q } else { low = p }
            }
        }
        best
    }

    /// Slopes that a witness's value is never above in the room.
    pub(super) fn slopes(&self, held: &Held, room: &Room, found: &mut Vec<Sloped>) {
        let field = if held.witness.is_edge() { &self.outline } else { &self.edge };
        let turns = held.spoke.length() * room.half[2];
        let shifts = held.moves - turns;
        let before = found.len();
        for near in field.all_near(held.here, held.depth.abs() + 2.0 * held.moves, held.side) {
            found.extend(sloped(held, &near, field, room));
        }
        if found.len() == before {
            // All that is known is how far it can move.
            let slope = Slope { value: held.value + held.moves, gain: [0.0; 3] };
            found.push(Sloped { slope, witness: held.witness, turns, shifts });
        }
    }

    /// The place on the outline, before it is moved, that a witness is nearest to.
    pub(super) fn on_outline(&self, lie: Lie, witness: Witness) -> Point {
        match witness {
            Witness::Outline(p) => p,
            Witness::Disc(c, _) => {
                let away = self.edge.near(self.placed(lie, c)).foot;
                c.toward(self.back(lie, away), 1e-3)
            }
            Witness::Edge(v) => self.outline.near(self.back(lie, v)).foot,
        }
    }
}

/// Turned by the angle whose cosine and sine these are.
fn turned(p: Point, by: Point) -> Point {
    pt(p.x * by.x - p.y * by.y, p.x * by.y + p.y * by.x)
}

fn sides(corners: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    (0..corners.len()).map(|index| (corners[index], corners[(index + 1) % corners.len()]))
}

fn centroid(corners: &[Point]) -> Point {
    let origin = corners.first().copied().unwrap_or_default();
    let (mut sum, mut doubled) = (Point::default(), 0.0);
    for (a, b) in sides(corners) {
        let (a, b) = (a - origin, b - origin);
        let part = a.cross(b);
        doubled += part;
        sum = sum + (a + b) * part;
    }
    if doubled == 0.0 { origin } else { origin + sum * (1.0 / (3.0 * doubled)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Random;

    fn polygon(corners: &[(f64, f64)]) -> Path {
        let corners: Vec<(Point, f64)> = corners.iter().map(|(x, y)| (pt(*x, *y), 0.0)).collect();
        Path::closed(&corners).expect("a polygon")
    }

    /// What the whole proof stands on: no witness is anywhere in a room above a slope that was made for it.
    #[test]
    fn no_witness_rises_above_its_slopes() {
        let angle = polygon(&[(0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.5, 2.0), (2.5, 6.0), (0.0, 6.0)]);
        let square = polygon(&[(0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (0.0, 4.0)]);
        let round =
            Path::closed(&[(pt(1.0, 1.0), 0.6), (pt(4.0, 1.5), 0.0), (pt(3.0, 3.5), 0.3)]).expect("closed");
        let mut random = Random::new(77);
        for (outline, edge) in [(&square, &angle), (&round, &square), (&round, &angle), (&angle, &round)] {
            let pair = Pair::new(outline, edge, 1e-4);
            for _ in 0..60 {
                let scale = 10.0_f64.powf(random.between(-3.0, 0.7));
                let middle = Lie {
                    shift: pt(random.between(-0.8, 0.8), random.between(-0.8, 0.8)),
                    turn: random.between(-0.3, 0.3),
                };
                let half = [1.0, 1.0, 0.3].map(|most| scale * random.between(0.0, most));
                let room = Room { middle, half };
                for held in pair.hold(&pair.all(), &room, 0.0).iter().step_by(9) {
                    let mut slopes = Vec::new();
                    pair.slopes(held, &room, &mut slopes);
                    for _ in 0..8 {
                        let at = [0; 3].map(|_| random.between(-1.0, 1.0));
                        let shift = middle.shift + pt(at[0] * half[0], at[1] * half[1]);
                        let lie = Lie { shift, turn: middle.turn + at[2] * half[2] };
                        let there = pair.hold(
                            &[Known::new(held.witness)],
                            &Room { middle: lie, half: [0.0; 3] },
                            0.0,
                        );
                        let value = there[0].value;
                        if matches!(held.witness, Witness::Outline(_)) && value < 0.0 {
                            continue;
                        }
                        for Sloped { slope, .. } in &slopes {
                            let bound =
                                slope.value + (0..3).map(|axis| slope.gain[axis] * at[axis]).sum::<f64>();
                            assert!(value <= bound + 1e-9, "{:?}: {value} above {bound}", held.witness);
                        }
                    }
                }
            }
        }
    }

    /// Groups leave nothing out: held against every witness looked at by itself.
    #[test]
    fn groups_leave_nothing_out() {
        let star: Vec<(f64, f64)> = (0..120)
            .map(|index| {
                let angle = std::f64::consts::TAU * f64::from(index) / 120.0;
                let out = 2.0 + 0.2 * (7.0 * angle).sin();
                (2.0 + 1.3 * out * angle.cos(), 2.0 + out * angle.sin())
            })
            .collect();
        let edge = polygon(&star);
        let round =
            Path::closed(&[(pt(1.0, 1.0), 0.6), (pt(4.0, 1.5), 0.0), (pt(3.0, 3.5), 0.3)]).expect("closed");
        let pair = Pair::new(&round, &edge, 1e-4);
        let witnesses =
            pair.groups.iter().flat_map(|group| std::iter::once(&group.first).chain(&group.others));
        let every: Vec<Known> = witnesses.copied().map(Known::new).collect();
        assert!(every.len() > 2 * pair.groups.len(), "there are groups");
        let mut random = Random::new(5);
        for _ in 0..200 {
            let shift = pt(random.between(-1.0, 1.0), random.between(-1.0, 1.0));
            let lie = Lie { shift, turn: random.between(-3.0, 3.0) };
            let room = Room { middle: lie, half: [0.0; 3] };
            let plain = pair.margin(lie, &pair.hold(&every, &room, 0.0), f64::NEG_INFINITY).0;
            assert!((plain - pair.margin_at(lie)).abs() < 1e-9, "{lie:?}: {plain} {}", pair.margin_at(lie));
        }
    }
}
