//! From a file to the one path a job asks for.

use super::on_layer::OnLayer;
use super::{Closed, Drawing, Fault, MOST_BYTES, MOST_SPANS, Trouble, crossings, dxf, join_gap, points, svg};
use crate::geometry::Path;
use crate::job::Vertex;
use crate::units::Units;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// DXF, text or binary.
    Dxf,
    /// SVG.
    Svg,
    /// Points, one a line.
    Points,
}

impl Kind {
    /// What a file is by its name, else by how it starts; `None` when it can't be told.
    pub fn of(name: &str, bytes: &[u8]) -> Option<Self> {
        let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
        match &*ending {
            "dxf" => Some(Self::Dxf),
            "svg" => Some(Self::Svg),
            "csv" | "txt" | "tsv" | "xy" => Some(Self::Points),
            _ if dxf::is_binary(bytes) => Some(Self::Dxf),
            _ if bytes.trim_ascii_start().starts_with(b"<") => Some(Self::Svg),
            _ => None,
        }
    }
}

/// Which of a drawing's closed paths is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Choice {
    /// The one that encloses most.
    #[default]
    Largest,
    /// By its place among the closed paths, from 0.
    Index(usize),
}

/// The path a job asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Brought {
    /// The closed path, in the job's unit.
    pub path: Path,
    /// The same as vertices, as a job file could state it.
    pub vertices: Vec<Vertex>,
    /// The drawing's own unit, or the one stated for it.
    pub units: Units,
    /// How many closed paths there were to choose from.
    pub closed: usize,
    /// What is wrong with the drawing, in the job's unit. Nothing here keeps the path from being used.
    pub troubles: Vec<Trouble>,
}

/// Reads any drawing or list of points, in its own unit.
///
/// # Errors
/// The one thing that makes the file unusable, with its place.
pub fn open(name: &str, bytes: &[u8]) -> Result<Drawing, Fault> {
    if bytes.len() > MOST_BYTES {
        let (size, most) = (bytes.len() >> 20, MOST_BYTES >> 20);
        return Err(Fault::whole(format!("the file has {size} MB; at most {most} MB are read")));
    }
    match Kind::of(name, bytes) {
        Some(Kind::Dxf) => dxf::read(bytes),
        Some(Kind::Svg) => svg::read(bytes),
        Some(Kind::Points) => points::read(bytes),
        None => Err(Fault::whole("the kind of this file is not known: use .dxf, .svg or .csv")),
    }
}

/// Reads the closed path that a job's `{ "file", "layer", "units" }` means, into the job's unit: the largest closed
/// path of the layer, or of the whole drawing. The file's own unit counts; `units` is for files that have none.
///
/// # Errors
/// The one thing that makes the file unusable, with its place.
pub fn read(
    name: &str,
    bytes: &[u8],
    layer: Option<&str>,
    units: Option<Units>,
    job_units: Units,
) -> Result<Brought, Fault> {
    choose(open(name, bytes)?, layer, Choice::Largest, units, job_units)
}

/// The same from a drawing already read, by any choice.
///
/// # Errors
/// Why there is no such path, with the open ends that keep one from closing.
pub fn choose(
    drawing: Drawing,
    layer: Option<&str>,
    choice: Choice,
    units: Option<Units>,
    job_units: Units,
) -> Result<Brought, Fault> {
    let own = drawing.units.or(units).ok_or_else(|| {
        Fault::whole("the file does not give its unit: add \"units\": \"inch\" or \"mm\" next to its name")
    })?;
    let mut troubles = Vec::new();
    if let (Some(file), Some(stated)) = (drawing.units, units)
        && file != stated
    {
        troubles.push(Trouble::UnitsDiffer { file, stated });
    }
    let drawing = drawing.scaled(own.to(job_units));
    let layer = layer.map(|name| layer_index(&drawing, name)).transpose()?;
    let mut on = OnLayer::of(&drawing, layer, join_gap(job_units));
    let count = on.closed.len();
    let index = match choice {
        Choice::Largest => on.largest(),
        Choice::Index(index) => Some(index).filter(|index| *index < count),
    };
    let Some(index) = index else {
        let left = on.left_out.iter().map(|left| format!("; {}", left.message(job_units)));
        let told: String = left.collect();
        return Err(Fault::whole(nothing_closed(&on, choice, job_units) + &told));
    };
    let Closed { vertices, path, .. } = on.closed.swap_remove(index);
    if vertices.len() > MOST_SPANS {
        let count = vertices.len();
        return Err(Fault::whole(format!(
            "the path has {count} lines and arcs; at most {MOST_SPANS} are taken"
        )));
    }
    troubles.extend(on.left_out);
    troubles.extend(on.joining);
    troubles.extend(crossings(&path));
    Ok(Brought { path, vertices, units: own, closed: count, troubles })
}

pub(super) fn layer_index(drawing: &Drawing, name: &str) -> Result<usize, Fault> {
    const MOST_NAMED: usize = 12;
    drawing.find(name).ok_or_else(|| {
        let drawn = drawing.layers.iter().filter(|layer| layer.pieces > 0);
        let names: Vec<String> = drawn.take(MOST_NAMED).map(|layer| format!("`{}`", layer.name)).collect();
        Fault::whole(format!("there is no layer `{name}`; drawn on are {}", names.join(", ")))
    })
}

/// Why there is no path, with the open end that is nearest to closing.
fn nothing_closed(on: &OnLayer, choice: Choice, units: Units) -> String {
    let count = on.closed.len();
    if let (Choice::Index(index), true) = (choice, count > 0) {
        return format!("there are {count} closed paths; there is no number {}", index + 1);
    }
    if on.pieces == 0 {
        return "nothing is drawn there: no line, arc or curve".to_owned();
    }
    let gap = |trouble: &Trouble| match trouble {
        Trouble::OpenEnd { nearest, .. } => nearest.unwrap_or(f64::MAX),
        _ => f64::INFINITY,
    };
    let least = on.joining.iter().min_by(|a, b| gap(a).total_cmp(&gap(b)));
    let place = least.map_or_else(String::new, |trouble| format!(": {}", trouble.message(units)));
    let gap = units.fine_with_unit(join_gap(units));
    format!("no closed path{place}. Ends are joined when they lie within {gap} of each other")
}
