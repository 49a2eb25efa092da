//! The block before the first pass and after each, made ready to be looked through.

use rayon::prelude::*;

use crate::block::Field;
use crate::geometry::Point;
use crate::proof::Proof;

/// Cells along one side of the two sizes of squares that a line of sight passes in one step.
const SIDES: [usize; 2] = [8, 64];
/// A place just outside a face lies so far from it, in parts of the thickness.
const BESIDE: f32 = 2e-5;

/// The block before the first pass and after each one up to what is shown, made ready to be looked through. It holds
/// its fields' tiles together with whoever made them.
#[derive(Debug, Clone)]
pub struct Scene {
    before: Vec<Field>,
    shown: Field,
    levels: [Level; 2],
}

/// The highest and the lowest metal in squares of cells.
#[derive(Debug, Clone)]
struct Level {
    side: usize,
    across: usize,
    squares: Vec<Reach>,
}

/// From the lowest to the highest metal; the wrong way round where there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Reach {
    low: f32,
    high: f32,
}

impl Reach {
    const NONE: Self = Self { low: f32::INFINITY, high: f32::NEG_INFINITY };

    fn with(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }
}

/// What a face was made by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Maker {
    /// The saw.
    Saw,
    /// The pass with this index.
    Pass(usize),
}

impl Scene {
    /// The scene of a block, with the blank and the block after each earlier pass to tell which pass cut what; nothing
    /// before it when the block itself is the blank. `None` for a block without height, or when the grids differ.
    pub fn new(before: Vec<Field>, shown: Field) -> Option<Self> {
        let same = before.iter().all(|field| field.grid() == shown.grid());
        let fine = Level::of_cells(&shown);
        let coarse = fine.joined(SIDES[1], shown.grid().rows.div_ceil(SIDES[0]));
        (same && shown.top() > shown.bottom()).then_some(Self { before, shown, levels: [fine, coarse] })
    }

    /// The scene of a proof: the block in the middle of a pass, or after it. `None` without a blank.
    pub fn of_proof(proof: &Proof, pass: usize, shown: Field) -> Option<Self> {
        let start = proof.start.clone()?;
        let ends = proof.passes.iter().take(pass).map(|pass| pass.removal.as_ref().map(|done| done.end()));
        let mut before = vec![start];
        for end in ends {
            let field = end.or(before.last()).cloned();
            before.extend(field);
        }
        Self::new(before, shown)
    }

    /// The block that is seen.
    pub(super) const fn shown(&self) -> &Field {
        &self.shown
    }

    /// How many passes the scene knows of.
    pub fn passes(&self) -> usize {
        self.before.len()
    }

    pub(super) fn thickness(&self) -> f64 {
        f64::from(self.shown().top() - self.shown().bottom())
    }

    /// Diagonal of the blank's box in plan.
    pub(super) fn diagonal(&self) -> f64 {
        let covers = self.shown().grid().covers;
        covers.width().hypot(covers.height())
    }

    /// Middle of the blank.
    pub(super) fn centre(&self) -> [f64; 3] {
        let field = self.shown();
        let Point { x, y } = field.grid().covers.centre();
        [x, y, f64::from(f32::midpoint(field.top(), field.bottom()))]
    }

    /// Just outside a level face.
    pub(super) fn beside(&self) -> f32 {
        (self.shown().top() - self.shown().bottom()) * BESIDE
    }

    /// The side of the largest square of cells round a cell that has no metal between two heights; `None` when the
    /// smallest square has some.
    pub(super) fn clear(&self, column: usize, row: usize, (low, high): (f64, f64)) -> Option<usize> {
        let clear = |level: &&Level| {
            let square = level.squares.get(row / level.side * level.across + column / level.side);
            square.is_some_and(|metal| f64::from(metal.high) <= low || f64::from(metal.low) > high)
        };
        self.levels.iter().rev().find(clear).map(|level| level.side)
    }

    /// What took the metal away from a place that now is air.
    pub(super) fn maker(&self, column: usize, row: usize, height: f32) -> Maker {
        let metal =
            |field: &Field| field.column(column, row).any(|(low, high)| low < height && height < high);
        let held = self.before.iter().take_while(|field| metal(field)).count();
        if held == 0 { Maker::Saw } else { Maker::Pass(held - 1) }
    }
}

impl Level {
    fn of_cells(field: &Field) -> Self {
        let grid = field.grid();
        let (side, undercut) = (SIDES[0], field.voids() > 0);
        let across = grid.columns.div_ceil(side);
        let mut squares = vec![Reach::NONE; across * grid.rows.div_ceil(side)];
        let reach = |x: usize, y: usize| {
            let high = field.height(x, y);
            // A column without metal is no obstacle at any height.
            if high <= field.bottom() {
                return Reach::NONE;
            }
            let lowest = if undercut { field.column(x, y).next() } else { None };
            Reach { low: lowest.map_or(field.bottom(), |(low, _)| low), high }
        };
        squares.par_chunks_mut(across).enumerate().for_each(|(row, line)| {
            for y in row * side..((row + 1) * side).min(grid.rows) {
                for x in 0..grid.columns {
                    if let Some(square) = line.get_mut(x / side) {
                        *square = square.with(reach(x, y));
                    }
                }
            }
        });
        Self { side, across, squares }
    }

    /// The same for larger squares.
    fn joined(&self, side: usize, rows: usize) -> Self {
        let factor = side / self.side;
        let across = self.across.div_ceil(factor);
        let mut squares = vec![Reach::NONE; across * rows.div_ceil(factor)];
        for (row, line) in self.squares.chunks(self.across).enumerate() {
            for (column, reach) in line.iter().enumerate() {
                if let Some(square) = squares.get_mut(row / factor * across + column / factor) {
                    *square = square.with(*reach);
                }
            }
        }
        Self { side, across, squares }
    }
}
