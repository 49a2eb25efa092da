//! The block's picture, pixel by pixel.

use crate::pixels::Pixels;
use rayon::prelude::*;

use super::camera::Sight;
use super::even::even_out;
use super::march;
use super::scene::{Maker, Scene};
use super::shade::{Seen, Shade, Tint, dot};
use crate::task::{Cancel, Cancelled};
use crate::view::drawing::Ink;
use crate::view::theme::Theme;

/// Four places within a pixel, no two in a row or a column.
const PARTS: [[f64; 2]; 4] = [[0.375, 0.125], [0.875, 0.375], [0.125, 0.625], [0.625, 0.875]];
/// Neighbours whose directions differ more than this meet at an edge.
const CREASE: f64 = 0.6;
/// Neighbours farther apart along the line of sight than this many pixels do not touch.
const GAP: f64 = 6.0;
/// How dark the line along an edge is where one part stands before another.
const EDGE: f32 = 0.45;

/// The picture, and what made the face at each pixel.
pub(super) struct Picture {
    pub(super) pixels: Pixels,
    pub(super) makers: Vec<Option<Maker>>,
}

/// Paints a scene; a fine picture has smooth edges, a coarse one has not. The flag is asked row by row.
pub(super) fn paint(
    scene: &Scene,
    sight: &Sight,
    tint: &Tint<'_>,
    [width, height]: [usize; 2],
    fine: bool,
    theme: &Theme,
    cancel: &Cancel,
) -> Result<Picture, Cancelled> {
    let shade = Shade::new(scene, tint, sight.axes(), sight.pixel(), fine, theme);
    let away = sight.away();
    let look = |x: f64, y: f64| march::hit(scene, sight.origin(x, y), away).map(|hit| shade.seen(&hit));
    let mut seen: Vec<Option<Seen>> = vec![None; width * height];
    seen.par_chunks_mut(width).enumerate().try_for_each(|(row, line)| {
        cancel.check()?;
        for (column, place) in line.iter_mut().enumerate() {
            *place = look(column as f64 + 0.5, row as f64 + 0.5);
        }
        Ok(())
    })?;
    even_out(&mut seen, width, sight.pixel() / scene.shown().grid().cell);
    let mut rgba = vec![0; width * height * 4];
    rgba.par_chunks_mut(width * 4).enumerate().try_for_each(|(row, line)| {
        cancel.check()?;
        for (column, pixel) in line.chunks_exact_mut(4).enumerate() {
            let at = |x: usize, y: usize| seen.get(y * width + x).and_then(Option::as_ref);
            let here = at(column, row);
            let around = [
                at((column + 1).min(width - 1), row),
                at(column, (row + 1).min(height - 1)),
                at(column.saturating_sub(1), row),
                at(column, row.saturating_sub(1)),
            ];
            let edge = fine && around.iter().any(|other| differ(here, *other, sight.pixel()));
            let ink = if edge {
                let parts = PARTS.map(|[x, y]| look(column as f64 + x, row as f64 + y));
                let parts = parts.map(|part| part.map(|part| shade.ink(&lit_like(part, here))));
                joined(parts, line_over(here, &around, sight.pixel()))
            } else {
                here.map_or([0; 4], |seen| shade.ink(seen))
            };
            pixel.copy_from_slice(&ink);
        }
        Ok(())
    })?;
    let makers = seen.iter().map(|seen| seen.map(|seen| seen.maker)).collect();
    Ok(Picture { pixels: Pixels { width, height, rgba }, makers })
}

/// Whether two neighbours show different faces.
fn differ(a: Option<&Seen>, b: Option<&Seen>, pixel: f64) -> bool {
    match (a, b) {
        (None, None) => false,
        (Some(a), Some(b)) => {
            a.maker != b.maker || dot(a.normal, b.normal) < CREASE || apart(a, b, pixel) || apart(b, a, pixel)
        }
        _ => true,
    }
}

/// Whether the second place lies behind the first, farther than the slope of their faces explains.
fn apart(front: &Seen, back: &Seen, pixel: f64) -> bool {
    back.along - front.along > pixel * (GAP + 2.0 * front.slope.max(back.slope))
}

/// How dark the line along the edge is here: the nearer side of a gap has it, and the rim of the block.
fn line_over(here: Option<&Seen>, around: &[Option<&Seen>; 4], pixel: f64) -> f32 {
    let Some(here) = here else { return 0.0 };
    let stands_before = |other: Option<&Seen>| other.is_none_or(|other| apart(here, other, pixel));
    if around.iter().copied().any(stands_before) { EDGE } else { 0.0 }
}

/// A part of a pixel in the pixel's own light, where both show the same face: that has been evened out.
fn lit_like(part: Seen, here: Option<&Seen>) -> Seen {
    let same = |here: &&Seen| here.maker == part.maker && dot(here.normal, part.normal) >= CREASE;
    match here.filter(same) {
        Some(here) => Seen { normal: here.normal, leave: here.leave, ..part },
        None => part,
    }
}

/// The mean of what is seen at the parts of a pixel.
fn joined(parts: [Option<Ink>; 4], dark: f32) -> Ink {
    let count = parts.iter().flatten().count() as f32;
    if count == 0.0 {
        return [0; 4];
    }
    let mean = |i: usize| {
        let sum: f32 = parts.iter().flatten().map(|ink| f32::from(ink[i])).sum();
        (sum / count * (1.0 - dark)).round() as u8
    };
    [mean(0), mean(1), mean(2), (count / 4.0 * 255.0).round() as u8]
}
