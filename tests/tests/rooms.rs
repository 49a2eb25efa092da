//! The rooms of the core use each other one way only.
//!
//! The order is stated once, by the groups of `lib.rs`: a file may use rooms of the groups above its own.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The storey of each room, counted from the top of `lib.rs`.
fn storeys(lib: &str) -> BTreeMap<String, usize> {
    let (mut storeys, mut storey) = (BTreeMap::new(), 0);
    for line in lib.lines() {
        if line.trim().is_empty() {
            storey += 1;
        }
        let declared = line.trim_start_matches("pub ").strip_prefix("mod ");
        storeys
            .extend(declared.and_then(|name| name.strip_suffix(';')).map(|name| (name.to_owned(), storey)));
    }
    storeys
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push(path);
        }
    }
}

/// The rooms that a text names behind `crate::`, in a path or at the head of a braced list.
fn named(text: &str) -> Vec<&str> {
    let word = |rest: &'_ str| rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
    let mut found = Vec::new();
    for (at, before) in text.match_indices("crate::") {
        let rest = &text[at + before.len()..];
        if let Some(list) = rest.strip_prefix('{') {
            let mut depth = 0;
            let mut start = Some(0);
            for (index, c) in list.char_indices() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => start = Some(index + 1),
                    c if c.is_whitespace() && start == Some(index) => start = Some(index + c.len_utf8()),
                    _ if start == Some(index) => {
                        found.push(&list[index..index + word(&list[index..])]);
                        start = None;
                    }
                    _ => {}
                }
            }
        } else {
            found.push(&rest[..word(rest)]);
        }
    }
    found
}

/// Every use of a room that does not stand above the user's own, as `file uses room`.
fn wrong_ways(lib: &str, files: &[(String, String)]) -> Vec<String> {
    let storeys = storeys(lib);
    let mut wrong = Vec::new();
    for (file, text) in files {
        let room = file.split('/').next().unwrap_or(file).trim_end_matches(".rs");
        let Some(own) = storeys.get(room) else { continue };
        let used = named(text).into_iter().filter(|used| *used != room);
        let below = used.filter(|used| storeys.get(*used).is_some_and(|storey| storey >= own));
        // the first storey is what everything stands on, its rooms beside each other
        let first = storeys.values().min();
        let apart = below.filter(|used| Some(own) != first || storeys.get(*used) != first);
        wrong.extend(apart.map(|used| format!("{file} uses {used}")));
    }
    wrong.sort();
    wrong.dedup();
    wrong
}

#[test]
fn no_room_uses_one_below_it() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/core/src");
    let mut paths = Vec::new();
    sources(&source, &mut paths);
    let name = |path: &Path| path.strip_prefix(&source).expect("below").to_string_lossy().replace('\\', "/");
    let files: Vec<(String, String)> =
        paths.iter().map(|path| (name(path), fs::read_to_string(path).expect("text"))).collect();
    let lib = fs::read_to_string(source.join("lib.rs")).expect("text");
    assert!(storeys(&lib).len() > 20, "the rooms were not found in lib.rs");
    assert!(files.len() > 200, "the files were not found");
    assert_eq!(wrong_ways(&lib, &files), Vec::<String>::new());
}

#[test]
fn a_use_the_wrong_way_is_found_however_it_is_written() {
    let lib = "//! Rooms.\n\n// low\npub mod base;\n\n// middle\nmod left;\npub mod right;\n\npub mod top;\n";
    let wrong = |file: &str, text: &str| wrong_ways(lib, &[(file.to_owned(), text.to_owned())]);
    assert!(wrong("top/a.rs", "use crate::{base::X, left::{Y, base}};\n").is_empty());
    assert!(wrong("left.rs", "use crate::base::X; use crate::left::Y;").is_empty());
    for (file, text, used) in [
        ("left/a.rs", "use crate::right::X;", "right"),
        ("left/a.rs", "fn f() { crate::top::g() }", "top"),
        ("base/b/c.rs", "use crate::{\n    base::{X, Z},\n    top::Y,\n};", "top"),
        ("right.rs", "/// See [`crate::top::g`].", "top"),
    ] {
        assert_eq!(wrong(file, text), [format!("{file} uses {used}")]);
    }
}
