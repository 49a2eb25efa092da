//! Which part of the plan is seen, and how large.

use crate::geometry::{Bounds, Point, pt};

/// Which part of the plan is seen, and how large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Viewport {
    /// Block coordinates of the middle.
    pub centre: Point,
    /// View points for one unit.
    pub scale: f64,
    /// Width in view points.
    pub width: f32,
    /// Height in view points.
    pub height: f32,
}

/// Smallest and largest scale: from a mile across to a hair's breadth.
const SCALES: (f64, f64) = (1e-3, 1e7);

impl Viewport {
    /// Shows all of `bounds` with `room` view points left free on every side.
    pub fn fit(bounds: Bounds, width: f32, height: f32, room: f32) -> Self {
        let free = |side: f32| f64::from((side - 2.0 * room).max(side * 0.25).max(1.0));
        let fits = |free: f64, size: f64| if size > 0.0 { free / size } else { f64::INFINITY };
        let scale = fits(free(width), bounds.width()).min(fits(free(height), bounds.height()));
        let scale = if scale.is_finite() { scale.clamp(SCALES.0, SCALES.1) } else { 100.0 };
        let centre = if bounds.is_empty() { Point::default() } else { bounds.centre() };
        Self { centre, scale, width, height }
    }

    /// Where a point of the block is seen.
    pub fn to_view(&self, p: Point) -> [f32; 2] {
        let away = (p - self.centre) * self.scale;
        [self.width / 2.0 + away.x as f32, self.height / 2.0 - away.y as f32]
    }

    /// The point of the block seen at a place.
    pub fn to_block(&self, at: [f32; 2]) -> Point {
        let x = f64::from(at[0]) - f64::from(self.width) / 2.0;
        let y = f64::from(self.height) / 2.0 - f64::from(at[1]);
        self.centre + pt(x, y) * (1.0 / self.scale)
    }

    /// `factor` times as large, with what is seen at `at` staying there.
    #[must_use]
    pub fn zoomed(&self, at: [f32; 2], factor: f64) -> Self {
        let kept = self.to_block(at);
        let factor = if factor.is_finite() && factor > 0.0 { factor } else { 1.0 };
        let scale = (self.scale * factor).clamp(SCALES.0, SCALES.1);
        Self { centre: kept + (self.centre - kept) * (self.scale / scale), scale, ..*self }
    }

    /// With everything moved by this many view points to the right and down.
    #[must_use]
    pub fn panned(&self, dx: f32, dy: f32) -> Self {
        let by = pt(-f64::from(dx), f64::from(dy)) * (1.0 / self.scale);
        Self { centre: self.centre + by, ..*self }
    }

    /// The part of the plan that is seen.
    pub fn seen(&self) -> Bounds {
        Bounds::of([self.to_block([0.0, self.height]), self.to_block([self.width, 0.0])])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Viewport {
        Viewport::fit(Bounds::of([pt(-1.0, -2.0), pt(5.0, 3.0)]), 800.0, 600.0, 40.0)
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        let view = some();
        for p in [pt(0.0, 0.0), pt(4.9, -1.5), pt(-0.7, 2.2)] {
            assert!(view.to_block(view.to_view(p)).distance(p) < 1e-5);
        }
        let [x, y] = view.to_view(pt(-1.0, 3.0));
        assert!(x >= 39.9 && y >= 39.9, "the room is kept");
        assert!(view.to_view(pt(0.0, 1.0))[1] < view.to_view(pt(0.0, 0.0))[1], "y is up in plan");
    }

    #[test]
    fn zooming_keeps_what_is_under_the_pointer() {
        let (view, pointer) = (some(), [123.0, 456.0]);
        for factor in [0.5, 1.25, 40.0] {
            let nearer = view.zoomed(pointer, factor);
            assert!(nearer.to_block(pointer).distance(view.to_block(pointer)) < 1e-9);
        }
    }

    #[test]
    fn panning_moves_what_is_seen_with_the_hand() {
        let view = some();
        let [x, y] = view.to_view(pt(1.0, 1.0));
        let [moved_x, moved_y] = view.panned(10.0, -7.0).to_view(pt(1.0, 1.0));
        assert!((moved_x - x - 10.0).abs() < 1e-3 && (moved_y - y + 7.0).abs() < 1e-3);
    }

    #[test]
    fn nothing_to_show_still_gives_a_view() {
        assert!(Viewport::fit(Bounds::EMPTY, 100.0, 100.0, 10.0).scale > 0.0);
    }
}
