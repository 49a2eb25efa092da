//! Entities that are curves in plan, by their group codes in the published DXF reference.

use std::f64::consts::TAU;

use super::Entity;
use super::blocks::{Item, Kind, Placed};
use super::groups::Group;
use crate::bring_in::drawing::{FIT_POINTS, Sheet};
use crate::bring_in::follow::Spline;
use crate::bring_in::plan::{Affine, Ellipse, Shape, Stroke};
use crate::bring_in::{Fault, MOST_PLACINGS};
use crate::geometry::{Point, Point3, pt, pt3};
use crate::job::Vertex;
use crate::units::digits;

/// How far the normal of a flat entity may lean, as a part of 1.
const LEAN: f64 = 1e-6;

/// The entity as something drawn; `None` for what is not drawn in plan, which is counted as left out.
pub(super) fn item(
    entity: &mut Entity<'_>,
    vertices: &[Entity<'_>],
    sheet: &mut Sheet,
) -> Result<Option<Item>, Fault> {
    let name = entity.name.text().into_owned();
    let fields = Fields { groups: &entity.groups };
    let layer = sheet.layer(&fields.find(8).map_or("0".into(), Group::text));
    // Attributes belong to a block's placing; sheets of paper hold no parts.
    if matches!(&*name, "ATTRIB" | "ATTDEF" | "SEQEND" | "VIEWPORT") || fields.whole(67, 0)? == 1 {
        return Ok(None);
    }
    let lying = fields.lying()?;
    let flat = |shape: Option<Shape>| shape.zip(lying).map(|(shape, lying)| Kind::Drawn(shape, lying));
    let as_is = |shape: Option<Shape>| shape.map(|shape| Kind::Drawn(shape, Affine::SAME));
    let kind = match &*name {
        "LINE" => as_is(Some(line(&fields)?)),
        "ARC" | "CIRCLE" => flat(Some(arc(&fields, name == "CIRCLE")?)),
        "LWPOLYLINE" => flat(light_polyline(&fields)?),
        "POLYLINE" => match fields.whole(70, 0)? {
            flags if flags & (16 | 64) != 0 => None,
            flags if flags & 8 != 0 => as_is(polyline(flags, vertices)?),
            flags => flat(polyline(flags, vertices)?),
        },
        "SPLINE" => as_is(spline(&fields)?),
        "ELLIPSE" => lying.map(|lying| ellipse(&fields, lying)).transpose()?.and_then(|e| as_is(Some(e))),
        "INSERT" => match lying {
            Some(lying) => Some(Kind::Placed(placed(&fields, lying)?)),
            None => None,
        },
        _ => None,
    };
    if kind.is_none() {
        sheet.leave_out(layer, if name == "SPLINE" { FIT_POINTS } else { &name });
    }
    Ok(kind.map(|kind| Item { layer, kind, spot: entity.name.spot }))
}

/// The groups of one entity.
struct Fields<'a, 'b> {
    groups: &'a [Group<'b>],
}

impl<'b> Fields<'_, 'b> {
    fn find(&self, code: i32) -> Option<&Group<'b>> {
        self.groups.iter().find(|group| group.code == code)
    }

    fn real(&self, code: i32, without: f64) -> Result<f64, Fault> {
        self.find(code).map_or(Ok(without), Group::real)
    }

    fn needed(&self, code: i32) -> Result<f64, Fault> {
        self.find(code).ok_or_else(|| self.missing(code))?.real()
    }

    fn missing(&self, code: i32) -> Fault {
        let message = format!("group {code} is missing");
        self.groups.first().map_or_else(|| Fault::whole(&*message), |group| Fault::at(group.spot, &*message))
    }

    fn whole(&self, code: i32, without: i64) -> Result<i64, Fault> {
        self.find(code).map_or(Ok(without), Group::whole)
    }

    fn point(&self, code: i32) -> Result<Point, Fault> {
        Ok(pt(self.needed(code)?, self.needed(code + 10)?))
    }

    fn reals(&self, code: i32) -> Result<Vec<f64>, Fault> {
        self.groups.iter().filter(|group| group.code == code).map(Group::real).collect()
    }

    /// How the entity's own plane lies in plan, by the reference's arbitrary axis algorithm; `None` where it leans.
    fn lying(&self) -> Result<Option<Affine>, Fault> {
        let normal = pt3(self.real(210, 0.0)?, self.real(220, 0.0)?, self.real(230, 1.0)?);
        let length = normal.distance(Point3::default());
        if normal.z.abs() < length * (1.0 - LEAN) || length == 0.0 {
            return Ok(None);
        }
        // Looking down -Z the algorithm's axes are X to the left and Y as it was.
        Ok(Some(if normal.z > 0.0 { Affine::SAME } else { Affine::scale(-1.0, 1.0) }))
    }
}

fn line(fields: &Fields<'_, '_>) -> Result<Shape, Fault> {
    let mut shape = Shape::new(fields.point(10)?);
    shape.strokes.push(Stroke::Span { to: fields.point(11)?, bulge: 0.0 });
    Ok(shape)
}

