//! The proof as text for people.

use std::fmt::Write as _;

use super::{PassProof, Proof, Verdict};
use crate::finding::{Finding, Severity};
use crate::job::Pass;
use crate::measure::Contact;
use crate::units::clock;

/// The exit status of a command that proved a job: 0 with nothing to look at, 1 with findings. Notes alone are
/// nothing to look at.
pub fn status(proof: &Proof) -> u8 {
    u8::from(proof.verdict != Verdict::Clear)
}

/// The verdict in plain words.
pub fn verdict_words(proof: &Proof) -> String {
    let count = |severity: Severity| proof.findings.iter().filter(|f| f.severity == severity).count();
    let places = |count: usize| if count == 1 { "1 place".to_owned() } else { format!("{count} places") };
    let all = count(Severity::Look) + count(Severity::Stop);
    match proof.verdict {
        Verdict::Clear if proof.passes.is_empty() => "nothing, for the job has no passes".to_owned(),
        Verdict::Clear if proof.start.is_none() => {
            "depths and words alone, for the job has no blank".to_owned()
        }
        Verdict::Clear => "nothing to look at".to_owned(),
        Verdict::Look => format!("{} to look at", places(all)),
        Verdict::Stop => format!("do not run as it is: {} to look at", places(all)),
        Verdict::Unproven => format!("unproven: something could not be followed; {} to look at", places(all)),
    }
}

/// The whole proof as a table of passes and a list of findings.
pub fn table(proof: &Proof) -> String {
    let units = proof.job.units;
    let mut text = String::new();
    let name = proof.job.name.as_deref().unwrap_or("Job without a name");
    let _ = writeln!(text, "{name}: {}", verdict_words(proof));
    let _ = writeln!(text, "Lengths in {}, times in h:mm:ss.", units.short());
    if let Some(blank) = &proof.blank {
        let _ = writeln!(
            text,
            "Least margin of the outline on the blank: {} at station {}.",
            units.fine(blank.least_margin),
            units.plain(blank.least_margin_at)
        );
    }
    let _ = writeln!(text);
    let mut rows = vec![HEAD.map(str::to_owned)];
    let passes = proof.job.passes.iter().zip(&proof.passes).enumerate();
    rows.extend(passes.map(|(index, (pass, of))| row(proof, index, pass, of)));
    write_rows(&mut text, &rows);
    if proof.findings.is_empty() {
        return text;
    }
    let _ = writeln!(text);
    for finding in &proof.findings {
        let _ = writeln!(text, "{}", finding_line(finding));
    }
    text
}

const HEAD: [&str; 10] =
    ["", "Pass", "Tool", "Lowest Z", "Leave least", "most", "Cut least", "most", "No contact", "Time"];

fn row(proof: &Proof, index: usize, pass: &Pass, of: &PassProof) -> [String; 10] {
    let units = proof.job.units;
    let or_dash = |value: Option<f64>| value.map_or("-".to_owned(), |value| units.fine(value));
    let along = of.along_outline.as_ref();
    let tool = proof.job.tool(pass.tool).map(crate::tool::Tool::title).unwrap_or_default();
    [
        (index + 1).to_string(),
        pass.name.clone(),
        tool,
        or_dash(of.lowest),
        or_dash(along.map(|along| along.leave.least)),
        or_dash(along.map(|along| along.leave.most)),
        or_dash(along.map(|along| along.cut.least)),
        or_dash(along.map(|along| along.cut.most)),
        of.contact_length(Contact::None).map_or("-".to_owned(), |length| units.plain(length)),
        of.seconds.map_or("-".to_owned(), clock),
    ]
}

fn write_rows(text: &mut String, rows: &[[String; 10]]) {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..HEAD.len()).map(width).collect();
    for row in rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
            if column == 1 || column == 2 { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        let _ = writeln!(text, "{}", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
}

fn finding_line(finding: &Finding) -> String {
    let weight = match finding.severity {
        Severity::Stop => "STOP",
        Severity::Look => "Look",
        Severity::Note => "Note",
    };
    let place = match (finding.line, finding.column) {
        (Some(line), Some(column)) => format!(" line {line}, column {column}"),
        (Some(line), None) => format!(" line {line}"),
        _ => String::new(),
    };
    format!("{weight}  {}{place}: {}", finding.code.text(), finding.message)
}
