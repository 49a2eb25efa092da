//! What a straight line meets: intervals along it inside circles, swept areas and closed paths.

use std::f64::consts::TAU;

use super::{Arc, Bounds, Path, Point, Span};

/// A straight line in plan through `origin` along the unit vector `along`; places on it are distances from the
/// origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// Where the distance is 0.
    pub origin: Point,
    /// Direction, of length 1.
    pub along: Point,
}

/// A crossing this near to an end of an arc, in radii, may be at the end itself: rounding only.
const AT_END: f64 = 1e-9;

/// A closed interval of distances along a ray.
pub type Interval = (f64, f64);

impl Ray {
    /// The point at this distance.
    pub fn at(&self, distance: f64) -> Point {
        self.origin + self.along * distance
    }

    /// The interval inside a circle.
    pub fn in_circle(&self, centre: Point, radius: f64) -> Option<Interval> {
        let offset = centre - self.origin;
        let middle = offset.dot(self.along);
        let off = self.along.cross(offset);
        let square = radius * radius - off * off;
        (square >= 0.0).then(|| {
            let half = square.sqrt();
            (middle - half, middle + half)
        })
    }

    /// The interval inside the area between two circles and their common outer tangents: what a tool sweeps on a
    /// straight move while its radius at the height of interest goes from `start` to `end`.
    pub fn in_capsule(&self, from: Point, start: f64, to: Point, end: f64) -> Option<Interval> {
        let off = (self.side(from), self.side(to));
        // Most of what is looked at lies beside the ray.
        if (off.0 > start && off.1 > end) || (off.0 < -start && off.1 < -end) {
            return None;
        }
        let ends = join(self.in_circle(from, start), self.in_circle(to, end));
        join(ends, self.between_tangents(from, start, to, end))
    }

    /// The interval inside the quadrilateral of the four tangent points.
    fn between_tangents(&self, from: Point, start: f64, to: Point, end: f64) -> Option<Interval> {
        // One circle holds the other: the larger circle is the whole area.
        let [left, right] = outer_normals((from, start), (to, end))?;
        let corners = [from + left * start, to + left * end, to + right * end, from + right * start];
        self.in_convex(&corners)
    }

    /// The interval inside an upright square, `half` from its middle to its sides.
    pub fn in_square(&self, middle: Point, half: f64) -> Option<Interval> {
        let [x, y] = [(self.origin.x, self.along.x, middle.x), (self.origin.y, self.along.y, middle.y)].map(
            |(from, along, middle)| {
                if along == 0.0 {
                    let within = (from - middle).abs() <= half;
                    return within.then_some((f64::NEG_INFINITY, f64::INFINITY));
                }
                let [a, b] = [middle - half, middle + half].map(|side| (side - from) / along);
                Some((a.min(b), a.max(b)))
            },
        );
        let (x, y) = (x?, y?);
        let both = (x.0.max(y.0), x.1.min(y.1));
        (both.0 < both.1).then_some(both)
    }

    /// The interval inside a convex polygon.
    fn in_convex(&self, corners: &[Point; 4]) -> Option<Interval> {
        let mut found: Option<Interval> = None;
        for index in 0..4 {
            let (a, b) = (corners[index], corners[(index + 1) % 4]);
            let (side_a, side_b) = (self.along.cross(a - self.origin), self.along.cross(b - self.origin));
            if side_a * side_b > 0.0 {
                continue;
            }
            let part = if side_a == side_b { 0.0 } else { side_a / (side_a - side_b) };
            let t = self.along.dot(a.toward(b, part) - self.origin);
            found = join(found, Some((t, t)));
            if side_a == side_b {
                let t = self.along.dot(b - self.origin);
                found = join(found, Some((t, t)));
            }
        }
        found
    }

    /// Adds the intervals inside the area a circle of `radius` sweeps along an arc: the part of a ring within the
    /// arc's angle, with round ends.
    pub fn in_arc_band(&self, arc: &Arc, radius: f64, found: &mut Vec<Interval>) {
        found.extend(arc.ends().into_iter().filter_map(|end| self.in_circle(end, radius)));
        let Some(outer) = self.in_circle(arc.centre, arc.radius + radius) else { return };
        let inner =
            self.in_circle(arc.centre, (arc.radius - radius).max(0.0)).filter(|_| arc.radius > radius);
        match inner {
            Some((enter, leave)) => {
                self.within_sweep(arc, (outer.0, enter), found);
                self.within_sweep(arc, (leave, outer.1), found);
            }
            None => self.within_sweep(arc, outer, found),
        }
    }

