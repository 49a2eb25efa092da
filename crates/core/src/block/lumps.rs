//! Which metal hangs together: a pass that goes through the block may cut some of it loose.
//!
//! Columns that hold metal hang together where they touch, also by a corner only, whatever lies between their heights: what
//! is told apart here is apart for certain, but for what is thinner than a cell.

use super::field::{Field, TILE};
use super::grid::Grid;
use crate::geometry::{Bounds, Path, Point, pt};
use crate::task::{Cancelled, Task};

/// Columns with metal beside each other in a row.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Run {
    from: usize,
    /// One behind the last.
    to: usize,
    /// The run it hangs together with, of lower number; itself for the first. In the end the lump it belongs to.
    lump: usize,
}

/// Metal that hangs together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lump {
    /// How many columns.
    pub columns: usize,
    /// In how many places four columns lie in a square: none where it is no thicker than a cell.
    pub squares: usize,
    /// The box round it in plan.
    pub bounds: Bounds,
    /// A place in it, in plan: the middle of its longest row.
    pub place: Point,
}

/// The lumps of a block at one moment: one, until something is cut through.
#[derive(Debug, Clone, PartialEq)]
pub struct Lumps {
    grid: Grid,
    /// Where each row's runs begin in the list; one more than there are rows.
    rows: Vec<usize>,
    runs: Vec<Run>,
    /// The lumps, in the order in which they are met row by row.
    pub lumps: Vec<Lump>,
}

impl Lumps {
    /// The lumps of a block.
    ///
    /// # Errors
    /// [`Cancelled`] when asked to stop.
    pub fn of(field: &Field, task: Task<'_>) -> Result<Self, Cancelled> {
        let grid = *field.grid();
        let (mut rows, mut runs) = (vec![0], Vec::new());
        let mut squares = Vec::new();
        for row in 0..grid.rows {
            task.cancel.check()?;
            let before = rows.len().checked_sub(2).map_or(0, |last| rows[last])..runs.len();
            let first = runs.len();
            runs_of(field, row, &mut runs);
            squares.resize(runs.len(), 0);
            join(&mut runs, before, first, &mut squares);
            rows.push(runs.len());
        }
        let mut lumps: Vec<Lump> = Vec::new();
        let mut longest = Vec::new();
        let mut row = 0;
        for index in 0..runs.len() {
            while rows[row + 1] <= index {
                row += 1;
            }
            let Run { from, to, lump: lower } = runs[index];
            let lump = if lower == index {
                lumps.push(Lump { columns: 0, squares: 0, bounds: Bounds::of([]), place: pt(0.0, 0.0) });
                longest.push(0);
                lumps.len() - 1
            } else {
                runs[lower].lump
            };
            runs[index].lump = lump;
            let it = &mut lumps[lump];
            it.columns += to - from;
            it.squares += squares[index];
            it.bounds = it.bounds.with(grid.centre(from, row)).with(grid.centre(to - 1, row));
            if to - from > longest[lump] {
                longest[lump] = to - from;
                it.place = grid.centre(usize::midpoint(from, to - 1), row);
            }
        }
        Ok(Self { grid, rows, runs, lumps })
    }

    /// The lump that a place in plan lies in; `None` where there is no metal.
    pub fn at(&self, place: Point) -> Option<usize> {
        let (column, row) = self.grid.cell_at(place)?;
        let runs = &self.runs[self.rows[row]..self.rows[row + 1]];
        runs.iter().find(|run| (run.from..run.to).contains(&column)).map(|run| run.lump)
    }

    /// Whether a lump reaches into an area: some column of it stands there.
    pub fn reaches(&self, lump: usize, area: &Path) -> bool {
        let bounds = area.bounds();
        let within = |place: &Point| bounds.meets(&Bounds::of([*place]));
        self.rows.windows(2).enumerate().any(|(row, span)| {
            let own = self.runs[span[0]..span[1]].iter().filter(|run| run.lump == lump);
            let places = own.flat_map(|run| run.from..run.to).map(|column| self.grid.centre(column, row));
            places.filter(within).any(|place| area.holds(place))
        })
    }
}

/// Adds the runs of a row.
fn runs_of(field: &Field, row: usize, runs: &mut Vec<Run>) {
    let (across, columns) = (field.grid().tiles().0, field.grid().columns);
    let mut open: Option<usize> = None;
    let mut close = |open: &mut Option<usize>, to: usize| {
        if let Some(from) = open.take() {
            let lump = runs.len();
            runs.push(Run { from, to, lump });
        }
    };
    for tile in 0..across {
        let index = row / TILE * across + tile;
        if field.highest[index] <= field.bottom() {
            close(&mut open, tile * TILE);
            continue;
        }
        let start = row % TILE * TILE;
        let first = tile * TILE;
        let heights = &field.tiles[index][start..start + TILE.min(columns - first)];
        for (column, height) in (first..).zip(heights) {
            if *height > field.bottom() {
                open.get_or_insert(column);
            } else {
                close(&mut open, column);
            }
        }
    }
    close(&mut open, columns);
}

