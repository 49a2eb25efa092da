//! The heightfield: solid columns from the blank's lower face up to a height, with a void where an undercut left
//! metal above it, kept in shared tiles.

use std::sync::Arc;

use pulp::{Arch, Simd, WithSimd};

use super::grid::Grid;
use super::void::Voids;

/// Cells along one side of a tile.
pub(super) const TILE: usize = 64;

/// Heights closer than this part of the field's largest height count as the same: eight steps of single precision.
const SAME: f32 = 1e-6;

/// Heights of one tile's cells, row by row.
pub(crate) type Tile = [f32; TILE * TILE];

/// The block at one moment. Cloning shares the tiles; a tile is copied when a clone changes it.
#[derive(Debug, Clone)]
pub struct Field {
    grid: Grid,
    bottom: f32,
    top: f32,
    pub(crate) tiles: Vec<Arc<Tile>>,
    /// What lies below the tops, for the tiles where anything does.
    pub(super) voids: Vec<Option<Arc<Voids>>>,
    /// No column of a tile is higher than this.
    pub(super) highest: Vec<f32>,
    sawn: Sawn,
}

/// How much of the grid the blank as sawn covers.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sawn {
    cells: usize,
    /// Tiles with metal; the others share one.
    tiles: usize,
}

impl Field {
    pub(crate) fn from_tiles(grid: Grid, bottom: f32, top: f32, tiles: Vec<Arc<Tile>>) -> Self {
        let voids = vec![None; tiles.len()];
        let highest: Vec<f32> = tiles.iter().map(|tile| highest(tile)).collect();
        let metal = |heights: &[f32]| heights.iter().filter(|height| **height > bottom).count();
        let cells = tiles.iter().zip(&highest).filter(|(_, highest)| **highest > bottom);
        let cells = cells.map(|(tile, _)| metal(&tile[..])).sum();
        let sawn = Sawn { cells, tiles: metal(&highest) };
        Self { grid, bottom, top, tiles, voids, highest, sawn }
    }

    /// Where the cells lie.
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// How many cells the blank as sawn covers.
    pub fn cells(&self) -> usize {
        self.sawn.cells
    }

    /// Z of the blank's lower face: a column of this height holds no metal.
    pub fn bottom(&self) -> f32 {
        self.bottom
    }

    /// Z of the blank's upper face as sawn.
    pub fn top(&self) -> f32 {
        self.top
    }

    /// Height of a column's highest metal; the bottom where there is none. `column` and `row` must be on the grid.
    pub fn height(&self, column: usize, row: usize) -> f32 {
        let (tile, at) = self.place(column, row);
        self.tiles[tile][at]
    }

    /// The solid spans of a column from below, each as its lower and upper end; nothing where there is no metal.
    /// `column` and `row` must be on the grid.
    pub fn column(&self, column: usize, row: usize) -> impl Iterator<Item = (f32, f32)> + '_ {
        let (tile, _) = self.place(column, row);
        let voids = self.voids[tile].as_deref();
        let voids = voids.into_iter().flat_map(move |voids| voids.of(column % TILE, row % TILE));
        let top = (self.height(column, row), f32::INFINITY);
        let mut low = self.bottom;
        voids.chain([top]).filter_map(move |(end, next)| {
            let span = (low, end);
            low = next;
            (span.0 < span.1).then_some(span)
        })
    }

    /// How many columns' solid is broken by a void, each counted once for every void.
    pub fn voids(&self) -> usize {
        self.voids.iter().flatten().map(|voids| voids.count()).sum()
    }

    /// Volume of metal.
    pub fn volume(&self) -> f64 {
        let bottom = self.bottom;
        let of_tile = |tile: &Arc<Tile>| tile.iter().map(|height| f64::from(height - bottom)).sum::<f64>();
        let metal = self.tiles.iter().zip(&self.highest).filter(|(_, highest)| **highest > bottom);
        let solid: f64 = metal.map(|(tile, _)| of_tile(tile)).sum();
        let void: f64 = self.voids.iter().flatten().map(|voids| voids.height()).sum();
        (solid - void) * self.grid.cell * self.grid.cell
    }

    /// Makes a tile what it is in another field of the same grid.
    pub(super) fn copy_tile(&mut self, from: &Self, tile: usize) {
        self.tiles[tile] = Arc::clone(&from.tiles[tile]);
        self.voids[tile].clone_from(&from.voids[tile]);
        self.highest[tile] = from.highest[tile];
    }

    /// Bytes of its tiles, shared with other fields or not.
    pub(super) fn bytes(&self) -> usize {
        let voids: usize = self.voids.iter().flatten().map(|voids| voids.bytes()).sum();
        let lists = self.tiles.len() * (2 * size_of::<usize>() + size_of::<f32>());
        self.sawn.tiles * size_of::<Tile>() + lists + voids
    }

    /// Heights nearer to each other than this are the same, as far as single precision can tell.
    pub(super) fn least(&self) -> f32 {
        SAME * self.top.abs().max(self.bottom.abs())
    }

    fn place(&self, column: usize, row: usize) -> (usize, usize) {
        (row / TILE * self.grid.tiles().0 + column / TILE, row % TILE * TILE + column % TILE)
    }
}

/// Height of the highest column of each row of a tile.
pub(super) fn rows_highest(tile: &Tile) -> [f32; TILE] {
    Arch::new().dispatch(Highest(tile))
}

/// The loop of [`rows_highest`], written out for registers of any width: left to itself, the compiler puts rows side by
/// side, which is slow.
struct Highest<'a>(&'a Tile);

impl WithSimd for Highest<'_> {
    type Output = [f32; TILE];

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> [f32; TILE] {
        let mut rows = [f32::NEG_INFINITY; TILE];
        for (highest, row) in rows.iter_mut().zip(self.0.as_chunks::<TILE>().0) {
            let (parts, rest) = S::as_simd_f32s(row);
            let least = simd.splat_f32s(f32::NEG_INFINITY);
            let most = parts.iter().fold(least, |most, heights| simd.max_f32s(most, *heights));
            *highest = rest.iter().copied().fold(simd.reduce_max_f32s(most), f32::max);
        }
        rows
    }
}

/// Height of the highest column of a tile.
pub(super) fn highest(tile: &Tile) -> f32 {
    rows_highest(tile).into_iter().fold(f32::NEG_INFINITY, f32::max)
}
