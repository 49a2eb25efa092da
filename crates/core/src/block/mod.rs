//! The block as a heightfield, and the removal of metal from it.
//!
//! Nothing here looks at the rays of the exact measures: the two check each other.
//!
//! A pass goes through in batches. `lay` turns motions into strokes, `batch` hands them to the tiles they reach. In a
//! tile `rows` finds the columns that a span must look at, `columns` and `valley` work out how low it comes there, and
//! `carve` takes the metal; `scrape` does so column by column where there is no closed form. `tally` keeps count of
//! what each motion took, and `history` stores tiles to scrub from. The loops over many columns go through `wide`.
//!
//! The cells lie on a lattice turned against the axes, `grid` says why. Strokes and all that follows from them lie on the
//! lattice's own axes, and "in plan" there means on these.
#![expect(
    clippy::inline_always,
    clippy::needless_bitwise_bool,
    reason = "what `wide` does anew must be inlined, and a lazy operator in it would be a branch"
)]

mod batch;
mod blank;
mod carve;
mod columns;
mod cutter;
mod field;
mod floor;
mod grid;
mod history;
mod lay;
mod line;
mod lumps;
mod marks;
#[cfg(test)]
mod reference;
mod removal;
mod rows;
mod scrape;
mod span;
mod sweep;
mod tally;
mod touch;
mod valley;
mod void;
mod wide;

pub use blank::{MOST_CELLS, blank_field, blank_window, coarsest_cell, default_cell};
pub use field::Field;
pub use grid::Grid;
pub use lay::LAID_WITHIN;
pub use lumps::{Lump, Lumps};
pub use removal::{Removal, Taken};
pub use touch::{MOST_COUNTED, Part, Touch, flutes_end, shank_from, touches, widest_between};
