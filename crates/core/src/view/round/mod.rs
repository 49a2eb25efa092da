//! The block in the round: the heightfield with its voids, seen from any side without a graphics card.
//!
//! [`scene`] keeps the fields and says which pass took the metal from a place, [`march`] follows a line of sight
//! through the columns, [`paint`] turns what it meets into pixels, [`overlay`] writes on them,
//! [`ghosts`] adds the cutter and what is short.

mod camera;
mod even;
mod ghosts;
mod leave;
mod march;
mod overlay;
mod paint;
mod range;
mod scene;
mod shade;

pub use camera::Camera;
pub use ghosts::Ghosts;
pub use overlay::{RoundState, round};
pub use range::leave_range;
pub use scene::Scene;
pub use shade::Tint;
