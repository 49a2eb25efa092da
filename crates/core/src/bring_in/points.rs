//! Points: a list in a file, or a table typed in from an edge finder.

use super::drawing::Sheet;
use super::offset::offset;
use super::plan::{Affine, Shape};
use super::{Drawing, Fault, MOST_PIECES, Spot, Trouble, crossings};
use crate::geometry::{Path, Point, pt};
use crate::job::Vertex;
use crate::limits::POINT_LINE;
use crate::task::Cancel;
use crate::units::Units;

/// How measured points relate to the edge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Probe {
    /// Radius of the edge finder whose centre the points are, to be taken off; 0 for points on the edge itself.
    pub radius: f64,
}

/// The closed path through points measured round a blank, in order either way round.
///
/// With a probe radius the points are where the probe's centre stood, touching from outside: each measured side is
/// the line through two centres that follow each other, and the edge lies inside it by the radius. Sides meet in
/// corners where they turn outward; where they turn inward the probe's own round is all that is known, and stays.
///
/// # Errors
/// What of the points makes no closed path, in plain words.
pub fn from_points(points: &[Point], probe: Probe, units: Units) -> Result<(Path, Vec<Trouble>), String> {
    if let Some(index) = points.iter().position(|p| !(p.x.is_finite() && p.y.is_finite())) {
        return Err(format!("point {} is not a number", index + 1));
    }
    if points.len() > MOST_PIECES {
        return Err(format!("{} points are more than the {MOST_PIECES} that are taken", points.len()));
    }
    if !(probe.radius.is_finite() && probe.radius >= 0.0) {
        return Err(format!("the radius of the probe must be 0 or more, not {}", probe.radius));
    }
    let mut corners: Vec<(Point, f64)> = points.iter().map(|p| (*p, 0.0)).collect();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    if corners.len() < 3 {
        return Err(format!("{} points make no edge: at least three are needed", corners.len()));
    }
    let path = Path::closed(&corners).ok_or("the points lie on one line: they enclose no area")?;
    let troubles = crossings(&path);
    if let Some(at) = troubles.iter().find_map(Trouble::at).filter(|_| probe.radius > 0.0) {
        return Err(format!(
            "the points are not in order around the edge: the line through them crosses itself at X{} Y{}",
            units.fine(at.x),
            units.fine(at.y)
        ));
    }
    if probe.radius == 0.0 {
        return Ok((path, troubles));
    }
    let inside = offset(&path, -probe.radius, units, &Cancel::new()).map_err(|error| error.to_string())?;
    Ok((inside, troubles))
}

/// Columns of a list of points.
#[derive(Debug, Clone, Copy)]
struct Columns {
    x: usize,
    y: usize,
    bulge: Option<usize>,
    /// Named in a first line, so that others may stand beside them.
    named: bool,
}

/// Reads points, one a line: `x, y` with comma, semicolon, tab or blanks between. A first line of names may put the
/// columns in another order, and name a column `bulge`; a `#` starts a remark. With semicolons between, a comma may
/// be the decimal mark.
///
/// # Errors
/// The first line that is no point, with its place.
pub fn listed(bytes: &[u8]) -> Result<Vec<Vertex>, Fault> {
    let text = String::from_utf8_lossy(bytes);
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let mut columns: Option<Columns> = None;
    let mut vertices: Vec<Vertex> = Vec::new();
    for (index, whole) in text.lines().enumerate() {
        let line = whole.split('#').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        let number = index + 1;
        if line.len() > POINT_LINE {
            let message =
                format!("the line is longer than {POINT_LINE} characters: a list has one point a line");
            return Err(Fault::at(Spot::Line(number), message));
        }
        let fields = split(line);
        if columns.is_none() {
            let named = Columns::named(&fields);
            columns = Some(named.map_or_else(|| Columns::plain(&fields, number), Ok)?);
            if named.is_some() {
                continue;
            }
        }
        if let Some(columns) = columns {
            vertices.push(columns.vertex(&fields, number)?);
        }
        if vertices.len() > MOST_PIECES {
            return Err(Fault::at(Spot::Line(number), format!("more than {MOST_PIECES} points")));
        }
    }
    Ok(vertices)
}

/// A list of points as a drawing: one closed curve.
pub(super) fn read(bytes: &[u8]) -> Result<Drawing, Fault> {
    let mut vertices = listed(bytes)?;
    if vertices.len() > 1 && vertices.first().map(|first| first.at) == vertices.last().map(|last| last.at) {
        vertices.pop();
    }
    if vertices.len() < 2 || (vertices.len() == 2 && vertices.iter().all(|vertex| vertex.bulge == 0.0)) {
        return Err(Fault::whole(format!(
            "{} points make no edge: at least three are needed",
            vertices.len()
        )));
    }
    let mut sheet = Sheet::default();
    let layer = sheet.layer("points");
    if let Some(shape) = Shape::chain(&vertices, true) {
        sheet.draw(layer, &shape, &Affine::SAME, 0.0).map_err(Fault::whole)?;
    }
    Ok(sheet.finish(None))
}

/// Fields of a line, with the column each starts at, from 1.
fn split(line: &str) -> Vec<(usize, String)> {
    let mark = [';', '\t', ','].into_iter().find(|mark| line.contains(*mark));
    let mut fields = Vec::new();
    let mut column = 1;
    for field in line.split(|c: char| mark.map_or(c.is_whitespace(), |mark| c == mark)) {
        let tidy = field.trim().trim_matches('"').trim();
        if mark.is_some() || !tidy.is_empty() {
            let decimal = if mark == Some(',') { tidy.to_owned() } else { tidy.replace(',', ".") };
            fields.push((column, decimal));
        }
        column += field.chars().count() + 1;
    }
    // A mark at the end of a line starts no field.
    if fields.last().is_some_and(|(_, field)| field.is_empty()) {
        fields.pop();
    }
    fields
}

impl Columns {
    /// The columns by their names, when the line is one of names.
    fn named(fields: &[(usize, String)]) -> Option<Self> {
        let find = |name: &str| fields.iter().position(|(_, field)| field.to_lowercase() == name);
        Some(Self { x: find("x")?, y: find("y")?, bulge: find("bulge"), named: true })
    }

    fn plain(fields: &[(usize, String)], line: usize) -> Result<Self, Fault> {
        if fields.len() == 2 {
            return Ok(Self { x: 0, y: 1, bulge: None, named: false });
        }
        Err(Fault::at(
            Spot::Line(line),
            format!(
                "{} values where x and y must be: with other columns, name them in the first line \
                (x,y,bulge)",
                fields.len()
            ),
        ))
    }

    fn vertex(&self, fields: &[(usize, String)], line: usize) -> Result<Vertex, Fault> {
        let number = |index: usize, name: &str| -> Result<f64, Fault> {
            let Some((column, field)) = fields.get(index) else {
                return Err(Fault::at(Spot::Line(line), format!("{name} is missing")));
            };
            let shown: String = field.chars().take(24).collect();
            field.parse().ok().filter(|value: &f64| value.is_finite()).ok_or_else(|| {
                Fault::at(Spot::Column(line, *column), format!("{name} must be a number, not `{shown}`"))
            })
        };
        if !self.named && fields.len() > 2 {
            return Err(Fault::at(
                Spot::Line(line),
                format!("{} values where x and y must be", fields.len()),
            ));
        }
        Ok(Vertex {
            at: pt(number(self.x, "x")?, number(self.y, "y")?),
            bulge: self
                .bulge
                .filter(|index| fields.len() > *index)
                .map_or(Ok(0.0), |i| number(i, "bulge"))?,
        })
    }
}
