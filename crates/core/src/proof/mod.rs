//! The proof: the result of running every pass of a job through the measures and the checks.

mod json;
mod model;
mod prover;
mod table;

pub use json::json;
pub use model::*;
pub use prover::{Options, ProveError, Prover, Stage};
pub use table::{status, table, verdict_words};
