//! A position of the outline on the blank, and how far it may lie from where it is.

use super::proven_within;
use crate::geometry::{Path, Point, pt};
use crate::units::Units;

/// How much of what is proven is given up for a shorter move.
pub(super) const GIVEN_UP: f64 = 0.02;

/// What the outline may do on the blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// May move along X.
    pub x: bool,
    /// May move along Y.
    pub y: bool,
    /// May turn by this many degrees either way; 0 for not at all.
    pub turn: f64,
    /// May move by this far.
    pub shift: Option<f64>,
}

impl Default for Limits {
    fn default() -> Self {
        Self { x: true, y: true, turn: 180.0, shift: None }
    }
}

/// The best move of the outline on the blank: turned about its centroid, then shifted.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Shift along X.
    pub dx: f64,
    /// Shift along Y.
    pub dy: f64,
    /// Turn about the outline's centroid, degrees counter-clockwise.
    pub turn: f64,
    /// The centroid.
    pub centroid: Point,
    /// The least margin there; negative where the blank is short whatever is done.
    pub least_margin: f64,
    /// No fit within the limits has a greater least margin than this.
    pub bound: f64,
    /// The least margin as the job stands.
    pub present: f64,
    /// Stations at which the least margin is reached, which are what holds the fit.
    pub binding: Vec<f64>,
}

impl Fit {
    /// How much a better fit could still gain at the most.
    pub fn gap(&self) -> f64 {
        (self.bound - self.least_margin).max(0.0)
    }

    /// Whether the search came to its end: no fit within the limits is better by more than it is meant to prove.
    pub fn is_proven(&self, units: Units) -> bool {
        self.gap() <= proven_within(units) * (1.0 + 2.0 * GIVEN_UP)
    }

    /// Whether it is worth moving anything: what it gains is more than the search itself is sure of.
    pub fn gains(&self, units: Units) -> bool {
        self.least_margin - self.present > proven_within(units)
    }

    /// Where it moves a place on the outline.
    pub fn place(&self, p: Point) -> Point {
        self.centroid + (p - self.centroid).turned(self.turn.to_radians()) + pt(self.dx, self.dy)
    }

    /// The outline so moved.
    pub fn moved(&self, outline: &Path) -> Path {
        outline.placed(self.place(Point::default()), self.turn.to_radians())
    }

    /// The edge moved instead, with the outline where it is.
    pub fn edge_moved(&self, edge: &Path) -> Path {
        let [x, y, turn] = self.blank_at(None);
        edge.placed(pt(x, y), turn.to_radians())
    }

    /// The move of the blank that does the same, with the outline where it is: what `at` of the blank becomes, x, y
    /// and turn in degrees, from what it was.
    pub fn blank_at(&self, before: Option<[f64; 3]>) -> [f64; 3] {
        let [x, y, turn] = before.unwrap_or_default();
        let angle = -self.turn.to_radians();
        let at = self.centroid + (pt(x - self.dx, y - self.dy) - self.centroid).turned(angle);
        [at.x, at.y, turn - self.turn]
    }
}
