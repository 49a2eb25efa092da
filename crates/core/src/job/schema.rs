//! The JSON Schema of the job file, written from the tables that the reader goes by.

use serde_json::Value;

use super::control::extended_pattern;
use super::json::LARGEST;
use super::keys::{self, Holds, Key};
use super::write::{Record, laid_out, number};
use crate::control::SYSTEMS;

/// The schema of the job file (JSON Schema, draft 2020-12) as text.
///
/// It says what keys there are, which must be there, and what each holds. What two keys say to each other, such as a
/// pass and its tool's number, the reader alone knows.
pub fn schema() -> String {
    let head = Record::default()
        .with("$schema", "https://json-schema.org/draft/2020-12/schema")
        .with("title", "Blockwright job")
        .with("description", "What is cut out of a block, with what, from where, pass by pass.");
    laid_out(&object(head, keys::JOB, None).into())
}

/// An object with these keys, and the one that says its kind.
fn object(record: Record, keys: &[Key], kind: Option<(&str, &str)>) -> Record {
    let mut properties = Record::default();
    let mut needed = Vec::new();
    if let Some((tag, word)) = kind {
        properties = properties.with(tag, Record::default().with("const", word));
        needed.push(tag);
    }
    for key in keys {
        let described = Record::default().with("description", key.says);
        properties = properties.with(key.name, holds(described, key.holds));
        if key.needed {
            needed.push(key.name);
        }
    }
    record
        .with("type", "object")
        .with("properties", properties)
        .maybe("required", (!needed.is_empty()).then_some(needed))
        .with("additionalProperties", false)
}

/// What a value is.
fn holds(record: Record, what: Holds) -> Record {
    match what {
        Holds::Number => in_reach(record),
        Holds::AboveZero => {
            record.with("type", "number").with("exclusiveMinimum", 0).with("maximum", number(LARGEST))
        }
        Holds::NotNegative => {
            record.with("type", "number").with("minimum", 0).with("maximum", number(LARGEST))
        }
        Holds::Whole(least) => {
            record.with("type", "integer").with("minimum", least).with("maximum", u32::MAX)
        }
        Holds::Text => record.with("type", "string"),
        Holds::Words => record.with("type", "string").with("pattern", r"\S"),
        Holds::Exactly(text) => record.with("const", text),
        Holds::Word(pattern) => record.with("type", "string").with("pattern", pattern),
        Holds::OneOf(words) => record.with("enum", words()),
        Holds::Row(all) => row(record, all),
        Holds::Vertex => row(record.with("description", "[x, y] or [x, y, bulge]"), &[Holds::Number; 3])
            .with("minItems", 2),
        Holds::List(one, most) => {
            record.with("type", "array").with("items", holds(Record::default(), *one)).with("maxItems", most)
        }
        Holds::Object(keys) => object(record, keys, None),
        Holds::Shapes(shapes) => {
            let shape = |keys: &&[Key]| -> Value { object(Record::default(), keys, None).into() };
            record.with("oneOf", shapes.iter().map(shape).collect::<Vec<_>>())
        }
        Holds::ByWord(tag, kinds) => {
            let kind = |(word, keys): &(&str, &[Key])| -> Value {
                object(Record::default(), keys, Some((tag, word))).into()
            };
            record.with("oneOf", kinds.iter().map(kind).collect::<Vec<_>>())
        }
        Holds::WorkOffsets => work_offsets(record),
    }
}

fn in_reach(record: Record) -> Record {
    record.with("type", "number").with("minimum", number(-LARGEST)).with("maximum", number(LARGEST))
}

/// So many values, each of its own kind, and no others.
fn row(record: Record, all: &[Holds]) -> Record {
    let values: Vec<Value> = all.iter().map(|one| holds(Record::default(), *one).into()).collect();
    record.with("type", "array").with("prefixItems", values).with("items", false).with("minItems", all.len())
}

fn work_offsets(record: Record) -> Record {
    let place = || row(Record::default(), &[Holds::Number; 3]);
    let standard = SYSTEMS.iter().fold(Record::default(), |all, word| all.with(word, place()));
    record
        .with("type", "object")
        .with("properties", standard)
        .with("patternProperties", Record::default().with(extended_pattern(), place()))
        .with("additionalProperties", false)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The published file is the one that the reader's tables make.
    #[test]
    fn the_published_schema_is_this_one() {
        let published = include_str!("../../../../assets/job.schema.json");
        assert_eq!(schema(), published, "write it anew with `blockwright schema`");
    }
}
