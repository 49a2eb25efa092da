//! Basic shapes.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use roxmltree::Node;
use svgtypes::{Length, LengthUnit, PointsParser};

use super::path::path_shapes;
use super::spot;
use crate::bring_in::Fault;
use crate::bring_in::plan::{Ellipse, Shape, Stroke};
use crate::geometry::{Point, pt};
use crate::job::Vertex;

/// A length attribute in user units; parts of the page and of the font are none that can be cut to.
pub(super) fn number(node: Node<'_, '_>, name: &str, without: f64) -> Result<f64, Fault> {
    let Some(text) = node.attribute(name) else { return Ok(without) };
    let length: Option<Length> = text.parse().ok();
    let value = length.and_then(|length| {
        let each = match length.unit {
            LengthUnit::None | LengthUnit::Px => 1.0,
            LengthUnit::In => 96.0,
            LengthUnit::Cm => 96.0 / 2.54,
            LengthUnit::Mm => 96.0 / 25.4,
            LengthUnit::Pt => 96.0 / 72.0,
            LengthUnit::Pc => 16.0,
            LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => return None,
        };
        Some(length.number * each).filter(|value| value.is_finite())
    });
    value.ok_or_else(|| {
        let shown: String = text.chars().take(24).collect();
        Fault::at(spot(node), format!("`{name}` must be a length, not `{shown}`"))
    })
}

/// What the element draws.
pub(super) fn shapes(node: Node<'_, '_>) -> Result<Vec<Shape>, Fault> {
    let get = |name: &str| number(node, name, 0.0);
    Ok(match node.tag_name().name() {
        "path" => path_shapes(node)?,
        "rect" => rect(node)?.into_iter().collect(),
        "circle" => {
            let r = get("r")?;
            oval(pt(get("cx")?, get("cy")?), r, r).into_iter().collect()
        }
        "ellipse" => oval(pt(get("cx")?, get("cy")?), get("rx")?, get("ry")?).into_iter().collect(),
        "line" => {
            let ends = [pt(get("x1")?, get("y1")?), pt(get("x2")?, get("y2")?)];
            chain(&ends, false).into_iter().collect()
        }
        name => {
            let text = node.attribute("points").unwrap_or_default();
            let points: Vec<Point> = PointsParser::from(text).map(|(x, y)| pt(x, y)).collect();
            chain(&points, name == "polygon").into_iter().collect()
        }
    })
}

fn chain(points: &[Point], closed: bool) -> Option<Shape> {
    let vertices: Vec<Vertex> = points.iter().map(|at| Vertex { at: *at, bulge: 0.0 }).collect();
    Shape::chain(&vertices, closed)
}

fn oval(centre: Point, rx: f64, ry: f64) -> Option<Shape> {
    if rx <= 0.0 || ry <= 0.0 {
        return None;
    }
    let ellipse = Ellipse { centre, u: pt(rx, 0.0), v: pt(0.0, ry), from: 0.0, to: TAU };
    let mut shape = Shape::new(ellipse.at(0.0));
    shape.strokes.push(Stroke::Ellipse(ellipse));
    shape.closed = true;
    Some(shape)
}

/// A rectangle, its corners rounded by `rx` and `ry`; one of them given stands for both.
fn rect(node: Node<'_, '_>) -> Result<Option<Shape>, Fault> {
    let get = |name: &str| number(node, name, 0.0);
    let (low, w, h) = (pt(get("x")?, get("y")?), get("width")?, get("height")?);
    if w <= 0.0 || h <= 0.0 {
        return Ok(None);
    }
    let given = |name: &str, other: &str| {
        let name = if matches!(node.attribute(name), None | Some("auto")) { other } else { name };
        if matches!(node.attribute(name), None | Some("auto")) { Ok(0.0) } else { get(name) }
    };
    let rx = given("rx", "ry")?.clamp(0.0, w / 2.0);
    let ry = given("ry", "rx")?.clamp(0.0, h / 2.0);
    if rx == 0.0 || ry == 0.0 {
        let high = low + pt(w, h);
        return Ok(chain(&[low, pt(high.x, low.y), high, pt(low.x, high.y)], true));
    }
    let mut shape = Shape::new(low + pt(rx, 0.0));
    shape.closed = true;
    // Quarter by quarter from the lower right corner on: the straight to it, then the round.
    let rounds = [
        (pt(w - rx, ry), -FRAC_PI_2),
        (pt(w - rx, h - ry), 0.0),
        (pt(rx, h - ry), FRAC_PI_2),
        (pt(rx, ry), PI),
    ];
    for (centre, from) in rounds {
        let round =
            Ellipse { centre: low + centre, u: pt(rx, 0.0), v: pt(0.0, ry), from, to: from + FRAC_PI_2 };
        shape.strokes.push(Stroke::Span { to: round.at(round.from), bulge: 0.0 });
        shape.strokes.push(Stroke::Ellipse(round));
    }
    Ok(Some(shape))
}
