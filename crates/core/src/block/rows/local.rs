//! A span as one tile sees it.

use std::ops::Range;

use super::SEAM;
use super::interval::{EMPTY, Interval, cells, common, greater, lesser, root};
use crate::block::field::TILE;
use crate::block::span::{Heading, Span};
use crate::geometry::{Point, Point3, pt};

/// A span in cells, seen from a tile.
#[derive(Debug, Clone)]
pub(in crate::block) struct Local {
    pub(in crate::block) low: Point,
    pub(in crate::block) high: Point,
    pub(in crate::block) axis: Point,
    pub(in crate::block) length: f64,
    pub(in crate::block) radius: f64,
    /// The radius squared.
    pub(in crate::block) square: f64,
    /// One over each part of the axis.
    inverse: Point,
    /// The rows that hold all its columns, in two parts, and the columns of the box round these.
    pub(in crate::block) rows: [Range<usize>; 2],
    pub(in crate::block) columns: Range<usize>,
    /// Valleys at the higher end, if a neighbour takes what lies beyond them.
    pub(super) reached: Option<Lead>,
    /// Valleys at the lower end as the span and as its neighbour below have them.
    pub(super) left: Option<(Lead, Lead)>,
}

impl Local {
    /// A span as a tile sees it: from the centre of the tile's first cell.
    pub(in crate::block) fn new(span: &Span, origin: Point, cell: f64) -> Self {
        let scale = 1.0 / cell;
        let place = |p: Point3| (p.plan() - origin) * scale;
        let (radius, axis) = (span.radius * scale, span.heading.axis);
        let square = radius * radius;
        let bounds = span.bounds();
        let range = |low: f64, high: f64| cells((low * scale - SEAM, high * scale + SEAM));
        let (nearest, farthest) = (bounds.low - origin, bounds.high - origin);
        let rows = range(nearest.y, farthest.y);
        let lead = |heading: &Heading, lead: f64| Lead::new(heading.axis, lead, square);
        let own = &span.heading;
        let (low, high) = (place(span.low), place(span.high));
        let rim = span.below.is_some_and(|below| below.lead.0.min(own.lead.0) >= 1.0);
        Self {
            low,
            high,
            axis,
            length: span.length * scale,
            radius,
            square,
            inverse: pt(1.0 / axis.x, 1.0 / axis.y),
            rows: without(&near(low, high, square, rows), rim.then(|| covered(low, square))),
            columns: range(nearest.x, farthest.x),
            reached: span.above.then(|| lead(own, own.lead.1)),
            left: span.below.as_ref().map(|below| (lead(own, own.lead.0), lead(below, below.lead.0))),
        }
    }

    /// Distance along and off the line of a column's centre.
    #[inline(always)]
    pub(in crate::block) fn place(&self, x: f64, y: f64) -> (f64, f64) {
        let from = pt(x - self.low.x, y - self.low.y);
        (from.dot(self.axis), self.axis.cross(from))
    }

    /// The half of a row of the lower end's disc that lies behind that end.
    #[inline(always)]
    pub(super) fn tail(&self, dy: f64, half: f64) -> Interval {
        let rise = self.axis.y * dy;
        let middle = self.low.x - rise * self.inverse.x;
        let (low, high) = (self.low.x - half, self.low.x + half);
        if self.axis.x > 0.0 {
            (low, lesser(high, middle))
        } else if self.axis.x < 0.0 {
            (greater(low, middle), high)
        } else if rise <= 0.0 {
            (low, high)
        } else {
            EMPTY
        }
    }

    /// Where a row crosses the straight part between the two end discs; `dy` is its height over the lower end.
    #[inline(always)]
    pub(super) fn band(&self, dy: f64) -> Interval {
        let Point { x: ux, y: uy } = self.axis;
        let along = within(self.inverse.x, dy * uy, 0.0, self.length);
        let off = within(-self.inverse.y, dy * ux, -self.radius, self.radius);
        let (from, to) = common(along, off);
        (from + self.low.x, to + self.low.x)
    }
}

/// Those of some rows that a disc carried from one place to another comes to within the tile.
fn near(low: Point, high: Point, square: f64, rows: Range<usize>) -> Range<usize> {
    let (left, right) = (lesser(low.x, high.x), greater(low.x, high.x));
    let gap = greater(greater(left - (TILE - 1) as f64, -right), 0.0);
    let half = greater(square - gap * gap, 0.0).sqrt() + SEAM;
    let near = cells((lesser(low.y, high.y) - half, greater(low.y, high.y) + half));
    rows.start.max(near.start)..rows.end.min(near.end)
}

/// The rows of the tile that lie in a disc from end to end.
fn covered(centre: Point, square: f64) -> Range<usize> {
    let far = greater(centre.x.abs(), ((TILE - 1) as f64 - centre.x).abs());
    let half = greater(square - far * far, 0.0).sqrt() - SEAM;
    if half > 0.0 { cells((centre.y - half, centre.y + half)) } else { 0..0 }
}

/// Rows without some in their midst.
fn without(rows: &Range<usize>, less: Option<Range<usize>>) -> [Range<usize>; 2] {
    let less = less.filter(|less| less.start < less.end).unwrap_or(rows.end..rows.end);
    let first = rows.start..rows.end.min(less.start.max(rows.start));
    [first, rows.start.max(less.end)..rows.end]
}

/// The x for which `low <= x / inverse + constant <= high`.
#[inline(always)]
fn within(inverse: f64, constant: f64, low: f64, high: f64) -> Interval {
    if inverse.is_infinite() {
        let inside = constant >= low && constant <= high;
        return if inside { (f64::NEG_INFINITY, f64::INFINITY) } else { EMPTY };
    }
    let (a, b) = ((low - constant) * inverse, (high - constant) * inverse);
    (lesser(a, b), greater(a, b))
}

/// The curve of valleys at one end of a span: half an ellipse, `part` as long as it is wide.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lead {
    axis: Point,
    pub(super) part: f64,
    /// Of the ellipse `along^2 + lead^2 off^2 = lead^2 R^2`, as a quadratic along a row.
    a: f64,
    inverse: f64,
    b: f64,
    c: f64,
    limit: f64,
}

impl Lead {
    fn new(axis: Point, lead: f64, square: f64) -> Self {
        let kk = lead * lead;
        let a = axis.x * axis.x + kk * axis.y * axis.y;
        let b = axis.x * axis.y * (1.0 - kk);
        Self {
            axis,
            part: lead,
            a,
            inverse: 1.0 / a,
            b,
            c: axis.y * axis.y + kk * axis.x * axis.x,
            limit: kk * square,
        }
    }

    /// Where a row of the disc round an end lies behind the curve, from that end; the disc's own part of the row is
    /// `half` to either side, `dy` the row's height over the end. The region is half a disc and half an ellipse, so
    /// convex.
    #[inline(always)]
    pub(super) fn behind(&self, dy: f64, half: f64) -> Interval {
        let rise = self.axis.y * dy;
        let (low_behind, high_behind) = (rise <= self.axis.x * half, rise + self.axis.x * half <= 0.0);
        let b = self.b * dy;
        let square = b * b - self.a * (self.c * dy * dy - self.limit);
        let root = root(square);
        let low = if low_behind { -half } else { -(b + root) * self.inverse };
        let high = if high_behind { half } else { (root - b) * self.inverse };
        // No lazy operators: each would be a branch.
        let some = (low_behind | high_behind | ((square >= 0.0) & (self.part > 0.0))) & (half >= 0.0);
        (if some { low } else { EMPTY.0 }, if some { high } else { EMPTY.1 })
    }
}
