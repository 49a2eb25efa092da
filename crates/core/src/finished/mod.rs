//! The finished block: what must stand when all passes are done, and where a pass comes into it.
//!
//! The finished block lies inside the outline and under the finished top, with the edge taken off as the edge passes
//! are meant to, less what undercuts take under the land and what pockets, grooves and holes take inside. How deep a
//! place lies in it is its least distance to any of its surfaces, so that a shallow groove right across is as deep as
//! it is cut and not as far as it lies from the outline.
//!
//! All of it is exact geometry: circles of the cutter at a height, carried along its path, against lines and arcs. At
//! one height the depth changes no faster than the place moves, so that a few looks prove a motion clear. Heights are
//! the joints of cutter and block, and some between on what is rounded. Nothing here looks at the grid.

mod area;
mod block;
mod enter;
mod gone;
mod purpose;
mod search;
mod solid;
mod width;

pub use area::Area;
pub use block::{Finished, Meant};
pub(crate) use enter::bent;
pub use enter::{Block, Entered, Held, How, comes_down, standing};
pub use gone::Gone;
pub use purpose::{PassFacts, Purpose, Stock, purposes};
pub use solid::{EdgeShape, Solid};
