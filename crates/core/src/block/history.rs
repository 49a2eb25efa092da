//! Stored states to scrub from, tile by tile.
//!
//! A tile is stored whenever enough work has gone into it since it last was; between two stored states it is worked
//! out again from the batches that touched it. Most tiles at any moment are either untouched or done, so that only
//! the few about the tool have anything to be worked out, and these only since they were last stored.

use std::sync::Arc;

use super::batch::{Cutter, TileCut, cut};
use super::field::{Field, TILE, Tile};
use super::void::Voids;
use crate::track::Placed;

/// Columns looked at in a tile between two of its stored states, to begin with: twice all its columns.
const WORK_APART: u64 = 2 * (TILE * TILE) as u64;
/// The stored states of a pass may together hold as much as this many whole fields.
const MOST_FIELDS: usize = 2;

#[derive(Debug, Clone)]
struct Stored {
    /// Batches done before it.
    batches: u32,
    tile: Arc<Tile>,
    voids: Option<Arc<Voids>>,
    highest: f32,
}

/// What became of one tile.
#[derive(Debug, Clone, Default)]
struct Past {
    /// The batches that looked at it.
    touched: Vec<u32>,
    stored: Vec<Stored>,
    /// Columns looked at since it was last stored.
    work: u64,
}

/// How a field came to be, batch by batch.
#[derive(Debug, Clone)]
pub(super) struct History {
    start: Field,
    /// Motions done at the end of each batch.
    batches: Vec<usize>,
    tiles: Vec<Past>,
    apart: u64,
    stored: usize,
}

impl History {
    pub(super) fn new(start: &Field) -> Self {
        let tiles = vec![Past::default(); start.tiles.len()];
        Self { start: start.clone(), batches: Vec::new(), tiles, apart: WORK_APART, stored: 0 }
    }

    /// Takes note of a batch that ends after `motions` and left the field as it is now.
    pub(super) fn note(&mut self, field: &Field, motions: usize, cuts: &[TileCut]) {
        let batch = self.batches.len() as u32;
        self.batches.push(motions);
        for cut in cuts.iter().filter(|cut| !cut.taken.is_empty()) {
            let past = &mut self.tiles[cut.tile];
            past.touched.push(batch);
            past.work += cut.visits;
            if past.work >= self.apart {
                past.work = 0;
                past.stored.push(Stored {
                    batches: batch + 1,
                    tile: Arc::clone(&field.tiles[cut.tile]),
                    voids: field.voids[cut.tile].clone(),
                    highest: field.highest[cut.tile],
                });
                self.stored += 1;
            }
        }
        while self.stored > MOST_FIELDS * self.tiles.len() {
            self.thin_out();
        }
    }

    /// Drops every other stored state; the rest lies twice as far apart.
    fn thin_out(&mut self) {
        self.apart *= 2;
        self.stored = 0;
        for past in &mut self.tiles {
            let mut index = 0;
            past.stored.retain(|_| {
                index += 1;
                index % 2 == 0
            });
            self.stored += past.stored.len();
        }
    }

    /// The field after the first `motions` of a path.
    pub(super) fn field_after(&self, cutter: &Cutter, placed: &[Placed], motions: usize) -> (Field, usize) {
        let whole = self.batches.partition_point(|done| *done <= motions);
        let mut field = self.start.clone();
        let mut wanted: Vec<Vec<usize>> = vec![Vec::new(); whole];
        for (tile, past) in self.tiles.iter().enumerate() {
            let before = past.stored.partition_point(|stored| stored.batches as usize <= whole);
            let mut from = 0;
            if let Some(stored) = before.checked_sub(1).and_then(|index| past.stored.get(index)) {
                field.tiles[tile] = Arc::clone(&stored.tile);
                field.voids[tile].clone_from(&stored.voids);
                field.highest[tile] = stored.highest;
                from = stored.batches;
            }
            let first = past.touched.partition_point(|batch| *batch < from);
            for batch in past.touched[first..].iter().take_while(|batch| (**batch as usize) < whole) {
                wanted[*batch as usize].push(tile);
            }
        }
        for (batch, tiles) in wanted.iter().enumerate().filter(|(_, tiles)| !tiles.is_empty()) {
            let mut only = vec![false; self.tiles.len()];
            for tile in tiles {
                only[*tile] = true;
            }
            let _ = cut(&mut field, cutter, &placed[self.begin(batch)..self.batches[batch]], Some(&only));
        }
        (field, self.begin(whole))
    }

    /// The first motion of a batch.
    fn begin(&self, batch: usize) -> usize {
        batch.checked_sub(1).and_then(|before| self.batches.get(before)).copied().unwrap_or(0)
    }

    /// Bytes that the stored states hold, tiles shared with each other or with the field at the start or the end
    /// counted once, those two not at all.
    pub(super) fn bytes(&self, end: &Field) -> usize {
        let mut bytes = 0;
        for (tile, past) in self.tiles.iter().enumerate() {
            bytes +=
                past.touched.capacity() * size_of::<u32>() + past.stored.capacity() * size_of::<Stored>();
            let mut last = &self.start.tiles[tile];
            for stored in &past.stored {
                if !Arc::ptr_eq(last, &stored.tile) && !Arc::ptr_eq(&end.tiles[tile], &stored.tile) {
                    bytes += size_of::<Tile>();
                }
                last = &stored.tile;
            }
        }
        bytes
    }
}
