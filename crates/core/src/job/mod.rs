//! The job: what is cut, with what, from where.

mod json;
mod model;
mod read;
mod setup;
mod write;

pub use json::JobError;
pub use model::*;
pub use read::read;
pub use setup::{BlankSetup, Setup};
pub use write::write;
