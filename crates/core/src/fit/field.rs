//! Distance to the border of a region of straight sides, found fast.

use super::tree::{Tree, square_off};
use crate::geometry::{Bounds, Path, Point};

/// Directions about a place in each of which its nearest border is looked at.
const SECTORS: usize = 16;
/// Sides of a convex region that are looked at all round from a place inside.
const AROUND: usize = 12;
/// A step past a border, as a part of the length that matters.
const HAIR: f64 = 1e-6;

/// What a place is nearest to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    /// Distance to the border, positive inside.
    pub(super) depth: f64,
    /// The nearest point of the border.
    pub(super) foot: Point,
    /// How far along its side the foot lies from the nearer end.
    pub(super) clear: f64,
    /// The side.
    pub(super) side: usize,
}

/// A region of straight sides.
#[derive(Debug)]
pub(super) struct Field {
    pub(super) corners: Vec<Point>,
    /// 1 when the path ran counter-clockwise, else -1.
    pub(super) sense: f64,
    /// Which corners turn the other way: from there the region opens.
    inner: Vec<bool>,
    convex: bool,
    tree: Tree,
}

impl Field {
    /// Follows the path by chords within `follow`, counter-clockwise.
    pub(super) fn new(path: &Path, follow: f64) -> Self {
        let mut corners = path.points(follow);
        let doubled: f64 =
            (0..corners.len()).map(|i| corners[i].cross(corners[(i + 1) % corners.len()])).sum();
        if doubled < 0.0 {
            corners.reverse();
        }
        let count = corners.len();
        let turn = |i: usize| {
            let (a, b, c) = (corners[(i + count - 1) % count], corners[i], corners[(i + 1) % count]);
            (b - a).cross(c - b)
        };
        let inner: Vec<bool> = (0..count).map(|index| turn(index) < 0.0).collect();
        let convex = inner.iter().all(|inner| !inner);
        let tree = Tree::new(&corners);
        Self { corners, sense: doubled.signum(), inner, convex, tree }
    }

    fn side(&self, index: usize) -> (Point, Point) {
        (self.corners[index], self.corners[(index + 1) % self.corners.len()])
    }

    /// What `p` is nearest to.
    pub(super) fn near(&self, p: Point) -> Near {
        self.near_from(p, 0)
    }

    /// The same, sooner where a side is known that is not far.
    pub(super) fn near_from(&self, p: Point, side: usize) -> Near {
        let (part, off) = nearest(self.side(side), p);
        let mut best = (off, side, part);
        self.tree.search(
            &mut best,
            |best, bounds| Some(square_off(bounds, p)).filter(|off| *off < best.0),
            |best, side| {
                let (part, off) = nearest(self.side(side), p);
                if off < best.0 {
                    *best = (off, side, part);
                }
                true
            },
        );
        let (off, side, part) = best;
        let (a, b) = self.side(side);
        // Nearest to a corner itself lies what is out there beyond an outer one, or in there before an inner one.
        let inside = if part <= 0.0 {
            self.inner[side]
        } else if part >= 1.0 {
            self.inner[(side + 1) % self.corners.len()]
        } else {
            (b - a).cross(p - a) > 0.0
        };
        let distance = off.sqrt();
        Near {
            depth: if inside { distance } else { -distance },
            foot: a.toward(b, part),
            clear: part.min(1.0 - part) * a.distance(b),
            side,
        }
    }

    /// The borders about `p`, the nearest first: those within `reach` of it, one for each direction, and some all
    /// round where the region is convex. `from` is a side that is not far.
    pub(super) fn all_near(&self, p: Point, reach: f64, from: usize) -> Vec<Near> {
        let first = self.near_from(p, from);
        let mut found = vec![first];
        // From outside, only the line square to the way to the nearest point is sure to have a convex region behind it.
        if self.convex && first.depth <= 0.0 {
            return found;
        }
        let mut add = |side: usize| {
            let (a, b) = self.side(side);
            let (mut part, _) = nearest((a, b), p);
            if self.convex {
                // The side's whole line bounds a convex region.
                part = (p - a).dot(b - a) / (b - a).dot(b - a);
            }
            let foot = a.toward(b, part);
            if foot.distance(first.foot) > 0.0 {
                let clear = part.min(1.0 - part).max(0.0) * a.distance(b);
                found.push(Near { depth: p.distance(foot).copysign(first.depth), foot, clear, side });
            }
        };
        if !self.convex || self.corners.len() > AROUND {
            self.each_way(p, reach).into_iter().flatten().for_each(|(side, _)| add(side));
        }
        if self.convex {
            let step = self.corners.len().div_ceil(AROUND).max(1);
            (0..self.corners.len()).step_by(step).for_each(add);
        }
        found
    }

