//! An object of a job file and its keys.

use super::node::Entry;
use super::spelling::{any_of, nearest};
use super::{Fault, Node};
use crate::job::keys::{self, Key, Kinds};
use crate::names::begun;

/// An object with its keys in the order of the file.
#[derive(Debug)]
pub(in crate::job) struct Fields<'a> {
    /// The object itself.
    pub(in crate::job) node: Node<'a>,
    pub(super) entries: Vec<Entry<'a>>,
}

impl<'a> Fields<'a> {
    /// Refuses unknown keys and keys that are given twice.
    pub(in crate::job) fn only(&self, keys: &[&str]) -> Result<(), Fault> {
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
    pub(in crate::job) fn of_kind(&self, tag: &'static str, kinds: Kinds) -> Result<&'static str, Fault> {
        let choices: Vec<(&str, (&'static str, &[Key]))> =
            kinds.iter().map(|(word, keys)| (*word, (*word, *keys))).collect();
        let (word, keys) = self.need(tag)?.choice(&choices)?;
        let known: Vec<&str> = std::iter::once(tag).chain(keys::names(keys)).collect();
        self.only(&known)?;
        Ok(word)
    }

    /// Its keys, in their order.
    pub(in crate::job) fn keys(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.key.as_str())
    }

    /// The value of a key that may be missing.
    pub(in crate::job) fn get(&self, key: &str) -> Option<Node<'a>> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| entry.value)
    }

    /// The value of a key that must be there.
    pub(in crate::job) fn need(&self, key: &'static str) -> Result<Node<'a>, Fault> {
        self.get(key).ok_or_else(|| self.node.lacks(key, "this key is missing"))
    }

    /// The value of a key that may be missing, read by `how`.
    pub(in crate::job) fn maybe<T>(
        &self,
        key: &str,
        how: impl FnOnce(Node<'a>) -> Result<T, Fault>,
    ) -> Result<Option<T>, Fault> {
        self.get(key).map(how).transpose()
    }

    /// Those of these keys that are given, in the order of the file.
    pub(in crate::job) fn given<'k>(&self, keys: &[&'k str]) -> Vec<&'k str> {
        self.entries.iter().filter_map(|entry| keys.iter().copied().find(|key| *key == entry.key)).collect()
    }

    /// An error at a key.
    pub(in crate::job) fn key_fault(&self, key: &str, message: impl Into<String>) -> Fault {
        let entry = self.entries.iter().find(|entry| entry.key == key);
        Fault { at: entry.map_or(self.node.at, |entry| entry.key_at), below: None, message: message.into() }
    }
}
