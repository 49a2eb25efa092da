//! A thin JSON reader that knows where in the text every value stands.
//!
//! Values borrow from the text (`RawValue`), so the place of a value is the distance of its first byte from
//! the first byte of the text. The key path is only worked out for the one place an error speaks of.

use std::fmt::{self, Write as _};

use serde::de::{Deserializer as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;

use super::keys::{self, Key, Kinds};
use crate::limits::{JOB_BYTES, JOB_DEPTH};
use crate::names;
use crate::units::digits;

/// The largest number taken: in either unit far beyond any machine; keeps squares and products of lengths finite.
pub(super) const LARGEST: f64 = 1e9;
/// No object of a job has this many keys, so among so many one is unknown or given twice.
const MOST_KEYS: usize = 64;
/// How many members of a list are looked through for the place of an error.
const MOST_SEARCHED: usize = 200_000;

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

/// A key in a message: one of any length may stand in a file.
fn begun(key: &str) -> String {
    const LONGEST_KEY: usize = 60;
    let more = if key.chars().nth(LONGEST_KEY).is_some() { "…" } else { "" };
    key.chars().take(LONGEST_KEY).collect::<String>() + more
}

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
    fn at_byte(text: &str, byte: usize, message: impl Into<String>) -> Self {
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
pub(super) struct Fault {
    at: usize,
    /// A key that should stand in the object at `at`, but does not.
    below: Option<&'static str>,
    message: String,
}

impl Fault {
    /// The error with its line, column and key path.
    pub(super) fn placed(self, text: &str, root: Node<'_>) -> JobError {
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

/// The file as text, without its byte order mark.
pub(super) fn decode(bytes: &[u8]) -> Result<&str, JobError> {
    let refused = |message: &str| JobError::at_byte("", 0, message);
    if bytes.len() > JOB_BYTES {
        return Err(refused("the file is larger than 16 MiB, the most that is read"));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(refused("the file is saved as UTF-16; save it as UTF-8"));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
        JobError::at_byte(good, good.len(), "the file is not UTF-8 text from here on; save it as UTF-8")
    })
}

/// A value, and where it stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node<'a> {
    raw: &'a str,
    at: usize,
}

/// A key of an object with its value.
#[derive(Debug)]
struct Entry<'a> {
    key: String,
    key_at: usize,
    value: Node<'a>,
}

impl<'a> Node<'a> {
    /// The whole text as one value; `what` names the kind of file, as in "job". Afterwards the text is known to be
    /// JSON all through.
    pub(super) fn root(text: &'a str, what: &str) -> Result<Self, JobError> {
        let body = text.trim_start();
        let start = text.len() - body.len();
        if body.is_empty() {
            return Err(JobError::at_byte(text, 0, "the file is empty"));
        }
        if !body.starts_with('{') {
            let message = if looks_like_program(body) {
                format!("this looks like a program, not a {what} file")
            } else {
                format!("a {what} file is JSON and begins with {{")
            };
            return Err(JobError::at_byte(text, start, message));
        }
        if let Some(at) = too_deep(text) {
            let message = format!("lists and objects are nested more than {JOB_DEPTH} deep here");
            return Err(JobError::at_byte(text, at, message));
        }
        let raw: &RawValue = serde_json::from_str(text).map_err(|error| not_json(text, &error))?;
        Ok(Self { raw: raw.get(), at: raw.get().as_ptr().addr() - text.as_ptr().addr() })
    }

    fn end(self) -> usize {
        self.at + self.raw.len()
    }

    /// Where a part of this value's own text stands.
    fn place_of(self, part: &str) -> usize {
        self.at + (part.as_ptr().addr() - self.raw.as_ptr().addr())
    }

    fn child(self, raw: &'a RawValue) -> Self {
        Self { raw: raw.get(), at: self.place_of(raw.get()) }
    }

    /// An error at this value.
    pub(super) fn fault(self, message: impl Into<String>) -> Fault {
        Fault { at: self.at, below: None, message: message.into() }
    }

    /// An error about a key that this object lacks.
    pub(super) fn lacks(self, key: &'static str, message: impl Into<String>) -> Fault {
        Fault { at: self.at, below: Some(key), message: message.into() }
    }

    fn is(self, opening: u8) -> bool {
        self.raw.as_bytes().first() == Some(&opening)
    }

    /// What stands here, for a message about what should.
    fn found(self) -> String {
        let short = |text: &str| -> String {
            if text.chars().count() <= 32 {
                return text.to_owned();
            }
            text.chars().take(30).chain("…".chars()).collect()
        };
        match self.raw.as_bytes().first() {
            Some(b'{') => "an object".to_owned(),
            Some(b'[') => "a list".to_owned(),
            Some(b'"') => format!("the text {}", short(self.raw)),
            Some(b'n') => "null (leave the key out instead)".to_owned(),
            _ => short(self.raw),
        }
    }

    /// The name of this value, if it is an object that has one.
    fn name(self) -> Option<String> {
        if !self.is(b'{') {
            return None;
        }
        let named = self.entries(MOST_SEARCHED).ok()?.into_iter().find(|entry| entry.key == "name")?;
        named.value.words().ok()
    }

    fn entries(self, most: usize) -> Result<Vec<Entry<'a>>, Fault> {
        let read = serde_json::Deserializer::from_str(self.raw).deserialize_map(Pairs(most));
        let pairs = read.map_err(|error| self.fault(plain(&error)))?;
        pairs
            .into_iter()
            .map(|(key, value)| {
                let key = self.child(key);
                Ok(Entry { key: key.text()?, key_at: key.at, value: self.child(value) })
            })
            .collect()
    }

    fn members(self, most: usize) -> Result<Vec<Self>, Fault> {
        let read = serde_json::Deserializer::from_str(self.raw).deserialize_seq(Items(most));
        let items = read.map_err(|error| self.fault(plain(&error)))?;
        Ok(items.into_iter().map(|raw| self.child(raw)).collect())
    }

    /// This value as an object, its keys not yet looked at.
    pub(super) fn fields(self) -> Result<Fields<'a>, Fault> {
        if !self.is(b'{') {
            return Err(self.fault(format!("must be an object {{…}}, not {}", self.found())));
        }
        Ok(Fields { node: self, entries: self.entries(MOST_KEYS)? })
    }

    /// This value as an object with no other keys than these.
    pub(super) fn object(self, keys: &[Key]) -> Result<Fields<'a>, Fault> {
        let fields = self.fields()?;
        fields.only(&keys::names(keys))?;
        Ok(fields)
    }

    /// This value as a list of at most so many of what `what` names.
    pub(super) fn list(self, most: usize, what: &str) -> Result<Vec<Self>, Fault> {
        if !self.is(b'[') {
            return Err(self.fault(format!("must be a list [...] of {what}, not {}", self.found())));
        }
        let items = self.members(most + 1)?;
        items.get(most).map_or(Ok(()), |extra| {
            Err(extra.fault(format!("more than {most} {what}, the most a job may have here")))
        })?;
        Ok(items)
    }

    /// The members of a short list that has one of these lengths; `shape` shows it in the message.
    pub(super) fn short_list(self, lengths: &[usize], shape: &str) -> Result<Vec<Self>, Fault> {
        if !self.is(b'[') {
            return Err(self.fault(format!("must be {shape}, not {}", self.found())));
        }
        let most = lengths.iter().copied().max().unwrap_or(0);
        let items = self.members(most + 1)?;
        if lengths.contains(&items.len()) {
            return Ok(items);
        }
        let found = if items.len() > most { "more".to_owned() } else { items.len().to_string() };
        Err(self.fault(format!("must be {shape}, not {found}")))
    }

    /// A number. Read by the standard library, which rounds correctly, so that what was written comes back.
    pub(super) fn number(self) -> Result<f64, Fault> {
        if !self.raw.starts_with(|c: char| c == '-' || c.is_ascii_digit()) {
            return Err(self.fault(format!("must be a number, not {}", self.found())));
        }
        match self.raw.parse::<f64>() {
            Ok(value) if !value.is_finite() => {
                Err(self.fault(format!("{} is not a finite number", self.found())))
            }
            Ok(value) if value.abs() > LARGEST => {
                Err(self.fault(format!("{} is too large to be meant: the limit is 1e9", self.found())))
            }
            Ok(value) => Ok(value),
            Err(_) => Err(self.fault(format!("must be a number, not {}", self.found()))),
        }
    }

    /// A number above 0.
    pub(super) fn above_zero(self) -> Result<f64, Fault> {
        let value = self.number()?;
        if value > 0.0 {
            Ok(value)
        } else {
            Err(self.fault(format!("must be above 0, not {}", digits(value))))
        }
    }

    /// A number not below 0.
    pub(super) fn not_negative(self) -> Result<f64, Fault> {
        let value = self.number()?;
        if value >= 0.0 {
            Ok(value)
        } else {
            Err(self.fault(format!("must not be below 0, not {}", digits(value))))
        }
    }

    /// A whole number, not below `least`.
    pub(super) fn whole(self, least: u32) -> Result<u32, Fault> {
        // Past the limit of ordinary numbers, since a u32 reaches further.
        let value = self.raw.parse::<f64>().ok().filter(|value| value.is_finite());
        match value {
            Some(value)
                if value.fract() == 0.0 && value >= f64::from(least) && value <= f64::from(u32::MAX) =>
            {
                Ok(value as u32)
            }
            _ => Err(self.fault(format!("must be a whole number, {least} or more, not {}", self.found()))),
        }
    }

    /// Exactly `N` numbers; `what` shows them in the message, as in `[x, y, z]`.
    pub(super) fn numbers<const N: usize>(self, what: &str) -> Result<[f64; N], Fault> {
        let items = self.short_list(&[N], &format!("{N} numbers {what}"))?;
        let mut values = [0.0; N];
        for (value, item) in values.iter_mut().zip(items) {
            *value = item.number()?;
        }
        Ok(values)
    }

    /// Text.
    ///
    /// Whoever made the file gave it, so what is not seen in it is replaced at once: no name that a job states does
    /// anything but be read.
    pub(super) fn text(self) -> Result<String, Fault> {
        if !self.is(b'"') {
            return Err(self.fault(format!("must be text in quotes, not {}", self.found())));
        }
        // The scan over the whole file does not look into escapes, so they may still be wrong here.
        serde_json::from_str::<String>(self.raw)
            .map(|text| names::shown(&text).into_owned())
            .map_err(|error| self.fault(format!("this text cannot be read: {}", plain(&error))))
    }

    /// Text that is not blank.
    pub(super) fn words(self) -> Result<String, Fault> {
        let text = self.text()?;
        if text.trim().is_empty() { Err(self.fault("must not be empty")) } else { Ok(text) }
    }

    /// One of these words.
    pub(super) fn choice<T: Copy>(self, choices: &[(&str, T)]) -> Result<T, Fault> {
        let word = self.text()?;
        choices.iter().find(|(name, _)| *name == word).map(|&(_, value)| value).ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|&(name, _)| name).collect();
            let hint = nearest(&word, &names);
            self.fault(format!("must be {}, not {}{hint}", any_of(&names, "or"), self.found()))
        })
    }
}

