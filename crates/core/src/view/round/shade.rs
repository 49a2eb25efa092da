//! Light and colour of what is seen.

use super::leave::Leave;
use super::march::Hit;
use super::scene::{Maker, Scene};
use crate::block::Grid;
use crate::geometry::{Path, pt};
use crate::view::drawing::Ink;
use crate::view::theme::Theme;

/// What the colours of the block's faces tell.
#[derive(Debug, Clone, Copy)]
pub enum Tint<'a> {
    /// Which pass made a face.
    Passes,
    /// How far upright faces lie outside the outline.
    Leave {
        /// The outline.
        outline: &'a Path,
        /// Leave at the dark end of the scale, and at the light end.
        range: [f64; 2],
    },
}

/// The Okabe-Ito set without black (published: Okabe & Ito, Color Universal Design, 2002), for passes in turn.
const KINDS: [u32; 7] = [0x56_b4_e9, 0xe6_9f_00, 0x00_9e_73, 0xcc_79_a7, 0x00_72_b2, 0xf0_e4_42, 0xd5_5e_00];
/// The published diverging scale from orange to purple of five colors (Harrower & Brewer 2003), safe for the color-blind, with
/// straight lines between them: thin at its orange end, as meant in the middle.
const AMOUNTS: [u32; 5] = [0xe6_61_01, 0xfd_b8_63, 0xf7_f7_f7, 0xb2_ab_d2, 0x5e_3c_99];

/// How much of a pass's colour is laid on the metal: its number says which it is, the metal stays metal.
const LAID: f32 = 0.4;
/// Light from everywhere, and from beside the viewer.
const AMBIENT: f64 = 0.52;
/// How much darker it is under an edge that hangs over.
const UNDER: f64 = 0.74;
/// Faces steeper than this are walls, as the upright part of their direction.
pub(super) const WALL: f64 = 0.6;
/// Faces seen more from the side than this count as seen so.
const LEAST_FACING: f64 = 0.03;
/// How far round a place its direction is looked for, in strides of a cell or a pixel; in a coarse picture fewer
/// columns are looked at, farther apart.
const REACH: i32 = 2;
const COARSE_REACH: i32 = 1;

pub(super) fn rgb(hex: u32) -> Ink {
    [(hex >> 16) as u8, (hex >> 8) as u8, hex as u8, 255]
}

/// The colour of a pass by its index.
pub(super) fn of_pass(pass: usize) -> Ink {
    rgb(KINDS[pass % KINDS.len()])
}

/// The colour of a pass as it is laid on the metal.
pub(super) fn laid(theme: &Theme, pass: usize) -> Ink {
    mixed(theme.metal_lit, of_pass(pass), LAID)
}

/// The colour of an amount from 0 to 1.
pub(super) fn of_amount(part: f64) -> Ink {
    let place = if part.is_nan() { 0.0 } else { part.clamp(0.0, 1.0) * (AMOUNTS.len() - 1) as f64 };
    let first = (place as usize).min(AMOUNTS.len() - 2);
    mixed(rgb(AMOUNTS[first]), rgb(AMOUNTS[first + 1]), (place - first as f64) as f32)
}

pub(super) fn mixed(from: Ink, to: Ink, part: f32) -> Ink {
    std::array::from_fn(|i| {
        let (from, to) = (f32::from(from[i]), f32::from(to[i]));
        (from + (to - from) * part).round().clamp(0.0, 255.0) as u8
    })
}

/// One place as it is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seen {
    /// For upright faces: the leave there, as a part of the range that is shown.
    pub(super) leave: Option<f64>,
    /// Whether metal hangs over it.
    pub(super) under: bool,
    pub(super) maker: Maker,
    /// Unit vector out of the metal.
    pub(super) normal: [f64; 3],
    pub(super) along: f64,
    /// How fast the distance along the line of sight grows from pixel to pixel on the face itself.
    pub(super) slope: f64,
}

/// From what a line of sight meets to its colour.
pub(super) struct Shade<'a> {
    scene: &'a Scene,
    theme: &'a Theme,
    leave: Option<(Leave<'a>, [f64; 2])>,
    light: [f64; 3],
    toward: [f64; 3],
    /// How many columns each way are looked at for the direction, and how many cells from one to the next.
    reach: i32,
    stride: i32,
}

impl<'a> Shade<'a> {
    /// For pixels of a length, seen along these axes.
    pub(super) fn new(
        scene: &'a Scene,
        tint: &Tint<'a>,
        axes: &[[f64; 3]; 3],
        pixel: f64,
        fine: bool,
        theme: &'a Theme,
    ) -> Self {
        let [right, up, toward] = axes;
        let light = unit(std::array::from_fn(|i| -0.45 * right[i] + 0.55 * up[i] + 0.75 * toward[i]));
        let leave = match *tint {
            Tint::Passes => None,
            Tint::Leave { outline, range } => Some((Leave::new(outline), range)),
        };
        let (reach, wide) = if fine { (REACH, 1.0) } else { (COARSE_REACH, 1.4) };
        let stride = (wide * pixel / scene.shown().grid().cell).round().clamp(1.0, 64.0) as i32;
        Self { scene, theme, leave, light, toward: *toward, reach, stride }
    }

