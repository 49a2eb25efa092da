//! Closed paths of lines and arcs, followed by distance from their first vertex.

use super::boxes::{Boxes, is_on_line, square};
use super::{Arc, Bounds, Point, Ray};

/// One line or arc of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Span {
    /// A straight line.
    Line {
        /// Start.
        from: Point,
        /// End.
        to: Point,
    },
    /// A circular arc.
    Arc(Arc),
}

impl Span {
    /// The span from `from` to `to` with a bulge of tan(included angle / 4), positive counter-clockwise.
    ///
    /// With chord c and bulge b the radius is c (1 + b^2) / (4 |b|); the centre lies c (1 - b^2) / (4 b) to the
    /// left of the chord's middle (from the definition of the bulge in the published DXF reference).
    pub fn with_bulge(from: Point, to: Point, bulge: f64) -> Self {
        if bulge == 0.0 {
            return Self::Line { from, to };
        }
        let chord = to - from;
        let centre = from.toward(to, 0.5) + chord.left() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        let radius = chord.length() * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        Self::Arc(Arc::new(centre, radius, (from - centre).angle(), 4.0 * bulge.atan()))
    }

    /// Length.
    pub fn length(&self) -> f64 {
        match self {
            Self::Line { from, to } => from.distance(*to),
            Self::Arc(arc) => arc.radius * arc.sweep.abs(),
        }
    }

    /// The point a part `t` (0 to 1) of the way along.
    pub fn at(&self, t: f64) -> Point {
        match self {
            Self::Line { from, to } => from.toward(*to, t),
            Self::Arc(arc) => arc.at(t),
        }
    }

    /// Unit vector along the span a part `t` of the way along.
    pub fn tangent(&self, t: f64) -> Point {
        match self {
            Self::Line { from, to } => (*to - *from).unit().unwrap_or_default(),
            Self::Arc(arc) => {
                Point::at_angle(arc.from + arc.sweep * t).left() * if arc.sweep < 0.0 { -1.0 } else { 1.0 }
            }
        }
    }

    /// The smallest box round the span.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Line { from, to } => Bounds::of([*from, *to]),
            Self::Arc(arc) => arc.bounds(),
        }
    }

    /// Part of the way along (0 to 1) of the point nearest to `p`, and its distance.
    pub fn nearest(&self, p: Point) -> (f64, f64) {
        match self {
            Self::Line { from, to } => {
                let along = *to - *from;
                let square = along.dot(along);
                let t = if square > 0.0 { ((p - *from).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
                (t, p.distance(from.toward(*to, t)))
            }
            Self::Arc(arc) => {
                if let Some(t) = arc.part_at((p - arc.centre).angle()) {
                    return (t, (p.distance(arc.centre) - arc.radius).abs());
                }
                let [start, end] = arc.ends().map(|end| p.distance(end));
                if start <= end { (0.0, start) } else { (1.0, end) }
            }
        }
    }

    /// Distance from a point to the nearest place of the span.
    pub fn distance(&self, p: Point) -> f64 {
        match self {
            Self::Line { .. } => self.nearest(p).1,
            Self::Arc(arc) => arc.distance(p),
        }
    }

    /// Twice the area between the span and the origin, positive counter-clockwise.
    fn doubled_area(&self) -> f64 {
        let chord = self.at(0.0).cross(self.at(1.0));
        match self {
            Self::Line { .. } => chord,
            Self::Arc(arc) => chord + arc.radius * arc.radius * (arc.sweep - arc.sweep.sin()),
        }
    }
}

/// A place on a path with the direction square to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The point.
    pub at: Point,
    /// Unit vector square to the path, away from what the path encloses.
    pub outward: Point,
}

/// A closed path of lines and arcs. Stations run from the first vertex in the order of the vertices.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    vertices: Vec<Point>,
    spans: Vec<Span>,
    starts: Vec<f64>,
    length: f64,
    area: f64,
    bounds: Bounds,
    boxes: Boxes,
}

impl Path {
    /// The closed path through these points, each with the bulge of the span that starts there. Spans without
    /// length are left out; `None` when the rest encloses nothing.
    pub fn closed(vertices: &[(Point, f64)]) -> Option<Self> {
        let next = |index: usize| vertices[(index + 1) % vertices.len()].0;
        let (starts, spans) = vertices
            .iter()
            .enumerate()
            .filter(|(index, (at, _))| at.distance(next(*index)) > 0.0)
            .map(|(index, (at, bulge))| (*at, Span::with_bulge(*at, next(index), *bulge)))
            .unzip();
        Self::of_spans(starts, spans)
    }

