//! Bringing in an edge or an outline that was made elsewhere: drawings, measured points, a pass's own path.
//!
//! Everything starts from bytes or numbers and ends in a closed path of lines and arcs, with whatever is wrong
//! with the drawing named and placed. Nothing here is trusted: sizes, counts and depths have limits, and a file
//! that cannot be used gives one message with its place.

mod cross;
mod dead_end;
mod drawing;
mod dxf;
mod fault;
mod follow;
mod grid;
mod heal;
mod join;
mod offer;
mod offset;
mod on_layer;
mod pass;
mod plan;
mod points;
mod resolve;
mod survey;
mod svg;
mod trouble;

pub use cross::{crossings, crossings_of};
pub use drawing::{Curve, Drawing, Layer, LeftOut};
pub use fault::{Fault, Spot};
pub use join::{Closed, Joined, join};
pub use offer::{Offer, Offered};
pub use offset::{OffsetError, offset};
pub use pass::{from_pass, from_track};
pub use points::{Probe, from_points, listed};
pub use resolve::{Brought, Choice, Kind, choose, open, read};
pub use survey::{LayerSurvey, Survey, survey};
pub use trouble::Trouble;

use crate::limits;
use crate::units::Units;

/// Largest file that is looked at, in bytes.
pub const MOST_BYTES: usize = limits::DRAWING_BYTES;
/// Most lines and arcs a drawing may come to once its blocks are placed and its curves are followed.
pub const MOST_PIECES: usize = limits::DRAWING_PIECES;
/// Most lines and arcs of a path that a job takes, as many as it may state itself.
pub const MOST_SPANS: usize = limits::VERTICES;
/// Deepest nesting of blocks in blocks, groups in groups or elements in elements.
pub const MOST_NESTING: usize = limits::DRAWING_DEPTH;
/// Most placings of blocks in one drawing, those in rows and columns counted one by one.
pub const MOST_PLACINGS: usize = limits::DRAWING_PLACINGS;

/// How far the arcs and lines that stand for a spline, an ellipse or a Bézier curve may lie from it, in inches or
/// millimetres: a fifth of the exactness asked of measures along the outline.
pub const fn curve_tolerance(units: Units) -> f64 {
    units.pick(0.000_02, 0.000_5)
}

/// Ends nearer than this are the same corner, drawn carelessly; wider gaps are left open and told.
pub const fn join_gap(units: Units) -> f64 {
    units.pick(0.001, 0.025)
}
