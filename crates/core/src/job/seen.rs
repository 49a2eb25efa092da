//! Findings that a person has ticked as seen.

use serde_json::Value;

use super::json::{Fault, Node};
use super::keys;
use super::write::{Record, number};
use crate::limits::SEEN;

/// A finding that was seen: which, and how bad it was then.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Its code.
    pub code: String,
    /// Name of its pass.
    pub pass: Option<String>,
    /// Line of the pass's program, from 1.
    pub line: Option<u32>,
    /// Where, as a distance along the outline.
    pub station: Option<f64>,
    /// How bad it was.
    pub amount: Option<f64>,
}

/// What was seen.
pub(super) fn read(node: Node<'_>) -> Result<Vec<Seen>, Fault> {
    node.list(SEEN, "findings that were seen")?.into_iter().map(one).collect()
}

fn one(node: Node<'_>) -> Result<Seen, Fault> {
    let fields = node.object(keys::SEEN)?;
    Ok(Seen {
        code: fields.need("code")?.words()?,
        pass: fields.maybe("pass", Node::words)?,
        line: fields.maybe("line", |node| node.whole(1))?,
        station: fields.maybe("station", Node::not_negative)?,
        amount: fields.maybe("amount", Node::number)?,
    })
}

/// The list, when there is anything in it.
pub(super) fn write(all: &[Seen]) -> Option<Value> {
    let one = |seen: &Seen| -> Value {
        Record::default()
            .with("code", seen.code.as_str())
            .maybe("pass", seen.pass.as_deref())
            .maybe("line", seen.line.map(|line| number(f64::from(line))))
            .maybe_number("station", seen.station)
            .maybe_number("amount", seen.amount)
            .into()
    };
    (!all.is_empty()).then(|| all.iter().map(one).collect())
}
