//! From the job to the text of a job file.

use crate::program::Zero;
use serde_json::{Map, Number, Value};

use super::does::Does;
use super::model::{Blank, ContactLimits, Job, KeepClear, Machine, Pass, PathSource, Travel, Vertex};
use super::read::SCHEMA;
use super::{confirm, control, material, measured, seen};
use crate::tool::{Form, Tool};
use crate::units::Units;

/// Longest line; what does not fit goes one member to a line.
const WIDTH: usize = 100;
const INDENT: usize = 2;

/// The text of a job file (schema `blockwright-job/1`) that [`super::read`] turns back into the same job.
///
/// A number that is not finite comes out as `null`, which [`super::read`] refuses at its place.
pub fn write(job: &Job) -> String {
    laid_out(&job_value(job))
}

/// A whole file.
pub(super) fn laid_out(value: &Value) -> String {
    let mut text = String::new();
    lay_out(value, 0, None, &mut text);
    text.push('\n');
    text
}

/// An object in the making, keys in the order they are put.
#[derive(Default)]
pub(super) struct Record(Map<String, Value>);

impl Record {
    pub(super) fn with(mut self, key: &str, value: impl Into<Value>) -> Self {
        self.0.insert(key.to_owned(), value.into());
        self
    }

    /// Puts nothing for `None`.
    pub(super) fn maybe<V: Into<Value>>(self, key: &str, value: Option<V>) -> Self {
        match value {
            Some(value) => self.with(key, value),
            None => self,
        }
    }

    pub(super) fn maybe_number(self, key: &str, value: Option<f64>) -> Self {
        self.maybe(key, value.map(number))
    }
}

impl From<Record> for Value {
    fn from(record: Record) -> Self {
        Self::Object(record.0)
    }
}

/// Whole numbers without a decimal point, others in the shortest form that reads back the same.
pub(super) fn number(value: f64) -> Value {
    /// Below this every whole number is exact as a float.
    const EXACT: f64 = 9_007_199_254_740_992.0;
    if value.fract() == 0.0 && value.abs() < EXACT {
        return Value::from(value as i64);
    }
    Number::from_f64(value).map_or(Value::Null, Value::Number)
}

pub(super) fn numbers(values: &[f64]) -> Value {
    values.iter().copied().map(number).collect()
}

pub(super) fn word<T: PartialEq>(choices: &[(&str, T)], value: &T) -> Option<String> {
    choices.iter().find(|(_, known)| known == value).map(|&(name, _)| name.to_owned())
}

fn job_value(job: &Job) -> Value {
    Record::default()
        .with("schema", SCHEMA)
        .maybe("name", job.name.clone())
        .with("units", job.units.name())
        .maybe("outline", job.outline.as_ref().map(path))
        .maybe("blank", job.blank.as_ref().map(blank))
        .maybe("bed", job.bed_top.map(|top| Record::default().with("top", number(top))))
        .maybe("keep_clear", (!job.keep_clear.is_empty()).then(|| keep_clear(&job.keep_clear)))
        .maybe_number("gauge_height", job.gauge_height)
        .maybe_number("land", job.land)
        .maybe("contact", job.contact.map(contact))
        .maybe("walls", (!job.walls.is_empty()).then(|| numbers(&job.walls)))
        .maybe("machine", job.machine.as_ref().map(machine))
        .maybe("control", job.control.as_ref().map(control::write))
        .with("tools", job.tools.iter().map(tool).collect::<Vec<_>>())
        .maybe("materials", material::write(&job.materials))
        .maybe("crib", job.crib.as_ref().map(|crib| crib.file.as_str()))
        .with("passes", job.passes.iter().map(pass).collect::<Vec<_>>())
        .maybe("to_confirm", confirm::write(job))
        .maybe("seen", seen::write(&job.seen))
        .into()
}

fn path(source: &PathSource) -> Value {
    let record = Record::default();
    match source {
        PathSource::Vertices(vertices) => {
            record.with("vertices", vertices.iter().map(vertex).collect::<Vec<_>>())
        }
        PathSource::File { file, layer, units } => record
            .with("file", file.as_str())
            .maybe("layer", layer.clone())
            .maybe("units", units.map(Units::name)),
        PathSource::FromPass(name) => record.with("from_pass", name.as_str()),
    }
    .into()
}

fn vertex(vertex: &Vertex) -> Value {
    let all = [vertex.at.x, vertex.at.y, vertex.bulge];
    numbers(if vertex.bulge == 0.0 { &all[..2] } else { &all })
}

fn blank(blank: &Blank) -> Value {
    Record::default()
        .with("edge", path(&blank.edge))
        .with("top", number(blank.top))
        .with("thickness", number(blank.thickness))
        .maybe("material", blank.material.clone())
        .maybe("at", blank.at.map(|at| numbers(&at)))
        .into()
}

fn keep_clear(areas: &[KeepClear]) -> Value {
    let area = |area: &KeepClear| -> Value {
        Record::default()
            .with("name", area.name.as_str())
            .with("area", path(&PathSource::Vertices(area.area.clone())))
            .with("top", number(area.top))
            .into()
    };
    areas.iter().map(area).collect()
}

fn contact(limits: ContactLimits) -> Value {
    Record::default()
        .maybe_number("light_below", limits.light_below)
        .maybe_number("heavy_above", limits.heavy_above)
        .into()
}

