//! A value, what it rests on, and what says otherwise.

use crate::job::{Basis, Part, ToConfirm};

/// A value that something says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Claim<T> {
    pub(super) value: T,
    pub(super) from: Basis,
    pub(super) against: Vec<Basis>,
}

impl<T> Claim<T> {
    pub(super) const fn new(value: T, from: Basis) -> Self {
        Self { value, from, against: Vec::new() }
    }

    /// The entry that asks for it to be confirmed.
    pub(super) fn entry(&self, part: Part, note: Option<String>) -> ToConfirm {
        ToConfirm { part, from: self.from.clone(), against: self.against.clone(), note }
    }
}

/// Hears another saying: the first holds, one that says otherwise is kept as such.
pub(super) fn hear<T>(held: &mut Option<Claim<T>>, value: T, from: &Basis, alike: impl Fn(&T, &T) -> bool) {
    match held {
        None => *held = Some(Claim::new(value, from.clone())),
        Some(held) if alike(&held.value, &value) || held.from == *from || held.against.contains(from) => {}
        Some(held) => held.against.push(from.clone()),
    }
}
