//! A fit as text for people, and as JSON for programs.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::fitting::Fitting;
use super::position::Fit;
use super::proven_within;
use super::stretch::BuildUp;
use super::take_over::instruction;
use crate::job::Job;
use crate::units::Units;
use crate::units::{fixed, json_text};

/// The fit before and after, what the operator does, and what has to be built up.
pub fn table(job: &Job, fitting: &Fitting) -> String {
    let (units, fit) = (job.units, &fitting.fit);
    let mut text = String::new();
    let name = job.name.as_deref().unwrap_or("Job without a name");
    let _ = writeln!(text, "{name}: best fit of the outline on the blank");
    let _ = writeln!(text, "Lengths in {}, rotation in degrees.", units.plural());
    let _ = writeln!(text);
    let _ = writeln!(text, "Least margin as the blank lies: {}", units.fine(fit.present));
    let _ = writeln!(
        text,
        "Least margin in the best position: {}{}",
        units.fine(fit.least_margin),
        sure(fit, units)
    );
    if fit.gains(units) {
        let _ = writeln!(text, "To get there, {}.", instruction(job, fit, job.units));
        let _ = writeln!(
            text,
            "A line scribed before does not hold there: scribe the outline again from the new work zero."
        );
        let (x, y) = (units.fine(fit.dx), units.fine(fit.dy));
        let _ = writeln!(
            text,
            "(The outline moves on the blank by X {x}, Y {y}, rotated {}° {} about its centroid.)",
            fixed(fit.turn.abs(), 3),
            if fit.turn < 0.0 { "clockwise" } else { "counter-clockwise" }
        );
    } else {
        let _ = writeln!(text, "Moving the blank gains nothing.");
    }
    let held: Vec<String> = fit.binding.iter().map(|station| units.plain(*station)).collect();
    if !held.is_empty() {
        let _ = writeln!(text, "The margin is least at station {}.", held.join(", "));
    }
    let _ = writeln!(text);
    let wanted = if fitting.wanted > 0.0 {
        format!(" for {} all around", units.fine(fitting.wanted))
    } else {
        String::new()
    };
    write_stretches(&mut text, &format!("Metal to add{wanted} as the blank lies"), &fitting.before, units);
    write_stretches(&mut text, &format!("Metal to add{wanted} in the best position"), &fitting.after, units);
    text
}

/// How sure it is that there is no better position.
fn sure(fit: &Fit, units: Units) -> String {
    if fit.is_proven(units) {
        let within = units.fine(proven_within(units));
        format!(" (no position within the limits has {within} more)")
    } else {
        let gap = units.fine(fit.gap());
        format!(" (the best found; the search stopped early: another position could have up to {gap} more)")
    }
}

fn write_stretches(text: &mut String, title: &str, stretches: &[BuildUp], units: Units) {
    if stretches.is_empty() {
        let _ = writeln!(text, "{title}: none.");
        return;
    }
    let _ = writeln!(text, "{title}:");
    let mut rows =
        vec![["", "from station", "to", "length", "thickness", "thickest at X", "Y"].map(str::to_owned)];
    rows.extend(stretches.iter().enumerate().map(|(index, of)| {
        [
            (index + 1).to_string(),
            units.plain(of.from),
            units.plain(of.to),
            units.plain(of.length),
            units.fine(of.most),
            units.plain(of.at.x),
            units.plain(of.at.y),
        ]
    }));
    let width = |column: usize| rows.iter().map(|row| row[column].len()).max().unwrap_or(0);
    let widths = [0, 1, 2, 3, 4, 5, 6].map(width);
    for row in &rows {
        let cells: Vec<String> =
            row.iter().zip(widths).map(|(cell, width)| format!("{cell:>width$}")).collect();
        let _ = writeln!(text, "  {}", cells.join("  "));
    }
}

/// The fit as JSON text, schema `blockwright-fit/1`. Lengths in the job's unit, turns in degrees.
pub fn json(job: &Job, fitting: &Fitting) -> String {
    let fit = &fitting.fit;
    let root = json!({
        "schema": "blockwright-fit/1",
        "job": job.name,
        "units": job.units.name(),
        "wanted": fitting.wanted,
        "present": { "least_margin": fit.present, "build_up": stretches(&fitting.before) },
        "fit": {
            "dx": fit.dx, "dy": fit.dy, "turn": fit.turn, "about": [fit.centroid.x, fit.centroid.y],
            "least_margin": fit.least_margin, "bound": fit.bound, "held_at": fit.binding,
            "blank_at": fit.blank_at(job.blank.as_ref().and_then(|blank| blank.at)),
            "build_up": stretches(&fitting.after),
        },
        "instruction": instruction(job, fit, job.units),
    });
    json_text(root)
}

fn stretches(all: &[BuildUp]) -> Value {
    let of = |stretch: &BuildUp| {
        json!({
            "from": stretch.from, "to": stretch.to, "most": stretch.most, "most_at": stretch.most_at,
            "at": [stretch.at.x, stretch.at.y],
        })
    };
    all.iter().map(of).collect()
}
