//! The proof: the result of running every pass of a job through the measures and the checks.

mod beside;
mod down;
mod gauge;
mod json;
mod measured;
mod model;
mod moment;
mod seen;
mod steps;
mod table;
mod verdict;
mod way;

pub use beside::Near;
pub use down::{Descent, Fall};
pub use gauge::{Gauge, GaugeFrom};
pub use json::{failed_line, json, json_line};
pub use measured::{Measure, measures};
pub use model::*;
pub use moment::{Moment, tool_at};
pub use seen::{has_seen, with_seen};
pub(crate) use steps::nearest;
pub use steps::{Step, Steps, steps};
pub use table::table;
pub use verdict::{CAUTION, NO_PROMISE, count_words, notes, status, to_look_at, verdict_words};
pub use way::{Turns, Way};
