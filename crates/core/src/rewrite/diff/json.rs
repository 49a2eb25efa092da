//! A difference as JSON, schema `blockwright-diff/1`.

use serde_json::{Map, Value, json};

use super::{Change, Difference, Lines, Stretch, Summary, Verdict};
use crate::program::Kind;
use crate::units::json_text;

/// The difference as JSON text. Lengths in `units`; keys that do not apply are absent. `a` and `b` are what the
/// programs are called.
pub fn json(difference: &Difference, a: &str, b: &str) -> String {
    let mut root = Map::new();
    let mut put = |key: &str, value: Value| root.insert(key.to_owned(), value);
    put("schema", json!("blockwright-diff/1"));
    put("units", json!(difference.units.name()));
    let (verdict, by) = match difference.verdict {
        Verdict::Same { .. } => ("same", None),
        Verdict::Lifted { by } => ("lifted", Some(by)),
        Verdict::Differs => ("differs", None),
        Verdict::Unproven => ("unproven", None),
    };
    put("verdict", json!(verdict));
    if let Some(by) = by {
        put("lifted_by", json!(by));
    }
    put("text_equal", json!(difference.verdict == Verdict::Same { text_equal: true }));
    put("sentence", json!(difference.sentence()));
    put("a", program(a, &difference.a));
    put("b", program(b, &difference.b));
    put("stretches", difference.stretches.iter().map(|stretch| one(stretch, difference)).collect());
    if difference.untold > 0 {
        put("untold", json!(difference.untold));
    }
    if let Some(besides) = &difference.besides {
        put("besides", json!(besides));
    }
    put("only_text", json!(difference.only_text));
    json_text(Value::Object(root))
}

fn program(name: &str, summary: &Summary) -> Value {
    let mut map = Map::new();
    map.insert("program".into(), json!(name));
    if let Some(number) = summary.number {
        map.insert("number".into(), json!(number));
    }
    map.insert("lines".into(), json!(summary.lines));
    map.insert("motions".into(), json!(summary.motions));
    if let Some(lowest) = summary.lowest {
        map.insert("lowest".into(), json!(lowest));
    }
    if let Some((line, column)) = summary.unproven_from {
        map.insert("unproven_from".into(), json!({ "line": line, "column": column }));
    }
    Value::Object(map)
}

fn one(stretch: &Stretch, difference: &Difference) -> Value {
    let mut map = Map::new();
    let lines = |lines: Lines| json!([lines.from, lines.to]);
    if let Some(a) = stretch.a {
        map.insert("a".into(), lines(a));
    }
    if let Some(b) = stretch.b {
        map.insert("b".into(), lines(b));
    }
    map.insert("motions".into(), json!(stretch.motions));
    map.insert("at".into(), json!([stretch.at.x, stretch.at.y, stretch.at.z]));
    map.insert("changes".into(), stretch.changes.iter().map(change).collect());
    map.insert("message".into(), json!(stretch.words(difference.units)));
    Value::Object(map)
}

fn change(change: &Change) -> Value {
    let kind = |kind: Kind| if kind == Kind::Rapid { "rapid" } else { "feed" };
    match *change {
        Change::Depth { least, most } => json!({ "what": "depth", "least": least, "most": most }),
        Change::Position { most, at } => {
            json!({ "what": "position", "most": most, "at": [at.x, at.y, at.z] })
        }
        Change::Form => json!({ "what": "form" }),
        Change::Feed { from, to } => json!({ "what": "feed", "from": from, "to": to }),
        Change::Spindle { from, to } => json!({ "what": "spindle", "from": from, "to": to }),
        Change::Tool { from, to } => json!({ "what": "tool", "from": from, "to": to }),
        Change::Kind { from, to } => json!({ "what": "kind", "from": kind(from), "to": kind(to) }),
        Change::Dwell { from, to } => json!({ "what": "dwell", "from": from, "to": to }),
        Change::Missing => json!({ "what": "missing" }),
        Change::Added => json!({ "what": "added" }),
        Change::Path { from, to } => json!({ "what": "path", "from": from, "to": to }),
        Change::Order => json!({ "what": "order" }),
    }
}
