//! What a program relies on without saying it.

use super::Look;
use crate::finding::{Code, Finding, Severity};
use crate::units::Units;

/// Everything that may be in force at the start, with what to write and how much it weighs.
fn relied_on(look: &Look<'_>) -> [(Severity, &'static str, &'static str, Option<u32>); 6] {
    let start = &look.program.start;
    [
        (Severity::Look, "the unit", unit_word(look.settings.units), start.units),
        (Severity::Look, "the plane", "G17", start.plane),
        (Severity::Look, "absolute or incremental", "G90", start.distance),
        (Severity::Note, "the work offset", "G54", start.system),
        (Severity::Note, "the way feed is given", "G94", start.feed_mode),
        (Severity::Note, "the height that a cycle goes back to", "G98", start.retract),
    ]
}

pub(super) fn findings(look: &Look<'_>) -> Vec<Finding> {
    [Severity::Look, Severity::Note].into_iter().filter_map(|severity| finding(look, severity)).collect()
}

fn finding(look: &Look<'_>, severity: Severity) -> Option<Finding> {
    let modes = relied_on(look);
    let unsaid = modes.iter().filter(|(weight, ..)| *weight == severity);
    let unsaid: Vec<_> =
        unsaid.filter_map(|(_, what, word, line)| line.map(|line| (*what, *word, line))).collect();
    let line = unsaid.iter().map(|(_, _, line)| *line).min()?;
    let whats: Vec<String> = unsaid.iter().map(|(what, _, line)| format!("{what} (line {line})")).collect();
    let words: Vec<&str> = unsaid.iter().map(|(_, word, _)| *word).collect();
    let message = format!(
        "The program does not say {}: it runs with what the control has in force from before. Normally the \
         first line has {}.",
        whats.join(", "),
        words.join(" "),
    );
    Some(Finding::new(Code::StartState, severity, message).on_line(line))
}

const fn unit_word(units: Units) -> &'static str {
    match units {
        Units::Inch => "G20",
        Units::Mm => "G21",
    }
}