/// An object with its keys in the order of the file.
#[derive(Debug)]
pub(super) struct Fields<'a> {
    /// The object itself.
    pub(super) node: Node<'a>,
    entries: Vec<Entry<'a>>,
}

impl<'a> Fields<'a> {
    /// Refuses unknown keys and keys that are given twice.
    pub(super) fn only(&self, keys: &[&str]) -> Result<(), Fault> {
        for (index, entry) in self.entries.iter().enumerate() {
            let fault = |message| Fault { at: entry.key_at, below: None, message };
            let key = entry.key.as_str();
            if !keys.contains(&key) {
                let hint = nearest(key, keys);
                let known = any_of(keys, "and");
                let key = begun(key);
                return Err(fault(format!("unknown key \"{key}\"{hint}; the keys here are {known}")));
            }
            if self.entries[..index].iter().any(|earlier| earlier.key == key) {
                return Err(fault(format!("the key \"{key}\" is given twice")));
            }
        }
        Ok(())
    }

    /// The kind of this object by the word under `tag`, once it is known to have no keys but those of that kind.
    pub(super) fn of_kind(&self, tag: &'static str, kinds: Kinds) -> Result<&'static str, Fault> {
        let choices: Vec<(&str, (&'static str, &[Key]))> =
            kinds.iter().map(|(word, keys)| (*word, (*word, *keys))).collect();
        let (word, keys) = self.need(tag)?.choice(&choices)?;
        let known: Vec<&str> = std::iter::once(tag).chain(keys::names(keys)).collect();
        self.only(&known)?;
        Ok(word)
    }

    /// Its keys, in their order.
    pub(super) fn keys(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.key.as_str())
    }

    /// The value of a key that may be missing.
    pub(super) fn get(&self, key: &str) -> Option<Node<'a>> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| entry.value)
    }

    /// The value of a key that must be there.
    pub(super) fn need(&self, key: &'static str) -> Result<Node<'a>, Fault> {
        self.get(key).ok_or_else(|| self.node.lacks(key, "this key is missing"))
    }

    /// The value of a key that may be missing, read by `how`.
    pub(super) fn maybe<T>(
        &self,
        key: &str,
        how: impl FnOnce(Node<'a>) -> Result<T, Fault>,
    ) -> Result<Option<T>, Fault> {
        self.get(key).map(how).transpose()
    }

    /// Those of these keys that are given, in the order of the file.
    pub(super) fn given<'k>(&self, keys: &[&'k str]) -> Vec<&'k str> {
        self.entries.iter().filter_map(|entry| keys.iter().copied().find(|key| *key == entry.key)).collect()
    }

