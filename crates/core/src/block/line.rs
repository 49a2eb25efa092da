//! Straight lines that stand for several steps of the path.

use crate::geometry::{Point, Point3};

/// A straight line from where a step began, and the slopes against it, sideways and upwards, that pass all steps so
/// far near enough.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    from: Point3,
    axis: Point,
    reached: f64,
    aside: Slopes,
    up: Slopes,
}

type Slopes = (f64, f64);

impl Line {
    /// The line of one step, in the direction `axis`, that may pass its ends at `within`.
    pub(super) fn new(from: Point3, to: Point3, axis: Point, within: f64) -> Self {
        let reached = from.plan().distance(to.plan());
        let mut line = Self { from, axis, reached, aside: (0.0, 0.0), up: (0.0, 0.0) };
        (line.aside, line.up) = line.slopes(to, reached, within);
        line
    }

    /// The slopes that pass a place at `within`; that far along the line, it lies there.
    fn slopes(&self, to: Point3, along: f64, within: f64) -> (Slopes, Slopes) {
        let (off, rise) = (self.axis.cross(to.plan() - self.from.plan()), to.z - self.from.z);
        let near = |away: f64| ((away - within) / along, (away + within) / along);
        (near(off), near(rise))
    }

    /// Takes a further end onto the line, when a straight line to it passes all ends so far within `within` and in
    /// order, rises or falls as they do, and is level only if they are.
    pub(super) fn takes(&mut self, before: Point3, to: Point3, within: f64) -> bool {
        let way = to.plan() - self.from.plan();
        let along = way.dot(self.axis);
        let (aside, up) = (self.axis.cross(way) / along, (to.z - self.from.z) / along);
        let inside = |slope: f64, slopes: Slopes| slope >= slopes.0 && slope <= slopes.1;
        let turns = (to.z - before.z).total_cmp(&0.0) != (before.z - self.from.z).total_cmp(&0.0);
        if along <= self.reached || turns || !inside(aside, self.aside) || !inside(up, self.up) {
            return false;
        }
        let common = |a: Slopes, b: Slopes| (a.0.max(b.0), a.1.min(b.1));
        let (next_aside, next_up) = self.slopes(to, along, within);
        (self.aside, self.up) = (common(self.aside, next_aside), common(self.up, next_up));
        self.reached = along;
        true
    }
}
