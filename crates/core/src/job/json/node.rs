//! A value of a job file, read as what it should be.

use serde::de::Deserializer as _;
use serde_json::value::RawValue;

use super::error::MOST_SEARCHED;
use super::raw::{Items, Pairs};
use super::spelling::{any_of, nearest};
use super::text::{looks_like_program, not_json, plain, too_deep};
use super::{Fault, Fields, JobError};
use crate::job::keys::{self, Key};
use crate::limits::JOB_DEPTH;
use crate::names;
use crate::units::digits;

/// The largest number taken: in either unit far beyond any machine; keeps squares and products of lengths finite.
pub(in crate::job) const LARGEST: f64 = 1e9;
/// No object of a job has this many keys, so among so many one is unknown or given twice.
const MOST_KEYS: usize = 64;

/// A value, and where it stands.
#[derive(Debug, Clone, Copy)]
pub(in crate::job) struct Node<'a> {
    pub(super) raw: &'a str,
    pub(super) at: usize,
}

/// A key of an object with its value.
#[derive(Debug)]
pub(super) struct Entry<'a> {
    pub(super) key: String,
    pub(super) key_at: usize,
    pub(super) value: Node<'a>,
}

impl<'a> Node<'a> {
    /// The whole text as one value; `what` names the kind of file, as in "job". Afterwards the text is known to be
    /// JSON all through.
    pub(in crate::job) fn root(text: &'a str, what: &str) -> Result<Self, JobError> {
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

    pub(super) fn end(self) -> usize {
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
    pub(in crate::job) fn fault(self, message: impl Into<String>) -> Fault {
        Fault { at: self.at, below: None, message: message.into() }
    }

    /// An error about a key that this object lacks.
    pub(in crate::job) fn lacks(self, key: &'static str, message: impl Into<String>) -> Fault {
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
    pub(super) fn name(self) -> Option<String> {
        if !self.is(b'{') {
            return None;
        }
        let named = self.entries(MOST_SEARCHED).ok()?.into_iter().find(|entry| entry.key == "name")?;
        named.value.words().ok()
    }

    pub(super) fn entries(self, most: usize) -> Result<Vec<Entry<'a>>, Fault> {
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

    pub(super) fn members(self, most: usize) -> Result<Vec<Self>, Fault> {
        let read = serde_json::Deserializer::from_str(self.raw).deserialize_seq(Items(most));
        let items = read.map_err(|error| self.fault(plain(&error)))?;
        Ok(items.into_iter().map(|raw| self.child(raw)).collect())
    }

    /// This value as an object, its keys not yet looked at.
    pub(in crate::job) fn fields(self) -> Result<Fields<'a>, Fault> {
        if !self.is(b'{') {
            return Err(self.fault(format!("must be an object {{…}}, not {}", self.found())));
        }
        Ok(Fields { node: self, entries: self.entries(MOST_KEYS)? })
    }

    /// This value as an object with no other keys than these.
    pub(in crate::job) fn object(self, keys: &[Key]) -> Result<Fields<'a>, Fault> {
        let fields = self.fields()?;
        fields.only(&keys::names(keys))?;
        Ok(fields)
    }

    /// This value as a list of at most so many of what `what` names.
    pub(in crate::job) fn list(self, most: usize, what: &str) -> Result<Vec<Self>, Fault> {
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
    pub(in crate::job) fn short_list(self, lengths: &[usize], shape: &str) -> Result<Vec<Self>, Fault> {
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
    pub(in crate::job) fn number(self) -> Result<f64, Fault> {
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
    pub(in crate::job) fn above_zero(self) -> Result<f64, Fault> {
        let value = self.number()?;
        if value > 0.0 {
            Ok(value)
        } else {
            Err(self.fault(format!("must be above 0, not {}", digits(value))))
        }
    }

    /// A number not below 0.
    pub(in crate::job) fn not_negative(self) -> Result<f64, Fault> {
        let value = self.number()?;
        if value >= 0.0 {
            Ok(value)
        } else {
            Err(self.fault(format!("must not be below 0, not {}", digits(value))))
        }
    }

    /// A whole number, not below `least`.
    pub(in crate::job) fn whole(self, least: u32) -> Result<u32, Fault> {
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
    pub(in crate::job) fn numbers<const N: usize>(self, what: &str) -> Result<[f64; N], Fault> {
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
    pub(in crate::job) fn text(self) -> Result<String, Fault> {
        if !self.is(b'"') {
            return Err(self.fault(format!("must be text in quotes, not {}", self.found())));
        }
        // The scan over the whole file does not look into escapes, so they may still be wrong here.
        serde_json::from_str::<String>(self.raw)
            .map(|text| names::shown(&text).into_owned())
            .map_err(|error| self.fault(format!("this text cannot be read: {}", plain(&error))))
    }

    /// Text that is not blank.
    pub(in crate::job) fn words(self) -> Result<String, Fault> {
        let text = self.text()?;
        if text.trim().is_empty() { Err(self.fault("must not be empty")) } else { Ok(text) }
    }

    /// One of these words.
    pub(in crate::job) fn choice<T: Copy>(self, choices: &[(&str, T)]) -> Result<T, Fault> {
        let word = self.text()?;
        choices.iter().find(|(name, _)| *name == word).map(|&(_, value)| value).ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|&(name, _)| name).collect();
            let hint = nearest(&word, &names);
            self.fault(format!("must be {}, not {}{hint}", any_of(&names, "or"), self.found()))
        })
    }
}
