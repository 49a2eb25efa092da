//! Upright boxes in plan.

use super::{Point, pt};

/// An upright box in plan; empty until something is put in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
}

impl Bounds {
    /// A box with nothing in it.
    pub const EMPTY: Self =
        Self { low: pt(f64::INFINITY, f64::INFINITY), high: pt(f64::NEG_INFINITY, f64::NEG_INFINITY) };

    /// The smallest box round these points.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Self {
        points.into_iter().fold(Self::EMPTY, Self::with)
    }

    /// The box grown to hold `p`.
    #[must_use]
    pub fn with(self, p: Point) -> Self {
        Self {
            low: pt(self.low.x.min(p.x), self.low.y.min(p.y)),
            high: pt(self.high.x.max(p.x), self.high.y.max(p.y)),
        }
    }

    /// The box that holds both.
    #[must_use]
    pub fn join(self, other: Self) -> Self {
        Self {
            low: pt(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: pt(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }

    /// The box grown by `by` on every side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { low: self.low - pt(by, by), high: self.high + pt(by, by) }
    }

    /// Whether nothing has been put in.
    pub fn is_empty(&self) -> bool {
        self.low.x > self.high.x || self.low.y > self.high.y
    }

    /// Width along X; 0 when empty.
    pub fn width(&self) -> f64 {
        (self.high.x - self.low.x).max(0.0)
    }

    /// Height along Y; 0 when empty.
    pub fn height(&self) -> f64 {
        (self.high.y - self.low.y).max(0.0)
    }

    /// The middle.
    pub fn centre(&self) -> Point {
        self.low.toward(self.high, 0.5)
    }

    /// Whether the two boxes share a point.
    pub fn meets(&self, other: &Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }
}
