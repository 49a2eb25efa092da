//! The room a tool takes on one motion, asked column by column.

use std::f64::consts::TAU;

use crate::geometry::{Arc, Bounds, Point, Point3};
use crate::program::{Curve, Motion};
use crate::tool::Form;
use crate::track::plan_bounds;

/// Steps of the search for the lowest point over a helix, and of its refinement.
const HELIX_STEPS: usize = 24;
const REFINE_STEPS: usize = 48;

/// A tool's form carried along one motion (straight, or an arc in the XY plane).
#[derive(Debug, Clone)]
pub struct Sweep {
    start: Point3,
    end: Point3,
    arc: Option<Arc>,
    radius: f64,
    corner: f64,
    bounds: Bounds,
}

impl Sweep {
    /// The room taken by `form` on `motion`, its radius made smaller by `less` (0 for a cut; a little for a rapid,
    /// so that backing off from a face just cut does not count as touching it).
    pub fn new(motion: &Motion, form: &Form, less: f64) -> Self {
        let arc = match motion.curve {
            Curve::Arc { centre, sweep, .. } => {
                let spoke = motion.start.plan() - centre;
                Some(Arc { centre, radius: spoke.length(), from: spoke.angle(), sweep })
            }
            Curve::Straight => None,
        };
        let radius = (form.radius() - less).max(0.0);
        Self {
            start: motion.start,
            end: motion.end,
            arc: arc.filter(|arc| arc.radius > 0.0),
            radius,
            corner: form.corner().min(radius),
            bounds: plan_bounds(motion).grown(radius),
        }
    }

    /// The lowest the tip comes.
    pub fn lowest(&self) -> f64 {
        self.start.z.min(self.end.z)
    }

    /// The box round it in plan.
    pub fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// Whether any of it may lie within `reach` of `p` in plan. May say yes too often, never no.
    pub fn may_reach(&self, p: Point, reach: f64) -> bool {
        match self.arc {
            Some(arc) => (p.distance(arc.centre) - arc.radius).abs() <= self.radius + reach,
            None => self.off_line(p).1.abs() <= self.radius + reach,
        }
    }

    /// The one height of all of it, for a flat end that stays level.
    pub fn level(&self) -> Option<f64> {
        (self.corner == 0.0 && self.start.z == self.end.z).then_some(self.start.z)
    }

    /// Distance along and off the straight motion's line in plan; all of it is off for a plunge.
    fn off_line(&self, p: Point) -> (f64, f64) {
        let from = self.start.plan();
        match (self.end.plan() - from).unit() {
            Some(axis) => ((p - from).dot(axis), axis.cross(p - from)),
            None => (0.0, p.distance(from)),
        }
    }

    /// X intervals of the row at `y` outside which nothing is swept; `exact` when all inside them is.
    pub fn row(&self, y: f64) -> Row {
        match self.arc {
            Some(arc) => self.arc_row(&arc, y),
            None => self.straight_row(y),
        }
    }

    fn straight_row(&self, y: f64) -> Row {
        let (from, to) = (self.start.plan(), self.end.plan());
        let mut span = widest(chord(from, self.radius, y), chord(to, self.radius, y));
        if let Some(axis) = (to - from).unit() {
            let rise = y - from.y;
            let along = solve(axis.x, rise * axis.y, 0.0, from.distance(to));
            let off = solve(-axis.y, rise * axis.x, -self.radius, self.radius);
            let between = (along.0.max(off.0) + from.x, along.1.min(off.1) + from.x);
            span = widest(span, (between.0 <= between.1).then_some(between));
        }
        Row { spans: [span, None], exact: true }
    }

    fn arc_row(&self, arc: &Arc, y: f64) -> Row {
        let Some(outer) = chord(arc.centre, arc.radius + self.radius, y) else {
            return Row { spans: [None, None], exact: false };
        };
        let outer = (outer.0.max(self.bounds.low.x), outer.1.min(self.bounds.high.x));
        let inner = (arc.radius > self.radius)
            .then(|| chord(arc.centre, (arc.radius - self.radius) * (1.0 - 1e-12), y))
            .flatten();
        let spans = match inner {
            Some(inner) => [Some((outer.0, inner.0.min(outer.1))), Some((inner.1.max(outer.0), outer.1))],
            None => [Some(outer), None],
        };
        Row { spans, exact: false }
    }

    /// The lowest height the tool reaches over a point in plan; `None` where it never comes.
    pub fn lowest_at(&self, p: Point) -> Option<f64> {
        match self.arc {
            Some(arc) if self.start.z == self.end.z => {
                Some(self.start.z + self.profile(self.off_arc(&arc, p))?)
            }
            Some(arc) => self.lowest_on_helix(&arc, p),
            None => self.lowest_on_line(p),
        }
    }

    fn off_arc(&self, arc: &Arc, p: Point) -> f64 {
        let spoke = p - arc.centre;
        if arc.covers(spoke.angle()) {
            (spoke.length() - arc.radius).abs()
        } else {
            p.distance(self.start.plan()).min(p.distance(self.end.plan()))
        }
    }

    fn lowest_on_line(&self, p: Point) -> Option<f64> {
        let (along, off) = self.off_line(p);
        let length = self.start.plan().distance(self.end.plan());
        if length == 0.0 {
            return Some(self.start.z.min(self.end.z) + self.profile(off)?);
        }
        let square = self.radius * self.radius - off * off;
        if square < 0.0 {
            return None;
        }
        // Places of the axis, measured from the foot of p, from which the tool covers p.
        let (low, high) = ((-along).max(-square.sqrt()), (length - along).min(square.sqrt()));
        if low > high {
            return None;
        }
        let slope = (self.end.z - self.start.z) / length;
        let foot = self.start.z + slope * along;
        let height = |u: f64| foot + slope * u + self.profile(off.hypot(u)).unwrap_or(self.corner);
        Some(height(self.lowest_place(slope, off, low, high)))
    }

