//! A straight span of the path with its place in a run, and which columns it must look at.
//!
//! A run is a chain of spans, each beginning where the one before it ended. The least height of the tool over a
//! column is the least of its valleys along the path: places where the tool stops coming down on the column and
//! begins to rise from it. So every span needs to visit only the columns that have a valley on it. Over a slope
//! the valley lies where the column is ahead of the axis (on the side of the climb) by `lead * sqrt(R^2 - off^2)`,
//! `off` being the column's distance from the line:
//!
//! - a flat end is lowest over a column where its rim comes over it: lead 1;
//! - a ball climbing at an angle a touches at a from its pole: lead sin a (derived: d/du of
//!   `u tan a - sqrt(R^2 - off^2 - (along - u)^2)` is 0 there);
//! - any form that stays level is lowest where it is nearest: lead 0.
//!
//! The columns behind that curve at a span's lower end belong to the neighbour below.

use std::f64::consts::SQRT_2;

use crate::geometry::{Bounds, Point, Point3, pt};

/// A straight span, from its lower to its higher end; a level one in the direction of travel.
#[derive(Debug, Clone)]
pub(super) struct Span {
    pub(super) low: Point3,
    pub(super) high: Point3,
    /// From low to high in plan, of length 1.
    pub(super) axis: Point,
    /// Length in plan, above 0.
    pub(super) length: f64,
    /// How far ahead of the axis its valleys lie, as a part of the half chord.
    pub(super) lead: f64,
    /// Direction and lead of the neighbour that takes the columns behind the lower end.
    pub(super) below: Option<(Point, f64)>,
    /// Whether a neighbour takes the columns before the higher end.
    pub(super) above: bool,
    /// Radius of the cutter.
    pub(super) radius: f64,
    pub(super) motions: Motions,
    /// Whether it is a rapid's, whose cutter is taken a little narrower.
    pub(super) rapid: bool,
}

/// The motions that one span stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Motions {
    /// The first, counted from the batch's first.
    pub(super) first: u32,
    /// How many.
    pub(super) count: u32,
    /// Where the marks of their ends begin; only when there are several.
    pub(super) marks: u32,
}

impl Span {
    /// How far its columns lie behind the lower and before the higher end.
    fn beyond(&self) -> (f64, f64) {
        let behind = self.below.map_or(self.radius, |(axis, _)| self.radius * axis.cross(self.axis).abs());
        (behind, if self.above { self.radius * self.lead } else { self.radius })
    }

    /// The box in plan round the columns it looks at.
    pub(super) fn bounds(&self) -> Bounds {
        let (behind, before) = self.beyond();
        let ends = [self.low.plan() - self.axis * behind, self.high.plan() + self.axis * before];
        let aside = pt(self.axis.y.abs(), self.axis.x.abs()) * self.radius;
        Bounds::of(ends.into_iter().flat_map(|end| [end - aside, end + aside]))
    }

    /// Whether a square of this half side round `p` may hold a column with a valley on it. May say yes too often,
    /// never no.
    pub(super) fn may_reach(&self, p: Point, half: f64) -> bool {
        let from = p - self.low.plan();
        let (along, off) = (from.dot(self.axis), self.axis.cross(from));
        let (behind, before) = self.beyond();
        let reach = half * SQRT_2;
        let beyond = along - along.clamp(0.0, self.length);
        let near = off * off + beyond * beyond <= (self.radius + reach) * (self.radius + reach);
        near && along >= -behind - reach && along <= self.length + before + reach && !self.leaves(from, half)
    }

    /// Whether the neighbour below takes all of a square: what it takes is convex, so its corners tell.
    fn leaves(&self, from: Point, half: f64) -> bool {
        let Some((axis, lead)) = self.below else { return false };
        let square = self.radius * self.radius;
        let behind = |axis: Point, lead: f64, p: Point| {
            let off = axis.cross(p);
            p.dot(p) < square && p.dot(axis) < lead * (square - off * off).max(0.0).sqrt()
        };
        let corners = [pt(-half, -half), pt(half, -half), pt(-half, half), pt(half, half)];
        corners
            .into_iter()
            .all(|corner| behind(self.axis, self.lead, from + corner) && behind(axis, lead, from + corner))
    }

    /// The span as one tile sees it: in cells, from the centre of the tile's first cell.
    pub(super) fn seen_from(&self, origin: Point, cell: f64) -> Local {
        let scale = 1.0 / cell;
        let place = |p: Point3| (p.plan() - origin) * scale;
        let radius = self.radius * scale;
        let square = radius * radius;
        let bounds = self.bounds();
        let row = |y: f64| (y - origin.y) * scale;
        Local {
            low: place(self.low),
            high: place(self.high),
            axis: self.axis,
            length: self.length * scale,
            square,
            radius,
            inverse: pt(1.0 / self.axis.x, 1.0 / self.axis.y),
            rows: (row(bounds.low.y) - SEAM, row(bounds.high.y) + SEAM),
            own: Lead::new(self.axis, self.lead, square),
            below: self.below.map(|(axis, lead)| Lead::new(axis, lead, square)),
            above: self.above,
        }
    }
}

/// An interval along a row; empty when its ends are the wrong way round.
type Interval = (f64, f64);
const EMPTY: Interval = (f64::INFINITY, f64::NEG_INFINITY);

fn hull(a: Interval, b: Interval) -> Interval {
    (a.0.min(b.0), a.1.max(b.1))
}

fn common(a: Interval, b: Interval) -> Interval {
    (a.0.max(b.0), a.1.min(b.1))
}

