//! Keys and words in messages: those that are known, and the one that was perhaps meant.

use strsim::osa_distance;

/// `"a", "b" or "c"`.
pub(super) fn any_of(names: &[&str], joint: &str) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} {joint} {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// ` (did you mean "…"?)` when one of the known words is close to this one.
pub(super) fn nearest(word: &str, known: &[&str]) -> String {
    // A long word is not a slip of the finger, and measuring it would take time.
    if word.chars().count() > 40 {
        return String::new();
    }
    let lower = word.to_lowercase();
    let best = known.iter().map(|name| (osa_distance(&lower, name), name)).min_by_key(|&(edits, _)| edits);
    match best {
        Some((edits, name)) if edits <= (name.len() / 3).clamp(1, 3) => {
            format!(" (did you mean \"{name}\"?)")
        }
        _ => String::new(),
    }
}
