//! The heights at which passes leave nothing of the blank, as above the finished top of a block that is faced.

use std::sync::OnceLock;

use super::pass::Carried;
use super::slice::{Slice, Within, slice_along};
use super::station::thin;
use super::{Wall, WallPass};
use crate::geometry::{Point, Rail, pt};

/// Of more rims than these it is not said whether all is taken: a limit on work.
const MOST_RIMS: usize = 400;
/// Heights looked at after one pass at most.
const MOST_HEIGHTS: usize = 60;
/// A place lies on a rim within so many times what counts as rounding.
const ON_RIM: f64 = 10.0;

/// For so many passes, the lowest height that is known to be bare, with all above it. Found when first asked for.
#[derive(Debug, Clone, Default)]
pub(super) struct Bare(OnceLock<Vec<f64>>);

/// A line or circle with the piece on whose rim it lies; without one it is the blank's edge.
struct Rim {
    rail: Rail,
    of: Option<usize>,
}

/// What is swept at a height.
struct Covered<'a> {
    wall: &'a Wall<'a>,
    pieces: Vec<Slice>,
}

impl Wall<'_> {
    /// Whether it is known that nothing is left anywhere at a height after the first `passes`. May say no too often,
    /// never yes.
    pub(super) fn is_bare(&self, height: f64, passes: usize) -> bool {
        let bare = self.bare.0.get_or_init(|| self.lowest_bare());
        bare.iter().take(passes + 1).any(|from| *from <= height)
    }

    /// Cutters that are nowhere narrower higher up take at a height what they take below it: where nothing is left,
    /// nothing is left above, nor after further passes. Behind the first other cutter nothing is known.
    fn lowest_bare(&self) -> Vec<f64> {
        let widening = self.passes.iter().take_while(|pass| pass.profile().only_widens()).count();
        (0..=widening).map(|passes| self.lowest_bare_after(passes)).collect()
    }

    fn lowest_bare_after(&self, passes: usize) -> f64 {
        let mut lowest = f64::INFINITY;
        for joint in self.joints_of(passes).into_iter().rev() {
            // At the joint itself both of what meets there would count.
            let height = joint + self.tolerances.height / 2.0;
            if !self.is_all_taken(height, passes) {
                break;
            }
            lowest = height;
        }
        lowest
    }

    /// The heights of the tips of the first `passes`, rising.
    fn joints_of(&self, passes: usize) -> Vec<f64> {
        let tips = self.passes[..passes].iter().flat_map(|pass| pass.tips());
        let mut joints: Vec<f64> = tips.filter(|tip| *tip > self.bottom && *tip < self.top).collect();
        joints.sort_by(f64::total_cmp);
        thin(&mut joints, self.tolerances.height);
        let first = joints.len().saturating_sub(MOST_HEIGHTS);
        joints.split_off(first)
    }

    /// Whether it is sure that nothing is left anywhere at a height after the first `passes`.
    fn is_all_taken(&self, height: f64, passes: usize) -> bool {
        let mut pieces: Vec<Slice> = Vec::new();
        for pass in &self.passes[..passes] {
            pass.slices(height, self.tolerances.follow, &mut pieces);
        }
        let covered = Covered { wall: self, pieces };
        covered.rims().is_some_and(|rims| covered.is_whole(&rims))
    }
}

impl Covered<'_> {
    /// The rims of the pieces and the blank's edge; `None` where there are too many.
    fn rims(&self) -> Option<Vec<Rim>> {
        let edge = self.wall.edge.spans().iter().filter_map(Rail::of).map(|rail| Rim { rail, of: None });
        let mut rims: Vec<Rim> = edge.collect();
        for (at, piece) in self.pieces.iter().enumerate() {
            // Levels one below the other sweep the same.
            if !self.pieces[..at].contains(piece) {
                rims.extend(piece.rims().map(|rail| Rim { rail, of: Some(at) }));
            }
            if rims.len() > MOST_RIMS {
                return None;
            }
        }
        Some(rims)
    }

    /// Whether the pieces take all of the blank. What they left would end at rims and at the edge: it would have a corner
    /// where two of these meet or where the edge has one, or be bounded by whole circles.
    fn is_whole(&self, rims: &[Rim]) -> bool {
        let corners = self.wall.edge.spans().iter().map(|span| span.at(0.0));
        let alone = rims.iter().filter_map(|rim| match rim.rail {
            Rail::Circle { centre, radius } => Some((rim, centre + pt(radius, 0.0))),
            Rail::Line { .. } => None,
        });
        if corners.into_iter().any(|place| self.is_open(place)) {
            return false;
        }
        if alone.into_iter().any(|(rim, place)| self.holds(rim, place) && self.is_open(place)) {
            return false;
        }
        let meets = |(at, rim): (usize, &Rim)| {
            rims[at + 1..].iter().any(|other| {
                let on_both = |place: &Point| self.holds(rim, *place) && self.holds(other, *place);
                rim.rail.meet(&other.rail).filter(on_both).any(|place| self.is_open(place))
            })
        };
        !rims.iter().enumerate().any(meets)
    }

    /// Whether a place of a line or circle lies on the rim itself.
    fn holds(&self, rim: &Rim, place: Point) -> bool {
        rim.of.is_none_or(|piece| self.pieces[piece].off(place).abs() <= self.wall.tolerances.sliver * ON_RIM)
    }

    /// Whether a place belongs to the blank and no piece takes it with all round it.
    fn is_open(&self, place: Point) -> bool {
        let sliver = self.wall.tolerances.sliver;
        let taken = self.pieces.iter().any(|piece| piece.off(place) < -sliver);
        let edge = self.wall.edge;
        !taken && (edge.distance(place) <= sliver * ON_RIM || edge.holds(place))
    }
}