    /// An error at a key.
    pub(super) fn key_fault(&self, key: &str, message: impl Into<String>) -> Fault {
        let entry = self.entries.iter().find(|entry| entry.key == key);
        Fault { at: entry.map_or(self.node.at, |entry| entry.key_at), below: None, message: message.into() }
    }
}

/// `"a", "b" or "c"`.
fn any_of(names: &[&str], joint: &str) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} {joint} {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// ` (did you mean "…"?)` when one of the known words is close to this one.
fn nearest(word: &str, known: &[&str]) -> String {
    // A long word is not a slip of the finger, and measuring it would take time.
    if word.chars().count() > 40 {
        return String::new();
    }
    let lower = word.to_lowercase();
    let best = known.iter().map(|name| (edits(&lower, name), name)).min_by_key(|&(edits, _)| edits);
    match best {
        Some((edits, name)) if edits <= (name.len() / 3).clamp(1, 3) => {
            format!(" (did you mean \"{name}\"?)")
        }
        _ => String::new(),
    }
}

/// How many letters must be put in, taken out, changed or swapped with their neighbour to make one word the
/// other (optimal string alignment distance).
fn edits(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut table = vec![vec![0_usize; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            table[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let changed = table[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
                let least = changed.min(table[i - 1][j] + 1).min(table[i][j - 1] + 1);
                let swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
                if swapped { least.min(table[i - 2][j - 2] + 1) } else { least }
            };
        }
    }
    table[a.len()][b.len()]
}

/// Whether the text begins as programs do: a percent sign, a comment or a word of a letter and a number.
fn looks_like_program(body: &str) -> bool {
    let mut start = body.chars().map(|c| c.to_ascii_uppercase());
    match start.next() {
        Some('%' | '(' | ';' | '/' | ':') => true,
        Some(c) if c.is_ascii_uppercase() => {
            start.find(|c| *c != ' ').is_some_and(|c| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'))
        }
        _ => false,
    }
}

/// Where the text first nests too deep.
fn too_deep(text: &str) -> Option<usize> {
    let (mut depth, mut quoted, mut escaped) = (0_usize, false, false);
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if quoted => escaped = true,
            b'"' => quoted = !quoted,
            b'{' | b'[' if !quoted => {
                depth += 1;
                if depth > JOB_DEPTH {
                    return Some(at);
                }
            }
            b'}' | b']' if !quoted => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    None
}

/// The parser's message without its own place, which counts bytes.
fn plain(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or_default().to_owned()
}

fn not_json(text: &str, error: &serde_json::Error) -> JobError {
    if error.is_eof() {
        let message = format!("the file ends too early: {}", plain(error));
        return JobError::at_byte(text, text.trim_end().len(), message);
    }
    let start: usize = text.split_inclusive('\n').take(error.line().saturating_sub(1)).map(str::len).sum();
    let mut byte = (start + error.column().saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    JobError::at_byte(text, byte, format!("this is not JSON: {}", plain(error)))
}

/// Reads a list, keeping at most so many members.
struct Items(usize);

impl<'de> Visitor<'de> for Items {
    type Value = Vec<&'de RawValue>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let mut items = Vec::new();
        while items.len() < self.0 {
            match list.next_element()? {
                Some(item) => items.push(item),
                None => return Ok(items),
            }
        }
        while list.next_element::<IgnoredAny>()?.is_some() {}
        Ok(items)
    }
}

/// Reads an object, keeping at most so many keys, as they stand in the text.
struct Pairs(usize);

impl<'de> Visitor<'de> for Pairs {
    type Value = Vec<(&'de RawValue, &'de RawValue)>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut pairs = Vec::new();
        while pairs.len() < self.0 {
            match map.next_entry()? {
                Some(pair) => pairs.push(pair),
                None => return Ok(pairs),
            }
        }
        while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(pairs)
    }
}
