//! The heightfield of the blank as sawn.

use std::sync::Arc;

use super::field::{Field, TILE, Tile};
use super::grid::Grid;
use crate::geometry::{Bounds, Path, Point};
use crate::units::{Units, digits, fixed};

/// The most cells a heightfield may have.
pub const MOST_CELLS: f64 = crate::limits::CELLS;

/// Bytes a cell of the blank, the block after a pass, and the states stored between.
const BYTES: f64 = 16.0;

/// The most tiles a heightfield may have, with metal or without: a long thin blank lies across the turned lattice and
/// needs far more of them than its own area asks for. Their lists take some 50 bytes a tile and pass.
const MOST_TILES: f64 = 1_048_576.0;

/// The fewest cells across a blank that still follow its shape.
const NARROWEST: f64 = 4.0;

/// Cells of one tile.
const TILE_CELLS: f64 = (TILE * TILE) as f64;

/// Cell sides that are offered, as multiples of a power of ten.
const ROUND: [f64; 7] = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.5];

/// The smallest round cell with which a blank of these bounds has at most 8 million cells (and never fewer than
/// 2 million, since two round cells that follow each other differ by less than the factor 2), and no more tiles than a
/// heightfield may have: only blanks some 500 times as long as wide come near that.
pub fn default_cell(bounds: &Bounds) -> f64 {
    let lattice = Grid::lattice_box(bounds);
    // Half of the tiles, since those at the rim are counted whole.
    let fewest = 2.0 * lattice.width() * lattice.height() / (MOST_TILES * TILE_CELLS);
    let smallest = (bounds.width() * bounds.height() / 8e6).max(fewest).sqrt();
    let power = 10_f64.powf(smallest.log10().floor());
    let fits = |cell: &f64| *cell >= smallest;
    ROUND.iter().map(|round| round * power).find(fits).unwrap_or(10.0 * power)
}

/// A tool must be this many cells wide at the least, or metal that it meets falls between their middles.
const CELLS_A_TOOL: f64 = 4.0;

/// So many cells at the least lie along the shorter side of a blank.
const CELLS_A_SIDE: f64 = 16.0;

/// The largest cell with which a blank of these bounds and a tool of this diameter still show what is cut: coarser
/// ones hide what a tool meets. Without a tool the blank alone counts.
pub fn coarsest_cell(bounds: &Bounds, narrowest: Option<f64>) -> f64 {
    let side = bounds.width().min(bounds.height()) / CELLS_A_SIDE;
    narrowest.map_or(side, |diameter| side.min(diameter / CELLS_A_TOOL))
}

/// The blank as sawn: columns from `bottom` to `top` wherever a cell's centre lies inside the edge.
///
/// # Errors
/// A message that says how many cells there would be and what to do, when the cell is no length or so small that
/// the heightfield would not fit in a shop computer's memory; one that says so when cells are larger than a part of the
/// blank's width.
pub fn blank_field(edge: &Path, top: f64, bottom: f64, cell: f64, units: Units) -> Result<Field, String> {
    if cell > width(edge) / NARROWEST {
        return Err(format!(
            "cells of {} are too large for a blank {} wide: look at its size, or give a smaller cell",
            units.fine_with_unit(cell),
            units.fine_with_unit(width(edge)),
        ));
    }
    blank_window(edge, &edge.bounds(), (top, bottom), cell, units)
}

/// How wide a strip of this area and length all round is, from twice its area over its length all round.
fn width(edge: &Path) -> f64 {
    2.0 * edge.area().abs() / edge.length()
}

/// The part of the blank within a box in plan, for a finer look at a place; `faces` are its top and bottom.
///
/// # Errors
/// As [`blank_field`]; a window beside the blank has no metal, and is no error.
pub fn blank_window(
    edge: &Path,
    window: &Bounds,
    faces: (f64, f64),
    cell: f64,
    units: Units,
) -> Result<Field, String> {
    if !(cell > 0.0 && cell.is_finite()) {
        return Err(format!("a cell of {} {} is no length: give one above 0", digits(cell), units.short()));
    }
    let (across, up) = ((window.width() / cell).ceil(), (window.height() / cell).ceil());
    if across * up > MOST_CELLS {
        return Err(format!(
            "a cell of {} {unit} would make {} million cells and need {} GB of memory; use {} {unit} or more",
            digits(cell),
            fixed(across * up / 1e6, 0),
            fixed(across * up * BYTES / 1e9, 1),
            digits(default_cell(window)),
            unit = units.short(),
        ));
    }
    // Counted before there is a grid: its counts are whole numbers, and memory is asked for by them.
    let lattice = Grid::lattice_box(window);
    let along = |length: f64| (length / cell / TILE as f64).ceil() + 1.0;
    if along(lattice.width()) * along(lattice.height()) > MOST_TILES {
        return Err(format!(
            "a cell of {} {unit} is too small for a blank so long and narrow; use {} {unit} or more",
            digits(cell),
            digits(default_cell(window)),
            unit = units.short(),
        ));
    }
    Ok(filled(edge, Grid::over(window, cell), faces.0 as f32, faces.1 as f32))
}