impl WallPass {
    /// Heights of the tip at the ends of the motions.
    fn tips(&self) -> impl Iterator<Item = f64> {
        self.motions.iter().flat_map(|carried| [carried.motion.start.z, carried.motion.end.z])
    }

    /// Adds all that is swept at a height, as long as it is not too much.
    fn slices(&self, height: f64, follow: f64, found: &mut Vec<Slice>) {
        for Carried { plan, motion } in &self.motions {
            if found.len() > MOST_RIMS {
                return;
            }
            let profile = self.profile();
            slice_along((plan, motion), profile, height, follow, Within::Anywhere, |piece, _| {
                found.push(piece);
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, Path};
    use crate::testing::Random;
    use crate::units::Units;
    use crate::wall::WallTolerances;

    /// A blank of 4 by 3 with a rounded end.
    fn edge() -> Path {
        let corners = [(pt(0.0, 0.0), 0.0), (pt(4.0, 0.0), 1.0), (pt(4.0, 3.0), 0.0), (pt(0.0, 3.0), 0.0)];
        Path::closed(&corners).expect("a path")
    }

    fn is_whole(edge: &Path, pieces: Vec<Slice>) -> bool {
        let wall = Wall::new((edge, edge), (-1.0, 0.0), Vec::new(), WallTolerances::for_units(Units::Inch));
        let covered = Covered { wall: &wall, pieces };
        covered.rims().is_some_and(|rims| covered.is_whole(&rims))
    }

    fn line(from: Point, to: Point, radius: f64) -> Slice {
        Slice::Capsule { from, start: radius, to, end: radius }
    }

    /// Rows over all of the blank, so far apart.
    fn rows(apart: f64, radius: f64) -> Vec<Slice> {
        let count = (3.0 / apart).ceil() as u32;
        let at = |row: u32| f64::from(row) * apart;
        (0..=count).map(|row| line(pt(-0.5, at(row)), pt(6.5, at(row)), radius)).collect()
    }

    #[test]
    fn rows_take_all_as_long_as_they_overlap() {
        for (apart, whole) in
            [(0.4, true), (0.499, true), (0.499_999, true), (0.501, false), (0.500_001, false)]
        {
            assert_eq!(is_whole(&edge(), rows(apart, 0.25)), whole, "{apart} apart");
        }
    }

    #[test]
    fn what_is_left_between_rows_is_seen_however_small() {
        let mut pieces = rows(0.52, 0.25);
        assert!(!is_whole(&edge(), pieces.clone()));
        // All gaps are taken, the last up to a place beside the round end.
        for row in 0..6 {
            let between = (f64::from(row) + 0.5) * 0.52;
            pieces.push(line(pt(-0.5, between), pt(if row == 2 { 5.3 } else { 6.5 }, between), 0.1));
        }
        assert!(!is_whole(&edge(), pieces.clone()));
        pieces.push(line(pt(5.0, 2.5 * 0.52), pt(6.5, 2.5 * 0.52), 0.1));
        assert!(is_whole(&edge(), pieces));
    }

    #[test]
    fn a_post_inside_a_circle_is_seen() {
        let ring = Slice::Band { arc: Arc::new(pt(2.0, 1.5), 1.0, 0.0, std::f64::consts::TAU), radius: 0.9 };
        let round = [pt(0.0, -0.2), pt(6.0, -0.2), pt(6.0, 3.2), pt(0.0, 3.2), pt(0.0, -0.2)];
        let mut pieces = vec![ring];
        pieces.extend(round.windows(2).map(|pair| line(pair[0], pair[1], 1.35)));
        pieces.push(line(pt(4.3, 0.0), pt(4.3, 3.0), 1.4));
        assert!(!is_whole(&edge(), pieces.clone()));
        pieces.push(line(pt(2.0, 1.5), pt(2.0, 1.5), 0.2));
        assert!(is_whole(&edge(), pieces));
    }

    /// Held against places all over the blank: where one is left, not all is taken; and where not all is, one of the
    /// places close together is left.
    #[test]
    fn it_is_as_many_places_say() {
        let edge = edge();
        let mut random = Random::new(11);
        let mut seen = [0; 2];
        for case in 0..300 {
            let count = 6 + case % 12;
            let mut place = || pt(random.between(0.0, 5.0), random.between(0.0, 3.0));
            let ends: Vec<(Point, Point)> = (0..count).map(|_| (place(), place())).collect();
            let pieces: Vec<Slice> =
                ends.into_iter().map(|(from, to)| line(from, to, random.between(0.4, 1.5))).collect();
            let left =
                (0..120).flat_map(|x| (0..72).map(move |y| pt(f64::from(x) / 20.0, f64::from(y) / 20.0)));
            let mut left = left.filter(|place| edge.holds(*place));
            let some = left.any(|place| pieces.iter().all(|piece| piece.off(place) > 1e-6));
            let whole = is_whole(&edge, pieces);
            assert!(!(some && whole), "case {case}");
            seen[usize::from(whole)] += 1;
        }
        assert!(seen.iter().all(|count| *count > 20), "{seen:?}");
    }
}