/// The curve of valleys at one end of a span: half an ellipse, `part` as long as it is wide.
#[derive(Debug, Clone, Copy)]
struct Lead {
    axis: Point,
    part: f64,
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

    /// Where a row of the disc round `centre` lies behind the curve; `chord` is the disc's own part of the row,
    /// `dy` the row's height over the centre. The region is half a disc and half an ellipse, so convex.
    #[inline]
    fn behind(&self, centre: Point, dy: f64, chord: Interval) -> Interval {
        if self.part >= 1.0 || chord.0 > chord.1 {
            return chord;
        }
        let rise = self.axis.y * dy;
        let low_behind = rise + self.axis.x * (chord.0 - centre.x) <= 0.0;
        let high_behind = rise + self.axis.x * (chord.1 - centre.x) <= 0.0;
        if low_behind && high_behind {
            return chord;
        }
        let b = self.b * dy;
        let square = b * b - self.a * (self.c * dy * dy - self.limit);
        if !low_behind && !high_behind && (square < 0.0 || self.part == 0.0) {
            return EMPTY;
        }
        let root = square.max(0.0).sqrt();
        let low = if low_behind { chord.0 } else { centre.x - (b + root) * self.inverse };
        let high = if high_behind { chord.1 } else { centre.x - (b - root) * self.inverse };
        (low, high)
    }
}

/// A span in cells, seen from a tile.
#[derive(Debug, Clone)]
pub(super) struct Local {
    pub(super) low: Point,
    high: Point,
    pub(super) axis: Point,
    pub(super) length: f64,
    /// The radius squared.
    pub(super) square: f64,
    radius: f64,
    /// One over each part of the axis.
    inverse: Point,
    /// Rows between which all its columns lie.
    pub(super) rows: Interval,
    own: Lead,
    below: Option<Lead>,
    above: bool,
}

/// How far beyond the rim a column's centre may lie and still count as under it, in cells: rounding only.
const RIM: f64 = 1e-9;
/// How much of its columns at the seam a span takes from its neighbour, in cells, so that rounding drops none.
const SEAM: f64 = 1e-6;

impl Local {
    /// How far a row is at least from the span.
    #[inline]
    pub(super) fn gap(&self, y: f64) -> f64 {
        let (low, high) = (self.low.y.min(self.high.y), self.low.y.max(self.high.y));
        (low - y).max(y - high).max(0.0)
    }

    /// The parts of a row with columns that may have a valley on this span; the second lies after the first.
    #[inline]
    pub(super) fn row(&self, y: f64) -> [Interval; 2] {
        let (dy_low, dy_high) = (y - self.low.y, y - self.high.y);
        let low = self.chord(self.low.x, dy_low);
        let high = self.chord(self.high.x, dy_high);
        let (tail, reached) = if self.above {
            (self.tail(dy_low, low), self.own.behind(self.high, dy_high, high))
        } else {
            (low, high)
        };
        let all = hull(hull(tail, self.band(dy_low)), reached);
        let Some(below) = &self.below else { return [(all.0 - RIM, all.1 + RIM), EMPTY] };
        let left = common(self.own.behind(self.low, dy_low, low), below.behind(self.low, dy_low, low));
        if left.0 + SEAM >= left.1 - SEAM {
            return [(all.0 - RIM, all.1 + RIM), EMPTY];
        }
        [(all.0 - RIM, left.0 + SEAM), (left.1 - SEAM, all.1 + RIM)]
    }

    #[inline]
    fn chord(&self, x: f64, dy: f64) -> Interval {
        let square = self.square - dy * dy;
        if square < 0.0 {
            return EMPTY;
        }
        let half = square.sqrt();
        (x - half, x + half)
    }

    /// The half of a row of the lower end's disc that lies behind that end.
    #[inline]
    fn tail(&self, dy: f64, chord: Interval) -> Interval {
        let rise = self.axis.y * dy;
        let middle = self.low.x - rise * self.inverse.x;
        let half = if self.axis.x > 0.0 {
            (chord.0, chord.1.min(middle))
        } else if self.axis.x < 0.0 {
            (chord.0.max(middle), chord.1)
        } else if rise <= 0.0 {
            chord
        } else {
            EMPTY
        };
        if half.0 > half.1 { EMPTY } else { half }
    }

    /// Where a row crosses the straight part between the two end discs; `dy` is its height over the lower end.
    #[inline]
    fn band(&self, dy: f64) -> Interval {
        let Point { x: ux, y: uy } = self.axis;
        let along = within(self.inverse.x, dy * uy, 0.0, self.length);
        let off = within(-self.inverse.y, dy * ux, -self.radius, self.radius);
        let (from, to) = common(along, off);
        if from > to { EMPTY } else { (from + self.low.x, to + self.low.x) }
    }

    /// Distance along and off the line of a column's centre.
    #[inline]
    pub(super) fn place(&self, x: f64, y: f64) -> (f64, f64) {
        let from = pt(x - self.low.x, y - self.low.y);
        (from.dot(self.axis), self.axis.cross(from))
    }
}

/// The x for which `low <= x / inverse + constant <= high`.
#[inline]
fn within(inverse: f64, constant: f64, low: f64, high: f64) -> Interval {
    if inverse.is_infinite() {
        let inside = constant >= low && constant <= high;
        return if inside { (f64::NEG_INFINITY, f64::INFINITY) } else { EMPTY };
    }
    let (a, b) = ((low - constant) * inverse, (high - constant) * inverse);
    (a.min(b), a.max(b))
}