    /// Adds the parts of `whole` whose direction from the arc's centre lies within its sweep.
    fn within_sweep(&self, arc: &Arc, whole: Interval, found: &mut Vec<Interval>) {
        if arc.sweep.abs() >= TAU {
            found.push(whole);
            return;
        }
        let mut cuts = [whole.0, whole.1, whole.1, whole.1];
        let mut count = 1;
        for spoke in arc.spokes() {
            let across = self.along.cross(spoke);
            if across != 0.0 {
                let t = (arc.centre - self.origin).cross(spoke) / across;
                if t > whole.0 && t < whole.1 {
                    cuts[count] = t;
                    count += 1;
                }
            }
        }
        cuts[1..count].sort_by(f64::total_cmp);
        cuts[count] = whole.1;
        for pair in cuts[..=count].windows(2) {
            if arc.covers(self.at(f64::midpoint(pair[0], pair[1]))) {
                found.push((pair[0], pair[1]));
            }
        }
    }

    /// Adds the distances at which the ray crosses a closed path, sorted; always an even number, so that they
    /// pair up into the intervals inside it.
    pub fn crossings(&self, path: &Path, found: &mut Vec<f64>) {
        let (vertices, spans) = (path.vertices(), path.spans());
        path.each_on_line(self, 0.0, |index| {
            let ends = (vertices[index], vertices[(index + 1) % vertices.len()]);
            match &spans[index] {
                Span::Line { .. } => {
                    if self.is_left(ends.0) != self.is_left(ends.1) {
                        let (a, b) = (self.side(ends.0), self.side(ends.1));
                        found.push(self.along.dot(ends.0.toward(ends.1, a / (a - b)) - self.origin));
                    }
                }
                Span::Arc(arc) => self.arc_crossings(arc, ends, found),
            }
        });
        found.sort_by(f64::total_cmp);
    }

    /// The sides on which the shared vertices lie decide whether a span is crossed an odd number of times, so
    /// that no crossing at a vertex is counted twice or lost to rounding.
    fn arc_crossings(&self, arc: &Arc, ends: (Point, Point), found: &mut Vec<f64>) {
        let odd = self.is_left(ends.0) != self.is_left(ends.1);
        let Some((enter, leave)) = self.in_circle(arc.centre, arc.radius) else {
            if odd {
                found.push(self.along.dot(ends.0 - self.origin));
            }
            return;
        };
        let part = |t: f64| {
            let at = self.at(t);
            let end = |end: Point, part: f64| (at.distance(end) <= arc.radius * AT_END).then_some(part);
            arc.part_at((at - arc.centre).angle()).or_else(|| end(ends.0, 0.0)).or_else(|| end(ends.1, 1.0))
        };
        let (first, second) = match (part(enter), part(leave)) {
            (Some(first), Some(second)) => {
                let mut met = [(first, enter), (second, leave)];
                met.sort_by(|a, b| a.0.total_cmp(&b.0));
                let between = self.is_left(arc.at(f64::midpoint(first, second)));
                // An end on the ray is crossed only where the arc comes over to its other side from there.
                let crossed = [self.is_left(ends.0) != between, self.is_left(ends.1) != between];
                found.extend(met.into_iter().zip(crossed).filter(|(_, is)| *is).map(|((_, t), _)| t));
                return;
            }
            (first, second) => (first.is_some(), second.is_some()),
        };
        if (first != second) == odd {
            found.extend([(first, enter), (second, leave)].into_iter().filter(|(is, _)| *is).map(|(_, t)| t));
            return;
        }
        // Rounding at an end found one too many or too few: the crossing nearer to an end is the doubtful one.
        let off = |t: f64| self.at(t).distance(ends.0).min(self.at(t).distance(ends.1));
        let (doubtful, sure) = if off(enter) <= off(leave) { (enter, leave) } else { (leave, enter) };
        if odd {
            found.push(doubtful);
        } else if part(sure).is_some() {
            found.extend([enter, leave]);
        }
    }

    /// The intervals inside a closed path.
    pub fn inside(&self, path: &Path) -> Vec<Interval> {
        let mut crossings = Vec::new();
        self.crossings(path, &mut crossings);
        crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
    }

