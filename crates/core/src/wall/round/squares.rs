//! The nearest metal found square by square.
//!
//! Metal ends at the rims of what is swept and at the blank's edge, so it is nearest at one of few places: square to
//! a rim, where two rims meet, or at a corner of the edge. Which pairs of rims to ask is told by dividing the square
//! round the place: one that a single piece covers, that lies outside the blank, or that is farther away than metal
//! found already is done with; where few rims are left they are asked; else it is divided in four. So every rim
//! counts, and of many short moves only those that lie together are asked together.

use std::f64::consts::{FRAC_PI_2, SQRT_2};

use super::neighborhood::Neighborhood;
use crate::geometry::{Bounds, Interval, Point, Rail, pt};
use crate::wall::slice::Slice;

/// Where no more rims than this come through a square they are asked.
const FEW_RIMS: usize = 10;
/// And in one so small that it is not divided further, as this part of the way to metal, however many there are.
const SMALLEST: f64 = 1e-5;
/// Places are the same within this part of the way to them: rounding.
const HAIR: f64 = 1e-7;
/// Metal that begins or ends in a direction is looked for this much to either side of it, in radians,
const BESIDE: f64 = 1e-8;
/// and at least so many times what counts as rounding: behind a corner of metal that the direction does not run into it
/// is no thicker than that.
const BESIDE_SLIVERS: f64 = 30.0;
/// but no more than this at first, for a corner at the station itself,
const SOME_BESIDE: f64 = 1e-3;
/// and no more than this then.
const MOST_BESIDE: f64 = 0.1;

/// The search.
pub(super) struct Squares<'a> {
    round: &'a Neighborhood<'a>,
    /// The nearest metal found: an angle and how far it is.
    best: Interval,
    /// Pieces and spans of the edge that come through the squares on the way from the whole to the one looked at.
    pieces: Vec<u32>,
    spans: Vec<u32>,
    /// The piece that covered the last square.
    cover: Option<&'a Slice>,
}

/// A square with the pieces and the spans of the edge that come through it, as places in the lists.
#[derive(Clone, Copy)]
struct Square {
    middle: Point,
    half: f64,
    pieces: (usize, usize),
    spans: (usize, usize),
}

/// What is known of a square.
enum Content {
    /// There is no metal in it.
    Nothing,
    /// It is metal throughout.
    Metal,
    /// Rims come through it.
    Rims(Square),
}

/// A line or circle with the piece on whose rim it lies; without one it is the blank's edge.
#[derive(Clone, Copy)]
struct Rim<'a> {
    rail: Rail,
    of: Option<&'a Slice>,
}

impl Rim<'_> {
    /// Whether a place of the line or circle lies on the rim itself.
    fn holds(&self, place: Point, near: f64) -> bool {
        self.of.is_none_or(|piece| piece.off(place).abs() <= near)
    }
}

impl Square {
    /// How far its nearest and its farthest place are from another.
    fn ways(&self, from: Point) -> Interval {
        let off = self.middle - from;
        let near = |off: f64| (off.abs() - self.half).max(0.0);
        let far = |off: f64| off.abs() + self.half;
        (pt(near(off.x), near(off.y)).length(), pt(far(off.x), far(off.y)).length())
    }

    /// Its place nearest to another.
    fn clamp(&self, place: Point) -> Point {
        let near = |at: f64, middle: f64| at.clamp(middle - self.half, middle + self.half);
        pt(near(place.x, self.middle.x), near(place.y, self.middle.y))
    }

    fn holds(&self, place: Point, near: f64) -> bool {
        let off = place - self.middle;
        off.x.abs().max(off.y.abs()) <= self.half + near
    }

    /// From its middle to a corner.
    fn radius(&self) -> f64 {
        self.half * SQRT_2
    }
}

impl<'a> Squares<'a> {
    /// A search for metal nearer than what was seen: an angle and how far it is.
    pub(super) fn new(round: &'a Neighborhood<'a>, seen: Interval) -> Self {
        let comes_near = |index: &u32| round.offs[*index as usize] < seen.1;
        let mut pieces: Vec<u32> = (0..round.pieces.len() as u32).filter(comes_near).collect();
        without_the_same(&mut pieces, &round.pieces);
        let mut spans = Vec::new();
        if round.clear.is_none() {
            let around = Bounds::of([round.origin]).grown(seen.1);
            round.edge.each_in(&around, |span| spans.push(span as u32));
        }
        Self { round, best: seen, pieces, spans, cover: None }
    }

    /// The nearest metal: an angle and how far it is.
    pub(super) fn nearest(mut self) -> Interval {
        if !self.is_air_all_round() {
            let (pieces, spans) = ((0, self.pieces.len()), (0, self.spans.len()));
            self.look(Square { middle: self.round.origin, half: self.best.1, pieces, spans });
        }
        self.best
    }

