//! What differs between two jobs, in words: the one on the desk and the one that another program has written.

use serde_json::Value;

use super::{Job, write};

/// Differences that are told; the rest is counted.
const MOST: usize = 12;

/// Longest value that is told as it is written.
const LONGEST: usize = 24;

/// What differs, each in a line: the place, what is here, what is there.
pub fn differences(here: &Job, there: &Job) -> Vec<String> {
    let value = |job: &Job| serde_json::from_str::<Value>(&write(job)).unwrap_or_default();
    let mut found = Vec::new();
    walk("", Some(&value(here)), Some(&value(there)), &mut found);
    let more = found.len().saturating_sub(MOST);
    found.truncate(MOST);
    if more > 0 {
        found.push(format!("and {more} more"));
    }
    found
}

fn walk(place: &str, here: Option<&Value>, there: Option<&Value>, found: &mut Vec<String>) {
    let below = |key: &str| {
        let key = key.replace('_', " ");
        if place.is_empty() { key } else { format!("{place}, {key}") }
    };
    match (here, there) {
        (Some(a), Some(b)) if a == b => {}
        (Some(Value::Object(a)), Some(Value::Object(b))) => {
            let only_there = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(only_there) {
                walk(&below(key), a.get(key), b.get(key), found);
            }
        }
        (Some(Value::Array(a)), Some(Value::Array(b))) if named(a) && named(b) => {
            let find = |all: &[Value], name: &str| {
                all.iter().find(|one| name_of(one).as_deref() == Some(name)).cloned()
            };
            let names: Vec<String> = a.iter().filter_map(name_of).collect();
            let others: Vec<String> = b.iter().filter_map(name_of).collect();
            for name in names.iter().chain(others.iter().filter(|name| !names.contains(name))) {
                walk(&below(name), find(a, name).as_ref(), find(b, name).as_ref(), found);
            }
            let (mut sorted, mut other) = (names.clone(), others.clone());
            sorted.sort();
            other.sort();
            if sorted == other && names != others {
                found.push(format!("{place}: in another order"));
            }
        }
        (a, b) => found.push(format!("{place}: {} here, {} there", told(a), told(b))),
    }
}

/// Whether every element can be told by its name or number, no two alike.
fn named(all: &[Value]) -> bool {
    let mut names: Vec<String> = all.iter().filter_map(name_of).collect();
    names.sort();
    names.dedup();
    !all.is_empty() && names.len() == all.len()
}

fn name_of(one: &Value) -> Option<String> {
    let number = || one.get("number").map(|number| format!("number {number}"));
    let name = || one.get("name").and_then(Value::as_str).map(|name| format!("\"{name}\""));
    number().or_else(name)
}

fn told(value: Option<&Value>) -> String {
    match value {
        None => "nothing".to_owned(),
        Some(value @ (Value::Object(_) | Value::Array(_))) => {
            let text = value.to_string();
            if text.len() <= LONGEST { text } else { "another".to_owned() }
        }
        Some(value) => value.to_string().chars().take(LONGEST * 3).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    #[test]
    fn what_differs_is_told_by_its_place() {
        let job = crate::job::read(demo::file(demo::JOB).expect("the demo")).expect("a job");
        assert_eq!(differences(&job, &job), [""; 0]);
        let mut other = job.clone();
        other.name = Some("Another".to_owned());
        other.bed_top = None;
        other.passes[1].allowance = Some(0.123);
        let told = differences(&job, &other);
        assert_eq!(told.len(), 3, "{told:?}");
        assert!(told[0].starts_with("name: ") && told[0].ends_with("here, \"Another\" there"), "{told:?}");
        assert!(
            told.iter().any(|line| line.starts_with("bed") && line.ends_with("nothing there")),
            "{told:?}"
        );
        let pass = format!("passes, \"{}\", allowance: ", job.passes[1].name);
        assert!(told.iter().any(|line| line.starts_with(&pass)), "{told:?}");
        let mut turned = job.clone();
        turned.passes.swap(0, 1);
        assert_eq!(differences(&job, &turned), ["passes: in another order"]);
        let mut shorter = job.clone();
        let gone = shorter.passes.remove(0);
        let told = differences(&shorter, &job);
        assert_eq!(told, [format!("passes, \"{}\": nothing here, another there", gone.name)]);
    }
}
