//! What a drawing holds that a job could take, layer by layer.

use std::fmt::Write as _;

use serde_json::{Map, Value, json};

use super::on_layer::OnLayer;
use super::resolve::layer_index;
use super::{Closed, Drawing, Fault, Trouble, crossings, join_gap};
use crate::finding::Severity;
use crate::geometry::Path;
use crate::job::Vertex;
use crate::units::{Units, json_text};

/// Most layers that a survey of a whole drawing goes through one by one.
const MOST_LAYERS: usize = 500;
/// Most troubles of one layer that are written out for people.
const MOST_TOLD: usize = 12;

/// A drawing as a job that names it would read it.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The unit of every length in it.
    pub units: Units,
    /// Every layer that is drawn on, each for itself; where there are several, all of them together at the end.
    pub layers: Vec<LayerSurvey>,
}

/// One layer, or all of them together.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerSurvey {
    /// Its name; `None` for all layers together.
    pub layer: Option<String>,
    /// Lines and arcs on it.
    pub pieces: usize,
    /// Its closed paths, in the order of their first pieces.
    pub closed: Vec<Closed>,
    /// Which of them a job takes: the one that encloses most.
    pub taken: Option<usize>,
    /// What is wrong, with the crossings of the path that is taken.
    pub troubles: Vec<Trouble>,
}

impl LayerSurvey {
    fn of(drawing: &Drawing, layer: Option<usize>, units: Units) -> Self {
        let on = OnLayer::of(drawing, layer, join_gap(units));
        let taken = on.largest();
        let crossed = taken.and_then(|index| on.closed.get(index)).map(|closed| crossings(&closed.path));
        let mut troubles = on.left_out;
        troubles.extend(on.joining);
        troubles.extend(crossed.into_iter().flatten());
        Self {
            layer: layer.map(|index| drawing.layers[index].name.clone()),
            pieces: on.pieces,
            closed: on.closed,
            taken,
            troubles,
        }
    }

    /// The path that a job takes.
    pub fn path(&self) -> Option<&Path> {
        Some(&self.closed.get(self.taken?)?.path)
    }

    /// Whether there is a path to take, with nothing more than notes to it.
    pub fn is_sound(&self) -> bool {
        let path = self.path();
        path.is_some() && self.troubles.iter().all(|trouble| trouble.severity(path) == Severity::Note)
    }

    fn write(&self, units: Units, out: &mut String) {
        let name =
            self.layer.as_ref().map_or("All layers together".to_owned(), |name| format!("Layer {name}"));
        let count = |count: usize, one: &str, more: &str| match count {
            0 => format!("no {one}"),
            1 => format!("1 {one}"),
            _ => format!("{count} {more}"),
        };
        let _ = write!(
            out,
            "{name}: {}, {}.",
            count(self.pieces, "line or arc", "lines and arcs"),
            count(self.closed.len(), "closed path", "closed paths")
        );
        if let Some(path) = self.path() {
            let bounds = path.bounds();
            let which = if self.closed.len() > 1 { "The one that encloses most is" } else { "It is" };
            let _ = write!(
                out,
                " {which} {} long in {}, from X{} Y{} to X{} Y{}.",
                units.fine_with_unit(path.length()),
                count(path.spans().len(), "line or arc", "lines and arcs"),
                units.fine(bounds.low.x),
                units.fine(bounds.low.y),
                units.fine(bounds.high.x),
                units.fine(bounds.high.y),
            );
        }
        out.push('\n');
        for trouble in self.troubles.iter().take(MOST_TOLD) {
            let weight = if trouble.severity(self.path()) == Severity::Note { "Note" } else { "Check" };
            let _ = writeln!(out, "  {weight}  {}: {}", trouble.code().text(), trouble.message(units));
        }
        if self.troubles.len() > MOST_TOLD {
            let _ = writeln!(out, "  {} more like these", self.troubles.len() - MOST_TOLD);
        }
    }

    fn json(&self, units: Units) -> Value {
        let mut map = Map::new();
        if let Some(layer) = &self.layer {
            map.insert("layer".into(), json!(layer));
        }
        map.insert("pieces".into(), json!(self.pieces));
        map.insert("closed".into(), self.closed.iter().map(closed_json).collect());
        if let Some(taken) = self.taken {
            map.insert("taken".into(), json!(taken));
        }
        let troubles = self.troubles.iter().map(|trouble| {
            let mut map = Map::new();
            map.insert("code".into(), json!(trouble.code()));
            map.insert("severity".into(), json!(trouble.severity(self.path())));
            if let Some(at) = trouble.at() {
                map.insert("at".into(), json!([at.x, at.y]));
            }
            map.insert("message".into(), json!(trouble.message(units)));
            Value::Object(map)
        });
        map.insert("troubles".into(), troubles.collect());
        Value::Object(map)
    }
}

fn closed_json(closed: &Closed) -> Value {
    let bounds = closed.path.bounds();
    json!({
        "length": closed.path.length(),
        "area": closed.path.area(),
        "low": [bounds.low.x, bounds.low.y],
        "high": [bounds.high.x, bounds.high.y],
        "vertices": closed.vertices.iter().map(vertex_json).collect::<Vec<_>>(),
    })
}

/// As a job file writes it: the bulge only where there is one.
fn vertex_json(vertex: &Vertex) -> Value {
    let Vertex { at, bulge } = vertex;
    if *bulge == 0.0 { json!([at.x, at.y]) } else { json!([at.x, at.y, bulge]) }
}

/// Looks through a drawing whose numbers are in `units`: one layer, or every layer and then all of them together.
///
/// # Errors
/// When there is no such layer, or nothing is drawn.
pub fn survey(drawing: &Drawing, layer: Option<&str>, units: Units) -> Result<Survey, Fault> {
    if let Some(name) = layer {
        let index = layer_index(drawing, name)?;
        return Ok(Survey { units, layers: vec![LayerSurvey::of(drawing, Some(index), units)] });
    }
    let drawn: Vec<usize> = drawing
        .layers
        .iter()
        .enumerate()
        .filter(|(_, layer)| layer.pieces > 0)
        .map(|(index, _)| index)
        .collect();
    if drawn.is_empty() {
        return Err(Fault::whole("nothing is drawn in it: no line, arc or curve"));
    }
    let several = drawn.len() > 1;
    let each = drawn.into_iter().take(MOST_LAYERS).map(Some).chain(several.then_some(None));
    Ok(Survey { units, layers: each.map(|layer| LayerSurvey::of(drawing, layer, units)).collect() })
}

impl Survey {
    /// For people: a sentence for each layer, and what is wrong on it.
    pub fn text(&self, file: &str) -> String {
        let mut text = format!("{file}: lengths in {}.\n", self.units.short());
        for layer in &self.layers {
            layer.write(self.units, &mut text);
        }
        text
    }

    /// For programs: schema `blockwright-drawing/1`; lengths in `units`, keys that do not apply absent.
    pub fn json(&self, file: &str) -> String {
        let layers: Vec<Value> = self.layers.iter().map(|layer| layer.json(self.units)).collect();
        let root = json!({
            "schema": "blockwright-drawing/1",
            "file": file,
            "units": self.units.name(),
            "layers": layers,
        });
        json_text(root)
    }
}
