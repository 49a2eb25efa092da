//! Blocks and where they are placed.

use std::collections::HashMap;

use super::Entity;
use crate::bring_in::drawing::Sheet;
use crate::bring_in::plan::{Affine, Shape};
use crate::bring_in::{Fault, MOST_NESTING, MOST_PLACINGS, Spot};
use crate::geometry::{Point, pt};

/// The layer on which a block's entities take over the layer of the block's placing.
const LAYER_OF_PLACING: &str = "0";

/// Something drawn, in the coordinates of the block or the drawing that holds it.
#[derive(Debug)]
pub(super) struct Item {
    pub(super) layer: usize,
    pub(super) kind: Kind,
    pub(super) spot: Spot,
}

#[derive(Debug)]
pub(super) enum Kind {
    /// A shape and how it lies.
    Drawn(Shape, Affine),
    /// A block placed.
    Placed(Placed),
}

/// A block placed in rows and columns.
#[derive(Debug)]
pub(super) struct Placed {
    pub(super) block: String,
    /// From the block's coordinates (its base point at the origin) to those of the holder.
    pub(super) place: Affine,
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// From column to column, and from row to row.
    pub(super) apart: (Point, Point),
}

#[derive(Debug)]
struct Block {
    base: Point,
    items: Vec<Item>,
}

/// Blocks by name.
#[derive(Debug, Default)]
pub(super) struct Library(HashMap<String, Block>);

impl Library {
    pub(super) fn define(&mut self, entity: &Entity<'_>, items: Vec<Item>) -> Result<(), Fault> {
        let (mut name, mut base) = (None, pt(0.0, 0.0));
        for group in &entity.groups {
            match group.code {
                2 => name = Some(group.text().to_lowercase()),
                10 => base.x = group.real()?,
                20 => base.y = group.real()?,
                _ => {}
            }
        }
        let name = name.ok_or_else(|| Fault::at(entity.name.spot, "a block without a name").of("BLOCK"))?;
        self.0.insert(name, Block { base, items });
        Ok(())
    }
}

/// Lays out everything placed.
pub(super) struct Placing<'a> {
    library: &'a Library,
    sheet: &'a mut Sheet,
    tolerance: f64,
    placings: usize,
    zero_layer: usize,
}

impl<'a> Placing<'a> {
    pub(super) fn new(library: &'a Library, sheet: &'a mut Sheet, tolerance: f64) -> Self {
        let zero_layer = sheet.layer(LAYER_OF_PLACING);
        Self { library, sheet, tolerance, placings: 0, zero_layer }
    }

    /// Draws items; those of a block on layer 0 go on the layer of its placing.
    pub(super) fn items(
        &mut self,
        items: &[Item],
        place: &Affine,
        layer: Option<usize>,
        depth: usize,
    ) -> Result<(), Fault> {
        for item in items {
            let own = Some(item.layer).filter(|own| *own != self.zero_layer);
            let layer = own.or(layer).unwrap_or(item.layer);
            match &item.kind {
                Kind::Drawn(shape, lying) => {
                    let drawn = self.sheet.draw(layer, shape, &place.after(lying), self.tolerance);
                    drawn.map_err(|message| Fault::at(item.spot, message))?;
                }
                Kind::Placed(placed) => self.block(placed, place, layer, depth, item.spot)?,
            }
        }
        Ok(())
    }

    fn block(
        &mut self,
        placed: &Placed,
        place: &Affine,
        layer: usize,
        depth: usize,
        spot: Spot,
    ) -> Result<(), Fault> {
        let fault = |message: String| Fault::at(spot, message).of("INSERT");
        if depth >= MOST_NESTING {
            return Err(fault(format!(
                "blocks are nested more than {MOST_NESTING} deep, or contain themselves"
            )));
        }
        let Some(block) = self.library.0.get(&placed.block) else {
            return Err(fault(format!("there is no block `{}` in the file", placed.block)));
        };
        let from_base = placed.place.after(&Affine::shift(-block.base));
        for row in 0..placed.rows {
            for column in 0..placed.columns {
                self.placings += 1;
                if self.placings > MOST_PLACINGS {
                    return Err(fault(format!("blocks are placed more than {MOST_PLACINGS} times")));
                }
                let by = placed.apart.0 * column as f64 + placed.apart.1 * row as f64;
                let there = place.after(&Affine::shift(by).after(&from_base));
                self.items(&block.items, &there, Some(layer), depth + 1)?;
            }
        }
        Ok(())
    }
}
