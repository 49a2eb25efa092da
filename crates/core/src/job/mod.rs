//! The job: what is cut, with what, from where.

mod answers;
mod confirm;
mod control;
mod crib;
mod differ;
mod does;
mod json;
mod keys;
mod material;
mod measured;
mod model;
mod read;
mod schema;
mod seen;
mod write;

pub use confirm::{Basis, Part, ToConfirm};
pub use crib::{Clash, Crib, CribFile, read_crib, write_crib};
pub use differ::differences;
pub use does::Does;
pub use json::JobError;
pub use material::MaterialFigure;
pub use measured::{Measured, Quantity};
pub use model::*;
pub(crate) use read::check_closed;
pub use read::read;
pub use schema::schema;
pub use seen::Seen;
pub use write::write;
