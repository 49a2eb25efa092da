//! The window and the command line of Blockwright.
//!
//! Everything that is computed is computed by the core; here files are read and written, threads kept, and
//! what the core drew is put on a screen.

pub mod app;
pub mod background;
pub mod beside;
pub mod cli;
pub mod files;
pub mod numbers;
pub mod open;
pub mod paint;
pub mod record;
pub mod recover;
pub mod rewrite;
pub mod theme;
pub mod trouble;
pub mod worker;

/// The cautions that go with every check.
pub const CAUTION: &str = "\
Blockwright reads programs and computes; it does not see the machine. A result without findings is no promise that \
the cut is safe: walk it round above the work first, hand on feed hold. Check the tool in the spindle, the work \
offset and the clamps. Wear eye protection, and keep the guards and interlocks working. Follow the machine's manual, \
local codes and the shop's licensed practice.";
