//! The block seen from above, shaded by height.

use std::f32::consts::SQRT_2;

use rayon::prelude::*;

use super::drawing::Ink;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::block::Field;
use crate::geometry::Point;
use crate::pixels::Pixels;

/// Longest side of the picture in pixels; a larger view is sampled more coarsely.
const LONGEST: f32 = 8192.0;
/// How strongly a step of the whole thickness lightens or darkens the pixels on it.
const RELIEF: f32 = 160.0;
/// The most a step lightens or darkens.
const RELIEF_MOST: f32 = 22.0;
/// Distance between the lines of the hatch over an undercut, their width, both in view points, and how much of their
/// colour is laid on the metal.
const HATCH: f32 = 6.0;
const HATCH_LINE: f32 = 1.3;
const HATCH_LAID: f32 = 0.6;
/// Distance between its lines along a row of pixels.
const HATCH_ALONG: f32 = HATCH * SQRT_2;

/// The block over the whole viewport: opaque and shaded by height where there is metal, clear elsewhere. Steps
/// that face the upper left are a little lighter, those that face away a little darker. Metal that hangs over an
/// undercut is hatched.
pub fn block_image(field: &Field, viewport: &Viewport, pixels_per_point: f32, theme: &Theme) -> Pixels {
    let density = pixels_per_point.clamp(0.05, 8.0);
    let side = |length: f32| (length * density).round().clamp(1.0, LONGEST) as usize;
    let (width, height) = (side(viewport.width), side(viewport.height));
    let sampler = Sampler::new(field, viewport, width, height);
    let mut heights = vec![f32::NAN; width * height];
    heights.par_chunks_mut(width).enumerate().for_each(|(row, line)| sampler.row(row, line));
    let mut rgba = vec![0; width * height * 4];
    let shade = Shade::new(field, theme);
    rgba.par_chunks_mut(width * 4).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(4).enumerate() {
            let at = |x: usize, y: usize| heights.get(y * width + x).copied().unwrap_or(f32::NAN);
            let here = at(column, row);
            let (left, up) = (at(column.saturating_sub(1), row), at(column, row.saturating_sub(1)));
            let right = at((column + 1).min(width - 1), row);
            let down = at(column, (row + 1).min(height - 1));
            let metal = [here, left, up, right, down].iter().filter(|height| height.is_finite()).count();
            if metal == 0 {
                continue;
            }
            let cover = if metal == 5 { 1.0 } else { sampler.cover(column, row) };
            let seen = [here, left, up, right, down].into_iter().find(|height| height.is_finite());
            let step = |other: f32| if here.is_finite() && other.is_finite() { here - other } else { 0.0 };
            let mut ink = shade.ink(seen.unwrap_or_default(), step(left) + step(up));
            if here.is_finite() && sampler.hatched(column, row) {
                ink = mixed(ink, theme.quiet, HATCH_LAID);
            }
            ink[3] = (cover * 255.0).round() as u8;
            pixel.copy_from_slice(&ink);
        }
    });
    Pixels { width, height, rgba }
}

/// Looks up the height of metal under a pixel.
struct Sampler<'a> {
    field: &'a Field,
    /// The place of the first pixel's corner in cells, and from one pixel to the next along a row and down.
    corner: Point,
    right: Point,
    down: Point,
    /// View points from one pixel to the next.
    step: [f32; 2],
    /// x + y in view points where a line of the hatch runs: it stays on the block when the view is moved.
    hatch: f32,
    /// Whether any metal hangs over at all.
    undercut: bool,
}

impl<'a> Sampler<'a> {
    fn new(field: &'a Field, viewport: &Viewport, width: usize, height: usize) -> Self {
        let step = [viewport.width / width as f32, viewport.height / height as f32];
        let at = |view: [f32; 2]| field.grid().place(viewport.to_block(view));
        let corner = at([0.0, 0.0]);
        let [x, y] = viewport.to_view(Point::default());
        Self {
            field,
            corner,
            right: (at([viewport.width, 0.0]) - corner) * (1.0 / width as f64),
            down: (at([0.0, viewport.height]) - corner) * (1.0 / height as f64),
            step,
            hatch: (x + y).rem_euclid(HATCH_ALONG),
            undercut: field.voids() > 0,
        }
    }

    /// The cell under a place in the picture, in pixels.
    fn cell(&self, column: f64, row: f64) -> Option<(usize, usize)> {
        self.field.grid().cell_of(self.corner + self.right * column + self.down * row)
    }

    /// The cell under the middle of a pixel.
    fn under(&self, column: usize, row: usize) -> Option<(usize, usize)> {
        self.cell(column as f64 + 0.5, row as f64 + 0.5)
    }

