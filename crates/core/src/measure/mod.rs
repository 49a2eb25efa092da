//! Exact measures in plan: leave and thickness of cut at stations and along the path.
//!
//! Nothing here looks at the heightfield: the two check each other.

mod along_path;
mod contact;
mod outline;
mod ranges;
mod swath;

pub use along_path::{along_path, measuring_height};
pub use contact::{Contact, Stretch};
pub use outline::{OutlineMeasure, Row, Values};
pub use ranges::{margin, range_of, stretches};
pub use swath::Swath;
