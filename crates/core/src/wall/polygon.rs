//! Polygons from the metal at rising heights.

use crate::geometry::Interval;

/// A point of a section: distance outward from the outline, and height.
pub(super) type Corner = [f64; 2];

/// The metal between two heights, as many pieces at the lower as at the upper.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layer {
    /// Lower and upper height.
    pub(super) heights: Interval,
    /// Pieces just above the lower height.
    pub(super) low: Vec<Interval>,
    /// Pieces just below the upper height.
    pub(super) high: Vec<Interval>,
}

/// A polygon in the making, open above.
struct Chain {
    inner: Vec<Corner>,
    outer: Vec<Corner>,
    upper: Interval,
}

impl Chain {
    fn climb(&mut self, at: Interval, height: f64) {
        add(&mut self.inner, [at.0, height]);
        add(&mut self.outer, [at.1, height]);
        self.upper = at;
    }

    fn closed(mut self) -> Vec<Corner> {
        self.inner.reverse();
        self.outer.extend(self.inner);
        self.outer.dedup();
        if self.outer.first() == self.outer.last() {
            self.outer.pop();
        }
        self.outer
    }
}

/// Adds a corner; one that would lie on a straight line between its neighbours is left out.
fn add(corners: &mut Vec<Corner>, next: Corner) {
    /// Twice the area of the triangle under which three corners are in line, as a part of the squares of its sides.
    const STRAIGHT: f64 = 1e-9;
    if let [.., a, b] = corners[..] {
        let (u, v) = ([b[0] - a[0], b[1] - a[1]], [next[0] - b[0], next[1] - b[1]]);
        let area = (u[0] * v[1] - u[1] * v[0]).abs();
        let onward = u[0] * v[0] + u[1] * v[1] >= 0.0;
        if onward && area <= STRAIGHT * (u[0].hypot(u[1]) * v[0].hypot(v[1])) {
            corners.pop();
        }
    }
    corners.push(next);
}

/// The closed polygons that the layers make up, counter-clockwise, the first corner not repeated. Layers follow
/// each other upward.
pub(super) fn polygons(layers: &[Layer]) -> Vec<Vec<Corner>> {
    let mut open: Vec<Chain> = Vec::new();
    let mut found = Vec::new();
    let mut height = f64::NEG_INFINITY;
    for layer in layers {
        let mut going = if layer.heights.0 > height { Vec::new() } else { std::mem::take(&mut open) };
        found.extend(open.drain(..).map(Chain::closed));
        let mut next = Vec::with_capacity(layer.low.len());
        for (low, high) in layer.low.iter().zip(&layer.high) {
            let mut chain = onward(&mut going, &layer.low, *low).unwrap_or_else(|| Chain {
                inner: Vec::new(),
                outer: Vec::new(),
                upper: *low,
            });
            chain.climb(*low, layer.heights.0);
            chain.climb(*high, layer.heights.1);
            next.push(chain);
        }
        found.extend(going.into_iter().map(Chain::closed));
        open = next;
        height = layer.heights.1;
    }
    found.extend(open.into_iter().map(Chain::closed));
    found
}

/// The chain that goes on in the piece `low`: the only one that touches it, and touching no other piece.
fn onward(going: &mut Vec<Chain>, pieces: &[Interval], low: Interval) -> Option<Chain> {
    let touch = |a: Interval, b: Interval| a.0 <= b.1 && b.0 <= a.1;
    let mut touching = (0..going.len()).filter(|&index| touch(going[index].upper, low));
    let (index, none) = (touching.next()?, touching.next());
    let alone = pieces.iter().filter(|piece| touch(going[index].upper, **piece)).count() == 1;
    (none.is_none() && alone).then(|| going.remove(index))
}
