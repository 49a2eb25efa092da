//! The proof as text for people.

use std::fmt::Write as _;

use super::measured::measures;
use super::verdict::{NO_PROMISE, verdict_words};
use super::{PassProof, Proof, Verdict};
use crate::cutting::unit_power_unit;
use crate::finding::{Finding, Severity};
use crate::fit::{Fit, instruction};
use crate::geometry::Range;
use crate::job::Pass;
use crate::measure::Contact;
use crate::units::{Units, clock, fixed};

/// The whole proof as a table of passes and a list of findings.
pub fn table(proof: &Proof) -> String {
    let units = proof.job.units;
    let mut text = String::new();
    let name = proof.job.name.as_deref().unwrap_or("Job without a name");
    let _ = writeln!(text, "{name}");
    let _ = writeln!(text, "{}.", verdict_words(proof));
    let _ = writeln!(text, "Lengths in {}, times in h:mm:ss.", units.plural());
    if let Some(gauge) = proof.gauge.filter(|_| proof.blank.is_some() && proof.outline.is_some()) {
        let _ = writeln!(text, "Stock left is {}.", gauge.words(units));
    }
    if let Some(blank) = &proof.blank {
        let _ = writeln!(
            text,
            "Least margin of the outline on the blank: {} at station {}.",
            units.fine(blank.least_margin),
            units.plain(blank.least_margin_at)
        );
    }
    if let Some(found) = &proof.fit {
        let _ = writeln!(text, "{}", fit_line(proof, &found.fit));
    }
    let _ = writeln!(text);
    let mut rows = vec![HEAD.map(str::to_owned)];
    let passes = proof.job.passes.iter().zip(&proof.passes).enumerate();
    rows.extend(passes.map(|(index, (pass, of))| row(proof, index, pass, of)));
    write_rows(&mut text, &rows);
    write_loads(&mut text, proof);
    write_measured(&mut text, proof);
    if !proof.findings.is_empty() {
        let _ = writeln!(text);
    }
    for finding in &proof.findings {
        let _ = writeln!(text, "{}", finding_line(finding));
    }
    if proof.verdict == Verdict::Clear {
        let _ = writeln!(text, "\n{NO_PROMISE}");
    }
    text
}

/// How the outline would lie on the blank at best.
fn fit_line(proof: &Proof, fit: &Fit) -> String {
    let units = proof.job.units;
    if !fit.gains(units) {
        return "No other position of the blank has a greater least margin.".to_owned();
    }
    let margin = units.fine(fit.least_margin);
    let sure = if fit.is_proven(units) { "" } else { ", the best found" };
    format!(
        "Best position: least margin {margin}{sure}; to get there, {}.",
        instruction(&proof.job, fit, proof.told)
    )
}

const HEAD: [&str; 12] = [
    "",
    "Pass",
    "Tool",
    "Kind",
    "Lowest Z",
    "Stock left least",
    "most",
    "Cut least",
    "most",
    "at Z",
    "No contact",
    "Time",
];

const NAMES: [&str; 5] = ["Pass", "Tool", "Kind", "Measured", "Where"];

fn row(proof: &Proof, index: usize, pass: &Pass, of: &PassProof) -> [String; 12] {
    let units = proof.job.units;
    let or_dash = |value: Option<f64>| value.map_or("-".to_owned(), |value| units.fine(value));
    let along = of.along_outline.as_ref();
    let tool = proof.job.tool(pass.tool).map(crate::tool::Tool::title).unwrap_or_default();
    [
        (index + 1).to_string(),
        pass.name.clone(),
        tool,
        of.purpose.as_ref().map_or("-".to_owned(), ToString::to_string),
        or_dash(of.lowest),
        or_dash(along.map(|along| along.leave.least)),
        or_dash(along.map(|along| along.leave.most)),
        or_dash(along.map(|along| along.cut.least)),
        or_dash(along.map(|along| along.cut.most)),
        or_dash(along.and_then(|along| along.cut_z[1])),
        of.contact_length(Contact::None).map_or("-".to_owned(), |length| units.plain(length)),
        of.seconds.map_or("-".to_owned(), clock),
    ]
}

