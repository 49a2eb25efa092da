//! The binary: hands its arguments to the library and returns its exit status.

use std::io::{stderr, stdout};
use std::process::ExitCode;

fn main() -> ExitCode {
    blockwright::background::quiet();
    ExitCode::from(blockwright::cli::run(std::env::args_os(), &mut stdout().lock(), &mut stderr()))
}
