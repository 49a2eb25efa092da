//! An outline or an edge while it is being drawn: vertices and bulges, what can be done to them, what the pointer
//! catches on, and a picture to trace over.
//!
//! A [`Chain`] is the path as it stands, an [`Edit`] is one thing done to it, a [`Sketch`] keeps the chain with its
//! history. Nothing here knows a screen: reach is a length in the job's unit.

mod arc;
mod chain;
mod edit;
mod fillet;
mod history;
mod hold;
mod pick;
mod picture;
mod refused;
mod similar;
mod snap;

pub use arc::{bulge_of_radius, tangent, through};
pub use chain::Chain;
pub use edit::Edit;
pub use history::Sketch;
pub use hold::{Held, direction};
pub use pick::{Hit, hit};
pub use picture::{MOST_PICTURE_BYTES, MOST_PIXELS, MOST_SIDE, picture};
pub use refused::Refused;
pub use similar::Similar;
pub use snap::{Around, Mark, Snapped, Snapping, snap};

/// Most vertices of a path that is drawn by hand; more than this comes from a file and goes back to one.
pub const MOST_VERTICES: usize = 20_000;
