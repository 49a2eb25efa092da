//! The findings, with the numbers they have in the plan.

use super::say::Say;
use super::{Part, Section, Table, number, words};
use crate::finding::{Finding, Severity};
use crate::record::Record;

/// All findings; `None` without any.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    if record.proof.findings.is_empty() {
        return None;
    }
    let all = record.proof.findings.iter().enumerate();
    let notes = record.proof.findings.iter().filter(|finding| finding.severity == Severity::Note).count();
    let (title, note) = match notes {
        0 => ("Findings", ""),
        _ if notes == record.proof.findings.len() => ("Notes", " A note is worth knowing and stops nothing."),
        _ => ("Findings and notes", " A note is worth knowing and stops nothing."),
    };
    let placed =
        record.proof.findings.iter().any(|finding| finding.at.is_some() || finding.station.is_some());
    let numbered = record.proof.findings.iter().any(|finding| sequence_number(record, finding).is_some());
    let place = if placed { "Those with a place have their number in the plan." } else { "" };
    let lines = if numbered {
        " Lines are counted from the top of the file; after it comes the N number that the control shows."
    } else {
        ""
    };
    let mut parts = vec![Part::Table(table(record, all))];
    let said = format!("{place}{lines}{note}");
    if !said.is_empty() {
        parts.insert(0, Part::Words(said.trim().to_owned()));
    }
    Some(Section::new(title, parts))
}

/// Those of one pass; `None` without any.
pub(super) fn of_pass(record: &Record<'_>, pass: usize) -> Option<Part> {
    let mut own = record.proof.findings.iter().enumerate().filter(|(_, finding)| finding.pass == Some(pass));
    let first = own.next()?;
    let numbers: Vec<String> = std::iter::once(first)
        .chain(own)
        .map(|(index, finding)| format!("{} {}", weight(finding.severity), index + 1))
        .collect();
    Some(Part::Words(format!("Of this pass, under Findings: {}.", numbers.join(", "))))
}

const fn weight(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "STOP",
        Severity::Look => "Check",
        Severity::Note => "Note",
    }
}

fn table<'a>(record: &Record<'_>, findings: impl Iterator<Item = (usize, &'a Finding)>) -> Table {
    let say = Say::of(record);
    let mut table = Table::new(vec![
        number("", 0.5),
        words("", 0.9),
        number("Pass", 0.7),
        number("Line", 1.2),
        number("Station", 1.1),
        words("What", 9.6),
    ]);
    for (index, finding) in findings {
        table.rows.push(vec![
            (index + 1).to_string(),
            weight(finding.severity).to_owned(),
            finding.pass.map_or_else(String::new, |pass| (pass + 1).to_string()),
            line_of(record, finding),
            finding.station.map_or_else(String::new, |station| say.plain(station)),
            crate::names::shown(&finding.message).into_owned(),
        ]);
    }
    table
}

/// The line that a finding names, with its sequence number.
fn line_of(record: &Record<'_>, finding: &Finding) -> String {
    let Some(line) = finding.line else { return String::new() };
    sequence_number(record, finding).map_or_else(|| line.to_string(), |number| format!("{line} {number}"))
}

/// The number that a control shows of the line that a finding names.
fn sequence_number(record: &Record<'_>, finding: &Finding) -> Option<String> {
    let pass = record.proof.passes.get(finding.pass?)?;
    pass.text.sequence_number(finding.line? as usize)
}
