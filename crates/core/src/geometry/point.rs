//! Points and vectors in plan and in space.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a vector in plan, in the unit of its owner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Away from the operator.
    pub y: f64,
}

/// Shorthand for [`Point`].
pub const fn pt(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    /// Length as a vector.
    pub fn length(self) -> f64 {
        // Lengths here are those of a block: `hypot` guards against what does not come up and takes several times as long.
        let square = self.dot(self);
        if square.is_normal() { square.sqrt() } else { self.x.hypot(self.y) }
    }

    /// Distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Z of the vector product: positive when `other` lies to the left of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The vector turned a quarter counter-clockwise.
    #[must_use]
    pub const fn left(self) -> Self {
        pt(-self.y, self.x)
    }

    /// The vector turned a quarter clockwise.
    #[must_use]
    pub const fn right(self) -> Self {
        pt(self.y, -self.x)
    }

    /// The vector of length 1 in this direction; `None` for a vector too short to have one.
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > f64::MIN_POSITIVE).then(|| self * (1.0 / length))
    }

    /// The unit vector at `angle` radians from X, counter-clockwise.
    pub fn at_angle(angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        pt(cos, sin)
    }

    /// Angle from X in radians, counter-clockwise, from -pi to pi.
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }

    /// The point turned about the origin by `angle` radians, counter-clockwise.
    #[must_use]
    pub fn turned(self, angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        pt(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }

    /// The point a part `t` of the way to `other`.
    #[must_use]
    pub fn toward(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        pt(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        pt(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        pt(self.x * by, self.y * by)
    }
}

impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        pt(-self.x, -self.y)
    }
}

/// A point in space: X and Y in plan, Z up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point3 {
    /// To the right.
    pub x: f64,
    /// Away from the operator.
    pub y: f64,
    /// Up.
    pub z: f64,
}

/// Shorthand for [`Point3`].
pub const fn pt3(x: f64, y: f64, z: f64) -> Point3 {
    Point3 { x, y, z }
}

impl Point3 {
    /// The point in plan.
    pub const fn plan(self) -> Point {
        pt(self.x, self.y)
    }

    /// Distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y).hypot(self.z - other.z)
    }

    /// The point a part `t` of the way to `other`.
    #[must_use]
    pub fn toward(self, other: Self, t: f64) -> Self {
        pt3(self.x + (other.x - self.x) * t, self.y + (other.y - self.y) * t, self.z + (other.z - self.z) * t)
    }
}
