//! Which cutter the words of a comment name.

use super::phrase::Item;

/// A kind of cutter, before its sizes are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cutter {
    Flat,
    Ball,
    Bull,
    Undercut,
    EdgeRound,
    Chamfer,
    Drill,
    /// One that no form of a job describes by its sizes.
    Other(&'static str),
}

/// Words in a row, and what they name. The first that a comment has counts, so what says more stands first.
const NAMES: [(&[&str], Cutter); 52] = [
    (&["DOVETAIL"], Cutter::Undercut),
    (&["UNDERCUT"], Cutter::Undercut),
    (&["UNDERCUTTER"], Cutter::Undercut),
    (&["UNDER", "CUT"], Cutter::Undercut),
    (&["UNDER", "CUTTER"], Cutter::Undercut),
    (&["CORNER", "ROUND"], Cutter::EdgeRound),
    (&["CORNER", "ROUNDER"], Cutter::EdgeRound),
    (&["CORNER", "ROUNDING"], Cutter::EdgeRound),
    (&["EDGE", "ROUND"], Cutter::EdgeRound),
    (&["EDGE", "ROUNDER"], Cutter::EdgeRound),
    (&["EDGE", "ROUNDING"], Cutter::EdgeRound),
    (&["ROUND", "OVER"], Cutter::EdgeRound),
    (&["ROUNDOVER"], Cutter::EdgeRound),
    (&["RADIUS", "CUTTER"], Cutter::EdgeRound),
    (&["CHAMFER"], Cutter::Chamfer),
    (&["CHAMFERING"], Cutter::Chamfer),
    (&["CHAMF"], Cutter::Chamfer),
    (&["CHFR"], Cutter::Chamfer),
    (&["CHAM"], Cutter::Chamfer),
    (&["COUNTERSINK"], Cutter::Chamfer),
    (&["CSINK"], Cutter::Chamfer),
    (&["CSK"], Cutter::Chamfer),
    (&["THREAD", "MILL"], Cutter::Other("a thread mill")),
    (&["TAP"], Cutter::Other("a tap")),
    (&["REAMER"], Cutter::Other("a reamer")),
    (&["REAM"], Cutter::Other("a reamer")),
    (&["BORING"], Cutter::Other("a boring tool")),
    (&["KEYSEAT"], Cutter::Other("a keyseat cutter")),
    (&["WOODRUFF"], Cutter::Other("a keyseat cutter")),
    (&["T", "SLOT"], Cutter::Other("a T-slot cutter")),
    (&["TSLOT"], Cutter::Other("a T-slot cutter")),
    (&["SLITTING"], Cutter::Other("a slitting saw")),
    (&["SAW"], Cutter::Other("a saw")),
    (&["TAPERED"], Cutter::Other("a tapered cutter")),
    (&["TAPER"], Cutter::Other("a tapered cutter")),
    (&["SLOT", "DRILL"], Cutter::Flat),
    (&["BALL"], Cutter::Ball),
    (&["BALLNOSE"], Cutter::Ball),
    (&["BALLMILL"], Cutter::Ball),
    (&["BULL"], Cutter::Bull),
    (&["BULLNOSE"], Cutter::Bull),
    (&["DRILL"], Cutter::Drill),
    (&["END", "MILL"], Cutter::Flat),
    (&["ENDMILL"], Cutter::Flat),
    (&["EM"], Cutter::Flat),
    (&["FACE", "MILL"], Cutter::Flat),
    (&["FACEMILL"], Cutter::Flat),
    (&["SHELL", "MILL"], Cutter::Flat),
    (&["FLY", "CUTTER"], Cutter::Flat),
    (&["ROUGHER"], Cutter::Flat),
    (&["FLAT"], Cutter::Flat),
    (&["MILL"], Cutter::Flat),
];

/// Words that speak of a cutter without saying which.
const CUTTERS: [&str; 3] = ["CUTTER", "TOOL", "CARBIDE"];

/// The cutter that the words name.
pub(super) fn named(items: &[Item]) -> Option<Cutter> {
    NAMES.iter().find(|(words, _)| place(items, words).is_some()).map(|(_, cutter)| *cutter)
}

/// Whether the words speak of a cutter at all.
pub(super) fn is_spoken_of(items: &[Item]) -> bool {
    named(items).is_some()
        || items.iter().filter_map(Item::word).any(|word| CUTTERS.contains(&word) || word == "DIA")
}

/// Whether the word at this place belongs to a cutter, as FINISH does in `FINISH END MILL`.
pub(super) fn goes_before_one(items: &[Item], at: usize) -> bool {
    let rest = items.get(at + 1..).unwrap_or_default();
    let first = rest.iter().position(|item| !item.is_mark("-."));
    let begins = |words: &[&str]| first.is_some() && place(rest, words) == first;
    NAMES
        .iter()
        .any(|(words, cutter)| matches!(cutter, Cutter::Flat | Cutter::Ball | Cutter::Bull) && begins(words))
        || begins(&["CUTTER"])
        || begins(&["TOOL"])
}

/// Whether the item at this place stands right beside the name of a cutter.
pub(super) fn is_beside_one(items: &[Item], at: usize) -> bool {
    let is_name = |item: &Item| {
        let part =
            |word: &str| NAMES.iter().any(|(words, _)| words.contains(&word)) || CUTTERS.contains(&word);
        item.word().is_some_and(part)
    };
    let joins = |item: &&Item| item.is_mark("-");
    let before = items[..at].iter().rev().find(|item| !joins(item));
    let behind = items.get(at + 1..).unwrap_or_default().iter().find(|item| !joins(item));
    before.is_some_and(is_name) || behind.is_some_and(is_name)
}

/// Where these words stand in a row; a dash may join them.
fn place(items: &[Item], words: &[&str]) -> Option<usize> {
    let words_at: Vec<(usize, &str)> = items
        .iter()
        .enumerate()
        .filter(|(_, item)| !item.is_mark("-."))
        .map(|(at, item)| (at, item.word().unwrap_or_default()))
        .collect();
    let found =
        words_at.windows(words.len()).find(|row| row.iter().map(|(_, word)| *word).eq(words.iter().copied()));
    found.and_then(|row| row.first()).map(|(at, _)| *at)
}
