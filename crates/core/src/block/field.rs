//! The heightfield: one solid column a cell, from the blank's lower face up to a height, kept in shared tiles.

use std::sync::Arc;

use crate::geometry::{Point, pt};

/// Cells along one side of a tile.
pub(super) const TILE: usize = 64;

/// Where the cells of a heightfield lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Lower left corner of the first cell.
    pub origin: Point,
    /// Side of a cell.
    pub cell: f64,
    /// Cells along X.
    pub columns: usize,
    /// Cells along Y.
    pub rows: usize,
}

impl Grid {
    /// Centre of a cell.
    pub fn centre(&self, column: usize, row: usize) -> Point {
        pt(self.x(column), self.y(row))
    }

    /// X of the centres of a column.
    pub fn x(&self, column: usize) -> f64 {
        self.origin.x + (column as f64 + 0.5) * self.cell
    }

    /// Y of the centres of a row.
    pub fn y(&self, row: usize) -> f64 {
        self.origin.y + (row as f64 + 0.5) * self.cell
    }

    /// The cell that holds a point; `None` off the grid.
    pub fn cell_at(&self, p: Point) -> Option<(usize, usize)> {
        let (column, row) = ((p.x - self.origin.x) / self.cell, (p.y - self.origin.y) / self.cell);
        let inside = column >= 0.0 && row >= 0.0 && column < self.columns as f64 && row < self.rows as f64;
        inside.then_some((column as usize, row as usize))
    }

    /// How many tiles lie along X and along Y.
    pub fn tiles(&self) -> (usize, usize) {
        (self.columns.div_ceil(TILE), self.rows.div_ceil(TILE))
    }
}

/// Heights of one tile's cells, row by row.
pub(crate) type Tile = [f32; TILE * TILE];

/// The block at one moment. Cloning shares the tiles; a tile is copied when a clone changes it.
#[derive(Debug, Clone)]
pub struct Field {
    grid: Grid,
    bottom: f32,
    top: f32,
    pub(crate) tiles: Vec<Arc<Tile>>,
}

impl Field {
    pub(crate) fn from_tiles(grid: Grid, bottom: f32, top: f32, tiles: Vec<Arc<Tile>>) -> Self {
        Self { grid, bottom, top, tiles }
    }

    /// Where the cells lie.
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// Z of the blank's lower face: a column of this height holds no metal.
    pub fn bottom(&self) -> f32 {
        self.bottom
    }

    /// Z of the blank's upper face as sawn.
    pub fn top(&self) -> f32 {
        self.top
    }

    /// Height of a column; the bottom where there is no metal. `column` and `row` must be on the grid.
    pub fn height(&self, column: usize, row: usize) -> f32 {
        let tile = row / TILE * self.grid.tiles().0 + column / TILE;
        self.tiles[tile][row % TILE * TILE + column % TILE]
    }

    /// Volume of metal.
    pub fn volume(&self) -> f64 {
        let bottom = self.bottom;
        let of_tile = |tile: &Arc<Tile>| tile.iter().map(|height| f64::from(height - bottom)).sum::<f64>();
        self.tiles.iter().map(of_tile).sum::<f64>() * self.grid.cell * self.grid.cell
    }
}
