//! The block as a heightfield, and the removal of metal from it.
//!
//! Nothing here looks at the rays of the exact measures: the two check each other.

mod blank;
mod field;
mod removal;
mod stamp;
mod sweep;

pub use blank::{MOST_CELLS, blank_field, default_cell};
pub use field::{Field, Grid};
pub use removal::{Removal, Taken};
pub use sweep::Sweep;
