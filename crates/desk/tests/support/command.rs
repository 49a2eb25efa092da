//! The command line run in this process.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::path::Path;

/// One run: exit status, standard output, standard error.
pub(crate) fn run(args: &[&str]) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let all = std::iter::once("blockwright").chain(args.iter().copied());
    let status = blockwright::cli::run(all, &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).expect("text");
    (status, text(out), text(err))
}

/// A path as an argument.
pub(crate) fn path(path: &Path) -> &str {
    path.to_str().expect("a path in text")
}
