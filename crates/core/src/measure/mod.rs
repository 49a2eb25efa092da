//! Exact measures: leave and thickness of cut at stations and along the path, and the load on the cutter.
//!
//! Nothing here looks at the heightfield: the two check each other.

mod along_path;
mod contact;
mod extremes;
pub(crate) mod keep_clear;
pub mod load;
mod model;
mod outline;
mod pieces;
mod ranges;
mod swath;
mod sweep;
mod under;

pub use along_path::{Block, along_path, measuring_height};
pub use contact::{Contact, FOLLOWS, Meant, Stretch};
pub use load::{AlongLoad, LoadRow};
pub use model::{AlongOutline, AlongPath, BlankProof, PathRow, Shallow, Short, StationRow};
pub use outline::{OutlineMeasure, Row, Stations, Values};
pub use ranges::{height_of_cut, range_of, range_of_cut, shallow, stretches};
pub use swath::Swath;
pub use sweep::Sweep;
pub use under::Under;
pub(crate) use under::under;
