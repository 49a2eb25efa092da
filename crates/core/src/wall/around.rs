//! Swept pieces found by the direction in which they lie from a place.

use std::f64::consts::{PI, TAU};

use super::slice::Slice;
use crate::geometry::{Interval, Point};

/// Parts that the whole turn is divided into.
const SECTORS: usize = 64;
/// So many pieces are looked at in every direction.
const FEW: usize = 24;
/// A piece counts as lying this much farther round than it does, in radians: rounding.
const WIDER: f64 = 1e-9;

/// The pieces round a place, by direction: a ray from there looks only at those that lie its way.
pub(super) struct Around {
    pieces: Vec<Slice>,
    sectors: Vec<Vec<u32>>,
}

impl Around {
    pub(super) fn new(origin: Point, pieces: Vec<Slice>) -> Self {
        if pieces.len() <= FEW {
            return Self { sectors: vec![(0..pieces.len() as u32).collect()], pieces };
        }
        let mut sectors = vec![Vec::new(); SECTORS];
        for (index, piece) in pieces.iter().enumerate() {
            let (from, to) = directions(origin, piece);
            let [first, last] =
                [from - WIDER, to + WIDER].map(|angle| (angle / TAU * SECTORS as f64).floor() as i64);
            // never one sector twice
            for sector in first..=last.min(first + SECTORS as i64 - 1) {
                sectors[sector.rem_euclid(SECTORS as i64) as usize].push(index as u32);
            }
        }
        Self { pieces, sectors }
    }

    /// All pieces.
    pub(super) fn all(&self) -> &[Slice] {
        &self.pieces
    }

    /// The pieces that may lie in a direction, and others.
    pub(super) fn toward(&self, angle: f64) -> impl Iterator<Item = &Slice> {
        let part = angle.rem_euclid(TAU) / TAU;
        let count = self.sectors.len();
        let sector = &self.sectors[((part * count as f64) as usize).min(count - 1)];
        sector.iter().map(|index| &self.pieces[*index as usize])
    }
}

/// Angles between which a piece is seen from a place; the whole turn where it may lie all round.
fn directions(origin: Point, piece: &Slice) -> Interval {
    let whole = (-PI, PI);
    let Slice::Capsule { from, start, to, end } = *piece else { return whole };
    if piece.off(origin) <= 0.0 {
        return whole;
    }
    let seen = |centre: Point, radius: f64| {
        let way = centre - origin;
        (way, (radius / way.length()).clamp(-1.0, 1.0).asin())
    };
    let ((first, first_half), (last, last_half)) = (seen(from, start), seen(to, end));
    // Seen from outside, what is convex lies within half a turn.
    let turn = first.cross(last).atan2(first.dot(last));
    let middle = first.angle();
    let low = (-first_half).min(turn - last_half);
    let high = first_half.max(turn + last_half);
    if high - low < PI { (middle + low, middle + high) } else { whole }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, Ray, pt};
    use crate::testing::Random;

    /// Every piece that a ray meets ahead of it is among those of its direction.
    #[test]
    fn no_piece_that_a_ray_meets_is_left_out() {
        let mut random = Random::new(5);
        for case in 0..200 {
            let mut next = |low: f64, high: f64| random.between(low, high);
            let pieces: Vec<Slice> = (0..FEW as u32 + 6)
                .map(|index| {
                    let (from, to) =
                        (pt(next(-2.0, 2.0), next(-2.0, 2.0)), pt(next(-2.0, 2.0), next(-2.0, 2.0)));
                    let (start, end) = (next(0.0, 0.5), next(0.0, 0.5));
                    if index % 4 == 0 {
                        let arc = Arc::new(from, 0.2 + start, next(-PI, PI), next(-TAU, TAU));
                        return Slice::Band { arc, radius: end };
                    }
                    Slice::Capsule { from, start, to, end }
                })
                .collect();
            let origin = pt(next(-2.0, 2.0), next(-2.0, 2.0));
            let around = Around::new(origin, pieces.clone());
            for step in 0..720 {
                let angle = f64::from(step) * TAU / 720.0 - PI;
                let ray = Ray { origin, along: Point::at_angle(angle) };
                let met = |piece: &&Slice| {
                    let mut found = Vec::new();
                    piece.along(&ray, &mut found);
                    found.iter().any(|(_, to)| *to > 0.0)
                };
                let all = pieces.iter().filter(met).count();
                assert_eq!(around.toward(angle).filter(met).count(), all, "case {case}, angle {angle}");
            }
        }
    }
}
