//! The closed paths of one layer of a drawing, or of all of it.

use super::drawing::FIT_POINTS;
use super::{Closed, Curve, Drawing, Joined, Trouble, join};
use crate::geometry::Path;

/// What is on a layer once its pieces are joined.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OnLayer {
    /// Lines and arcs.
    pub(super) pieces: usize,
    /// The closed paths, in the order of their first pieces.
    pub(super) closed: Vec<Closed>,
    /// What is wrong with the joining.
    pub(super) joining: Vec<Trouble>,
    /// What was left out, kind by kind.
    pub(super) left_out: Vec<Trouble>,
}

impl OnLayer {
    /// Joins ends within `gap`, in the drawing's unit; `None` for all layers together.
    pub(super) fn of(drawing: &Drawing, layer: Option<usize>, gap: f64) -> Self {
        let on = |curve: &&Curve| layer.is_none_or(|layer| curve.layer == layer);
        let curves: Vec<Curve> = drawing.curves.iter().filter(on).cloned().collect();
        let Joined { closed, troubles } = join(&curves, gap);
        Self {
            pieces: curves.iter().map(|curve| curve.vertices.len().saturating_sub(1)).sum(),
            closed,
            joining: troubles,
            left_out: left_out(drawing, layer),
        }
    }

    /// The path that a job means by the name of the file.
    pub(super) fn largest(&self) -> Option<usize> {
        largest(self.closed.iter().map(|closed| &closed.path))
    }
}

/// The path that encloses most, the first of several.
pub(super) fn largest<'a>(paths: impl Iterator<Item = &'a Path>) -> Option<usize> {
    let areas = paths.map(Path::area).enumerate();
    areas.reduce(|best, next| if next.1 > best.1 { next } else { best }).map(|(index, _)| index)
}

fn left_out(drawing: &Drawing, layer: Option<usize>) -> Vec<Trouble> {
    let mut kinds: Vec<(&str, usize)> = Vec::new();
    for left in drawing.left_out.iter().filter(|left| layer.is_none_or(|layer| left.layer == layer)) {
        match kinds.iter_mut().find(|(kind, _)| *kind == left.kind) {
            Some((_, count)) => *count += left.count,
            None => kinds.push((&left.kind, left.count)),
        }
    }
    let told = |(kind, count): (&str, usize)| {
        let named = kind.to_owned();
        if kind == FIT_POINTS {
            Trouble::NotFollowed { kind: named, count }
        } else {
            Trouble::LeftOut { kind: named, count }
        }
    };
    kinds.into_iter().map(told).collect()
}
