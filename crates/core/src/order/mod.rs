//! The passes in another order, or without one of them: what changes, and which pass could be left out.

mod figures;
mod left_out;
mod stand_in;

pub use figures::{Figure, pass_figures, totals};
pub use left_out::{LeftOut, left_out};
