//! Everything of Blockwright that needs no window.
//!
//! Data goes one way: text, words, motions, track, what is swept, measures, findings, the checked job, views. The rooms
//! stand below in that order, storey by storey: a file uses rooms of the storeys above its own in this list and none
//! beside or below it (`tests/tests/rooms.rs` holds them to it). Nothing here reads or writes a file, knows a window or a
//! clock; long work takes a [`task::Task`] to be stopped by and to report to.

// What everything stands on: numbers, shapes, words, the samples.
pub mod demo;
pub mod geometry;
pub mod limits;
pub mod names;
pub mod pixels;
mod search;
pub mod task;
#[cfg(test)]
mod testing;
pub mod tolerance;
pub mod typed;
pub mod units;

// What a shop has.
pub mod control;
pub mod cutting;
pub mod tool;

// What can be said of a job.
pub mod finding;

// Text to words to motions.
pub mod program;

// Where the motions go on the block.
mod plunged;
pub mod track;

// What they sweep.
pub mod block;
pub mod wall;

// The job that says what is run.
pub mod job;

// Paths from drawings, jobs from programs, figures of each pass.
pub mod bring_in;
pub mod measure;
pub mod suggest;

// What is worked out from the figures: the best position, the finished block, programs written anew.
pub mod finished;
pub mod fit;
pub mod rewrite;

// What a checked job holds, and what is asked of it.
pub mod proof;

// The findings.
pub mod check;

// All of it run.
pub mod prover;

// Whole jobs against each other.
pub mod order;

// What a person draws.
pub mod sketch;

// What a person sees.
pub mod view;

// What goes into the folder.
pub mod record;