    /// Whether a single piece holds all that is nearer than what was seen, or the blank does not come so near.
    fn is_air_all_round(&self) -> bool {
        let (round, way) = (self.round, self.best.1);
        let outside = || !round.clear.unwrap_or_else(|| round.edge.holds(round.origin));
        let mut pieces = self.pieces.iter();
        pieces.any(|index| round.offs[*index as usize] <= -way) || (self.spans.is_empty() && outside())
    }

    /// What counts as the same way as that to the best.
    fn near(&self) -> f64 {
        self.best.1 * HAIR + self.round.sliver
    }

    /// How far round a square what comes by there is known as well: metal is looked for a little to either side of a place.
    fn beside(&self) -> f64 {
        self.best.1 * HAIR + 2.0 * BESIDE_SLIVERS * self.round.sliver
    }

    fn may_be_nearer(&self, square: &Square) -> bool {
        let (nearest, farthest) = square.ways(self.round.origin);
        nearest < self.best.1 - self.near() && farthest > self.round.bare
    }

    fn look(&mut self, square: Square) {
        let smallest = (self.best.1 * SMALLEST).max(self.beside());
        let rims = self.rims(&square, if square.half <= smallest { usize::MAX } else { FEW_RIMS });
        if let Some(rims) = rims {
            if square.holds(self.round.origin, self.near()) {
                self.ask_here(&square, &rims);
            }
            let places = self.places(&square, &rims);
            return self.ask(&square, &places);
        }
        let half = square.half / 2.0;
        let corners = [(-half, -half), (half, -half), (-half, half), (half, half)];
        let mut quarters = corners.map(|(x, y)| Square { middle: square.middle + pt(x, y), half, ..square });
        let way = |quarter: &Square| quarter.ways(self.round.origin).0;
        quarters.sort_by(|a, b| way(a).total_cmp(&way(b)));
        for quarter in quarters {
            if self.may_be_nearer(&quarter) {
                self.look_within(quarter);
            }
        }
    }

    /// Looks at a quarter that has the pieces and spans of the whole.
    fn look_within(&mut self, quarter: Square) {
        let (pieces, spans) = (self.pieces.len(), self.spans.len());
        match self.content(quarter) {
            Content::Nothing => {}
            Content::Metal => {
                let way = quarter.clamp(self.round.origin) - self.round.origin;
                self.best = (way.angle(), way.length());
            }
            Content::Rims(square) => self.look(square),
        }
        self.pieces.truncate(pieces);
        self.spans.truncate(spans);
    }

    /// What a square holds, given what comes through the one that it is a part of; puts on the lists what comes through it.
    fn content(&mut self, square: Square) -> Content {
        let (round, radius) = (self.round, square.radius());
        let (first, near) = ((self.pieces.len(), self.spans.len()), radius + self.beside());
        // A piece that covers one square often covers the next as well.
        if self.cover.is_some_and(|piece| piece.off(square.middle) <= -radius) {
            return Content::Nothing;
        }
        for at in square.pieces.0..square.pieces.1 {
            let index = self.pieces[at];
            let piece = &round.pieces[index as usize];
            let off = piece.off(square.middle);
            if off <= -radius {
                self.cover = Some(piece);
                return Content::Nothing;
            }
            if off < near {
                self.pieces.push(index);
            }
        }
        for at in square.spans.0..square.spans.1 {
            let index = self.spans[at];
            if round.edge.spans()[index as usize].distance(square.middle) <= near {
                self.spans.push(index);
            }
        }
        let (pieces, spans) = ((first.0, self.pieces.len()), (first.1, self.spans.len()));
        let through_edge = spans.0 < spans.1;
        if !through_edge && !round.clear.unwrap_or_else(|| round.edge.holds(square.middle)) {
            return Content::Nothing;
        }
        if !through_edge && pieces.0 == pieces.1 {
            return Content::Metal;
        }
        Content::Rims(Square { pieces, spans, ..square })
    }