fn arc(fields: &Fields<'_, '_>, whole: bool) -> Result<Shape, Fault> {
    let (centre, radius) = (fields.point(10)?, fields.needed(40)?);
    if radius <= 0.0 {
        let spot = fields.find(40).map(|group| group.spot);
        return Err(Fault {
            spot,
            ..Fault::whole(format!("a radius must be above 0, not {}", digits(radius)))
        });
    }
    if whole {
        return Ok(Shape::arc(centre, radius, 0.0, TAU));
    }
    let (from, to) = (fields.needed(50)?, fields.needed(51)?);
    let sweep = (to - from).rem_euclid(360.0);
    let sweep = if sweep == 0.0 { 360.0 } else { sweep };
    Ok(Shape::arc(centre, radius, from.to_radians(), sweep.to_radians()))
}

fn light_polyline(fields: &Fields<'_, '_>) -> Result<Option<Shape>, Fault> {
    let mut vertices: Vec<Vertex> = Vec::new();
    for group in fields.groups {
        match (group.code, vertices.last_mut()) {
            (10, _) => vertices.push(Vertex { at: pt(group.real()?, f64::NAN), bulge: 0.0 }),
            (20, Some(last)) => last.at.y = group.real()?,
            (42, Some(last)) => last.bulge = group.real()?,
            _ => {}
        }
    }
    if vertices.iter().any(|vertex| vertex.at.y.is_nan()) {
        return Err(fields.missing(20));
    }
    let stated = fields.whole(90, vertices.len() as i64)?;
    if stated != vertices.len() as i64 {
        return Err(fields
            .missing(10)
            .because(&format!("{stated} vertices are announced, {} come", vertices.len())));
    }
    Ok(Shape::chain(&vertices, fields.whole(70, 0)? & 1 == 1))
}

/// A polyline of separate vertices; the frame of a fitted curve is left out.
fn polyline(flags: i64, vertices: &[Entity<'_>]) -> Result<Option<Shape>, Fault> {
    const FRAME: i64 = 16;
    let mut kept = Vec::with_capacity(vertices.len());
    for vertex in vertices {
        let fields = Fields { groups: &vertex.groups };
        if fields.whole(70, 0)? & FRAME == 0 {
            kept.push(Vertex { at: fields.point(10)?, bulge: fields.real(42, 0.0)? });
        }
    }
    Ok(Shape::chain(&kept, flags & 1 == 1))
}

/// A spline; `None` for one that gives only the points it runs through.
fn spline(fields: &Fields<'_, '_>) -> Result<Option<Shape>, Fault> {
    let degree = usize::try_from(fields.whole(71, 3)?).unwrap_or(usize::MAX);
    let (xs, ys) = (fields.reals(10)?, fields.reals(20)?);
    if xs.is_empty() && fields.find(11).is_some() {
        return Ok(None);
    }
    if xs.len() != ys.len() {
        return Err(fields.missing(20));
    }
    let controls: Vec<Point> = xs.iter().zip(&ys).map(|(x, y)| pt(*x, *y)).collect();
    let spline = Spline::new(degree, fields.reals(40)?, controls, fields.reals(41)?)
        .map_err(|message| fields.missing(40).because(&message))?;
    let (start, end) = spline.ends();
    let mut shape = Shape::new(start);
    shape.closed = fields.whole(70, 0)? & 1 == 1 && start.distance(end) <= CLOSED * (1.0 + start.length());
    shape.strokes.push(Stroke::Spline(Box::new(spline)));
    Ok(Some(shape))
}

/// A curve that is said to be closed may miss its start by this, as a part of its place.
const CLOSED: f64 = 1e-9;

fn ellipse(fields: &Fields<'_, '_>, lying: Affine) -> Result<Shape, Fault> {
    let (centre, u, ratio) = (fields.point(10)?, fields.point(11)?, fields.needed(40)?);
    let handed = lying.x.x;
    let v = u.left() * (ratio * handed);
    let (from, to) = (fields.real(41, 0.0)?, fields.real(42, TAU)?);
    let sweep = (to - from).rem_euclid(TAU);
    let whole = sweep < 1e-9 || TAU - sweep < 1e-9;
    let to = from + if whole { TAU } else { sweep };
    let ellipse = Ellipse { centre, u, v, from, to };
    let mut shape = Shape::new(ellipse.at(from));
    shape.closed = whole;
    shape.strokes.push(Stroke::Ellipse(ellipse));
    Ok(shape)
}

fn placed(fields: &Fields<'_, '_>, lying: Affine) -> Result<Placed, Fault> {
    let block = fields.find(2).ok_or_else(|| fields.missing(2))?.text().to_lowercase();
    let turn = Affine::turn(fields.real(50, 0.0)?.to_radians());
    let scale = Affine::scale(fields.real(41, 1.0)?, fields.real(42, 1.0)?);
    let at = Affine::shift(fields.point(10)?);
    let count = |code: i32| -> Result<usize, Fault> {
        Ok(usize::try_from(fields.whole(code, 1)?).unwrap_or(1).clamp(1, MOST_PLACINGS + 1))
    };
    let along = |vector: Point| lying.vector(turn.vector(vector));
    Ok(Placed {
        block,
        place: lying.after(&at.after(&turn.after(&scale))),
        columns: count(70)?,
        rows: count(71)?,
        apart: (along(pt(fields.real(44, 0.0)?, 0.0)), along(pt(0.0, fields.real(45, 0.0)?))),
    })
}