    fn is_left(&self, p: Point) -> bool {
        self.side(p) > 0.0
    }

    /// Positive for points to the left.
    fn side(&self, p: Point) -> f64 {
        self.along.cross(p - self.origin)
    }

    /// Whether the ray between two distances meets a box.
    pub fn meets(&self, bounds: &Bounds, reach: Interval) -> bool {
        let slab = |origin: f64, along: f64, low: f64, high: f64, reach: Interval| {
            if along == 0.0 {
                return if origin >= low && origin <= high { reach } else { (1.0, 0.0) };
            }
            let (a, b) = ((low - origin) / along, (high - origin) / along);
            (reach.0.max(a.min(b)), reach.1.min(a.max(b)))
        };
        let reach = slab(self.origin.x, self.along.x, bounds.low.x, bounds.high.x, reach);
        let reach = slab(self.origin.y, self.along.y, bounds.low.y, bounds.high.y, reach);
        reach.0 <= reach.1
    }
}

/// The smallest interval that holds both.
fn join(a: Option<Interval>, b: Option<Interval>) -> Option<Interval> {
    match (a, b) {
        (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
        (a, b) => a.or(b),
    }
}

/// Unit vectors square to the outer tangents that two circles have in common, on the left and on the right of the way from
/// the first to the second: a tangent touches each circle at its centre plus its radius times the vector. `None` where
/// one circle holds the other.
pub(crate) fn outer_normals((from, start): (Point, f64), (to, end): (Point, f64)) -> Option<[Point; 2]> {
    let apart = to - from;
    let distance = apart.length();
    let lean = (start - end) / distance;
    if lean.is_nan() || lean.abs() >= 1.0 {
        return None;
    }
    let axis = apart * (1.0 / distance);
    let square = (1.0 - lean * lean).sqrt();
    Some([1.0, -1.0].map(|side| axis * lean + axis.left() * (square * side)))
}

/// Sorts intervals and joins those that touch or lie within `gap` of each other.
pub fn merge(intervals: &mut Vec<Interval>, gap: f64) {
    intervals.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut kept = 0;
    for index in 0..intervals.len() {
        let next = intervals[index];
        if kept > 0 && next.0 <= intervals[kept - 1].1 + gap {
            intervals[kept - 1].1 = intervals[kept - 1].1.max(next.1);
        } else {
            intervals[kept] = next;
            kept += 1;
        }
    }
    intervals.truncate(kept);
}

/// What is left of `whole` (sorted, apart) once `taken` (merged) is taken out; pieces thinner than `least` are
/// dropped as rounding.
pub fn without(whole: &[Interval], taken: &[Interval], least: f64) -> Vec<Interval> {
    let mut rest = Vec::with_capacity(whole.len() + taken.len());
    for &(start, end) in whole {
        let mut open = start;
        for &(from, to) in taken.iter().filter(|(from, to)| *to > start && *from < end) {
            if from - open > least {
                rest.push((open, from));
            }
            open = open.max(to);
        }
        if end - open > least {
            rest.push((open, end));
        }
    }
    rest
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::geometry::pt;
    use crate::testing::Random;

    /// Points of the ray held one by one against the plain definition: nearer than the radius to the centre line.
    #[test]
    fn a_ray_in_a_square() {
        let ray = |x: f64, y: f64, along: Point| Ray { origin: pt(x, y), along };
        let across = pt(0.6, 0.8);
        assert_eq!(ray(0.0, 0.0, pt(1.0, 0.0)).in_square(pt(3.0, 0.5), 1.0), Some((2.0, 4.0)));
        assert_eq!(ray(0.0, 0.0, pt(0.0, -1.0)).in_square(pt(0.5, 3.0), 1.0), Some((-4.0, -2.0)));
        assert_eq!(ray(0.0, 0.0, pt(1.0, 0.0)).in_square(pt(3.0, 1.5), 1.0), None);
        assert_eq!(ray(0.0, 0.0, across).in_square(pt(0.0, 0.0), 0.8), Some((-1.0, 1.0)));
        assert_eq!(ray(0.0, 5.0, across).in_square(pt(0.0, 0.0), 1.0), None);
    }

    #[test]
    fn swept_areas_agree_with_their_definition() {
        let mut random = Random::new(7);
        for case in 0..400 {
            let mut p = || pt(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
            let (origin, toward, from, to, centre) = (p(), p(), p(), p(), p());
            let radius = random.between(0.05, 0.8);
            let ray = Ray { origin, along: (toward - origin).unit().expect("apart") };
            let (bend, from_angle) = (random.between(0.05, 1.5), random.between(-PI, PI));
            let arc = Arc::new(centre, bend, from_angle, random.between(-TAU, TAU));
            let capsule: Vec<Interval> = ray.in_capsule(from, radius, to, radius).into_iter().collect();
            let mut band = Vec::new();
            ray.in_arc_band(&arc, radius, &mut band);
            for step in -400..400 {
                let t = f64::from(step) / 80.0;
                let inside = |found: &[Interval]| found.iter().any(|(a, b)| *a <= t && t <= *b);
                let off_line = Span::Line { from, to }.nearest(ray.at(t)).1 - radius;
                let off_arc = Span::Arc(arc).nearest(ray.at(t)).1 - radius;
                if off_line.abs() > 1e-9 {
                    assert_eq!(inside(&capsule), off_line < 0.0, "case {case}: capsule at {t}");
                }
                if off_arc.abs() > 1e-9 {
                    assert_eq!(inside(&band), off_arc < 0.0, "case {case}: arc at {t}");
                }
            }
        }
    }

    /// The union of circles whose radius runs evenly from one end to the other, tested by sampling the circles.
    #[test]
    fn a_tapering_sweep_is_the_union_of_its_circles() {
        let mut random = Random::new(11);
        for case in 0..100 {
            let mut p = || pt(random.between(-1.0, 1.0), random.between(-1.0, 1.0));
            let (origin, toward, from, to) = (p(), p(), p(), p());
            let (start, end) = (random.between(0.0, 0.6), random.between(0.0, 0.6));
            let ray = Ray { origin, along: (toward - origin).unit().expect("apart") };
            let found = ray.in_capsule(from, start, to, end);
            let mut union: Option<Interval> = None;
            for step in 0..=4000 {
                let t = f64::from(step) / 4000.0;
                union = join(union, ray.in_circle(from.toward(to, t), start + (end - start) * t));
            }
            match (found, union) {
                (Some(a), Some(b)) => {
                    assert_abs_diff_eq!(a.0, b.0, epsilon = 2e-3);
                    assert_abs_diff_eq!(a.1, b.1, epsilon = 2e-3);
                }
                (Some(a), None) => assert!(a.1 - a.0 < 0.05, "case {case}: sampling missed only a sliver"),
                (None, Some(_)) => panic!("case {case}: missed"),
                (None, None) => {}
            }
        }
    }

    /// A circle of two half arcs or four quarters, met by rays through its centre and its vertices.
    #[test]
    fn a_ray_through_vertices_of_a_round_path_is_inside_it() {
        for quarters in [1.0, 2.0] {
            let bulge = (PI / 4.0 * quarters / 2.0).tan();
            let count = (4.0 / quarters) as u32;
            for turn in 0..360 {
                let angle = f64::from(turn).to_radians();
                let corner = |index: u32| Point::at_angle(angle + f64::from(index) * TAU / f64::from(count));
                for bulge in [bulge, -bulge] {
                    let order = |index| if bulge > 0.0 { index } else { count - index };
                    let vertices: Vec<_> = (0..count).map(|index| (corner(order(index)), bulge)).collect();
                    let path = Path::closed(&vertices).expect("a circle");
                    for index in 0..count {
                        let along = corner(index);
                        let ray = Ray { origin: along * -0.25, along };
                        let inside = ray.inside(&path);
                        assert_eq!(inside.len(), 1, "{turn} degrees, corner {index}: {inside:?}");
                        assert_abs_diff_eq!(inside[0].0, -0.75, epsilon = 1e-9);
                        assert_abs_diff_eq!(inside[0].1, 1.25, epsilon = 1e-9);
                    }
                }
            }
        }
    }

    #[test]
    fn intervals_are_merged_and_taken_out() {
        let mut taken = vec![(3.0, 4.0), (0.0, 1.0), (1.0 + 1e-12, 2.0)];
        merge(&mut taken, 1e-9);
        assert_eq!(taken, [(0.0, 2.0), (3.0, 4.0)]);
        assert_eq!(without(&[(-1.0, 5.0)], &taken, 1e-9), [(-1.0, 0.0), (2.0, 3.0), (4.0, 5.0)]);
        assert_eq!(without(&[(0.5, 1.5)], &taken, 1e-9), []);
    }
}
