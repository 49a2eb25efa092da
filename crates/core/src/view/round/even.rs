//! Direction and leave of upright faces, evened out.
//!
//! Walls are stairs of columns, for the cells' lattice lies askew to the axes, and each step would be seen as a stripe.
//! Columns stand upright in every picture, so it is enough to even out along rows of pixels, over some steps.

use rayon::prelude::*;

use super::shade::{Seen, WALL, dot, unit};

/// Cells to either side of a place: a wall along an axis steps every four or five.
const REACH: f64 = 25.0;
/// The most pixels to either side.
const MOST: f64 = 160.0;
/// Faces whose directions differ more than by the angle of this cosine are not evened out.
const ALIKE: f64 = 0.8;

/// Evens out upright faces in a picture of so many pixels a row, one of them `pixel` cells wide.
pub(super) fn even_out(seen: &mut [Option<Seen>], width: usize, pixel: f64) {
    let reach = (REACH / pixel).clamp(1.0, MOST) as usize;
    seen.par_chunks_mut(width).for_each(|line| {
        let even: Vec<Option<Seen>> = (0..line.len()).map(|at| evened(line, at, reach)).collect();
        for (seen, even) in line.iter_mut().zip(even) {
            *seen = even.or(*seen);
        }
    });
}

/// A pixel's face with the mean direction and leave of what is like it on either side; `None` for what is no wall. As many
/// on one side as on the other: near the end of a face the mean must not lean to its middle.
fn evened(line: &[Option<Seen>], at: usize, reach: usize) -> Option<Seen> {
    let here = line.get(at)?.as_ref().filter(|seen| seen.normal[2].abs() < WALL)?;
    let alike = |at: usize| {
        let seen = line.get(at)?.as_ref()?;
        (seen.maker == here.maker && dot(seen.normal, here.normal) >= ALIKE).then_some(seen)
    };
    let pairs = (1..=reach).map_while(|step| Some([alike(at.checked_sub(step)?)?, alike(at + step)?]));
    let (mut normal, mut leave, mut count) = (here.normal, here.leave, 1.0);
    for seen in pairs.flatten() {
        normal = std::array::from_fn(|axis| normal[axis] + seen.normal[axis]);
        leave = leave.zip(seen.leave).map(|(sum, leave)| sum + leave);
        count += 1.0;
    }
    Some(Seen { normal: unit(normal), leave: leave.map(|sum| sum / count).or(here.leave), ..*here })
}
