//! Pieces joined into closed paths, in any order and direction, and what keeps them from closing.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::dead_end::dead_ends;
use super::grid::Grid;
use super::{Curve, Trouble};
use crate::geometry::{Path, Point, Span};
use crate::job::Vertex;

/// Ends nearer than this, as a part of the drawing's size, are one point to the last digits.
const SAME: f64 = 1e-10;
/// Most troubles that are told; a drawing with more needs redrawing, not reading.
const MOST_TOLD: usize = 200;

/// A closed path found among the pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Closed {
    /// Layer of its first piece.
    pub layer: usize,
    /// Its vertices, as a job file states them.
    pub vertices: Vec<Vertex>,
    /// The path.
    pub path: Path,
}

/// Closed paths, in the order of their first pieces, and what is wrong.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Joined {
    /// The closed paths.
    pub closed: Vec<Closed>,
    /// What is wrong, placed.
    pub troubles: Vec<Trouble>,
}

#[derive(Debug, Clone, Copy)]
struct Piece {
    from: Point,
    to: Point,
    bulge: f64,
    layer: usize,
}

impl Piece {
    fn span(&self) -> Span {
        Span::with_bulge(self.from, self.to, self.bulge)
    }

    fn middle(&self) -> Point {
        self.span().at(0.5)
    }
}

/// An end of a piece: twice its index, and one more for the end it runs to.
type End = usize;

/// The gap between two ends, how sharply the way turns there (-1 for straight on), and the ends.
type Pair = (f64, f64, End, End);

/// Joins curves into closed paths wherever ends lie within `gap` of each other.
pub fn join(curves: &[Curve], gap: f64) -> Joined {
    let mut joiner = Joiner::of(curves, gap);
    joiner.drop_doubles();
    joiner.link_free_ends();
    joiner.walk()
}

struct Joiner {
    pieces: Vec<Piece>,
    links: Vec<Option<End>>,
    dropped: Vec<bool>,
    gap: f64,
    same: f64,
    troubles: Vec<Trouble>,
}

impl Joiner {
    fn of(curves: &[Curve], gap: f64) -> Self {
        let size = curves.iter().flat_map(|curve| &curve.vertices);
        let size = size.map(|vertex| vertex.at.x.abs().max(vertex.at.y.abs())).fold(0.0, f64::max);
        let mut joiner = Self {
            pieces: Vec::new(),
            links: Vec::new(),
            dropped: Vec::new(),
            gap,
            same: size * SAME,
            troubles: Vec::new(),
        };
        for curve in curves {
            joiner.add(curve);
        }
        joiner.dropped = vec![false; joiner.pieces.len()];
        joiner
    }

    /// The curve's pieces, linked as drawn.
    fn add(&mut self, curve: &Curve) {
        let first = self.pieces.len();
        for pair in curve.vertices.windows(2) {
            if pair[0].at.distance(pair[1].at) > 0.0 {
                let index = self.pieces.len();
                self.pieces.push(Piece {
                    from: pair[0].at,
                    to: pair[1].at,
                    bulge: pair[0].bulge,
                    layer: curve.layer,
                });
                self.links.extend([None, None]);
                if index > first {
                    self.tie(2 * index - 1, 2 * index);
                }
            }
        }
        let last = self.pieces.len();
        if curve.closed && last > first {
            self.tie(2 * last - 1, 2 * first);
        }
    }

    fn tie(&mut self, a: End, b: End) {
        self.links[a] = Some(b);
        self.links[b] = Some(a);
    }

    fn place(&self, end: End) -> Point {
        let piece = &self.pieces[end / 2];
        if end.is_multiple_of(2) { piece.from } else { piece.to }
    }

    /// Direction in which the piece leaves its end.
    fn leaving(&self, end: End) -> Point {
        let span = self.pieces[end / 2].span();
        if end.is_multiple_of(2) { span.tangent(0.0) } else { -span.tangent(1.0) }
    }

    fn drop_doubles(&mut self) {
        let mut kept = Grid::new(self.gap);
        for index in 0..self.pieces.len() {
            let piece = self.pieces[index];
            let middle = piece.middle();
            let close = |a: Point, b: Point| a.distance(b) <= self.gap;
            let same = |other: &Piece| {
                let along = close(other.from, piece.from) && close(other.to, piece.to);
                let against = close(other.from, piece.to) && close(other.to, piece.from);
                // Shorter than the gap itself, pieces in a row would look like doubles.
                let long = piece.from.distance(piece.to) > 4.0 * self.gap;
                (along || against) && long && close(other.middle(), middle)
            };
            let double = kept.near(middle).any(|other| same(&self.pieces[other]));
            if double {
                self.drop_piece(index);
                self.tell(Trouble::Overlap { at: middle });
            } else {
                kept.add(middle, index);
            }
        }
    }

    fn drop_piece(&mut self, index: usize) {
        self.dropped[index] = true;
        for end in [2 * index, 2 * index + 1] {
            if let Some(other) = self.links[end].take() {
                self.links[other] = None;
            }
        }
    }

    fn free_ends(&self) -> Vec<End> {
        (0..self.links.len()).filter(|end| self.links[*end].is_none() && !self.dropped[end / 2]).collect()
    }

