//! What a form that is neither flat nor ball takes from a column as it is carried up or down a straight slope.

use super::cutter::{Lobe, hypotenuse};
use super::rows::Local;
use super::span::{Heading, Span};
use crate::geometry::{Point, pt};

/// A lobe carried along a sloping span. Lengths are in the block's unit.
///
/// Seen from the axis, a column comes from ahead and goes by: with `w` the distance that it is ahead, the underside
/// over it stands at `underside(hypot(off, w)) - climb * w` over the height that the span has beside the column. The
/// underside does not fall outwards, so the least of that is never where the column is behind, but at the very end.
///
/// Where neighbours share the columns, each takes those over which the underside is lowest on it. A hollow form comes
/// down once and rises once, so that its slope at the ends alone says which these are.
#[derive(Debug)]
pub(super) struct Valley<'a> {
    lobe: &'a Lobe,
    local: &'a Local,
    cell: f64,
    z: f64,
    length: f64,
    heading: Heading,
    /// The neighbours with which it shares the columns.
    below: Option<Heading>,
    above: bool,
}

/// So near to an end of the span, as a part of its length, counts as at it.
const AT_END: f64 = 1e-9;
/// Taken by a neighbour: nothing below an infinite height.
const NOTHING: (f64, f64, f64) = (f64::INFINITY, f64::INFINITY, 0.0);

impl<'a> Valley<'a> {
    pub(super) fn new(span: &Span, lobe: &'a Lobe, local: &'a Local, cell: f64) -> Self {
        Self {
            lobe,
            local,
            cell,
            z: span.low.z,
            length: span.length,
            heading: span.heading,
            below: span.below,
            above: span.above,
        }
    }

    /// What goes from a column, by its cell in the tile: from what height, up to what height, and where on the span,
    /// in cells.
    pub(super) fn reach(&self, x: f64, y: f64) -> (f64, f64, f64) {
        let column = pt(x, y);
        let (goes_on, came_down) = (self.goes_on(column), self.came_down(column));
        if self.lobe.is_hollow() && (goes_on || came_down) {
            return NOTHING;
        }
        let (along, off) = self.local.place(x, y);
        let (along, off) = (along * self.cell, off.abs() * self.cell);
        let radius = self.lobe.radius();
        let half = (radius * radius - off * off).max(0.0).sqrt();
        let ahead = ((along - self.length).max(-half), along.min(half));
        if ahead.0 > ahead.1 {
            return NOTHING;
        }
        let (low, at) = self.lowest(off, ahead);
        let end = self.length * AT_END;
        if (goes_on && along - at >= self.length - end) || (came_down && along - at <= end) {
            return NOTHING;
        }
        let beside = self.z + self.heading.climb * along;
        (beside + low, beside + self.highest(off, ahead), (along - at) / self.cell)
    }

    /// Whether the underside comes down on a column until the span's higher end, where a neighbour goes on.
    fn goes_on(&self, column: Point) -> bool {
        let from = column - self.local.high;
        self.above && self.is_under(from) && self.rise(from, self.heading.axis) > self.heading.climb
    }

    /// Whether the underside only rises from a column at the span's lower end, and before it came down on it or rose
    /// already: `goes_on` of the neighbour below is false.
    fn came_down(&self, column: Point) -> bool {
        let from = column - self.local.low;
        let Some(below) = self.below.filter(|_| self.is_under(from)) else { return false };
        let kept = if below.climb > 0.0 {
            self.rise(from, below.axis) <= below.climb
        } else {
            from.dot(below.axis) <= 0.0
        };
        kept && self.rise(from, self.heading.axis) < self.heading.climb
    }

    fn is_under(&self, from: Point) -> bool {
        from.dot(from) <= self.local.square
    }

    /// How fast the underside over a column falls as the tool goes toward it in a direction; `from` is the column
    /// seen from the axis, in cells.
    fn rise(&self, from: Point, axis: Point) -> f64 {
        let away = from.dot(from).sqrt();
        let ahead = from.dot(axis);
        if ahead <= 0.0 { 0.0 } else { self.lobe.slope(away * self.cell) * ahead / away }
    }

    /// The least height of the underside over a column, and how far ahead the column is then.
    fn lowest(&self, off: f64, (from, to): (f64, f64)) -> (f64, f64) {
        let climb = self.heading.climb;
        let at_end = (self.lobe.underside(hypotenuse(off, to).min(self.lobe.radius())) - climb * to, to);
        if to <= 0.0 {
            return at_end;
        }
        let range = (from.max(0.0), to);
        let dips = self.lobe.underside_edges().iter().filter_map(|edge| edge.lowest(climb, off, range));
        dips.fold(at_end, |best, dip| if dip.0 < best.0 { dip } else { best })
    }

    /// The greatest height of the roof over a column.
    fn highest(&self, off: f64, (from, to): (f64, f64)) -> f64 {
        if !self.lobe.has_roof() || hypotenuse(off, 0.0_f64.clamp(from, to)) <= self.lobe.open() {
            return f64::INFINITY;
        }
        let climb = self.heading.climb;
        let edges = self.lobe.roof_edges().iter();
        edges.filter_map(|edge| edge.highest(climb, off, (from, to))).fold(f64::NEG_INFINITY, f64::max)
    }
}
