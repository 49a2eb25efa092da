//! Stored states to scrub from, tile by tile.
//!
//! A tile is stored whenever enough work has gone into it since it last was; between two stored states it is worked
//! out again from the batches that touched it. Most tiles at any moment are either untouched or done, and then they
//! are what they are at the start or at the end; only the few about the tool have anything to be worked out, and these
//! only since they were last stored.

use std::sync::Arc;

use super::batch::{Batch, Cutter, Shop, TileCut};
use super::field::{Field, TILE, Tile};
use super::void::Voids;
use crate::track::Placed;

/// Columns looked at in a tile between two of its stored states, at least: twice all its columns.
const WORK_APART: u64 = 2 * (TILE * TILE) as u64;
/// Bytes a cell that the blocks before and after a pass and all that is stored between may hold together.
const MOST_BYTES: usize = 16;

/// When that is too much, one stored state in so many is dropped.
const THINNED: u64 = 4;

#[derive(Debug, Clone)]
struct Stored {
    /// Batches done before it.
    batches: u32,
    tile: Arc<Tile>,
    voids: Option<Arc<Voids>>,
    highest: f32,
}

impl Stored {
    fn bytes(&self) -> usize {
        let voids = self.voids.as_deref().map_or(0, Voids::bytes);
        size_of::<Tile>() + COUNTS + voids
    }
}

/// Bytes of the counts before a shared tile.
const COUNTS: usize = 2 * size_of::<usize>();
/// Bytes of a stored state, about.
const STATE: usize = size_of::<Tile>() + COUNTS + size_of::<Stored>();

/// What became of one tile.
#[derive(Debug, Clone, Default)]
struct Past {
    /// The batches that took something from it.
    touched: Vec<u32>,
    stored: Vec<Stored>,
    /// Columns looked at since it was last stored.
    work: u64,
}

impl Past {
    /// Bytes of all that is stored, and of the batches that touched the tile.
    fn bytes(&self) -> usize {
        let lists = self.stored.capacity() * size_of::<Stored>() + self.touched.capacity() * size_of::<u32>();
        lists + self.stored.iter().map(Stored::bytes).sum::<usize>()
    }
}

/// How a field came to be, batch by batch.
#[derive(Debug, Clone)]
pub(super) struct History {
    start: Field,
    /// Motions done at the end of each batch.
    batches: Vec<usize>,
    tiles: Vec<Past>,
    /// Columns looked at in a tile between two of its stored states, as things stand; and the least of it.
    apart: u64,
    least_apart: u64,
    /// Columns looked at so far, in tiles that lost something.
    visits: u64,
    /// Bytes of the tiles' pasts.
    held: usize,
    /// How often states have been dropped: each time others.
    rounds: u64,
}

impl History {
    pub(super) fn new(start: &Field) -> Self {
        let tiles = vec![Past::default(); start.tiles.len()];
        Self {
            start: start.clone(),
            batches: Vec::new(),
            tiles,
            apart: WORK_APART,
            least_apart: WORK_APART,
            visits: 0,
            held: 0,
            rounds: 0,
        }
    }

    /// Takes note of a batch that ends after `motions` and left the field as it is now. `progress` is about which part
    /// of all the work is done by now: states are stored so far apart that those of the whole pass will find room.
    pub(super) fn note(&mut self, field: &Field, motions: usize, progress: f64, cuts: &[TileCut]) {
        let batch = self.batches.len() as u32;
        self.batches.push(motions);
        let room =
            (MOST_BYTES * field.cells()).saturating_sub(self.start.bytes() + field.bytes() + self.fixed());
        let changed = || cuts.iter().filter(|cut| cut.outcome.changed);
        self.visits += changed().map(|cut| cut.outcome.visits).sum::<u64>();
        // Every tile will end with a part of what makes a state, and often with a state that is the end itself.
        let touched = self.tiles.iter().filter(|past| !past.touched.is_empty()).count();
        let states = (room / STATE + touched).max(1);
        self.apart = self.least_apart.max((self.visits as f64 / progress / states as f64) as u64);
        for cut in changed() {
            let past = &mut self.tiles[cut.tile];
            let held = past.bytes();
            past.touched.push(batch);
            past.work += cut.outcome.visits;
            if past.work >= self.apart {
                past.work = 0;
                past.stored.push(Stored {
                    batches: batch + 1,
                    tile: Arc::clone(&field.tiles[cut.tile]),
                    voids: field.voids[cut.tile].clone(),
                    highest: field.highest[cut.tile],
                });
            }
            self.held += past.bytes() - held;
        }
        while self.held > room && self.tiles.iter().any(|past| !past.stored.is_empty()) {
            self.thin_out();
        }
    }

    /// Bytes held whatever is stored.
    fn fixed(&self) -> usize {
        self.batches.capacity() * size_of::<usize>() + self.tiles.len() * size_of::<Past>()
    }

    /// Drops some stored states; the rest lies that much farther apart.
    fn thin_out(&mut self) {
        self.apart = self.apart.saturating_add(self.apart / (THINNED - 1));
        self.least_apart = self.apart;
        self.rounds += 1;
        for (tile, past) in self.tiles.iter_mut().enumerate() {
            let mut index = tile as u64 + self.rounds;
            past.stored.retain(|_| {
                index += 1;
                !index.is_multiple_of(THINNED)
            });
            past.stored.shrink_to_fit();
        }
        self.held = self.tiles.iter().map(Past::bytes).sum();
    }

    /// The field after the last whole batch within the first `motions` of a path, and how many motions that are;
    /// `end` is the field after all of them.
    pub(super) fn field_after(
        &self,
        shop: &Shop,
        cutter: &Cutter,
        placed: &[Placed],
        motions: usize,
        end: &Field,
    ) -> (Field, usize) {
        let whole = self.batches.partition_point(|done| *done <= motions);
        let mut field = self.start.clone();
        let mut wanted: Vec<Vec<usize>> = vec![Vec::new(); whole];
        for (tile, past) in self.tiles.iter().enumerate() {
            if past.touched.last().is_some_and(|last| (*last as usize) < whole) {
                field.copy_tile(end, tile);
                continue;
            }
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
            let motions = &placed[self.begin(batch)..self.batches[batch]];
            let batch = Batch::new(&field, cutter, motions, Some(&only));
            let _ = shop.cut(&mut field, &batch);
        }
        (field, self.begin(whole))
    }

    /// The first motion of a batch.
    fn begin(&self, batch: usize) -> usize {
        batch.checked_sub(1).and_then(|before| self.batches.get(before)).copied().unwrap_or(0)
    }

    /// Bytes held, without the field at the start and the end; tiles shared with these or with each other count once.
    pub(super) fn bytes(&self, end: &Field) -> usize {
        let shared = |tile: usize, past: &Past| {
            let all = past.stored.iter().map(|stored| &stored.tile).chain([&end.tiles[tile]]);
            let pairs = all.clone().zip(all.skip(1));
            pairs.filter(|(one, next)| Arc::ptr_eq(one, next)).count() * (size_of::<Tile>() + COUNTS)
        };
        let twice: usize = self.tiles.iter().enumerate().map(|(tile, past)| shared(tile, past)).sum();
        self.fixed() + self.tiles.iter().map(Past::bytes).sum::<usize>() - twice
    }
}