/// What the cutters bear and what the wall comes to, of the passes that have any of it.
fn write_loads(text: &mut String, proof: &Proof) {
    let units = proof.job.units;
    let (rate, power) = match units {
        Units::Inch => ("Peak in³/min", "Peak hp"),
        Units::Mm => ("Peak cm³/min", "Peak kW"),
    };
    let head = [
        "",
        "Pass",
        "Chip load least",
        "most",
        rate,
        power,
        "Top of undercut least",
        "most",
        "Land least",
        "most",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (index, (pass, of)) in proof.job.passes.iter().zip(&proof.passes).enumerate() {
        let wall = of.wall.as_ref();
        let range = |range: Option<Range>| range.map(|range| (range.least, range.most));
        let line = range(wall.and_then(|wall| wall.undercut_line));
        let land = range(wall.and_then(|wall| wall.land));
        let [chip, line, land] = [of.chip_load, line, land].map(|ends| {
            let end = |end: Option<f64>| end.map_or("-".to_owned(), |end| units.fine(end));
            [end(ends.map(|ends| ends.0)), end(ends.map(|ends| ends.1))]
        });
        let number = |value: Option<f64>| value.map_or("-".to_owned(), |value| fixed(value, 2));
        let mut row = vec![(index + 1).to_string(), pass.name.clone()];
        row.extend(chip);
        row.extend([number(of.rate_most), number(of.power_most)]);
        row.extend(line.into_iter().chain(land));
        if row.iter().skip(2).any(|cell| cell != "-") {
            rows.push(row);
        }
    }
    if rows.len() > 1 {
        drop_empty_columns(&mut rows);
        let _ = writeln!(text);
        write_rows(text, &rows);
    }
    if let Some((material, unit_power)) = proof.power_source() {
        let unit = unit_power_unit(units);
        let _ = writeln!(text, "Power for {}: {unit_power:.4} {unit}; {}.", material.name, material.source);
    }
}

/// What was measured, beside what was expected.
fn write_measured(text: &mut String, proof: &Proof) {
    let units = proof.job.units;
    let mut rows = vec![["", "Measured", "Where", "Expected", "Found", "Off by"].map(str::to_owned)];
    for measure in measures(proof) {
        let Some(found) = measure.found else { continue };
        let off = Some(measure.off_words(units)).filter(|off| !off.is_empty());
        rows.push([
            (measure.pass + 1).to_string(),
            measure.what_words(units),
            measure.where_words(units),
            measure.expected_words(units),
            units.fine(found),
            off.unwrap_or_else(|| "-".to_owned()),
        ]);
    }
    if rows.len() > 1 {
        let _ = writeln!(text);
        write_rows(text, &rows);
    }
}

/// Leaves out the columns in which no row under the head says anything.
fn drop_empty_columns(rows: &mut [Vec<String>]) {
    let columns = rows.first().map_or(0, Vec::len);
    let says = |column: usize| rows.iter().skip(1).any(|row| row.get(column).is_some_and(|cell| cell != "-"));
    let kept: Vec<bool> = (0..columns).map(says).collect();
    for row in rows.iter_mut() {
        let mut keeps = kept.iter();
        row.retain(|_| keeps.next().is_some_and(|keep| *keep));
    }
}

fn write_rows<R: AsRef<[String]>>(text: &mut String, rows: &[R]) {
    let rows: Vec<&[String]> = rows.iter().map(AsRef::as_ref).collect();
    let columns = rows.first().map_or(0, |head| head.len());
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    // Names stand at the left, numbers at the right.
    let is_name = |column: usize| rows.first().is_some_and(|head| NAMES.contains(&head[column].as_str()));
    for row in &rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
            if is_name(column) { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        let _ = writeln!(text, "{}", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
}

fn finding_line(finding: &Finding) -> String {
    let weight = match finding.severity {
        Severity::Stop => "STOP",
        Severity::Look => "Check",
        Severity::Note => "Note",
    };
    let place = match (finding.line, finding.column) {
        (Some(line), Some(column)) => format!(" line {line}, column {column}"),
        (Some(line), None) => format!(" line {line}"),
        _ => String::new(),
    };
    format!("{weight:<5}  {}{place}: {}", finding.code.text(), finding.message)
}
