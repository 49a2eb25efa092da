//! What a drawing offers: every closed path in it, to be chosen from.

use super::on_layer::{OnLayer, largest};
use super::{Closed, Drawing, Trouble, crossings};
use crate::geometry::{Bounds, Path, Point};
use crate::units::Units;

/// Most troubles of crossing paths that are told for a whole drawing.
const MOST_TOLD: usize = 200;

/// One closed path, and where it crosses itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered {
    /// The path.
    pub closed: Closed,
    /// Where it crosses or runs along itself.
    pub crossings: Vec<Trouble>,
}

/// A drawing in the job's unit with all its closed paths.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The drawing.
    pub drawing: Drawing,
    /// The layer looked at; `None` for all.
    pub layer: Option<usize>,
    /// Ends this near to each other have been joined, in the job's unit.
    pub gap: f64,
    /// The closed paths, in the order of their first pieces.
    pub paths: Vec<Offered>,
    /// What is wrong, placed, in the job's unit.
    pub troubles: Vec<Trouble>,
}

impl Offer {
    /// Looks for the closed paths of a drawing whose numbers are in `units`, on one layer or on all.
    pub fn of(drawing: &Drawing, units: Units, layer: Option<usize>, gap: f64, job: Units) -> Self {
        let drawing = drawing.clone().scaled(units.to(job));
        let on = OnLayer::of(&drawing, layer, gap);
        let mut told = 0;
        let paths: Vec<Offered> = on
            .closed
            .into_iter()
            .map(|closed| {
                let crossings = if told < MOST_TOLD { crossings(&closed.path) } else { Vec::new() };
                told += crossings.len();
                Offered { closed, crossings }
            })
            .collect();
        let crossed = paths.iter().flat_map(|path| path.crossings.iter().cloned());
        let troubles = crossed.chain(on.joining).chain(on.left_out).collect();
        Self { drawing, layer, gap, paths, troubles }
    }

    /// The path that encloses most: the one that a job means by a file's name.
    pub fn largest(&self) -> Option<usize> {
        largest(self.paths.iter().map(|offered| &offered.closed.path))
    }

    /// The path meant by a click: the nearest within `reach`, else the smallest that goes round the point.
    pub fn at(&self, p: Point, reach: f64) -> Option<usize> {
        let here = Bounds::of([p]);
        let paths = self.paths.iter().map(|offered| &offered.closed.path).enumerate();
        let close: Vec<_> = paths.filter(|(_, path)| path.bounds().grown(reach).meets(&here)).collect();
        let near = close.iter().map(|(index, path)| (*index, path.distance(p)));
        let nearest = near.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, distance)| *distance <= reach);
        let round = || {
            let round = close.iter().filter(|(_, path)| goes_round(path, p));
            round.min_by(|a, b| a.1.area().total_cmp(&b.1.area())).map(|(index, _)| *index)
        };
        nearest.map(|(index, _)| index).or_else(round)
    }
}

/// Whether a path goes round a point: it lies on the inner side of the place nearest to it.
fn goes_round(path: &Path, p: Point) -> bool {
    let place = path.place(path.nearest(p));
    (p - place.at).dot(place.outward) < 0.0
}
