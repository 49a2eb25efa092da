//! How low a span's cutter can come over a column, quickly told.

use super::cutter::{Lobe, Shape};
use super::rows::{Local, between, root};
use super::span::Span;

/// Heights below which a span's cutter cannot come.
#[derive(Debug, Clone, Copy)]
pub(super) struct Floor<'a> {
    pub(super) z: f64,
    /// Whether that is all there is to say.
    pub(super) level: bool,
    /// Rise for a cell, and length and radius in cells.
    climb: f64,
    length: f64,
    radius: f64,
    lobe: &'a Lobe,
    cell: f64,
    /// Height over the half chord, of a ball's envelope on the slope.
    steep: f64,
}

impl<'a> Floor<'a> {
    pub(super) fn new(span: &Span, local: &Local, lobe: &'a Lobe, cell: f64) -> Self {
        Self {
            z: span.low.z,
            level: lobe.kind() == Shape::Flat,
            climb: span.heading.climb * cell,
            length: local.length,
            radius: local.radius,
            lobe,
            cell,
            steep: cell * span.heading.climb.hypot(1.0),
        }
    }

    /// How much it rises from a column of a row to the next, when one is a cell farther along a span by `along`.
    #[inline(always)]
    pub(super) fn rise(&self, along: f64) -> f32 {
        if self.lobe.kind() == Shape::Ball { (self.climb * along) as f32 } else { 0.0 }
    }

    /// For columns at least so many cells along the span and off its line.
    #[inline(always)]
    pub(super) fn under(&self, along: f64, off: f64) -> f32 {
        if self.lobe.kind() == Shape::Ball {
            let half = root(self.radius * self.radius - off * off);
            return (self.z + self.lobe.radius() + self.climb * along - self.steep * half) as f32;
        }
        let z = self.z + self.climb * between(along - self.radius, 0.0, self.length);
        (z + self.lobe.underside((off * self.cell).min(self.lobe.radius()))) as f32
    }
}
