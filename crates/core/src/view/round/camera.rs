//! From where the block is seen.

use super::scene::Scene;

/// From where the block is seen: without perspective, so that what is as long is drawn as long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Degrees by which the viewer has walked round the block, counter-clockwise seen from above; at 0 X runs to the
    /// right and Y away.
    pub turn: f64,
    /// Degrees above the level of the block, -90 to 90; at 90 it is seen as in plan, below 0 from underneath.
    pub tilt: f64,
    /// 1 shows the whole block.
    pub zoom: f64,
    /// By how many view points the block's middle is moved to the right and down.
    pub pan: [f32; 2],
}

/// Degrees for one view point of the mouse.
const DEGREES: f64 = 0.4;
const ZOOMS: (f64, f64) = (0.2, 200.0);
/// The part of the view that the block fills at zoom 1.
const FILLED: f64 = 0.92;
/// Height of the view needed, in parts of the block's diagonal in plan: enough at every usual tilt.
const TALL: f64 = 0.8;

impl Default for Camera {
    fn default() -> Self {
        Self { turn: -28.0, tilt: 34.0, zoom: 1.0, pan: [0.0; 2] }
    }
}

impl Camera {
    /// Turned as if the block were taken hold of and moved by this many view points to the right and down.
    #[must_use]
    pub fn turned(&self, dx: f32, dy: f32) -> Self {
        let turn = (self.turn - f64::from(dx) * DEGREES).rem_euclid(360.0);
        Self { turn, tilt: (self.tilt + f64::from(dy) * DEGREES).clamp(-90.0, 90.0), ..*self }
    }

    /// `factor` times as large; what is seen at `away`, view points from the middle of the view, stays there.
    #[must_use]
    pub fn zoomed(&self, away: [f32; 2], factor: f64) -> Self {
        let factor = if factor.is_finite() && factor > 0.0 { factor } else { 1.0 };
        let zoom = (self.zoom * factor).clamp(ZOOMS.0, ZOOMS.1);
        let by = (zoom / self.zoom) as f32;
        let pan = [0, 1].map(|axis| away[axis] + (self.pan[axis] - away[axis]) * by);
        Self { zoom, pan, ..*self }
    }

    /// Moved by this many view points to the right and down.
    #[must_use]
    pub fn panned(&self, dx: f32, dy: f32) -> Self {
        Self { pan: [self.pan[0] + dx, self.pan[1] + dy], ..*self }
    }

    /// View points for one unit of length in a view of this size.
    pub fn scale(&self, scene: &Scene, width: f32, height: f32) -> f64 {
        let diagonal = scene.diagonal();
        let fits = (f64::from(width) / diagonal).min(f64::from(height) / (diagonal * TALL));
        let scale = fits * FILLED * self.zoom;
        if scale.is_finite() && scale > 0.0 { scale } else { 1.0 }
    }

    /// Unit vectors to the right, up, and towards the viewer.
    pub(super) fn axes(&self) -> [[f64; 3]; 3] {
        let (sin, cos) = upright(self.turn);
        let (up, level) = upright(self.tilt.clamp(-90.0, 90.0));
        [[cos, sin, 0.0], [-sin * up, cos * up, level], [sin * level, -cos * level, up]]
    }
}

/// Sine and cosine of degrees, exactly 0 where they should be.
fn upright(degrees: f64) -> (f64, f64) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let clean = |part: f64| if part.abs() < 1e-12 { 0.0 } else { part };
    (clean(sin), clean(cos))
}

/// The view of a scene in pixels: from pixels to lines of sight and from places to pixels.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    axes: [[f64; 3]; 3],
    centre: [f64; 3],
    /// Pixels of the middle of the block.
    middle: [f64; 2],
    /// Pixels for one unit.
    scale: f64,
    far: f64,
}

impl Sight {
    /// For a view of so many points, `density` pixels each.
    pub(super) fn new(camera: &Camera, scene: &Scene, [width, height]: [f32; 2], density: f64) -> Self {
        let middle = [width / 2.0 + camera.pan[0], height / 2.0 + camera.pan[1]];
        Self {
            axes: camera.axes(),
            centre: scene.centre(),
            middle: middle.map(|part| f64::from(part) * density),
            scale: camera.scale(scene, width, height) * density,
            far: scene.diagonal() * 2.0 + scene.thickness() * 2.0,
        }
    }

    /// Where the line of sight through a place of the picture begins, before everything that is seen.
    pub(super) fn origin(&self, x: f64, y: f64) -> [f64; 3] {
        let (across, up) = ((x - self.middle[0]) / self.scale, (self.middle[1] - y) / self.scale);
        let [right, upward, toward] = self.axes;
        std::array::from_fn(|i| self.centre[i] + right[i] * across + upward[i] * up + toward[i] * self.far)
    }

    /// Where a place in block coordinates is seen, in pixels.
    pub(super) fn place(&self, place: [f64; 3]) -> [f32; 2] {
        let from: [f64; 3] = std::array::from_fn(|axis| place[axis] - self.centre[axis]);
        let along = |axis: [f64; 3]| axis[0] * from[0] + axis[1] * from[1] + axis[2] * from[2];
        let across = self.middle[0] + along(self.axes[0]) * self.scale;
        let down = self.middle[1] - along(self.axes[1]) * self.scale;
        [across as f32, down as f32]
    }

    /// Unit vector from the viewer into the picture.
    pub(super) fn away(&self) -> [f64; 3] {
        self.axes[2].map(|part| -part)
    }

    pub(super) const fn axes(&self) -> &[[f64; 3]; 3] {
        &self.axes
    }

    /// Length of one pixel.
    pub(super) fn pixel(&self) -> f64 {
        1.0 / self.scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
        a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    }

    #[test]
    fn the_axes_are_square_to_each_other_at_every_turn() {
        for turn in [-90.0, 0.0, 33.0, 180.0] {
            for tilt in [-90.0, -10.0, 0.0, 34.0, 90.0] {
                let [right, up, toward] = Camera { turn, tilt, ..Camera::default() }.axes();
                for (a, b, want) in
                    [(right, up, 0.0), (up, toward, 0.0), (right, right, 1.0), (toward, toward, 1.0)]
                {
                    assert!((dot(a, b) - want).abs() < 1e-12, "{turn} {tilt}");
                }
            }
        }
        let [right, up, _] = Camera { turn: 0.0, tilt: 90.0, ..Camera::default() }.axes();
        assert_eq!((right, up), ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]), "seen as in plan");
    }

    #[test]
    fn zooming_keeps_what_is_under_the_pointer() {
        let camera = Camera { pan: [10.0, -4.0], ..Camera::default() };
        let away = [50.0, 20.0];
        let nearer = camera.zoomed(away, 2.0);
        for axis in [0, 1] {
            let before = (away[axis] - camera.pan[axis]) * 2.0;
            assert!((before - (away[axis] - nearer.pan[axis])).abs() < 1e-4);
        }
    }
}
