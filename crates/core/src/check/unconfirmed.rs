//! Suggestions that nobody has confirmed.

use crate::finding::{Asks, Code, Finding, Severity};
use crate::job::{Job, Part, ToConfirm};

/// One finding for all that waits, each with what it rests on: it has to be looked at together.
pub(super) fn finding(job: &Job) -> Option<Finding> {
    let waiting: Vec<&ToConfirm> = job.unconfirmed().collect();
    if waiting.is_empty() {
        return None;
    }
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for entry in waiting {
        let of = match &entry.part {
            Part::Tool(number, _) => format!("tool {number}: "),
            Part::Pass(name, _) => format!("pass \"{name}\": "),
            Part::Job(_) => String::new(),
        };
        match groups.iter_mut().find(|(named, _)| *named == of) {
            Some((_, entries)) => entries.push(entry.to_string()),
            None => groups.push((of, vec![entry.to_string()])),
        }
    }
    let all: Vec<String> = groups.iter().map(|(of, entries)| format!("{of}{}", entries.join(", "))).collect();
    let message = format!(
        "Suggested and not confirmed yet: {}. Compare each with the drawing and the tools; then confirm it in the \
         window, or correct it in the job and take its entry out of \"to_confirm\".",
        all.join("; ")
    );
    Some(Finding::new(Code::Unconfirmed, Severity::Look, message).asking(Asks::Confirm))
}