    pub(super) fn seen(&self, hit: &Hit) -> Seen {
        let normal = self.normal(hit);
        let leave = self.leave.as_ref().filter(|_| normal[2].abs() < WALL).map(|(leave, [low, high])| {
            let at = self.scene.shown().grid().at(pt(hit.at[0], hit.at[1]));
            (leave.at(at) - low) / (high - low)
        });
        let facing = dot(normal, self.toward).abs().max(LEAST_FACING);
        let slope = (1.0 - facing * facing).max(0.0).sqrt() / facing;
        Seen { leave, under: hit.under, maker: hit.maker, normal, along: hit.along, slope }
    }

    /// The colour of a face in its light.
    pub(super) fn ink(&self, seen: &Seen) -> Ink {
        if let Some(part) = seen.leave {
            // In no light: one amount has one color.
            return of_amount(part);
        }
        let lit = AMBIENT + (1.0 - AMBIENT) * dot(seen.normal, self.light).max(0.0);
        let lit = if seen.under { lit * UNDER } else { lit } as f32;
        let shaded = |part: u8| (f32::from(part) * lit * 1.08).round().clamp(0.0, 255.0) as u8;
        let base = self.base(seen);
        [shaded(base[0]), shaded(base[1]), shaded(base[2]), 255]
    }

    /// The colour of a face before any light falls on it.
    fn base(&self, seen: &Seen) -> Ink {
        let metal = self.theme.metal_lit;
        match seen.maker {
            Maker::Pass(pass) if self.leave.is_none() => laid(self.theme, pass),
            _ => metal,
        }
    }

    /// Whether the tops at the rim of the ball round a place are as high as the one there.
    fn is_flat(&self, hit: &Hit) -> bool {
        let field = self.scene.shown();
        let (grid, height, same) = (field.grid(), field.height(hit.cell.0, hit.cell.1), self.scene.beside());
        let far = i64::from(self.reach * self.stride);
        let near = i64::from(self.stride);
        let around = [(far, 0), (0, far), (near, near), (near, -near)];
        around.iter().flat_map(|(x, y)| [(*x, *y), (-x, -y)]).all(|(x, y)| {
            let (column, row) = (hit.cell.0 as i64 + x, hit.cell.1 as i64 + y);
            let inside = (0..grid.columns as i64).contains(&column) && (0..grid.rows as i64).contains(&row);
            inside && (field.height(column as usize, row as usize) - height).abs() <= same
        })
    }

    /// The direction out of the metal: away from the middle of what metal lies within a ball round the place. It makes
    /// stairs of columns the slope that they stand for.
    fn normal(&self, hit: &Hit) -> [f64; 3] {
        if hit.top && self.is_flat(hit) {
            return [0.0, 0.0, 1.0];
        }
        let field = self.scene.shown();
        let grid = field.grid();
        let step = f64::from(self.stride) * grid.cell;
        let radius = (f64::from(self.reach) + 0.5) * step;
        let mut sum = [0.0; 3];
        for dy in -self.reach..=self.reach {
            for dx in -self.reach..=self.reach {
                let column = hit.cell.0 as i64 + i64::from(dx * self.stride);
                let row = hit.cell.1 as i64 + i64::from(dy * self.stride);
                let inside =
                    (0..grid.columns as i64).contains(&column) && (0..grid.rows as i64).contains(&row);
                let x = (column as f64 + 0.5 - hit.at[0]) * grid.cell;
                let y = (row as f64 + 0.5 - hit.at[1]) * grid.cell;
                let half = radius * radius - x * x - y * y;
                if !inside || half <= 0.0 || field.height(column as usize, row as usize) <= field.bottom() {
                    continue;
                }
                let half = half.sqrt();
                for (low, high) in field.column(column as usize, row as usize) {
                    let low = (f64::from(low) - hit.at[2]).max(-half);
                    let high = (f64::from(high) - hit.at[2]).min(half);
                    if high > low {
                        sum[0] += x * (high - low);
                        sum[1] += y * (high - low);
                        sum[2] += (high * high - low * low) / 2.0;
                    }
                }
            }
        }
        let plan = Grid::to_plan(pt(sum[0], sum[1]));
        unit([-plan.x, -plan.y, -sum[2]])
    }
}

pub(super) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn unit(v: [f64; 3]) -> [f64; 3] {
    let length = dot(v, v).sqrt();
    if length > 0.0 { v.map(|part| part / length) } else { [0.0, 0.0, 1.0] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::theme::contrast;

    #[test]
    fn amounts_grow_darker_away_from_what_is_meant() {
        let black = [0, 0, 0, 255];
        let light: Vec<f64> = (0..=20).map(|i| contrast(of_amount(f64::from(i) / 20.0), black)).collect();
        assert!(light[..=10].windows(2).all(|pair| pair[0] < pair[1]), "{light:?}");
        assert!(light[10..].windows(2).all(|pair| pair[0] > pair[1]), "{light:?}");
        // The ends are told apart in greys as well.
        assert!(contrast(of_amount(0.0), of_amount(1.0)) > 2.0);
        assert_eq!((of_amount(-3.0), of_amount(9.0)), (rgb(0xe6_61_01), rgb(0x5e_3c_99)));
    }
}
