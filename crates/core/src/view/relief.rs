//! The block seen from above, shaded by height.

use std::f32::consts::SQRT_2;

use rayon::prelude::*;

use super::drawing::{Ink, Pixels};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::block::Field;
use crate::geometry::pt;

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
    viewport: &'a Viewport,
    /// View points from one pixel to the next.
    step: [f32; 2],
    /// Column of the grid under each column of pixels.
    columns: Vec<Option<usize>>,
    /// x + y in view points where a line of the hatch runs: it stays on the block when the view is moved.
    hatch: f32,
    /// Whether any metal hangs over at all.
    undercut: bool,
}

impl<'a> Sampler<'a> {
    fn new(field: &'a Field, viewport: &'a Viewport, width: usize, height: usize) -> Self {
        let step = [viewport.width / width as f32, viewport.height / height as f32];
        let grid = field.grid();
        let columns = (0..width)
            .map(|column| {
                let x = viewport.to_block([(column as f32 + 0.5) * step[0], 0.0]).x;
                index((x - grid.origin.x) / grid.cell, grid.columns)
            })
            .collect();
        let [x, y] = viewport.to_view(grid.origin);
        Self {
            field,
            viewport,
            step,
            columns,
            hatch: (x + y).rem_euclid(HATCH_ALONG),
            undercut: field.voids() > 0,
        }
    }

    fn row(&self, row: usize, line: &mut [f32]) {
        let grid = self.field.grid();
        let y = self.viewport.to_block([0.0, (row as f32 + 0.5) * self.step[1]]).y;
        let Some(cell_row) = index((y - grid.origin.y) / grid.cell, grid.rows) else { return };
        for (height, column) in line.iter_mut().zip(&self.columns) {
            if let Some(column) = column {
                let found = self.field.height(*column, cell_row);
                if found > self.field.bottom() {
                    *height = found;
                }
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
        let grid = self.field.grid();
        let y = self.viewport.to_block([0.0, at[1]]).y;
        let cell = self
            .columns
            .get(column)
            .copied()
            .flatten()
            .zip(index((y - grid.origin.y) / grid.cell, grid.rows));
        cell.is_some_and(|(column, row)| {
            let lowest = self.field.column(column, row).next();
            lowest
                .is_some_and(|(low, high)| low > self.field.bottom() || high < self.field.height(column, row))
        })
    }

    /// The part of a pixel that metal covers.
    fn cover(&self, column: usize, row: usize) -> f32 {
        let grid = self.field.grid();
        let corner = [column as f32 * self.step[0], row as f32 * self.step[1]];
        let from = self.viewport.to_block(corner);
        let pixel = pt(f64::from(self.step[0]), -f64::from(self.step[1])) * (1.0 / self.viewport.scale);
        let mut covered = 0_u8;
        for part in 0..16_u8 {
            let (across, down) = (f64::from(part % 4) + 0.5, f64::from(part / 4) + 0.5);
            let cell = grid.cell_at(from + pt(pixel.x * across / 4.0, pixel.y * down / 4.0));
            let metal =
                cell.is_some_and(|(column, row)| self.field.height(column, row) > self.field.bottom());
            covered += u8::from(metal);
        }
        f32::from(covered) / 16.0
    }
}

fn index(place: f64, count: usize) -> Option<usize> {
    (place >= 0.0 && place < count as f64).then_some(place as usize)
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
    use crate::geometry::Bounds;

    #[test]
    fn metal_is_opaque_and_the_rest_is_clear() {
        let grid = Grid { origin: pt(0.0, 0.0), cell: 1.0, columns: 64, rows: 64 };
        let mut tile = [0.0_f32; 64 * 64];
        for row in 0..64 {
            tile[row * 64..row * 64 + 32].fill(1.0);
        }
        let field = Field::from_tiles(grid, 0.0, 1.0, vec![Arc::new(tile)]);
        let view = Viewport::fit(Bounds::of([pt(0.0, 0.0), pt(64.0, 64.0)]), 128.0, 128.0, 0.0);
        let theme = Theme::light();
        let pixels = block_image(&field, &view, 1.0, &theme);
        assert_eq!((pixels.width, pixels.height), (128, 128));
        assert_eq!(pixels.at(20, 60), Some(theme.metal));
        assert_eq!(pixels.at(100, 60).map(|ink| ink[3]), Some(0));
        let opaque: usize = pixels.rgba.chunks(4).map(|pixel| usize::from(pixel[3])).sum();
        assert!((opaque as f64 / 255.0 - 64.0 * 128.0).abs() < 130.0);
    }
}
