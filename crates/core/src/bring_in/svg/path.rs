//! Path data.

use roxmltree::Node;
use svgtypes::{PathParser, PathSegment};

use super::spot;
use crate::bring_in::Fault;
use crate::bring_in::plan::{Ellipse, Shape, Stroke};
use crate::geometry::{Point, pt};

/// The chains of a path element.
pub(super) fn path_shapes(node: Node<'_, '_>) -> Result<Vec<Shape>, Fault> {
    let mut pen = Pen::default();
    for segment in PathParser::from(node.attribute("d").unwrap_or_default()) {
        let segment =
            segment.map_err(|error| Fault::at(spot(node), format!("its data cannot be read: {error}")))?;
        pen.draw(segment);
    }
    pen.lift();
    Ok(pen.shapes)
}

/// The control point that a smooth segment takes over, mirrored.
#[derive(Debug, Clone, Copy)]
enum Last {
    Cubic(Point),
    Quadratic(Point),
    Other,
}

#[derive(Default)]
struct Pen {
    shapes: Vec<Shape>,
    shape: Option<Shape>,
    start: Point,
    at: Point,
    last: Option<Last>,
}

impl Pen {
    fn lift(&mut self) {
        self.shapes.extend(self.shape.take());
    }

    fn stroke(&mut self, stroke: Stroke, to: Point) {
        let at = self.at;
        let shape = self.shape.get_or_insert_with(|| Shape::new(at));
        shape.strokes.push(stroke);
        self.at = to;
    }

    fn line(&mut self, to: Point) {
        self.stroke(Stroke::Span { to, bulge: 0.0 }, to);
        self.last = Some(Last::Other);
    }

    fn cubic(&mut self, b: Point, c: Point, to: Point) {
        self.stroke(Stroke::Cubic(b, c, to), to);
        self.last = Some(Last::Cubic(c));
    }

    /// A quadratic curve is the cubic whose inner points lie two thirds of the way to its own.
    fn quadratic(&mut self, control: Point, to: Point) {
        let (b, c) = (self.at.toward(control, 2.0 / 3.0), to.toward(control, 2.0 / 3.0));
        self.stroke(Stroke::Cubic(b, c, to), to);
        self.last = Some(Last::Quadratic(control));
    }

    fn draw(&mut self, segment: PathSegment) {
        let from = if segment.is_abs() { pt(0.0, 0.0) } else { self.at };
        let p = |x: f64, y: f64| from + pt(x, y);
        match segment {
            PathSegment::MoveTo { x, y, .. } => {
                self.lift();
                self.at = p(x, y);
                self.start = self.at;
                self.last = None;
            }
            PathSegment::LineTo { x, y, .. } => self.line(p(x, y)),
            PathSegment::HorizontalLineTo { x, .. } => self.line(pt(from.x + x, self.at.y)),
            PathSegment::VerticalLineTo { y, .. } => self.line(pt(self.at.x, from.y + y)),
            PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => self.cubic(p(x1, y1), p(x2, y2), p(x, y)),
            PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => {
                let mirrored = match self.last {
                    Some(Last::Cubic(control)) => self.at + (self.at - control),
                    _ => self.at,
                };
                self.cubic(mirrored, p(x2, y2), p(x, y));
            }
            PathSegment::Quadratic { x1, y1, x, y, .. } => self.quadratic(p(x1, y1), p(x, y)),
            PathSegment::SmoothQuadratic { x, y, .. } => {
                let mirrored = match self.last {
                    Some(Last::Quadratic(control)) => self.at + (self.at - control),
                    _ => self.at,
                };
                self.quadratic(mirrored, p(x, y));
            }
            PathSegment::EllipticalArc { rx, ry, x_axis_rotation, large_arc, sweep, x, y, .. } => {
                let to = p(x, y);
                match arc(self.at, to, pt(rx, ry), x_axis_rotation.to_radians(), large_arc, sweep) {
                    Some(ellipse) => self.stroke(Stroke::Ellipse(ellipse), to),
                    None => self.line(to),
                }
                self.last = Some(Last::Other);
            }
            PathSegment::ClosePath { .. } => self.close(),
        }
    }

    fn close(&mut self) {
        if self.shape.is_some() && self.at != self.start {
            self.line(self.start);
        }
        if let Some(shape) = &mut self.shape {
            shape.closed = true;
        }
        self.lift();
        self.at = self.start;
        self.last = None;
    }
}

/// From end points to a centre, by SVG 2, appendix B.2.4 and B.2.5 (published): radii too small to reach are grown.
/// `None` where the arc is a line.
fn arc(from: Point, to: Point, radii: Point, turn: f64, large: bool, sweep: bool) -> Option<Ellipse> {
    let (rx, ry) = (radii.x.abs(), radii.y.abs());
    if rx == 0.0 || ry == 0.0 || from == to {
        return None;
    }
    let half = ((from - to) * 0.5).turned(-turn);
    let needed = (half.x / rx).powi(2) + (half.y / ry).powi(2);
    let grow = needed.sqrt().max(1.0);
    let (rx, ry) = (rx * grow, ry * grow);
    let spare = (1.0 / needed.max(f64::MIN_POSITIVE) * grow * grow - 1.0).max(0.0).sqrt();
    let spare = if large == sweep { -spare } else { spare };
    let centre = pt(rx * half.y / ry, -ry * half.x / rx) * spare;
    let angle = |p: Point| ((p.y - centre.y) / ry).atan2((p.x - centre.x) / rx);
    let (start, end) = (angle(half), angle(-half));
    let ahead = (end - start).rem_euclid(std::f64::consts::TAU);
    let swept = if sweep { ahead } else { ahead - std::f64::consts::TAU };
    Some(Ellipse {
        centre: centre.turned(turn) + from.toward(to, 0.5),
        u: pt(rx, 0.0).turned(turn),
        v: pt(0.0, ry).turned(turn),
        from: start,
        to: start + swept,
    })
}
