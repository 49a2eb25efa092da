//! The finished block as a section square to its outline: how deep a place lies in it, by its depth inside the outline
//! and its height.

use crate::geometry::pt;
use crate::tool::Profile;

/// Halvings when looking for the depth inside the outline at which a limit is reached: to the last digit.
const HALVINGS: usize = 52;

/// The edge between top and wall, as the cutter that makes it leaves it: its profile, where the pass is meant to run.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeShape {
    profile: Profile,
    /// Height of the tip.
    tip: f64,
    /// How far outside the outline the axis runs.
    off: f64,
}

impl EdgeShape {
    /// The shape that a cutter makes with its tip at a height, its axis so far outside the outline.
    pub const fn new(profile: Profile, tip: f64, off: f64) -> Self {
        Self { profile, tip, off }
    }

    /// The lowest height at which it takes anything inside the outline.
    pub fn lower_end(&self) -> f64 {
        let reaches = |height: &f64| self.profile.radius_at(*height).is_some_and(|radius| radius > self.off);
        let joints: Vec<f64> = self.profile.joints().collect();
        let Some(first) = joints.iter().position(reaches) else { return self.tip + self.profile.top().y };
        let (mut low, mut high) = (joints[first.saturating_sub(1)], joints[first]);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if reaches(&middle) { high = middle } else { low = middle }
        }
        self.tip + high
    }

    /// Heights between which the shape is looked at: its joints, and some between on rounded parts.
    pub fn heights(&self) -> impl Iterator<Item = f64> + '_ {
        rounded_heights(&self.profile).into_iter().map(|height| self.tip + height)
    }

    /// Distance to the shape of a place that it leaves standing; 0 where it takes the place.
    fn depth(&self, inside: f64, height: f64) -> f64 {
        let place = pt(inside + self.off, height - self.tip);
        if self.profile.radius_at(place.y).is_some_and(|radius| place.x <= radius) {
            return 0.0;
        }
        let top = self.profile.top();
        let above = if place.y >= top.y { place.x - top.x } else { place.distance(top) };
        let pieces = self.profile.pieces().iter().map(|piece| piece.span().distance(place));
        pieces.fold(above.abs(), f64::min)
    }
}

/// The joints of a profile, and heights between them on its rounded parts, even in the angle.
pub(super) fn rounded_heights(profile: &Profile) -> Vec<f64> {
    const PARTS: usize = 8;
    let mut found: Vec<f64> = profile.joints().collect();
    for piece in profile.pieces().iter().filter(|piece| piece.centre.is_some()) {
        let span = piece.span();
        found.extend((1..PARTS).map(|part| span.at(part as f64 / PARTS as f64).y));
    }
    found
}

/// What must stand when all is done, but for what is made inside it and undercut.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Z of the finished top.
    pub top: f64,
    /// Z of the lower face.
    pub bottom: f64,
    /// What is taken off its edge.
    pub edges: Vec<EdgeShape>,
    /// How far inside the outline a wall may be cut: what a pass with an allowance below 0 is meant to do.
    pub inset: f64,
}

impl Solid {
    /// The least distance to any surface of a place so deep inside the outline at this height; 0 or less outside. It
    /// grows with the depth inside the outline, and changes no faster than the place moves.
    pub fn depth(&self, inside: f64, height: f64) -> f64 {
        let inside = inside - self.inset;
        let flat = inside.min(self.top - height).min(height - self.bottom);
        if flat <= 0.0 {
            return flat;
        }
        self.edges.iter().map(|edge| edge.depth(inside, height)).fold(flat, f64::min)
    }

    /// How deep inside the outline a place at this height must lie to be deeper in the block than `depth`; `None` where
    /// none is. `widest` is no less than the depth of any place inside the outline.
    pub fn inside_for(&self, depth: f64, height: f64, widest: f64) -> Option<f64> {
        if self.depth(widest, height) <= depth {
            return None;
        }
        let (mut low, mut high) = (0.0, widest);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if self.depth(middle, height) > depth { high = middle } else { low = middle }
        }
        Some(low)
    }

    /// The lower end of what is taken off the edge; the top where nothing is.
    pub fn wall_top(&self) -> f64 {
        self.edges.iter().map(EdgeShape::lower_end).fold(self.top, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::tool::Form;

    fn rounded() -> Solid {
        let form = Form::EdgeRound { pilot_diameter: 0.5, radius: 0.125, pilot_length: 0.06 };
        let edge = EdgeShape::new(form.profile(), -0.185, 0.25);
        Solid { top: 0.0, bottom: -1.0, edges: vec![edge], inset: 0.0 }
    }

    /// A concave quarter of radius r leaves a circle of radius r about (r, -r) (exact geometry).
    #[test]
    fn a_rounded_edge_is_a_quarter_circle() {
        let solid = rounded();
        // Where the quarter is upright, its height comes from the root of a difference near 0.
        assert_abs_diff_eq!(solid.wall_top(), -0.125, epsilon = 1e-8);
        for (inside, height) in [(0.02, -0.02), (0.05, -0.06), (0.1, -0.01), (0.01, -0.1), (0.06, -0.05)] {
            let off = 0.125 - pt(0.125 - inside, height + 0.125).length();
            assert_abs_diff_eq!(solid.depth(inside, height).max(0.0), off.max(0.0), epsilon = 1e-12);
        }
        assert_abs_diff_eq!(solid.depth(0.5, -0.3), 0.3, epsilon = 1e-12);
        assert_abs_diff_eq!(solid.depth(0.01, -0.3), 0.01, epsilon = 1e-12);
    }

    #[test]
    fn the_way_inside_for_a_depth_undoes_the_depth() {
        let solid = rounded();
        for height in [-0.9, -0.3, -0.12, -0.06, -0.01] {
            let inside = solid.inside_for(0.004, height, 2.0).expect("the block is deeper there");
            assert_abs_diff_eq!(solid.depth(inside, height), 0.004, epsilon = 1e-9);
        }
        assert_eq!(solid.inside_for(0.004, -0.003, 2.0), None, "too near to the top");
        assert_eq!(solid.inside_for(0.004, 0.1, 2.0), None);
    }
}
