//! How deep a place in plan lies inside a closed path.

use rstar::RTree;

use crate::geometry::{Path, Point, Side};

/// Up to so many spans are looked at one by one: sooner done than finding them by place.
const FEW: usize = 24;

/// The area inside a closed path.
#[derive(Debug)]
pub struct Area {
    sides: Vec<Side>,
    tree: Option<RTree<Side>>,
}

impl Area {
    /// The area inside `path`.
    pub fn new(path: &Path) -> Self {
        let sides: Vec<Side> = Side::of(path).collect();
        let tree = (sides.len() > FEW).then(|| RTree::bulk_load(sides.clone()));
        Self { sides, tree }
    }

    /// Distance from `p` to the path: positive inside, negative outside. It changes no faster than `p` moves.
    pub fn depth(&self, p: Point) -> f64 {
        let inside = self.sides.iter().filter(|side| side.encloses(p)).count() % 2 == 1;
        let least = |nearest: f64, side: &Side| nearest.min(side.span.distance(p));
        let off = match &self.tree {
            Some(tree) => {
                let nearest = tree.nearest_neighbor(&[p.x, p.y]);
                nearest.map_or(f64::INFINITY, |side| side.span.distance(p))
            }
            None => self.sides.iter().fold(f64::INFINITY, least),
        };
        if inside { off } else { -off }
    }
}