    fn of_spans(vertices: Vec<Point>, spans: Vec<Span>) -> Option<Self> {
        let area = spans.iter().map(Span::doubled_area).sum::<f64>() / 2.0;
        if area.is_nan() || area.abs() < f64::MIN_POSITIVE {
            return None;
        }
        let mut starts = Vec::with_capacity(spans.len());
        let mut length = 0.0;
        for span in &spans {
            starts.push(length);
            length += span.length();
        }
        let (bounds, boxes) = boxed(&spans);
        Some(Self { vertices, spans, starts, length, area, bounds, boxes })
    }

    /// The path turned by `angle` radians about the origin, then moved by `shift`.
    #[must_use]
    pub fn placed(&self, shift: Point, angle: f64) -> Self {
        let spans = self.spans.iter().map(|span| match *span {
            Span::Line { from, to } => {
                Span::Line { from: from.turned(angle) + shift, to: to.turned(angle) + shift }
            }
            Span::Arc(arc) => {
                Span::Arc(Arc::new(arc.centre.turned(angle) + shift, arc.radius, arc.from + angle, arc.sweep))
            }
        });
        let spans: Vec<Span> = spans.collect();
        let (bounds, boxes) = boxed(&spans);
        let vertices = self.vertices.iter().map(|at| at.turned(angle) + shift).collect();
        let (starts, length, area) = (self.starts.clone(), self.length, self.area);
        Self { vertices, spans, starts, length, area, bounds, boxes }
    }

    /// Where each span starts.
    pub fn vertices(&self) -> &[Point] {
        &self.vertices
    }

    /// The spans in order.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// The station at which each span starts.
    pub fn span_starts(&self) -> &[f64] {
        &self.starts
    }

    /// Length all round.
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Enclosed area.
    pub fn area(&self) -> f64 {
        self.area.abs()
    }

    /// The smallest box round the path.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Length of the way from one station on to another: over the first vertex where `to` is less than `from`.
    pub fn way(&self, from: f64, to: f64) -> f64 {
        if to < from { to - from + self.length } else { to - from }
    }

    /// The place at a station; stations past the end go round again.
    pub fn place(&self, station: f64) -> Place {
        let station = station.rem_euclid(self.length);
        let index = self.starts.partition_point(|&start| start <= station).saturating_sub(1);
        self.place_on(index, station - self.starts[index])
    }

    /// The place `along` a span from its start, with that span's own direction (at a sharp corner the two spans
    /// that meet there differ).
    pub fn place_on(&self, span: usize, along: f64) -> Place {
        let length = self.spans[span].length();
        let t = (along / length).clamp(0.0, 1.0);
        let tangent = self.spans[span].tangent(t);
        let outward = if self.area > 0.0 { tangent.right() } else { tangent.left() };
        Place { at: self.spans[span].at(t), outward }
    }

    /// Distance from `p` to the nearest point of the path.
    pub fn distance(&self, p: Point) -> f64 {
        self.boxes.least(p, |index| self.spans[index].distance(p))
    }

    /// The station nearest to `p`; the first of several.
    pub fn nearest(&self, p: Point) -> f64 {
        let least = self.distance(p);
        let mut best = (f64::INFINITY, 0.0);
        // A hair farther, for squares are compared.
        let bound = least * least * (1.0 + 1e-9);
        self.boxes.each(
            |bounds| square(bounds, p) <= bound,
            |index| {
                let (t, distance) = self.spans[index].nearest(p);
                if distance < best.0 {
                    best = (distance, self.starts[index] + t * self.spans[index].length());
                }
            },
        );
        best.1
    }

    /// Goes through the spans in order, without most of those that do not come within `within` of the endless line of a
    /// ray.
    pub fn each_on_line(&self, ray: &Ray, within: f64, span: impl FnMut(usize)) {
        self.boxes.each(|bounds| is_on_line(bounds, ray, within), span);
    }

    /// Whether a place lies inside the path or on it.
    pub fn holds(&self, p: Point) -> bool {
        let ray = Ray { origin: p, along: Point { x: 1.0, y: 0.0 } };
        ray.inside(self).iter().any(|(from, to)| *from <= 0.0 && *to >= 0.0)
    }

    /// Goes through the spans in order, without most of those that do not come into a box.
    pub fn each_in(&self, bounds: &Bounds, span: impl FnMut(usize)) {
        self.boxes.each(|round| round.meets(bounds), span);
    }

    /// Points along the path whose chords stay within `tolerance`, the first not repeated at the end.
    pub fn points(&self, tolerance: f64) -> Vec<Point> {
        let mut points = Vec::new();
        for span in &self.spans {
            let steps = match span {
                Span::Line { .. } => 1,
                Span::Arc(arc) => arc.steps(tolerance),
            };
            points.extend((0..steps).map(|step| span.at(step as f64 / steps as f64)));
        }
        points
    }
}

