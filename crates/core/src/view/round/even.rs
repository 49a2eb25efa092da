//! Directions of upright faces, evened out.
//!
//! Walls are stairs of columns, for the cells' lattice lies askew to the axes, and each step would be seen as a stripe.
//! Columns stand upright in every picture, so it is enough to even out along rows of pixels, over some steps.

use rayon::prelude::*;

use super::shade::{Seen, WALL, dot, unit};

/// Cells to either side of a place: a wall along an axis steps every four or five.
const REACH: f64 = 25.0;
/// The most pixels to either side.
const MOST: f64 = 64.0;
/// Faces whose directions differ more than by the angle of this cosine are not evened out.
const ALIKE: f64 = 0.8;

/// Evens out the directions of upright faces in a picture of so many pixels a row, one of them `pixel` cells wide.
pub(super) fn even_out(seen: &mut [Option<Seen>], width: usize, pixel: f64) {
    let reach = (REACH / pixel).clamp(1.0, MOST) as usize;
    seen.par_chunks_mut(width).for_each(|line| {
        let even: Vec<Option<[f64; 3]>> = (0..line.len()).map(|at| evened(line, at, reach)).collect();
        for (seen, normal) in line.iter_mut().zip(even) {
            if let (Some(seen), Some(normal)) = (seen, normal) {
                seen.normal = normal;
            }
        }
    });
}

/// The mean direction of what is like a pixel's face on either side; `None` for what is no wall.
fn evened(line: &[Option<Seen>], at: usize, reach: usize) -> Option<[f64; 3]> {
    let here = line.get(at)?.as_ref().filter(|seen| seen.normal[2].abs() < WALL)?;
    let alike = |seen: &&Seen| seen.maker == here.maker && dot(seen.normal, here.normal) >= ALIKE;
    let before = line[..at].iter().rev().map_while(|seen| seen.as_ref().filter(alike));
    let after = line[at + 1..].iter().map_while(|seen| seen.as_ref().filter(alike));
    let (before, after): (Vec<_>, Vec<_>) = (before.take(reach).collect(), after.take(reach).collect());
    // As many on one side as on the other: near the end of a face the mean must not lean to its middle.
    let both = before.len().min(after.len());
    let mut sum = here.normal;
    for seen in before[..both].iter().chain(&after[..both]) {
        for (sum, part) in sum.iter_mut().zip(seen.normal) {
            *sum += part;
        }
    }
    Some(unit(sum))
}