    /// The rims that come through a square; `None` for more than `most`.
    fn rims(&self, square: &Square, most: usize) -> Option<Vec<Rim<'a>>> {
        let (round, reach) = (self.round, square.radius() + self.near());
        let comes_through = |rail: &Rail| match *rail {
            Rail::Line { origin, along } => along.cross(square.middle - origin).abs() <= reach,
            Rail::Circle { centre, radius } => (square.middle.distance(centre) - radius).abs() <= reach,
        };
        let mut rims = Vec::new();
        for index in &self.spans[square.spans.0..square.spans.1] {
            let rail = Rail::of(&round.edge.spans()[*index as usize]);
            rims.extend(rail.filter(comes_through).map(|rail| Rim { rail, of: None }));
        }
        for index in &self.pieces[square.pieces.0..square.pieces.1] {
            if rims.len() > most {
                return None;
            }
            let piece = &round.pieces[*index as usize];
            rims.extend(piece.rims().filter(comes_through).map(|rail| Rim { rail, of: Some(piece) }));
        }
        (rims.len() <= most).then_some(rims)
    }

    /// The places in a square at which metal may be nearest, the nearest first.
    fn places(&self, square: &Square, rims: &[Rim<'_>]) -> Vec<(f64, Point)> {
        let (round, near) = (self.round, self.near());
        let nearer =
            |place: &Point| square.holds(*place, near) && round.origin.distance(*place) < self.best.1 - near;
        let mut places = Vec::new();
        for (at, rim) in rims.iter().enumerate() {
            let foot = rim.rail.foot(round.origin).into_iter();
            places.extend(foot.filter(nearer).filter(|place| rim.holds(*place, near)));
            for other in &rims[at + 1..] {
                let meets = rim.rail.meet(&other.rail).filter(nearer);
                places.extend(meets.filter(|place| rim.holds(*place, near) && other.holds(*place, near)));
            }
        }
        let spans = self.spans[square.spans.0..square.spans.1].iter();
        places.extend(spans.map(|span| round.edge.spans()[*span as usize].at(0.0)).filter(nearer));
        let mut places: Vec<(f64, Point)> =
            places.into_iter().map(|place| (round.origin.distance(place), place)).collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        places
    }

    /// Asks places of a square, the nearest first, until one is no nearer than metal found.
    fn ask(&mut self, square: &Square, places: &[(f64, Point)]) {
        for (way, place) in places {
            if *way >= self.best.1 {
                break;
            }
            if self.through(square).any(|piece| piece.off(*place) < -self.round.sliver) {
                continue;
            }
            let thin = self.round.sliver * BESIDE_SLIVERS / way;
            let asides = [BESIDE.max(thin.min(SOME_BESIDE)), thin.min(MOST_BESIDE)];
            self.turn_to(square, (*place - self.round.origin).angle(), asides);
        }
    }

    /// Asks at the station itself, where rims run through it: along them and square to them.
    fn ask_here(&mut self, square: &Square, rims: &[Rim<'_>]) {
        let (origin, near) = (self.round.origin, self.beside());
        for rim in rims.iter().filter(|rim| rim.holds(origin, near)) {
            let foot = rim.rail.foot(origin).filter(|foot| foot.distance(origin) <= near);
            let Some(along) = foot.and_then(|foot| rim.rail.along(foot)) else { continue };
            for quarter in 0..4 {
                self.turn_to(
                    square,
                    along.angle() + f64::from(quarter) * FRAC_PI_2,
                    [SOME_BESIDE, MOST_BESIDE],
                );
            }
        }
    }

    /// Looks for metal of a square beside a direction, so much to either side of it.
    fn turn_to(&mut self, square: &Square, angle: f64, [little, more]: [f64; 2]) {
        for beside in [angle - little, angle + little, angle - more, angle + more] {
            let found = self.metal_toward(square, beside).unwrap_or(f64::INFINITY);
            if found < self.best.1 {
                self.best = (beside, found);
            }
        }
    }

    fn through(&self, square: &Square) -> impl Iterator<Item = &'a Slice> {
        let pieces = &self.round.pieces;
        self.pieces[square.pieces.0..square.pieces.1].iter().map(|index| &pieces[*index as usize])
    }

    /// How far the first metal in a square is in a direction.
    fn metal_toward(&self, square: &Square, angle: f64) -> Option<f64> {
        let (round, within) = (self.round, square.half + self.beside());
        let ray = round.toward(angle);
        let (enter, leave) = ray.in_square(square.middle, within)?;
        let blank =
            if square.spans.0 < square.spans.1 { ray.inside(round.edge) } else { vec![(enter, leave)] };
        let metal = round.left_of(&blank, &ray, self.through(square));
        let seen = metal.into_iter().map(|(from, to)| (from.max(enter).max(0.0), to.min(leave)));
        seen.filter(|(from, to)| to - from > round.sliver).map(|(from, _)| from).next()
    }
}

/// Levels one below the other sweep the same: of pieces along one line the widest is kept.
fn without_the_same(indices: &mut Vec<u32>, pieces: &[Slice]) {
    if indices.len() <= FEW_RIMS {
        return;
    }
    let mut by_line: Vec<([u64; 5], u32)> =
        indices.iter().map(|index| (line(&pieces[*index as usize]), *index)).collect();
    by_line.sort_unstable();
    indices.clear();
    for same in by_line.chunk_by(|a, b| a.0 == b.0) {
        let first = indices.len();
        for (_, index) in same {
            let [start, end] = pieces[*index as usize].radii();
            let holds = |kept: &u32| {
                let kept = pieces[*kept as usize].radii();
                kept[0] >= start && kept[1] >= end
            };
            if !indices[first..].iter().any(holds) {
                indices.push(*index);
            }
        }
    }
}

/// What tells the line along which a piece is swept from another.
fn line(piece: &Slice) -> [u64; 5] {
    let numbers = match *piece {
        Slice::Capsule { from, to, .. } => [from.x, from.y, to.x, to.y, f64::NAN],
        Slice::Band { arc, .. } => [arc.centre.x, arc.centre.y, arc.from, arc.sweep, arc.radius],
    };
    numbers.map(f64::to_bits)
}
