//! What killed writes leave behind.

#![allow(unreachable_pub, reason = "shared by the test files alone")]

use std::path::{Path, PathBuf};

/// Temporary files of killed writes, anywhere below.
pub fn left_over(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(left_over(&path));
        } else if entry.file_name().to_string_lossy().starts_with(".blockwright-") {
            found.push(path);
        }
    }
    found
}
