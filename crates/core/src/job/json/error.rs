//! Why a job file cannot be used, and the way to the place.

use std::fmt::{self, Write as _};

use super::Node;

/// How many members of a list are looked through for the place of an error.
pub(super) const MOST_SEARCHED: usize = 200_000;

/// Why a job file cannot be used, and where in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobError {
    /// Line of the file, from 1.
    pub line: usize,
    /// Column of that line, from 1, in characters.
    pub column: usize,
    /// Path of the key, such as `passes[2].tool`; empty where there is none.
    pub key: String,
    /// The same in words, such as `pass 3 "Finish profile", tool`; empty where there is none.
    pub place: String,
    /// What is wrong and what would be right, in plain words.
    pub message: String,
}

/// Characters of a place that are told; names and keys of ordinary jobs are a few dozen.
const LONGEST_PLACE: usize = 300;

impl fmt::Display for JobError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)?;
        if !self.place.is_empty() {
            // The end says which: what lies in front may be a key of any length.
            let skipped = self.place.chars().count().saturating_sub(LONGEST_PLACE);
            let dots = if skipped > 0 { "…" } else { "" };
            write!(f, ", {dots}{}", self.place.chars().skip(skipped).collect::<String>())?;
        }
        write!(f, ": {}", self.message)
    }
}

impl std::error::Error for JobError {}

impl JobError {
    /// An error at this byte of the text, without a key.
    pub(super) fn at_byte(text: &str, byte: usize, message: impl Into<String>) -> Self {
        let before = text.get(..byte).unwrap_or(text);
        let start = before.rfind('\n').map_or(0, |end| end + 1);
        Self {
            line: before.bytes().filter(|&b| b == b'\n').count() + 1,
            column: before[start..].chars().count() + 1,
            key: String::new(),
            place: String::new(),
            message: message.into(),
        }
    }
}

/// An error whose place is still a distance into the text.
#[derive(Debug)]
pub(in crate::job) struct Fault {
    pub(super) at: usize,
    /// A key that should stand in the object at `at`, but does not.
    pub(super) below: Option<&'static str>,
    pub(super) message: String,
}

impl Fault {
    /// The error with its line, column and key path.
    pub(in crate::job) fn placed(self, text: &str, root: Node<'_>) -> JobError {
        let mut error = JobError::at_byte(text, self.at, self.message);
        let mut way = key_path(root, self.at);
        if let Some(key) = self.below {
            way.push_key(key);
        }
        (error.key, error.place) = (way.key, way.words);
        error
    }
}

/// The way to a key, as the file has it and in words.
#[derive(Debug, Default)]
struct Way {
    key: String,
    words: String,
    /// The last key: what a member of its list is one of.
    last: String,
}

impl Way {
    fn push_key(&mut self, key: &str) {
        for (path, joint) in [(&mut self.key, "."), (&mut self.words, ", ")] {
            if !path.is_empty() {
                path.push_str(joint);
            }
            path.push_str(key);
        }
        key.clone_into(&mut self.last);
    }

    /// Goes on into a member of the list that was reached, counted in words from 1 and called by its name if it has one.
    fn push_index(&mut self, index: usize, item: Node<'_>) {
        let _ = write!(self.key, "[{index}]");
        let one = one_of(&self.last);
        self.words.truncate(self.words.len() - self.last.len());
        let _ = write!(self.words, "{one} {}", index + 1);
        if let Some(name) = item.name() {
            let _ = write!(self.words, " \"{name}\"");
        }
        // Of lists in a list only the place counts.
        self.last.clear();
    }
}

/// What one member of the list under a key is called.
fn one_of(key: &str) -> &str {
    match key {
        "passes" => "pass",
        "tools" => "tool",
        "materials" => "material",
        "keep_clear" => "clamp area",
        "walls" => "wall",
        "vertices" => "vertex",
        "points" => "point",
        "" => ", value",
        other => other,
    }
}

/// Walks down from the root to the key or value at this place.
fn key_path(root: Node<'_>, at: usize) -> Way {
    let mut path = Way::default();
    let mut node = root;
    while node.at != at {
        let next = match node.raw.as_bytes().first() {
            Some(b'{') => {
                // Looks past MOST_KEYS too: the place may be any of them.
                let Ok(entries) = node.entries(MOST_SEARCHED) else { return path };
                let Some(entry) = entries.into_iter().find(|entry| at < entry.value.end()) else {
                    return path;
                };
                path.push_key(&entry.key);
                entry.value
            }
            Some(b'[') => {
                let Ok(items) = node.members(MOST_SEARCHED) else { return path };
                let Some((index, item)) = items.into_iter().enumerate().find(|(_, item)| at < item.end())
                else {
                    return path;
                };
                path.push_index(index, item);
                item
            }
            _ => return path,
        };
        if at < next.at {
            return path;
        }
        node = next;
    }
    path
}
