//! Programs: from text to words to motions.

mod arc;
mod interpreter;
mod lexer;
mod lines;
mod log;
mod modal;
mod motion;

pub use interpreter::{Program, Settings, read};
pub use lines::TextLines;
pub use motion::{Curve, Kind, Motion, Plane};