    /// The nearest side in each direction about `p`, with the square of its distance, within `reach`.
    fn each_way(&self, p: Point, reach: f64) -> [Option<(usize, f64)>; SECTORS] {
        let mut nearest_in = [None; SECTORS];
        self.tree.search(
            &mut nearest_in,
            |_, bounds| Some(square_off(bounds, p)).filter(|off| *off <= reach * reach),
            |nearest_in: &mut [Option<(usize, f64)>; SECTORS], side| {
                let (a, b) = self.side(side);
                let (part, off) = nearest((a, b), p);
                let kept = &mut nearest_in[sector(a.toward(b, part) - p)];
                if off <= reach * reach && kept.is_none_or(|(_, least)| off < least) {
                    *kept = Some((side, off));
                }
                true
            },
        );
        nearest_in
    }

    /// How far the border within `reach` of `centre` lies on the wrong side of the line through `foot` square to
    /// `normal`, where that is not more than `limit` and what lies beyond is of the other kind; infinite elsewhere.
    /// `inner` when the normal points into the region and the region is meant, else what is not the region is.
    pub(super) fn beyond(
        &self,
        centre: Point,
        reach: f64,
        line: (Point, Point),
        limit: f64,
        inner: bool,
    ) -> f64 {
        // All of a convex region lies on the inner side of any of its sides.
        if inner && self.convex {
            return 0.0;
        }
        let (foot, normal) = line;
        let over = |p: Point| (foot - p).dot(normal);
        // What of a side lies farther than the reach is cut off roughly: the disc ends there anyway.
        let most = reach - (centre - foot).dot(normal);
        let mut worst = 0.0_f64;
        self.tree.search(
            &mut worst,
            |worst, bounds| {
                let far = corner_against(bounds, normal);
                let near = square_off(bounds, centre) <= reach * reach;
                (near && over(far) > *worst).then(|| -over(far))
            },
            |worst, side| {
                let (a, b) = self.side(side);
                let off = over(a).max(over(b)).min(most);
                if off > *worst && nearest((a, b), centre).1 <= reach * reach {
                    *worst = off;
                }
                *worst <= limit
            },
        );
        if worst > limit {
            return f64::INFINITY;
        }
        // No border there: all of what is left of the disc is of one kind, which one place tells.
        let behind = foot - normal * (worst + limit * HAIR);
        let is_region = self.near(behind).depth > 0.0;
        if is_region == inner { f64::INFINITY } else { worst }
    }
}

/// The corner of a box that lies farthest against a direction.
fn corner_against(bounds: &Bounds, direction: Point) -> Point {
    Point {
        x: if direction.x > 0.0 { bounds.low.x } else { bounds.high.x },
        y: if direction.y > 0.0 { bounds.low.y } else { bounds.high.y },
    }
}

/// Which of the [`SECTORS`] a direction falls into.
fn sector(way: Point) -> usize {
    // Once round the square with its corners on the axes, from 0 to 4: as good as the angle, and sooner found.
    let along = way.x / (way.x.abs() + way.y.abs());
    let round = if way.y >= 0.0 { 1.0 - along } else { 3.0 + along };
    ((round * (SECTORS as f64 / 4.0)) as usize).min(SECTORS - 1)
}

/// Part of the way along a side of its point nearest to `p`, and the square of the distance.
fn nearest((a, b): (Point, Point), p: Point) -> (f64, f64) {
    let along = b - a;
    let square = along.dot(along);
    let part = if square > 0.0 { ((p - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
    // Lengths here are those of a block: nothing that `hypot` guards against.
    let off = p - a.toward(b, part);
    (part, off.dot(off))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ray, pt};

    /// Held against every side looked at by itself, and against crossings counted.
    #[test]
    fn distances_are_those_of_all_sides() {
        let corners: Vec<(Point, f64)> = (0..90)
            .map(|index| {
                let angle = std::f64::consts::TAU * f64::from(index) / 90.0;
                (
                    Point::at_angle(angle) * (2.0 + 0.6 * (5.0 * angle).sin()),
                    [0.0, 0.2, -0.2][index as usize % 3],
                )
            })
            .collect();
        let mut reversed = corners.clone();
        reversed.reverse();
        for corners in [corners, reversed] {
            let path = Path::closed(&corners).expect("closed");
            let field = Field::new(&path, 1e-5);
            for index in 0..3_000_u32 {
                let p = pt(f64::from(index * 7_919 % 3_001), f64::from(index * 104_729 % 2_999)) * 0.002
                    - pt(3.0, 3.0);
                let near = field.near_from(p, index as usize % field.corners.len());
                let distance = (0..field.corners.len()).map(|side| nearest(field.side(side), p).1.sqrt());
                let least = distance.fold(f64::INFINITY, f64::min);
                assert!((near.depth.abs() - least).abs() < 1e-12, "{p:?}");
                assert!((p.distance(near.foot) - least).abs() < 1e-9, "{p:?}");
                let mut crossings = Vec::new();
                Ray { origin: p, along: pt(1.0, 0.0) }.crossings(&path, &mut crossings);
                let inside = crossings.iter().filter(|at| **at > 0.0).count() % 2 == 1;
                assert!(inside == (near.depth > 0.0) || least < 1e-4, "{p:?}: {near:?}");
            }
        }
    }
}
