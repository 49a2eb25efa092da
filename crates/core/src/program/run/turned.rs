//! G68 and G51.1: the program's coordinates rotated in plan, or mirrored in X and Y (common practice, no source).

use crate::geometry::{Point, Point3, pt, pt3};
use crate::program::motion::Plane;

/// How the program's coordinates are turned before they are shifted to their place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Turned {
    No,
    /// Rotated in XY about a place of the program, counter-clockwise by an angle of this sine and cosine.
    Rotated {
        centre: Point,
        sine: f64,
        cosine: f64,
    },
    /// Mirrored along X, Y or both, at these places.
    Mirrored([Option<f64>; 2]),
}

impl Turned {
    /// Rotated by degrees. Right angles are exact.
    pub(super) fn rotated(centre: Point, degrees: f64) -> Self {
        let quarters = degrees / 90.0;
        let (sine, cosine) = match quarters.rem_euclid(4.0) {
            0.0 => (0.0, 1.0),
            1.0 => (1.0, 0.0),
            2.0 => (0.0, -1.0),
            3.0 => (-1.0, 0.0),
            _ => degrees.to_radians().sin_cos(),
        };
        Self::Rotated { centre, sine, cosine }
    }

    pub(super) fn is_on(&self) -> bool {
        *self != Self::No
    }

    pub(super) const fn is_rotated(&self) -> bool {
        matches!(self, Self::Rotated { .. })
    }

    /// Whether this axis runs backwards.
    pub(super) fn is_mirrored(&self, axis: usize) -> bool {
        matches!(self, Self::Mirrored(at) if at.get(axis).copied().flatten().is_some())
    }

    /// Whether arcs of a plane turn the other way.
    pub(super) fn flips(&self, plane: Plane) -> bool {
        let [first, second] = axes(plane);
        self.is_mirrored(first) != self.is_mirrored(second)
    }

    /// A coordinate along one axis, mirrored if that is. Not for what is rotated.
    pub(super) fn along(&self, axis: usize, value: f64) -> f64 {
        match self {
            Self::Mirrored(at) => at.get(axis).copied().flatten().map_or(value, |at| 2.0 * at - value),
            _ => value,
        }
    }

    pub(super) fn placed(&self, p: Point3) -> Point3 {
        match self {
            Self::No => p,
            Self::Mirrored(_) => pt3(self.along(0, p.x), self.along(1, p.y), p.z),
            Self::Rotated { centre, .. } => {
                let plan = *centre + self.way(p.plan() - *centre);
                pt3(plan.x, plan.y, p.z)
            }
        }
    }

    /// The other way round: what the program says of a place.
    pub(super) fn read(&self, p: Point3) -> Point3 {
        match *self {
            Self::No | Self::Mirrored(_) => self.placed(p),
            Self::Rotated { centre, sine, cosine } => {
                let back = Self::Rotated { centre, sine: -sine, cosine };
                back.placed(p)
            }
        }
    }

    /// An increment in plan.
    pub(super) fn way(&self, by: Point) -> Point {
        match *self {
            Self::No => by,
            Self::Mirrored(at) => {
                let sign = |at: Option<f64>| if at.is_some() { -1.0 } else { 1.0 };
                pt(by.x * sign(at[0]), by.y * sign(at[1]))
            }
            Self::Rotated { sine, cosine, .. } => {
                pt(by.x * cosine - by.y * sine, by.x * sine + by.y * cosine)
            }
        }
    }

    /// An increment in a plane, as its pair.
    pub(super) fn offset(&self, plane: Plane, by: Point) -> Point {
        match self {
            Self::No => by,
            Self::Rotated { .. } => self.way(by),
            Self::Mirrored(_) => {
                let [first, second] = axes(plane);
                let sign = |axis: usize| if self.is_mirrored(axis) { -1.0 } else { 1.0 };
                pt(by.x * sign(first), by.y * sign(second))
            }
        }
    }
}

/// The axes of a plane's pair, from 0 for X.
const fn axes(plane: Plane) -> [usize; 2] {
    match plane {
        Plane::Xy => [0, 1],
        Plane::Zx => [2, 0],
        Plane::Yz => [1, 2],
    }
}