fn filled(edge: &Path, grid: Grid, top: f32, bottom: f32) -> Field {
    let points: Vec<Point> = edge.points(grid.cell / 50.0).into_iter().map(Grid::to_lattice).collect();
    let window = Grid::corners(&grid.covers.grown(grid.cell));
    let (across, up) = grid.tiles();
    let mut tiles: Vec<Option<Box<Tile>>> = vec![None; across * up];
    for row in 0..grid.rows {
        let y = grid.origin.y + (row as f64 + 0.5) * grid.cell;
        let &[low, high] = crossings(&window, y).as_slice() else { continue };
        for pair in crossings(&points, y).chunks_exact(2) {
            let column = |x: f64| ((x - grid.origin.x) / grid.cell - 0.5).ceil().max(0.0) as usize;
            for column in column(pair[0].max(low))..column(pair[1].min(high)).min(grid.columns) {
                let tile = &mut tiles[row / TILE * across + column / TILE];
                let tile = tile.get_or_insert_with(|| Box::new([bottom; TILE * TILE]));
                tile[row % TILE * TILE + column % TILE] = top;
            }
        }
    }
    let none: Arc<Tile> = Arc::new([bottom; TILE * TILE]);
    let tiles = tiles.into_iter().map(|tile| tile.map_or_else(|| Arc::clone(&none), Arc::from));
    Field::from_tiles(grid, bottom, top, tiles.collect())
}

/// X of the places where a closed polygon crosses the height `y`, sorted.
fn crossings(points: &[Point], y: f64) -> Vec<f64> {
    let mut found = Vec::new();
    for (index, a) in points.iter().enumerate() {
        let b = points[(index + 1) % points.len()];
        if (a.y > y) != (b.y > y) {
            found.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    }
    found.sort_by(f64::total_cmp);
    found
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::geometry::pt;

    #[test]
    fn a_default_cell_gives_two_to_eight_million_cells() {
        for side in 1..400 {
            let bounds = Bounds::of([pt(0.0, 0.0), pt(f64::from(side) * 0.173, f64::from(side) * 0.31)]);
            let cell = default_cell(&bounds);
            let cells = bounds.width() * bounds.height() / cell / cell;
            assert!((2e6..=8e6 * 1.000_001).contains(&cells), "{cells} cells of {cell}");
        }
    }

    #[test]
    fn a_long_thin_blank_is_refused_before_memory_is_asked_for() {
        for (long, wide) in [(1e5, 1e-3), (1e9, 1.0), (1e9, 1e-5), (3e4, 1e-3)] {
            let corners = [pt(0.0, 0.0), pt(long, 0.0), pt(long, wide), pt(0.0, wide)].map(|p| (p, 0.0));
            let edge = Path::closed(&corners).expect("a strip");
            let offered = default_cell(&edge.bounds());
            let words = blank_field(&edge, 0.0, -1.0, offered, Units::Inch).err();
            assert!(words.as_ref().is_some_and(|words| words.contains("too large for a blank")), "{words:?}");
            let cell = (long * wide / 8e6).sqrt();
            let words = blank_field(&edge, 0.0, -1.0, cell, Units::Inch).err();
            assert!(
                words.as_ref().is_some_and(|words| words.contains("or more") || words.contains("too large")),
                "{words:?}"
            );
        }
        let bar = [pt(0.0, 0.0), pt(200.0, 0.0), pt(200.0, 1.0), pt(0.0, 1.0)].map(|p| (p, 0.0));
        let bar = Path::closed(&bar).expect("a bar");
        let field = blank_field(&bar, 0.0, -1.0, default_cell(&bar.bounds()), Units::Inch).expect("fits");
        assert_relative_eq!(field.volume(), 200.0, max_relative = 0.001);
    }

    #[test]
    fn a_blank_has_its_volume_and_an_absurd_cell_is_refused() {
        let circle = Path::closed(&[(pt(-1.0, 0.0), 1.0), (pt(1.0, 0.0), 1.0)]).expect("a circle");
        let field = blank_field(&circle, 0.0, -0.5, 0.002, Units::Inch).expect("fits");
        assert_relative_eq!(field.volume(), std::f64::consts::PI * 0.5, max_relative = 0.0005);
        let refused =
            blank_field(&circle, 0.0, -0.5, 1e-5, Units::Inch).expect_err("40 thousand million cells");
        assert!(refused.contains("million cells") && refused.contains("or more"), "{refused}");
        assert!(blank_field(&circle, 0.0, -0.5, 0.0, Units::Inch).is_err());
    }
}
