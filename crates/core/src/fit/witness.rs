//! What can hold the margin down: places on the outline, on the edge, and discs between them.
//!
//! ```text
//!    edge ___________________________
//!        |    .-----------.          |
//!        |   /  ( o )      \____     |   o  a disc: the depth of its centre in the blank less its radius
//!        |  |    outline        \    |
//!        |   \___________________+---|   +  a corner of the outline: its distance to the edge
//!        |         |                 |
//!        |_________*_________________|   *  a place on the edge: its distance to the outline
//! ```

use super::field::Field;
use crate::geometry::{Bounds, Path, Point, Span, pt};

/// How far the witnesses of a group are apart, in steps along the edge.
const GROUP: f64 = 6.0;

/// A place that can hold the margin down.
///
/// A disc in the outline can only be moved out by what lies between it and the edge: the margin is nowhere above the
/// depth of its centre in the blank less its radius, also where that is negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Witness {
    /// A corner of the outline, held against the edge.
    Outline(Point),
    /// A disc in the outline, held against the edge: a rounded corner, or any other.
    Disc(Point, f64),
    /// A place on the edge, held against the outline.
    Edge(Point),
}

impl Witness {
    /// Its place, and how far round it metal must lie.
    pub(super) const fn disc(self) -> (Point, f64) {
        match self {
            Self::Disc(centre, radius) => (centre, radius),
            Self::Outline(p) | Self::Edge(p) => (p, 0.0),
        }
    }

    pub(super) const fn is_edge(self) -> bool {
        matches!(self, Self::Edge(_))
    }
}

/// A witness with what is known of it in a room: it allows nothing under `low`, and lies near to this side.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    pub(super) witness: Witness,
    pub(super) low: f64,
    pub(super) side: usize,
    /// The group that it stands for.
    pub(super) group: Option<usize>,
}

impl Known {
    /// A witness of which nothing is known.
    pub(super) const fn new(witness: Witness) -> Self {
        Self { witness, low: f64::NEG_INFINITY, side: 0, group: None }
    }
}

/// A witness with what it allows at the middle of a room.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    pub(super) witness: Witness,
    pub(super) value: f64,
    /// Depth of its place in the metal, or in the air round the outline.
    pub(super) depth: f64,
    /// The place as the other of the two sees it.
    pub(super) here: Point,
    /// From the centroid, as it lies.
    pub(super) spoke: Point,
    /// How far it can move in the room.
    pub(super) moves: f64,
    /// The side of the other that it is nearest to.
    pub(super) side: usize,
    /// The group that it stands for, none of which was looked at itself.
    pub(super) group: Option<usize>,
}

impl Held {
    pub(super) const fn stands_for_others(&self) -> bool {
        self.group.is_some()
    }

    /// What it allows in the room by its moves alone. Where the outline already lies off the edge, its corners only say
    /// that the margin is not above 0: how short the blank is, the edge says.
    pub(super) fn flat(&self) -> f64 {
        let most = self.value + self.moves;
        if matches!(self.witness, Witness::Outline(_)) { most.max(0.0) } else { most }
    }
}

/// Neighbours among the witnesses.
#[derive(Debug)]
pub(super) struct Group {
    pub(super) first: Witness,
    pub(super) others: Vec<Witness>,
    /// None of the others allows less than the first by more than this.
    pub(super) spread: f64,
}

/// Outward corners of the outline. A round whose whole disc lies in the outline is one witness.
pub(super) fn corners(path: &Path, field: &Field, follow: f64) -> Vec<Witness> {
    let spans = path.spans();
    let whole = |span: &Span| match span {
        Span::Arc(arc) if arc.sweep * field.sense > 0.0 => {
            (field.near(arc.centre).depth >= arc.radius - 4.0 * follow).then_some((arc.centre, arc.radius))
        }
        _ => None,
    };
    let mut found = Vec::new();
    for (index, span) in spans.iter().enumerate() {
        if let Some((centre, radius)) = whole(span) {
            found.push(Witness::Disc(centre, radius));
            continue;
        }
        let before = &spans[(index + spans.len() - 1) % spans.len()];
        let turn = before.tangent(1.0).cross(span.tangent(0.0)) * field.sense;
        if turn > 0.0 && whole(before).is_none() {
            found.push(Witness::Outline(span.at(0.0)));
        }
        if let Span::Arc(arc) = span
            && arc.sweep * field.sense > 0.0
        {
            let steps = arc.steps(follow);
            found.extend((1..steps).map(|step| Witness::Outline(span.at(step as f64 / steps as f64))));
        }
    }
    found
}

/// Neighbours that follow each other, in groups.
pub(super) fn grouped(witnesses: &[Witness], step: f64) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for &witness in witnesses {
        let (at, radius) = witness.disc();
        let spread = |group: &Group| {
            let (first, smaller) = group.first.disc();
            at.distance(first) + (radius - smaller).max(0.0)
        };
        match groups.last_mut().map(|group| (spread(group), group)) {
            Some((spread, group)) if spread <= step * GROUP => {
                group.others.push(witness);
                group.spread = group.spread.max(spread);
            }
            _ => groups.push(Group { first: witness, others: Vec::new(), spread: 0.0 }),
        }
    }
    groups
}

/// Discs in the outline round the points of a grid, each as large as there is room for.
pub(super) fn discs(field: &Field) -> Vec<Witness> {
    const CELLS: u32 = 16;
    let bounds = Bounds::of(field.corners.iter().copied());
    let mut found = Vec::new();
    for column in 1..CELLS {
        for row in 1..CELLS {
            let part =
                |index: u32, low: f64, high: f64| low + (high - low) * f64::from(index) / f64::from(CELLS);
            let p = pt(part(column, bounds.low.x, bounds.high.x), part(row, bounds.low.y, bounds.high.y));
            let depth = field.near(p).depth;
            if depth > 0.0 {
                found.push(Witness::Disc(p, depth));
            }
        }
    }
    found
}
