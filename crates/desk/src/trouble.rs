//! One message for a person: what went wrong, where, and what to do about it.

use std::fmt;
use std::path::Path;

use blockwright_core::names;

/// Something that could not be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// Where: a file, as far as known with line and column; empty when it has no place.
    pub place: String,
    /// What, in plain words.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
    /// Whether the tool itself is at fault, not what it was given.
    pub own_fault: bool,
}

impl Trouble {
    /// Trouble with a file.
    pub fn with_file(file: &Path, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::at(file.display().to_string(), what, remedy)
    }

    /// Trouble at a place in words. Names in it that do something instead of being seen do it no more, and numbers
    /// without end are cut short.
    pub fn at(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        let safe = |words: String| names::told(&words);
        let (place, what, remedy) = (safe(place.into()), safe(what.into()), safe(remedy.into()));
        Self { place, what, remedy, own_fault: false }
    }

    /// A fault of the tool's own.
    pub fn own(what: impl Into<String>) -> Self {
        Self {
            place: String::new(),
            what: what.into(),
            remedy:
                "this is a fault of Blockwright, not of the job; nothing was written. Please keep the job \
                     and its programs so that the fault can be found"
                    .to_owned(),
            own_fault: true,
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        f.write_str(&self.what)?;
        if self.remedy.is_empty() { Ok(()) } else { write!(f, "; {}", self.remedy) }
    }
}

impl std::error::Error for Trouble {}

/// The words of a caught panic.
pub fn panic_words(payload: &(dyn std::any::Any + Send)) -> String {
    payload
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no reason given".to_owned())
}