    /// The height in a cell, where there is metal.
    fn metal(&self, (column, row): (usize, usize)) -> Option<f32> {
        let height = self.field.height(column, row);
        (height > self.field.bottom()).then_some(height)
    }

    fn row(&self, row: usize, line: &mut [f32]) {
        for (column, height) in line.iter_mut().enumerate() {
            if let Some(metal) = self.under(column, row).and_then(|cell| self.metal(cell)) {
                *height = metal;
            }
        }
    }

    /// Whether a line of the hatch over an undercut runs through a pixel.
    fn hatched(&self, column: usize, row: usize) -> bool {
        if !self.undercut {
            return false;
        }
        let at = [(column as f32 + 0.5) * self.step[0], (row as f32 + 0.5) * self.step[1]];
        if (at[0] + at[1] - self.hatch).rem_euclid(HATCH_ALONG) > HATCH_LINE * SQRT_2 {
            return false;
        }
        self.under(column, row).is_some_and(|(column, row)| {
            let lowest = self.field.column(column, row).next();
            lowest
                .is_some_and(|(low, high)| low > self.field.bottom() || high < self.field.height(column, row))
        })
    }

    /// The part of a pixel that metal covers.
    fn cover(&self, column: usize, row: usize) -> f32 {
        let mut covered = 0_u8;
        for part in 0..16_u8 {
            let (across, down) = (f64::from(part % 4) + 0.5, f64::from(part / 4) + 0.5);
            let cell = self.cell(column as f64 + across / 4.0, row as f64 + down / 4.0);
            covered += u8::from(cell.and_then(|cell| self.metal(cell)).is_some());
        }
        f32::from(covered) / 16.0
    }
}

fn mixed(from: Ink, to: Ink, part: f32) -> Ink {
    std::array::from_fn(|i| {
        let (from, to) = (f32::from(from[i]), f32::from(to[i]));
        (from + (to - from) * part).round() as u8
    })
}

/// From a height to its colour.
struct Shade {
    bottom: f32,
    thickness: f32,
    low: Ink,
    high: Ink,
}

impl Shade {
    fn new(field: &Field, theme: &Theme) -> Self {
        let thickness = (field.top() - field.bottom()).max(f32::MIN_POSITIVE);
        Self { bottom: field.bottom(), thickness, low: theme.metal_low, high: theme.metal }
    }

    fn ink(&self, height: f32, step: f32) -> Ink {
        let part = ((height - self.bottom) / self.thickness).clamp(0.0, 1.0);
        let relief = (step / self.thickness * RELIEF).clamp(-RELIEF_MOST, RELIEF_MOST);
        let mix = |index: usize| {
            let (low, high) = (f32::from(self.low[index]), f32::from(self.high[index]));
            (low + (high - low) * part + relief).round().clamp(0.0, 255.0) as u8
        };
        [mix(0), mix(1), mix(2), 255]
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::block::Grid;
    use crate::geometry::{Bounds, pt};

    #[test]
    fn metal_is_opaque_and_the_rest_is_clear() {
        // Half of a tile has metal; its rows lie turned in plan.
        let covers = Bounds::of([pt(-15.0, 0.0), pt(63.0, 77.0)]);
        let grid = Grid { origin: pt(0.0, 0.0), cell: 1.0, columns: 64, rows: 64, covers };
        let mut tile = [0.0_f32; 64 * 64];
        for row in 0..64 {
            tile[row * 64..row * 64 + 32].fill(1.0);
        }
        let field = Field::from_tiles(grid, 0.0, 1.0, vec![Arc::new(tile)]);
        let view = Viewport::fit(Bounds::of([pt(-20.0, -4.0), pt(70.0, 86.0)]), 180.0, 180.0, 0.0);
        let theme = Theme::light();
        let pixels = block_image(&field, &view, 1.0, &theme);
        assert_eq!((pixels.width, pixels.height), (180, 180));
        let under = |column: f64, row: f64| {
            let at = view.to_view(Grid::to_plan(pt(column, row)));
            pixels.at(at[0] as usize, at[1] as usize)
        };
        for row in [2.0, 32.0, 62.0] {
            assert_eq!(under(2.0, row), Some(theme.metal));
            assert_eq!(under(30.0, row), Some(theme.metal));
            assert_eq!(under(34.0, row).map(|ink| ink[3]), Some(0));
            assert_eq!(under(-2.0, row).map(|ink| ink[3]), Some(0));
        }
        let opaque: usize = pixels.rgba.chunks(4).map(|pixel| usize::from(pixel[3])).sum();
        assert!((opaque as f64 / 255.0 - 64.0 * 128.0).abs() < 130.0);
    }
}
