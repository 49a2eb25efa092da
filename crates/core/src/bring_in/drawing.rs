//! What a drawing holds, whichever file it came from.

use std::collections::HashMap;

use super::MOST_PIECES;
use super::plan::{Affine, Shape};
use crate::job::Vertex;
use crate::names;
use crate::units::Units;

/// Lines and arcs in a row, as drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Index of its layer.
    pub layer: usize,
    /// Vertices, each with the bulge of the span that starts there. The last only ends the span before it; in a
    /// closed curve it is the first again.
    pub vertices: Vec<Vertex>,
    /// Whether it comes back to its first vertex.
    pub closed: bool,
}

/// A layer, and how much is drawn on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// Its name.
    pub name: String,
    /// Lines and arcs on it.
    pub pieces: usize,
}

/// Things on a layer that are no curve in plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Index of the layer.
    pub layer: usize,
    /// What the file calls them.
    pub kind: String,
    /// How many.
    pub count: usize,
}

/// A drawing as exact lines and arcs; curves of other kinds have been followed within
/// [`curve_tolerance`](super::curve_tolerance).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// The unit its numbers are in, when it says so.
    pub units: Option<Units>,
    /// Layers in order of first mention.
    pub layers: Vec<Layer>,
    /// Curves in the order drawn.
    pub curves: Vec<Curve>,
    /// What is no curve in plan and was left out.
    pub left_out: Vec<LeftOut>,
}

impl Drawing {
    /// The index of the layer of this name; capitals do not matter.
    pub fn find(&self, name: &str) -> Option<usize> {
        let name = &*names::shown(name);
        let exact = self.layers.iter().position(|layer| layer.name == name);
        exact
            .or_else(|| self.layers.iter().position(|layer| layer.name.to_lowercase() == name.to_lowercase()))
    }

    /// Lines and arcs in the whole drawing.
    pub fn pieces(&self) -> usize {
        self.layers.iter().map(|layer| layer.pieces).sum()
    }

    /// The drawing with every length multiplied.
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Self {
        for vertex in self.curves.iter_mut().flat_map(|curve| curve.vertices.iter_mut()) {
            vertex.at = vertex.at * by;
        }
        self
    }
}

/// What a spline is called that gives only the points it runs through. The published DXF reference does not say how it
/// runs between them.
pub(super) const FIT_POINTS: &str = "SPLINE by fit points";

/// A drawing while it is being read: names are looked up without going through all of them.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    drawing: Drawing,
    layers: HashMap<String, usize>,
    kinds: HashMap<(usize, String), usize>,
    pieces: usize,
}

impl Sheet {
    /// The index of the layer of this name, made when new; capitals do not matter, nor what is not seen.
    pub(super) fn layer(&mut self, name: &str) -> usize {
        let next = self.drawing.layers.len();
        let name = names::shown(name);
        let index = *self.layers.entry(name.to_lowercase()).or_insert(next);
        if index == next {
            self.drawing.layers.push(Layer { name: name.into_owned(), pieces: 0 });
        }
        index
    }

    pub(super) fn leave_out(&mut self, layer: usize, kind: &str) {
        let kind = names::begun(kind);
        let next = self.drawing.left_out.len();
        let index = *self.kinds.entry((layer, kind.clone())).or_insert(next);
        match self.drawing.left_out.get_mut(index) {
            Some(known) => known.count += 1,
            None => self.drawing.left_out.push(LeftOut { layer, kind, count: 1 }),
        }
    }

    /// Places a shape on a layer.
    ///
    /// # Errors
    /// Why it cannot be drawn, in plain words.
    pub(super) fn draw(
        &mut self,
        layer: usize,
        shape: &Shape,
        place: &Affine,
        tolerance: f64,
    ) -> Result<(), String> {
        if shape.strokes.is_empty() {
            return Ok(());
        }
        let room = MOST_PIECES.saturating_sub(self.pieces);
        let Some(vertices) = shape.drawn(place, tolerance, room) else {
            let full = format!("the drawing comes to more than {MOST_PIECES} lines and arcs");
            let wild = "its numbers are too large or no numbers at all";
            return Err(if shape.drawn(place, f64::MAX, MOST_PIECES).is_some() {
                full
            } else {
                wild.to_owned()
            });
        };
        let pieces = vertices.len().saturating_sub(1);
        self.pieces += pieces;
        if let Some(layer) = self.drawing.layers.get_mut(layer) {
            layer.pieces += pieces;
        }
        self.drawing.curves.push(Curve { layer, vertices, closed: shape.closed });
        Ok(())
    }

    pub(super) fn finish(self, units: Option<Units>) -> Drawing {
        Drawing { units, ..self.drawing }
    }
}
