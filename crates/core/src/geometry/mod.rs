//! Plane geometry: points, closed paths of lines and arcs, and what a straight line meets.

mod arc;
mod bounds;
mod boxes;
mod meet;
mod path;
mod point;
mod side;
mod tree;

pub use arc::{Arc, steps};
pub use bounds::Bounds;
pub use meet::{Interval, Ray, merge, without};
pub use path::{Path, Place, Span};
pub use point::{Point, Point3, pt, pt3};
pub use side::Side;
pub(crate) use tree::{OnRay, envelope};
