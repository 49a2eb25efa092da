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
//! - any form that stays level is lowest where it is nearest: lead 0;
//! - any other form on a slope: lead somewhere between 0 and 1, so that the span looks at more columns than it
//!   keeps, and tells by the slope of the form at its ends which ones.
//!
//! The columns behind that curve at a span's lower end belong to the neighbour below.

use std::f64::consts::SQRT_2;

use crate::geometry::{Bounds, Point, Point3, pt};

/// A straight span, from its lower to its higher end; a level one in the direction of travel.
#[derive(Debug, Clone)]
pub(super) struct Span {
    pub(super) low: Point3,
    pub(super) high: Point3,
    pub(super) heading: Heading,
    /// Length in plan, above 0.
    pub(super) length: f64,
    /// Of the neighbour that takes the columns behind the lower end.
    pub(super) below: Option<Heading>,
    /// Whether a neighbour takes the columns before the higher end.
    pub(super) above: bool,
    /// Radius of the cutter.
    pub(super) radius: f64,
    pub(super) groups: Groups,
    /// Whether it is a rapid's, whose cutter is taken a little narrower.
    pub(super) rapid: bool,
}

/// Where a span leads, from its lower to its higher end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heading {
    /// In plan, of length 1.
    pub(super) axis: Point,
    /// Rise for a length of 1 in plan, not below 0.
    pub(super) climb: f64,
    /// How far ahead of the axis its valleys lie at least and at most, as a part of the half chord.
    pub(super) lead: (f64, f64),
}

/// The motions that one span stands for, in groups that are counted together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Groups {
    /// The first group's place in the batch's count.
    pub(super) first: u32,
    /// How many groups.
    pub(super) count: u32,
    /// Where their marks begin, one more than there are groups; only when there are several.
    pub(super) marks: u32,
    /// Whether the last of them lies at the span's lower end.
    pub(super) backwards: bool,
    /// Groups a cell, when all are as long as each other but for the last; else 0.
    pub(super) even: f32,
}

impl Span {
    /// How far its columns lie behind the lower and before the higher end.
    fn beyond(&self) -> (f64, f64) {
        let aside = |below: Heading| self.radius * below.axis.cross(self.heading.axis).abs();
        let behind = self.below.map_or(self.radius, aside);
        (behind, if self.above { self.radius * self.heading.lead.1 } else { self.radius })
    }

    /// The box in plan round the columns it looks at.
    pub(super) fn bounds(&self) -> Bounds {
        let (behind, before) = self.beyond();
        let axis = self.heading.axis;
        let ends = [self.low.plan() - axis * behind, self.high.plan() + axis * before];
        let aside = pt(axis.y.abs(), axis.x.abs()) * self.radius;
        Bounds::of(ends.into_iter().flat_map(|end| [end - aside, end + aside]))
    }

    /// Whether a square of this half side round `p` may hold a column with a valley on it. May say yes too often,
    /// never no.
    pub(super) fn may_reach(&self, p: Point, half: f64) -> bool {
        let from = p - self.low.plan();
        let (along, off) = (from.dot(self.heading.axis), self.heading.axis.cross(from));
        let (behind, before) = self.beyond();
        let reach = half * SQRT_2;
        let beyond = along - along.clamp(0.0, self.length);
        let near = off * off + beyond * beyond <= (self.radius + reach) * (self.radius + reach);
        near && along >= -behind - reach && along <= self.length + before + reach && !self.leaves(from, half)
    }

    /// Whether the neighbour below takes all of a square: what it takes is convex, so its corners tell.
    fn leaves(&self, from: Point, half: f64) -> bool {
        let Some(below) = self.below else { return false };
        let square = self.radius * self.radius;
        let behind = |heading: Heading, p: Point| {
            let off = heading.axis.cross(p);
            let ahead = heading.lead.0 * (square - off * off).max(0.0).sqrt();
            p.dot(p) < square && p.dot(heading.axis) < ahead
        };
        let corners = [pt(-half, -half), pt(half, -half), pt(-half, half), pt(half, half)];
        corners.into_iter().all(|corner| behind(self.heading, from + corner) && behind(below, from + corner))
    }
}