    /// Where along the line the height over a point is least, between `low` and `high`.
    fn lowest_place(&self, slope: f64, off: f64, low: f64, high: f64) -> f64 {
        if slope == 0.0 {
            return 0.0_f64.clamp(low, high);
        }
        if self.corner == 0.0 {
            return if slope > 0.0 { low } else { high };
        }
        if self.corner >= self.radius {
            // Ball: the envelope's place, from d/du [slope u - sqrt(rho^2 - u^2)] = 0.
            let rho = (self.radius * self.radius - off * off).max(0.0).sqrt();
            return (-slope * rho / slope.hypot(1.0)).clamp(low, high);
        }
        let height = |u: f64| slope * u + self.profile(off.hypot(u)).unwrap_or(self.corner);
        least_between(height, low, high)
    }

    fn lowest_on_helix(&self, arc: &Arc, p: Point) -> Option<f64> {
        let spoke = p - arc.centre;
        let height = |part: f64| {
            let z = self.start.z + (self.end.z - self.start.z) * part;
            self.profile(arc.at(part).distance(p)).map(|profile| z + profile)
        };
        let mut best: Option<f64> = None;
        let mut offer = |found: Option<f64>| {
            if let Some(z) = found {
                best = Some(best.map_or(z, |least: f64| least.min(z)));
            }
        };
        offer(height(0.0));
        offer(height(1.0));
        for (low, high) in self.covering_parts(arc, spoke) {
            let step = (high - low) / HELIX_STEPS as f64;
            let value = |part: f64| height(part).unwrap_or(f64::INFINITY);
            let at = |index: usize| low + step * index as f64;
            let lowest = (0..=HELIX_STEPS).min_by(|a, b| value(at(*a)).total_cmp(&value(at(*b))));
            if let Some(index) = lowest {
                let near =
                    least_between(value, at(index.saturating_sub(1)), at((index + 1).min(HELIX_STEPS)));
                offer(height(near));
                offer(height(at(index)));
            }
        }
        best
    }

    /// Parts of the arc (0 to 1) from which the tool covers the point at `spoke` from the centre, by the law of
    /// cosines; the ends are drawn in by rounding only.
    fn covering_parts(&self, arc: &Arc, spoke: Point) -> Vec<(f64, f64)> {
        let far = spoke.length();
        let sweep = arc.sweep.abs();
        if far + arc.radius <= self.radius {
            return vec![(0.0, 1.0)];
        }
        let cosine =
            (far * far + arc.radius * arc.radius - self.radius * self.radius) / (2.0 * far * arc.radius);
        if cosine.is_nan() || cosine.abs() > 1.0 {
            return Vec::new();
        }
        let half = cosine.acos() * (1.0 - 1e-12);
        let turn = if arc.sweep >= 0.0 { spoke.angle() - arc.from } else { arc.from - spoke.angle() };
        let middle = turn.rem_euclid(TAU);
        [middle - TAU, middle, middle + TAU]
            .into_iter()
            .map(|middle| ((middle - half).max(0.0) / sweep, (middle + half).min(sweep) / sweep))
            .filter(|(low, high)| low <= high)
            .collect()
    }

    /// Height of the cutter at a distance from its axis.
    fn profile(&self, distance: f64) -> Option<f64> {
        if distance.abs() > self.radius {
            return None;
        }
        let beyond = distance.abs() - (self.radius - self.corner);
        if beyond <= 0.0 {
            return Some(0.0);
        }
        Some(self.corner - (self.corner * self.corner - beyond * beyond).max(0.0).sqrt())
    }
}

/// X intervals of one row of cells.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// At most two intervals.
    pub spans: [Option<(f64, f64)>; 2],
    /// Whether every point inside the intervals is swept.
    pub exact: bool,
}

/// X interval of a circle at height `y`.
fn chord(centre: Point, radius: f64, y: f64) -> Option<(f64, f64)> {
    let square = radius * radius - (y - centre.y) * (y - centre.y);
    (square >= 0.0).then(|| (centre.x - square.sqrt(), centre.x + square.sqrt()))
}

fn widest(a: Option<(f64, f64)>, b: Option<(f64, f64)>) -> Option<(f64, f64)> {
    match (a, b) {
        (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
        (a, b) => a.or(b),
    }
}

/// The x for which `low <= factor x + constant <= high`.
fn solve(factor: f64, constant: f64, low: f64, high: f64) -> (f64, f64) {
    if factor == 0.0 {
        let inside = constant >= low && constant <= high;
        return if inside { (f64::NEG_INFINITY, f64::INFINITY) } else { (1.0, 0.0) };
    }
    let (a, b) = ((low - constant) / factor, (high - constant) / factor);
    (a.min(b), a.max(b))
}

/// Where a function with one valley is least, by golden section.
fn least_between(value: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let (mut low, mut high) = (low, high);
    for _ in 0..REFINE_STEPS {
        let (a, b) = (high - (high - low) * GOLDEN, low + (high - low) * GOLDEN);
        if value(a) <= value(b) { high = b } else { low = a }
    }
    f64::midpoint(low, high)
}
