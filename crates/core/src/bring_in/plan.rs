//! Placing shapes in plan: affine maps and the strokes they carry.

use super::follow;
use crate::geometry::{Point, pt};
use crate::job::Vertex;

/// An affine map of the plane: x' = a x + c y + e, y' = b x + d y + f.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Affine {
    /// Where the X axis goes.
    pub(super) x: Point,
    /// Where the Y axis goes.
    pub(super) y: Point,
    /// Where the origin goes.
    pub(super) origin: Point,
}

impl Affine {
    pub(super) const SAME: Self = Self { x: pt(1.0, 0.0), y: pt(0.0, 1.0), origin: pt(0.0, 0.0) };

    pub(super) fn scale(x: f64, y: f64) -> Self {
        Self { x: pt(x, 0.0), y: pt(0.0, y), origin: pt(0.0, 0.0) }
    }

    pub(super) fn turn(angle: f64) -> Self {
        let x = Point::at_angle(angle);
        Self { x, y: x.left(), origin: pt(0.0, 0.0) }
    }

    pub(super) fn shift(by: Point) -> Self {
        Self { origin: by, ..Self::SAME }
    }

    pub(super) fn vector(&self, v: Point) -> Point {
        self.x * v.x + self.y * v.y
    }

    pub(super) fn point(&self, p: Point) -> Point {
        self.vector(p) + self.origin
    }

    /// First `inner`, then `self`.
    pub(super) fn after(&self, inner: &Self) -> Self {
        Self { x: self.vector(inner.x), y: self.vector(inner.y), origin: self.point(inner.origin) }
    }

    /// -1 or 1, when circles stay circles: whether the map mirrors.
    fn handed(&self) -> Option<f64> {
        const ROUND: f64 = 1e-9;
        let square = self.x.dot(self.x);
        let alike = (self.y.dot(self.y) - square).abs() <= ROUND * square;
        let upright = self.x.dot(self.y).abs() <= ROUND * square;
        (alike && upright).then(|| self.x.cross(self.y).signum())
    }
}

/// One stroke of a chain, from where the one before it ended.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stroke {
    /// A line or a circular arc by its bulge.
    Span {
        to: Point,
        bulge: f64,
    },
    /// centre + u cos t + v sin t.
    Ellipse(Ellipse),
    /// A cubic Bézier curve by its two inner control points and its end.
    Cubic(Point, Point, Point),
    Spline(Box<follow::Spline>),
}

/// centre + u cos t + v sin t, for t from `from` to `to` (radians).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ellipse {
    pub(super) centre: Point,
    pub(super) u: Point,
    pub(super) v: Point,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Ellipse {
    pub(super) fn at(&self, t: f64) -> Point {
        self.centre + self.u * t.cos() + self.v * t.sin()
    }
}

/// Strokes in a row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shape {
    pub(super) start: Point,
    pub(super) strokes: Vec<Stroke>,
    pub(super) closed: bool,
}

impl Shape {
    pub(super) fn new(start: Point) -> Self {
        Self { start, strokes: Vec::new(), closed: false }
    }

    /// A whole circle or a part of one, counter-clockwise; `sweep` in radians, up to a full turn.
    pub(super) fn arc(centre: Point, radius: f64, from: f64, sweep: f64) -> Self {
        const FULL: f64 = std::f64::consts::TAU - 1e-9;
        let at = |angle: f64| centre + Point::at_angle(angle) * radius;
        let mut shape = Self::new(at(from));
        // Parts of at most half a turn: the bulge of a longer one loses its digits.
        let parts = if sweep.abs() > std::f64::consts::PI { 2 } else { 1 };
        let bulge = (sweep / f64::from(parts) / 4.0).tan();
        shape.closed = sweep.abs() >= FULL;
        for part in 1..=parts {
            let last = part == parts && shape.closed;
            let to = if last { shape.start } else { at(from + sweep * f64::from(part) / f64::from(parts)) };
            shape.strokes.push(Stroke::Span { to, bulge });
        }
        shape
    }

