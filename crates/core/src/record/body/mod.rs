//! The block after a pass as a closed body of triangles, binary STL.
//!
//! The columns of a heightfield become a body of prisms, undercuts and all. Its faces meet edge to edge: every corner
//! of the lattice at which anything changes is a corner of all faces that pass it, so no point of one face lies on the
//! edge of another. Flat parts go in strips, row by row, from one such corner to the next.

mod columns;
mod mesh;

use crate::block::Field;
use crate::proof::Proof;
use crate::prover::ProveError;
use crate::task::Task;
use crate::units::Units;

/// A body has about so many cells at the most: fine enough to be looked at and measured on a screen, and files that can
/// be mailed.
const CELLS: f64 = 120_000.0;

/// Bytes of the head of a binary STL file.
const HEAD: usize = 80;

/// The block after a pass as a binary STL file, in the job's unit; `None` without a blank. The cell is so large that the
/// file can be handled, and told in its head.
///
/// # Errors
/// [`ProveError::Cancelled`] when asked to stop; [`ProveError::Unusable`] when the blank cannot be laid on such cells.
pub(super) fn of(proof: &Proof, pass: usize, task: Task<'_>) -> Result<Option<Vec<u8>>, ProveError> {
    let (Some(edge), Some(done)) = (&proof.edge, proof.passes.get(pass)) else { return Ok(None) };
    let window = edge.bounds();
    let Some(start) = &proof.start else { return Ok(None) };
    let least = (window.width() * window.height() / CELLS).sqrt();
    let cell = start.grid().cell * (least / start.grid().cell).ceil().max(1.0);
    let finer = proof.finer(&window, cell, pass, task)?;
    Ok(finer.block_at(proof, pass, done.track.length()).map(|field| stl(&field, proof.job.units)))
}

/// A heightfield as a binary STL file: a head of 80 bytes that does not begin with `solid`, the number of triangles, and
/// for each its normal, its three corners counter-clockwise seen from outside, and two bytes that say nothing (the format
/// as published by its maker in 1989).
pub fn stl(field: &Field, units: Units) -> Vec<u8> {
    let triangles = mesh::triangles(field, units);
    let mut bytes = Vec::with_capacity(HEAD + 4 + triangles.len() * 50);
    let head = format!("Blockwright body, lengths in {}, cell {:.6}", units.plural(), field.grid().cell);
    bytes.extend(head.bytes().chain(std::iter::repeat(b' ')).take(HEAD));
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for [a, b, c] in triangles {
        for number in normal(a, b, c).into_iter().chain(a).chain(b).chain(c) {
            bytes.extend(number.to_le_bytes());
        }
        bytes.extend([0, 0]);
    }
    bytes
}

fn normal(a: [f32; 3], b: [f32; 3], c: [f32; 3]) -> [f32; 3] {
    let way = |from: [f32; 3], to: [f32; 3]| -> [f64; 3] {
        std::array::from_fn(|axis| f64::from(to[axis]) - f64::from(from[axis]))
    };
    let (u, v) = (way(a, b), way(a, c));
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = n[0].hypot(n[1]).hypot(n[2]);
    if length > 0.0 { n.map(|part| (part / length) as f32) } else { [0.0; 3] }
}
