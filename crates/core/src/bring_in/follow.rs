//! Arcs and lines along a smooth curve, and the splines that need them.

use super::plan::Affine;
use crate::geometry::{Point, Span, pt};
use crate::job::Vertex;

/// Places along a piece at which its distance from the curve is measured.
const LOOKS: u32 = 12;
/// Halvings of a curve; far beyond any tolerance, so that odd numbers cannot go on for ever.
const MOST_HALVINGS: u32 = 24;
/// A piece turns by at most this between its ends and its middle (radians): half its included angle.
const MOST_TURN: f64 = 1.0;
/// Part of a coordinate below which its digits say nothing.
const DIGITS: f64 = 1e-10;
/// Highest degree of a spline.
const MOST_DEGREE: usize = 25;

/// Draws a chain of lines and arcs.
pub(super) struct Pen {
    vertices: Vec<Vertex>,
    tolerance: f64,
    room: usize,
}

impl Pen {
    pub(super) fn new(tolerance: f64, room: usize) -> Self {
        Self { vertices: Vec::new(), tolerance, room }
    }

    /// A span from `from` to wherever the next one starts.
    pub(super) fn span(&mut self, from: Point, bulge: f64) -> Option<()> {
        if self.vertices.len() >= self.room
            || !from.x.is_finite()
            || !from.y.is_finite()
            || !bulge.is_finite()
        {
            return None;
        }
        self.vertices.push(Vertex { at: from, bulge });
        Some(())
    }

    pub(super) fn finish(mut self, end: Point) -> Option<Vec<Vertex>> {
        self.span(end, 0.0)?;
        Some(self.vertices)
    }

    /// Follows a smooth curve: an arc through both ends and the middle of every piece, halved until the curve lies
    /// within the tolerance of it everywhere looked at.
    pub(super) fn follow(&mut self, curve: &dyn Fn(f64) -> Point, from: f64, to: f64) -> Option<()> {
        let mut open = vec![(from, to, 0)];
        while let Some((from, to, halvings)) = open.pop() {
            let middle = f64::midpoint(from, to);
            let (a, m, b) = (curve(from), curve(middle), curve(to));
            let (before, after) = (m - a, b - m);
            let turn = before.cross(after).atan2(before.dot(after));
            let span = Span::with_bulge(a, b, bulge_of(turn, a, b, self.tolerance));
            // Numbers too large to hold the tolerance in their digits are followed as well as they can be.
            let within = (self.tolerance * 0.9).max((a.length() + b.length()) * DIGITS);
            let near = |look: u32| {
                let t = from + (to - from) * f64::from(look) / f64::from(LOOKS);
                span.distance(curve(t)) <= within
            };
            if halvings >= MOST_HALVINGS || (turn.abs() <= MOST_TURN && (1..LOOKS).all(near)) {
                self.span(a, bulge_of(turn, a, b, self.tolerance))?;
            } else {
                open.extend([(middle, to, halvings + 1), (from, middle, halvings + 1)]);
            }
        }
        Some(())
    }
}

/// The bulge of an arc whose chords to its middle turn by `turn`, which is half its included angle; 0 where the arc
/// rises too little to matter.
fn bulge_of(turn: f64, a: Point, b: Point, tolerance: f64) -> f64 {
    let bulge = (turn / 2.0).tan();
    let rise = bulge.abs() * a.distance(b) / 2.0;
    if rise < tolerance * 1e-4 { 0.0 } else { bulge }
}

/// A B-spline, with weights where it is rational.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spline {
    degree: usize,
    knots: Vec<f64>,
    controls: Vec<Point>,
    weights: Vec<f64>,
}

impl Spline {
    /// # Errors
    /// What of the numbers makes no spline, in plain words.
    pub(super) fn new(
        degree: usize,
        knots: Vec<f64>,
        controls: Vec<Point>,
        weights: Vec<f64>,
    ) -> Result<Self, String> {
        if degree == 0 || degree > MOST_DEGREE {
            return Err(format!("a degree of {degree} cannot be followed (1 to {MOST_DEGREE} can)"));
        }
        if controls.len() <= degree {
            return Err(format!(
                "degree {degree} needs {} control points, not {}",
                degree + 1,
                controls.len()
            ));
        }
        if knots.len() != controls.len() + degree + 1 {
            let needed = controls.len() + degree + 1;
            return Err(format!("{} knots where {needed} are needed", knots.len()));
        }
        let rising = knots.windows(2).all(|pair| pair[0] <= pair[1]);
        if !rising || knots.iter().any(|knot| !knot.is_finite()) {
            return Err("its knots must rise".to_owned());
        }
        if !weights.is_empty() && weights.len() != controls.len() {
            return Err(format!("{} weights for {} control points", weights.len(), controls.len()));
        }
        if weights.iter().any(|weight| !(*weight > 0.0 && weight.is_finite())) {
            return Err("its weights must be above 0".to_owned());
        }
        let spline = Self { degree, knots, controls, weights };
        let (start, end) = spline.domain();
        if start >= end {
            return Err("its knots leave nothing to draw".to_owned());
        }
        Ok(spline)
    }

    /// From where to where its parameter runs.
    pub(super) fn domain(&self) -> (f64, f64) {
        (self.knots[self.degree], self.knots[self.controls.len()])
    }

    pub(super) fn placed(&self, place: &Affine) -> Self {
        Self { controls: self.controls.iter().map(|p| place.point(*p)).collect(), ..self.clone() }
    }

    /// The stretches between knots: inside one the curve is smooth.
    pub(super) fn smooth_parts(&self) -> Vec<(f64, f64)> {
        let inner = &self.knots[self.degree..=self.controls.len()];
        inner.windows(2).filter(|pair| pair[1] > pair[0]).map(|pair| (pair[0], pair[1])).collect()
    }

    /// Where it starts and ends.
    pub(super) fn ends(&self) -> (Point, Point) {
        let parts = self.smooth_parts();
        let at = |part: Option<&(f64, f64)>, t: f64| part.map(|(from, to)| self.at_within(t, *from, *to));
        let (from, to) = self.domain();
        (at(parts.first(), from).unwrap_or_default(), at(parts.last(), to).unwrap_or_default())
    }

    /// The point at `t`, by de Boor's scheme on homogeneous coordinates; `t` belongs to the stretch between the
    /// knots `from` and `to`, which decides at a knot where two stretches meet.
    pub(super) fn at_within(&self, t: f64, from: f64, to: f64) -> Point {
        let middle = f64::midpoint(from, to);
        let after = self.knots.partition_point(|knot| *knot <= middle);
        let span = after.saturating_sub(1).clamp(self.degree, self.controls.len() - 1);
        let first = span - self.degree;
        let weight = |index: usize| self.weights.get(index).copied().unwrap_or(1.0);
        let mut points = [(pt(0.0, 0.0), 0.0); MOST_DEGREE + 1];
        for (offset, slot) in points.iter_mut().enumerate().take(self.degree + 1) {
            let w = weight(first + offset);
            *slot = (self.controls[first + offset] * w, w);
        }
        for level in 1..=self.degree {
            for offset in (level..=self.degree).rev() {
                let low = self.knots[first + offset];
                let high = self.knots[first + offset + self.degree + 1 - level];
                let part = if high > low { (t - low) / (high - low) } else { 0.0 };
                let (p, w) = points[offset];
                let (q, v) = points[offset - 1];
                points[offset] = (q.toward(p, part), v + (w - v) * part);
            }
        }
        let (p, w) = points[self.degree];
        p * (1.0 / w)
    }
}
