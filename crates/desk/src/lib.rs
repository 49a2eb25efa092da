//! The window and the command line of Blockwright.
//!
//! Everything that is computed is computed by the core; here files are read and written, threads kept, and
//! what the core drew is put on a screen.

pub mod app;
pub mod arrangement;
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

pub use blockwright_core::proof::CAUTION;
