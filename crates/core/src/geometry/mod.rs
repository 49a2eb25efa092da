//! Plane geometry: points, closed paths of lines and arcs, and what a straight line meets.

mod apart;
mod arc;
mod bounds;
mod boxes;
mod meet;
mod path;
mod point;
mod rail;
mod range;
mod side;
mod tree;

pub(crate) use apart::apart_from_area;
pub use arc::{Arc, steps};
pub use bounds::Bounds;
pub(crate) use meet::outer_normals;
pub use meet::{Interval, Ray, merge, without};
pub use path::{Path, Place, Span};
pub use point::{Point, Point3, pt, pt3};
pub use rail::Rail;
pub use range::Range;
pub use side::Side;
pub(crate) use tree::{OnRay, envelope};
