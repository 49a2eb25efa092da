//! Lists and objects of a text, their members as they stand there.

use std::fmt;

use serde::de::{IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;

/// Reads a list, keeping at most so many members.
pub(super) struct Items(pub(super) usize);

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
pub(super) struct Pairs(pub(super) usize);

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
