//! Boxes in boxes round the sides of a closed polygon, in the order in which they follow each other.

use crate::geometry::{Bounds, Point};

/// Sides in a box that is not divided further.
const FEW: usize = 4;
/// Deepest nesting of boxes: more sides than this many halvings hold are not made from any path.
const DEEPEST: usize = 48;

/// A binary tree in one list: the boxes of node `n` are those of nodes `2 n` and `2 n + 1`; node 1 holds all.
#[derive(Debug)]
pub(super) struct Tree {
    boxes: Vec<Bounds>,
    /// The first node that holds sides.
    leaves: usize,
    count: usize,
}

impl Tree {
    pub(super) fn new(corners: &[Point]) -> Self {
        let count = corners.len();
        let leaves = count.div_ceil(FEW).next_power_of_two();
        let mut boxes = vec![Bounds::EMPTY; 2 * leaves];
        for side in 0..count {
            let node = &mut boxes[leaves + side / FEW];
            *node = node.with(corners[side]).with(corners[(side + 1) % count]);
        }
        for node in (1..leaves).rev() {
            boxes[node] = boxes[2 * node].join(boxes[2 * node + 1]);
        }
        Self { boxes, leaves, count }
    }

    /// Shows `look` the sides of every box that `worth` gives a weight, those of a lighter box first; a box is asked
    /// about again before it is opened. `look` ends the search with `false`.
    pub(super) fn search<S>(
        &self,
        state: &mut S,
        worth: impl Fn(&S, &Bounds) -> Option<f64>,
        mut look: impl FnMut(&mut S, usize) -> bool,
    ) {
        let mut open = [1_usize; DEEPEST];
        let mut count = 1;
        while count > 0 {
            count -= 1;
            let node = open[count];
            if worth(state, &self.boxes[node]).is_none() {
                continue;
            }
            if node >= self.leaves {
                let first = (node - self.leaves) * FEW;
                for side in first..(first + FEW).min(self.count) {
                    if !look(state, side) {
                        return;
                    }
                }
                continue;
            }
            let halves = [2 * node, 2 * node + 1].map(|half| (worth(state, &self.boxes[half]), half));
            let nearer = match (halves[0].0, halves[1].0) {
                (Some(a), Some(b)) => usize::from(b < a),
                (_, b) => usize::from(b.is_some()),
            };
            // The last one in is the first to be opened.
            for (weight, half) in [halves[1 - nearer], halves[nearer]] {
                if weight.is_some() && count < DEEPEST {
                    open[count] = half;
                    count += 1;
                }
            }
        }
    }
}

/// The square of the distance from a point to a box; infinite where the box is empty.
pub(super) fn square_off(bounds: &Bounds, p: Point) -> f64 {
    let x = (bounds.low.x - p.x).max(p.x - bounds.high.x).max(0.0);
    let y = (bounds.low.y - p.y).max(p.y - bounds.high.y).max(0.0);
    x * x + y * y
}
