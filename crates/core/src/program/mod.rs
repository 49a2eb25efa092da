//! Programs: from text to words to motions.

pub mod advice;
mod arc;
pub mod explain;
mod lines;
mod motion;
mod result;
mod run;
pub mod words;
mod zero;

pub use lines::TextLines;
pub use motion::{Curve, Kind, Known, Motion, Plane};
pub use result::{Dwell, End, Ending, Program, StartState, ToolCall};
pub use run::{Settings, Subprogram, called, read};
pub(crate) use run::{heading, held, number_and_times, system_name};
pub use zero::Zero;
