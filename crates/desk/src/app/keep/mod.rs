//! Areas kept clear: drawn on the plan, named in a small window, listed in the job.

mod dialog;
mod sketch;

pub(super) use dialog::{KeepDialog, list};
pub use sketch::{Shape, Sketch};
pub(super) use sketch::{controls, hand};
