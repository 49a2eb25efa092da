//! Everything of Blockwright that needs no window.
//!
//! Data goes one way: text, words, motions, measures, findings, proof, views, record. Nothing here reads or writes a
//! file, knows a window or a clock; long work takes a [`task::Task`] to be stopped by and to report to.

pub mod block;
pub mod bring_in;
pub mod check;
pub mod cutting;
pub mod demo;
pub mod finding;
pub mod finished;
pub mod fit;
pub mod geometry;
pub mod job;
pub mod limits;
pub mod measure;
pub mod names;
mod plunged;
pub mod program;
pub mod proof;
pub mod record;
pub mod rewrite;
pub mod sketch;
pub mod suggest;
pub mod task;
#[cfg(test)]
mod testing;
pub mod tolerance;
pub mod tool;
pub mod track;
pub mod typed;
pub mod units;
pub mod view;
pub mod wall;