/// Joins the runs of a row, from `first` on, to those of the row before that they touch.
fn join(runs: &mut [Run], before: std::ops::Range<usize>, first: usize, squares: &mut [usize]) {
    let mut lower = before.start;
    for index in first..runs.len() {
        while lower < before.end && runs[lower].to < runs[index].from {
            lower += 1;
        }
        let touching = (lower..before.end).take_while(|at| runs[*at].from <= runs[index].to);
        for at in touching.collect::<Vec<_>>() {
            let shared = runs[at].to.min(runs[index].to).saturating_sub(runs[at].from.max(runs[index].from));
            squares[index] += shared.saturating_sub(1);
            let (one, other) = (root(runs, at), root(runs, index));
            runs[one.max(other)].lump = one.min(other);
        }
    }
}

/// The first run of those that hang together with one.
fn root(runs: &mut [Run], mut at: usize) -> usize {
    while runs[at].lump != at {
        let next = runs[at].lump;
        runs[at].lump = runs[next].lump;
        at = next;
    }
    at
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::sync::Arc;

    use super::*;
    use crate::task::Cancel;
    use crate::testing::Random;

    /// A block of two by two tiles of which about so many parts in a hundred are metal.
    fn field(random: &mut Random, metal: f64) -> Field {
        let grid =
            Grid { columns: 100, rows: 90, ..Grid::over(&Bounds::of([pt(0.0, 0.0), pt(1.0, 1.0)]), 0.01) };
        let mut tile = || {
            let mut tile = [0.0_f32; TILE * TILE];
            for height in &mut tile {
                *height = if random.between(0.0, 100.0) < metal { 1.0 } else { 0.0 };
            }
            Arc::new(tile)
        };
        let tiles = (0..4).map(|_| tile()).collect();
        Field::from_tiles(grid, 0.0, 1.0, tiles)
    }

    /// The same by going from column to column.
    fn slowly(field: &Field) -> BTreeSet<BTreeSet<(usize, usize)>> {
        let (columns, rows) = (field.grid().columns, field.grid().rows);
        let is_metal = |at: &(usize, usize)| at.0 < columns && at.1 < rows && field.height(at.0, at.1) > 0.0;
        let mut left: BTreeSet<(usize, usize)> = (0..columns)
            .flat_map(|column| (0..rows).map(move |row| (column, row)))
            .filter(is_metal)
            .collect();
        let mut all = BTreeSet::new();
        while let Some(first) = left.pop_first() {
            let (mut lump, mut open) = (BTreeSet::from([first]), vec![first]);
            while let Some((column, row)) = open.pop() {
                let sides = [column.wrapping_sub(1), column, column + 1];
                let around =
                    sides.into_iter().flat_map(|c| [row.wrapping_sub(1), row, row + 1].map(|r| (c, r)));
                for at in around {
                    if left.remove(&at) {
                        lump.insert(at);
                        open.push(at);
                    }
                }
            }
            all.insert(lump);
        }
        all
    }

    #[test]
    fn lumps_are_those_that_are_met_going_from_column_to_column() {
        let mut random = Random::new(79);
        for case in 0..40 {
            let field = field(&mut random, 5.0 + 1.2 * f64::from(case));
            let cancel = Cancel::new();
            let lumps = Lumps::of(&field, Task::quiet(&cancel)).expect("nobody cancels");
            let slow = slowly(&field);
            assert_eq!(lumps.lumps.len(), slow.len(), "case {case}");
            for columns in slow {
                let of = |(column, row): &(usize, usize)| lumps.at(field.grid().centre(*column, *row));
                let lump = columns.first().and_then(of).expect("metal");
                assert!(columns.iter().all(|at| of(at) == Some(lump)), "case {case}");
                let holds = |(c, r): &(usize, usize)| {
                    columns.contains(&(c + 1, *r)) && columns.contains(&(*c, r + 1))
                };
                let squares =
                    columns.iter().filter(|at| holds(at) && columns.contains(&(at.0 + 1, at.1 + 1)));
                let told = lumps.lumps[lump];
                assert_eq!((told.columns, told.squares), (columns.len(), squares.count()), "case {case}");
                assert_eq!(lumps.at(told.place), Some(lump), "case {case}");
            }
        }
    }
}
