//! The rooms of the core use each other one way only, and the rooms of the window know only their own state.
//!
//! The order of the core is stated once, by the groups of `lib.rs`: a file may use rooms of the groups above its own.
//! The window's rooms are the fields of `App`; whose state may be read by all is said by `World`.

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

/// All Rust files of a folder, by their names below it.
fn texts_of(source: &Path) -> Vec<(String, String)> {
    let mut paths = Vec::new();
    sources(source, &mut paths);
    let name = |path: &Path| path.strip_prefix(source).expect("below").to_string_lossy().replace('\\', "/");
    paths.iter().map(|path| (name(path), fs::read_to_string(path).expect("text"))).collect()
}

fn is_of_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Where a text has this as a whole word.
fn words<'a>(text: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    text.match_indices(word).map(|(at, _)| at).filter(move |at| {
        !text[..*at].ends_with(is_of_word) && !text[at + word.len()..].starts_with(is_of_word)
    })
}

/// Without its comments.
fn code(text: &str) -> String {
    text.lines().map(|line| line.split("//").next().unwrap_or(line)).collect::<Vec<_>>().join("\n")
}

/// The rooms of the window: the state of each, and the room it is of. They are the fields of the whole state whose types
/// come from beside the top.
fn rooms(top: &str) -> BTreeMap<String, String> {
    let whole = top.split_once("pub struct App {").expect("the whole state").1;
    let fields = whole.split_once("\n}").expect("its end").0;
    let types: Vec<&str> =
        fields.lines().filter_map(|line| line.trim().split_once(": ")).map(|f| f.1).collect();
    let mut rooms = BTreeMap::new();
    for import in top.split(';').filter_map(|import| import.trim().strip_prefix("use super::")) {
        let Some((room, names)) = import.split_once("::") else { continue };
        let own = types.iter().map(|kind| kind.trim_end_matches(','));
        rooms.extend(
            own.filter(|kind| words(names, kind).next().is_some())
                .map(|kind| (kind.to_owned(), room.to_owned())),
        );
    }
    rooms
}

/// States that every room may read: those that `World` lends out.
fn lent(room: &str) -> Vec<String> {
    let world = room.split_once("struct World<'a> {").expect("what all may read").1;
    let fields = world.split_once("\n}").expect("its end").0;
    let lent = fields.lines().filter_map(|line| line.trim().split_once(": &'a ")).map(|field| field.1);
    lent.map(|kind| kind.trim_end_matches(',').to_owned()).collect()
}

/// Whether a text names this of another room, in a path or in a braced list behind the room's name.
fn names(text: &str, room: &str, state: &str) -> bool {
    words(text, room).filter_map(|at| text[at + room.len()..].strip_prefix("::")).any(|rest| {
        let list = rest.strip_prefix('{').and_then(|rest| rest.split_once('}'));
        list.map_or_else(
            || words(rest, state).next() == Some(0),
            |(list, _)| words(list, state).any(|at| !list[..at].ends_with("::")),
        )
    })
}

/// Every file of the window that knows more than its own room, as `file: what`.
fn knowing(files: &[(String, String)]) -> Vec<String> {
    let text = |wanted: &str| {
        let file = files.iter().find(|(file, _)| file == wanted);
        code(&file.expect("the top, and what all may read").1)
    };
    let (rooms, lent) = (rooms(&text("top/mod.rs")), lent(&text("room.rs")));
    let mut wrong = Vec::new();
    for (file, text) in files {
        let (own, text) = (file.split('/').next().unwrap_or(file).trim_end_matches(".rs"), code(text));
        if own == "top" || file == "mod.rs" {
            continue;
        }
        if words(&text, "App").next().is_some() {
            wrong.push(format!("{file}: the whole App"));
        }
        for (state, room) in rooms.iter().filter(|(_, room)| *room != own) {
            let changed = words(&text, state).any(|at| text[..at].ends_with("&mut "));
            if changed || (!lent.contains(state) && names(&text, room, state)) {
                wrong.push(format!("{file}: {state} of {room}"));
            }
        }
    }
    wrong
}

#[test]
fn no_room_of_the_window_knows_the_whole_of_it_or_the_state_of_another() {
    let files = texts_of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/desk/src/app"));
    let text = |wanted: &str| files.iter().find(|(file, _)| file == wanted).expect("a file").1.as_str();
    assert!(files.len() > 100, "the files were not found");
    assert!(
        rooms(text("top/mod.rs")).len() >= 12,
        "the rooms were not found: {:?}",
        rooms(text("top/mod.rs"))
    );
    assert_eq!(lent(text("room.rs")), ["Desk", "Look", "Context"]);
    assert_eq!(knowing(&files), Vec::<String>::new());
}

#[test]
fn no_file_of_the_window_is_longer_than_400_lines() {
    let files = texts_of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/desk/src/app"));
    let long = files.iter().filter(|(_, text)| text.lines().count() > 400).map(|(file, _)| file);
    assert_eq!(long.collect::<Vec<_>>(), Vec::<&String>::new());
}

#[test]
fn a_room_that_knows_too_much_is_found_however_it_is_written() {
    let top = "use super::desk::Desk;\nuse super::draw::{self, Draw};\npub struct App {\n    desk: Desk,\n    draw: Draw,\n    \
               title: String,\n}\n";
    let room = "struct World<'a> {\n    desk: &'a Desk,\n    at: f64,\n}\n";
    let knows = |file: &str, text: &str| {
        let whole = [("top/mod.rs", top), ("room.rs", room), (file, text)];
        knowing(&whole.map(|(file, text)| (file.to_owned(), text.to_owned())))
    };
    for (file, text) in [
        (
            "fit.rs",
            "use super::desk::Desk;\nuse super::draw::Ask;\nfn f(desk: &Desk, ask: Ask) { Action::Draw(ask) }",
        ),
        ("draw/a.rs", "use super::Draw;\nfn f(draw: &mut Draw) {}"),
        ("top/act.rs", "fn f(app: &mut App) { app.desk }"),
        ("fit.rs", "// What the App does, and &mut Desk.\n"),
    ] {
        assert_eq!(knows(file, text), Vec::<String>::new(), "{text}");
    }
    for (file, text, what) in [
        ("fit.rs", "fn f(app: &mut App) {}", "the whole App"),
        ("fit/a.rs", "use crate::app::{draw::Draw, desk};", "Draw of draw"),
        ("fit.rs", "use super::draw::{Ask, Draw};", "Draw of draw"),
        ("fit.rs", "fn f(draw: &super::draw::Draw) {}", "Draw of draw"),
        ("fit.rs", "use super::desk::Desk;\nfn f(desk: &mut Desk) {}", "Desk of desk"),
    ] {
        assert_eq!(knows(file, text), [format!("{file}: {what}")], "{text}");
    }
}

#[test]
fn no_room_uses_one_below_it() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/core/src");
    let files = texts_of(&source);
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