fn machine(machine: &Machine) -> Value {
    Record::default()
        .maybe_number("rapid", machine.rapid)
        .maybe_number("spindle_max", machine.spindle_max)
        .maybe_number("power", machine.power)
        .maybe("travel", machine.travel.map(travel))
        .into()
}

fn travel(travel: Travel) -> Value {
    Record::default()
        .maybe("x", travel.x.map(|range| numbers(&range)))
        .maybe("y", travel.y.map(|range| numbers(&range)))
        .maybe("z", travel.z.map(|range| numbers(&range)))
        .into()
}

pub(super) fn tool(tool: &Tool) -> Value {
    Record::default()
        .with("number", tool.number)
        .maybe("name", tool.name.clone())
        .with("form", form(&tool.form))
        .maybe("flutes", tool.flutes)
        .maybe_number("flute_length", tool.flute_length)
        .maybe_number("shank_diameter", tool.shank_diameter)
        .maybe_number("stickout", tool.stickout)
        .maybe_number("holder_diameter", tool.holder_diameter)
        .into()
}

fn form(form: &Form) -> Value {
    let record = Record::default().with("kind", form.kind());
    match form {
        Form::Flat { diameter } | Form::Ball { diameter } => record.with("diameter", number(*diameter)),
        Form::Bull { diameter, corner_radius } => {
            record.with("diameter", number(*diameter)).with("corner_radius", number(*corner_radius))
        }
        Form::Undercut { diameter, angle, height } => record
            .with("diameter", number(*diameter))
            .with("angle", number(*angle))
            .with("height", number(*height)),
        Form::EdgeRound { pilot_diameter, radius, pilot_length } => record
            .with("pilot_diameter", number(*pilot_diameter))
            .with("radius", number(*radius))
            .maybe_number("pilot_length", Some(*pilot_length).filter(|length| *length != 0.0)),
        Form::Chamfer { tip_diameter, angle, height } => record
            .with("tip_diameter", number(*tip_diameter))
            .with("angle", number(*angle))
            .with("height", number(*height)),
        Form::Drill { diameter, point_angle } => {
            record.with("diameter", number(*diameter)).with("point_angle", number(*point_angle))
        }
        Form::Silhouette { points } => {
            record.with("points", points.iter().map(|point| numbers(point)).collect::<Vec<_>>())
        }
    }
    .into()
}

fn pass(pass: &Pass) -> Value {
    let Zero { origin, turn } = pass.zero;
    Record::default()
        .with("name", pass.name.as_str())
        .with("program", pass.program.as_str())
        .with("tool", pass.tool)
        .maybe("does", pass.does.map(Does::word))
        .maybe_number("allowance", pass.allowance)
        .maybe_number("bottom", pass.bottom)
        .with("zero", numbers(&origin))
        .maybe_number("turn", Some(turn).filter(|turn| *turn != 0.0))
        .maybe("measured", measured::write(&pass.measured))
        .into()
}

/// Appends a value. `room` is how many characters its line has left, `None` where it must be broken.
fn lay_out(value: &Value, indent: usize, room: Option<usize>, out: &mut String) {
    let start = out.len();
    if let Some(room) = room {
        if on_one_line(value, start, room, out) {
            return;
        }
        out.truncate(start);
    }
    let inner = indent + INDENT;
    // A character is kept back for the comma.
    let left = |used: usize| Some(WIDTH.saturating_sub(inner + used + 1));
    match value {
        Value::Array(items) if !items.is_empty() => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                new_line(index > 0, inner, out);
                lay_out(item, inner, left(0), out);
            }
            new_line(false, indent, out);
            out.push(']');
        }
        Value::Object(members) if !members.is_empty() => {
            out.push('{');
            for (index, (key, member)) in members.iter().enumerate() {
                new_line(index > 0, inner, out);
                let label = label(key);
                out.push_str(&label);
                lay_out(member, inner, left(label.chars().count()), out);
            }
            new_line(false, indent, out);
            out.push('}');
        }
        other => out.push_str(&other.to_string()),
    }
}

/// A key in quotes with what follows it.
fn label(key: &str) -> String {
    format!("{}: ", Value::from(key))
}

fn new_line(comma: bool, indent: usize, out: &mut String) {
    if comma {
        out.push(',');
    }
    out.push('\n');
    out.extend(std::iter::repeat_n(' ', indent));
}

/// Appends a value on one line; false, with part of it appended, as soon as it does not fit.
fn on_one_line(value: &Value, start: usize, room: usize, out: &mut String) -> bool {
    // A character takes at most four bytes: cheap enough to stop a long list early.
    if out.len() - start > room * 4 {
        return false;
    }
    match value {
        Value::Array(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push_str(", ");
                }
                if !on_one_line(item, start, room, out) {
                    return false;
                }
            }
            out.push(']');
        }
        Value::Object(members) if !members.is_empty() => {
            out.push_str("{ ");
            for (index, (key, member)) in members.iter().enumerate() {
                if index > 0 {
                    out.push_str(", ");
                }
                out.push_str(&label(key));
                if !on_one_line(member, start, room, out) {
                    return false;
                }
            }
            out.push_str(" }");
        }
        other => out.push_str(&other.to_string()),
    }
    out[start..].chars().count() <= room
}
