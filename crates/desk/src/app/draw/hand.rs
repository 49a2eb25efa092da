//! What is in hand while a path is drawn: the tool, what is typed, what is dragged.

use blockwright_core::geometry::Point;
use blockwright_core::sketch::{Held, Hit};
use blockwright_core::typed;
use blockwright_core::units::Told;

use super::field;

/// What a click on the canvas does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tool {
    /// Picks and moves.
    Pick,
    /// Draws a line.
    Line,
    /// Draws an arc through a point on it to its end.
    Through,
    /// Draws an arc that runs on from the last span.
    On,
    /// Draws an arc with a typed bulge.
    Bulge,
}

impl Tool {
    pub(super) const ALL: [Self; 5] = [Self::Pick, Self::Line, Self::Through, Self::On, Self::Bulge];

    pub(super) const fn draws(self) -> bool {
        !matches!(self, Self::Pick)
    }
}

/// What the panel beside the canvas shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Path,
    Measured,
    Picture,
}

/// What is typed for the span being drawn; empty follows the pointer.
#[derive(Debug, Default)]
pub(super) struct Typed {
    pub(super) length: String,
    pub(super) angle: String,
}

impl Typed {
    pub(super) fn held(&self, units: Told) -> Held {
        Held { length: field::parse(&self.length, units), angle: typed::number(&self.angle).ok() }
    }
}

/// A vertex or a span being dragged.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drag {
    pub(super) hit: Hit,
    /// Where it was taken hold of.
    pub(super) from: Point,
}