    /// A chain of vertices, each with the bulge of the span that starts there.
    pub(super) fn chain(vertices: &[Vertex], closed: bool) -> Option<Self> {
        let first = vertices.first()?;
        let mut shape = Self::new(first.at);
        shape.closed = closed;
        for pair in vertices.windows(2) {
            shape.strokes.push(Stroke::Span { to: pair[1].at, bulge: pair[0].bulge });
        }
        if closed && let Some(last) = vertices.last() {
            shape.strokes.push(Stroke::Span { to: first.at, bulge: last.bulge });
        }
        Some(shape)
    }

    /// The shape once placed: vertices with bulges, the last of an open chain without a span of its own.
    /// `None` when it would come to more than `room` pieces or is not made of numbers.
    pub(super) fn drawn(&self, place: &Affine, tolerance: f64, room: usize) -> Option<Vec<Vertex>> {
        let mut pen = follow::Pen::new(tolerance, room);
        let mut at = self.start;
        for stroke in &self.strokes {
            at = draw(stroke, at, place, &mut pen)?;
        }
        pen.finish(place.point(at))
    }
}

/// Draws one stroke and gives where it ends, before placing.
fn draw(stroke: &Stroke, at: Point, place: &Affine, pen: &mut follow::Pen) -> Option<Point> {
    match stroke {
        Stroke::Span { to, bulge } => {
            if *bulge == 0.0 {
                pen.span(place.point(at), 0.0)?;
            } else if let Some(handed) = place.handed() {
                pen.span(place.point(at), bulge * handed)?;
            } else {
                draw_ellipse(&circle_of(at, *to, *bulge)?, place, pen)?;
            }
            Some(*to)
        }
        Stroke::Ellipse(ellipse) => {
            draw_ellipse(ellipse, place, pen)?;
            Some(ellipse.at(ellipse.to))
        }
        Stroke::Cubic(b, c, d) => {
            let [a, b, c, d] = [at, *b, *c, *d].map(|p| place.point(p));
            let curve = |t: f64| {
                let s = 1.0 - t;
                a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t)
            };
            pen.follow(&curve, 0.0, 1.0)?;
            Some(stroke_end(stroke))
        }
        Stroke::Spline(spline) => {
            let placed = spline.placed(place);
            let end = spline.ends().1;
            for (from, to) in spline.smooth_parts() {
                pen.follow(&|t| placed.at_within(t, from, to), from, to)?;
            }
            Some(end)
        }
    }
}

const fn stroke_end(stroke: &Stroke) -> Point {
    match stroke {
        Stroke::Span { to, .. } | Stroke::Cubic(_, _, to) => *to,
        Stroke::Ellipse(_) | Stroke::Spline(_) => pt(0.0, 0.0),
    }
}

fn circle_of(from: Point, to: Point, bulge: f64) -> Option<Ellipse> {
    match crate::geometry::Span::with_bulge(from, to, bulge) {
        crate::geometry::Span::Arc(arc) if arc.radius.is_finite() => Some(Ellipse {
            centre: arc.centre,
            u: pt(arc.radius, 0.0),
            v: pt(0.0, arc.radius),
            from: arc.from,
            to: arc.from + arc.sweep,
        }),
        _ => None,
    }
}

/// An ellipse that a map has made round, or that was round before, stays an exact arc.
fn draw_ellipse(ellipse: &Ellipse, place: &Affine, pen: &mut follow::Pen) -> Option<()> {
    let placed = Ellipse {
        centre: place.point(ellipse.centre),
        u: place.vector(ellipse.u),
        v: place.vector(ellipse.v),
        ..*ellipse
    };
    let axes = Affine { x: placed.u, y: placed.v, origin: placed.centre };
    let sweep = ellipse.to - ellipse.from;
    let parts = if axes.handed().is_some() { 2 } else { 8 };
    for part in 0..parts {
        let angle = |part: i32| ellipse.from + sweep * f64::from(part) / f64::from(parts);
        match axes.handed() {
            Some(handed) => {
                pen.span(placed.at(angle(part)), handed * (sweep / f64::from(parts) / 4.0).tan())?;
            }
            None => pen.follow(&|t| placed.at(t), angle(part), angle(part + 1))?,
        }
    }
    Some(())
}