    fn tree(&self, ends: &[End]) -> RTree<GeomWithData<[f64; 2], End>> {
        RTree::bulk_load(
            ends.iter()
                .map(|end| {
                    let at = self.place(*end);
                    GeomWithData::new([at.x, at.y], *end)
                })
                .collect(),
        )
    }

    /// Nearest ends first; of those that coincide, the straightest way on.
    fn link_free_ends(&mut self) {
        let ends = self.free_ends();
        let mut grid = Grid::new(self.gap);
        for end in &ends {
            grid.add(self.place(*end), *end);
        }
        let mut pairs = self.pairs(&ends, &grid);
        self.leave_strays(&ends, &mut pairs);
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then((a.2, a.3).cmp(&(b.2, b.3))));
        for (step, _, a, b) in pairs {
            if self.links[a].is_none() && self.links[b].is_none() {
                self.tie(a, b);
                if step > 0.0 {
                    self.tell(Trouble::Gap { at: self.place(a).toward(self.place(b), 0.5), size: step });
                }
            }
        }
        self.tell_open_ends(&grid);
    }

    /// A dead end that meets a way on is not joined at all, so that it cannot lead a closed way astray.
    fn leave_strays(&self, ends: &[End], pairs: &mut Vec<Pair>) {
        let joinable: Vec<(End, End)> = pairs.iter().map(|(_, _, a, b)| (*a, *b)).collect();
        let dead = dead_ends(ends, self.links.len(), |end| self.far(end), &joinable);
        let mut stray = vec![false; self.links.len()];
        for (a, b) in joinable.into_iter().filter(|(a, b)| dead[*a] != dead[*b]) {
            stray[if dead[a] { a } else { b }] = true;
        }
        pairs.retain(|(_, _, a, b)| !stray[*a] && !stray[*b]);
    }

    /// The free end at which one comes out when going in at this one.
    fn far(&self, end: End) -> End {
        let mut out = end ^ 1;
        while let Some(next) = self.links[out] {
            out = next ^ 1;
        }
        out
    }

    /// Ends that could be joined.
    fn pairs(&self, ends: &[End], grid: &Grid) -> Vec<Pair> {
        let mut pairs = Vec::new();
        for &end in ends {
            let at = self.place(end);
            for other in grid.near(at) {
                let distance = at.distance(self.place(other));
                // A piece may close on itself only where it comes back, as an arc of nearly a full turn does.
                let own = other / 2 == end / 2;
                let round = self.pieces[end / 2].span().length() > 2.0 * self.gap;
                if distance <= self.gap && end < other && (!own || round) {
                    let step = if distance <= self.same { 0.0 } else { distance };
                    let bend = self.leaving(end).dot(self.leaving(other));
                    pairs.push((step, bend, end, other));
                }
            }
        }
        pairs
    }

    /// `ends` are those that were free before they were joined.
    fn tell_open_ends(&mut self, ends: &Grid) {
        let free = self.free_ends();
        let open = self.tree(&free);
        for end in free.into_iter().take(MOST_TOLD) {
            let at = self.place(end);
            let close = |other: usize| other != end && at.distance(self.place(other)) <= self.gap;
            let trouble = if ends.near(at).any(close) {
                Trouble::Branch { at }
            } else {
                let mut near = open.nearest_neighbor_iter(&[at.x, at.y]);
                let other = near.find(|other| other.data != end);
                Trouble::OpenEnd { at, nearest: other.map(|other| at.distance(self.place(other.data))) }
            };
            self.tell(trouble);
        }
    }

    fn tell(&mut self, trouble: Trouble) {
        if self.troubles.len() < MOST_TOLD {
            self.troubles.push(trouble);
        }
    }

    fn walk(self) -> Joined {
        let mut seen = self.dropped.clone();
        let mut closed = Vec::new();
        for index in 0..self.pieces.len() {
            if seen[index] {
                continue;
            }
            if let Some(vertices) = self.loop_from(index, &mut seen) {
                let corners: Vec<(Point, f64)> =
                    vertices.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
                if let Some(path) = Path::closed(&corners) {
                    closed.push(Closed { layer: self.pieces[index].layer, vertices, path });
                }
            }
        }
        Joined { closed, troubles: self.troubles }
    }

    /// The vertices round from this piece, when the way comes back to it.
    fn loop_from(&self, index: usize, seen: &mut [bool]) -> Option<Vec<Vertex>> {
        let start = 2 * index;
        let mut vertices = Vec::new();
        let mut enter = start;
        loop {
            seen[enter / 2] = true;
            let piece = &self.pieces[enter / 2];
            let before = self.links[enter].map(|end| self.place(end));
            let own = self.place(enter);
            let at = before.filter(|before| before.distance(own) > self.same);
            let bulge = if enter.is_multiple_of(2) { piece.bulge } else { -piece.bulge };
            vertices.push(Vertex { at: at.map_or(own, |before| before.toward(own, 0.5)), bulge });
            enter = self.links[enter ^ 1]?;
            if enter == start {
                return Some(vertices);
            }
        }
    }
}
