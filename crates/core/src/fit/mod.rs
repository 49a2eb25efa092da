//! The best fit of the outline on the blank, and where a round tool cannot follow the outline.
//!
//! The margin of a fit is the greatest distance by which the outline can be moved out, square to itself, and still
//! lie on the blank; where the blank is short it is the least distance by which it has to be moved in, and
//! negative. For an outline inside the edge that is the plain distance between the two. The margin the proof
//! measures along rays square to the outline is never less: it is greater where the nearest metal's end lies off a
//! corner, in a direction square to neither side.
//!
//! Outline and edge are followed by chords within [`follow`]; everything here is exact to twice that.

mod bound;
mod field;
mod fitting;
mod margin;
mod polish;
mod position;
mod reach;
mod report;
mod search;
mod slope;
mod stretch;
mod take_over;
mod tree;
mod witness;

pub use fitting::{Fitting, fitting, fitting_of};
pub use position::{Fit, Limits};
pub use reach::{Inner, Reach, reach, tightest_inner};
pub use report::{json, table};
pub use search::best;
pub use stretch::{BuildUp, build_up, margin_at};
pub use take_over::{Handling, instruction, taken_over};

use crate::units::Units;

/// How closely arcs are followed by chords.
pub const fn follow(units: Units) -> f64 {
    units.pick(0.000_01, 0.000_25)
}

/// The search ends when no fit can be better than the one found by more than this.
pub const fn proven_within(units: Units) -> f64 {
    units.pick(0.000_1, 0.002_5)
}