/// The box round spans, and those round runs of them.
fn boxed(spans: &[Span]) -> (Bounds, Boxes) {
    let each: Vec<Bounds> = spans.iter().map(Span::bounds).collect();
    let whole = each.iter().fold(Bounds::EMPTY, |all, one| all.join(*one));
    let boxes = Boxes::of(&each, &whole);
    (whole, boxes)
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::geometry::pt;

    /// Bulge geometry, derived from radius = c(1+b^2)/(4|b|): chord 10.
    #[test]
    fn bulges_give_their_radius_and_sweep() {
        for (bulge, radius, degrees) in [
            (1.0, 5.0, 180.0),
            (0.5, 6.25, 106.260_205),
            (0.414_213_56, 7.071_067_81, 90.0),
            (-0.267_949_19, 10.0, -60.0),
        ] {
            let Span::Arc(arc) = Span::with_bulge(pt(0.0, 0.0), pt(10.0, 0.0), bulge) else {
                panic!("a bulge of {bulge} is an arc");
            };
            assert_abs_diff_eq!(arc.radius, radius, epsilon = 1e-6);
            assert_abs_diff_eq!(arc.sweep.to_degrees(), degrees, epsilon = 1e-5);
            assert_abs_diff_eq!(arc.at(0.0).distance(pt(0.0, 0.0)), 0.0, epsilon = 1e-9);
            assert_abs_diff_eq!(arc.at(1.0).distance(pt(10.0, 0.0)), 0.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn outward_points_away_whichever_way_the_path_runs() {
        let square = [(pt(0.0, 0.0), 0.0), (pt(2.0, 0.0), 0.0), (pt(2.0, 2.0), 0.0), (pt(0.0, 2.0), 0.0)];
        let mut other = square;
        other.reverse();
        for vertices in [square, other] {
            let path = Path::closed(&vertices).expect("a square");
            assert_abs_diff_eq!(path.area(), 4.0);
            let place = path.place(path.nearest(pt(1.0, -0.1)));
            assert_abs_diff_eq!(place.outward.y, -1.0);
        }
        assert!(Path::closed(&square[..2]).is_none(), "a line there and back encloses nothing");
    }

    /// Distances, nearest stations and crossings with a line, each against going through all spans.
    #[test]
    fn boxes_leave_nothing_out() {
        let mut seed = 3_u64;
        let mut random = |low: f64, high: f64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            low + (seed >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
        };
        for count in [3, 23, 24, 25, 64, 65, 513, 2000] {
            let vertices: Vec<(Point, f64)> = (0..count)
                .map(|index| {
                    let at = Point::at_angle(f64::from(index) / f64::from(count) * std::f64::consts::TAU);
                    (at * random(1.0, 2.0), if index % 3 == 0 { random(-1.0, 1.0) } else { 0.0 })
                })
                .collect();
            let path = Path::closed(&vertices).expect("it encloses something");
            for _ in 0..300 {
                let p = pt(random(-3.0, 3.0), random(-3.0, 3.0));
                let all = path.spans.iter().map(|span| span.nearest(p)).enumerate();
                let plain = all.reduce(|best, next| if next.1.1 < best.1.1 { next } else { best });
                let (index, (t, distance)) = plain.expect("spans");
                assert_eq!(path.distance(p), distance);
                assert_eq!(path.nearest(p), path.starts[index] + t * path.spans[index].length());
                let ray = Ray { origin: p, along: Point::at_angle(random(0.0, 7.0)) };
                let mut seen = Vec::new();
                path.each_on_line(&ray, 0.0, |index| seen.push(index));
                assert!(seen.is_sorted());
                for (index, span) in path.spans.iter().enumerate() {
                    let side = |part: u32| ray.along.cross(span.at(f64::from(part) / 64.0) - p);
                    let sides: Vec<f64> = (0..=64).map(side).collect();
                    let is_crossed =
                        sides.iter().any(|side| *side > 0.0) && sides.iter().any(|side| *side < 0.0);
                    assert!(!is_crossed || seen.binary_search(&index).is_ok(), "{count}: {index}");
                }
            }
        }
    }

    #[test]
    fn a_circle_of_two_spans_has_its_area() {
        let path = Path::closed(&[(pt(-1.0, 0.0), 1.0), (pt(1.0, 0.0), 1.0)]).expect("a circle");
        assert_abs_diff_eq!(path.area(), std::f64::consts::PI, epsilon = 1e-12);
        assert_abs_diff_eq!(path.bounds().height(), 2.0, epsilon = 1e-12);
    }
}
