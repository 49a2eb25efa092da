//! The window at length: killed while it saves, and worked for hours.
//!
//!     cargo test --workspace --locked --test window_long                                 # 6 kills, 3 jobs
//!     KILLS=500 JOBS=96 SEED=7 cargo test --workspace --locked --test window_long        # as many as you like
//!
//! 96 jobs are a day of eight hours.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on, and a long run how far it came"
)]

#[path = "../support/inside.rs"]
mod inside;
#[path = "../support/left_over.rs"]
mod left_over;
#[path = "../support/seeded.rs"]
mod seeded;
#[path = "../support/mod.rs"]
mod support;

mod hours;
mod killed;
