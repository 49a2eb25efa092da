//! What was suggested and from where, as a table for people.

use super::Suggested;
use crate::job::{Basis, Job, Part, Pass, PathSource, ToConfirm};
use crate::units::digits;

/// One row a thing: what, its value, and what it rests on.
pub fn table(suggested: &Suggested) -> String {
    let Suggested { job, names, .. } = suggested;
    let mut rows: Vec<[String; 3]> =
        vec![["units".to_owned(), job.units.name().to_owned(), units(suggested)]];
    rows.extend(of_job(job));
    for tool in &job.tools {
        let title = format!("tool {}", tool.number);
        let mut first = true;
        for entry in job.unconfirmed() {
            let Part::Tool(number, key) = entry.part else { continue };
            if number != tool.number {
                continue;
            }
            let value = match key {
                "form" => tool.form.describe(),
                "flutes" => tool.flutes.map(|flutes| flutes.to_string()).unwrap_or_default(),
                "flute_length" => length(job, tool.flute_length),
                "stickout" => length(job, tool.stickout),
                size => tool.form.sizes().into_iter().find(|(key, _)| *key == size).map_or_else(
                    String::new,
                    |(key, value)| {
                        if key.ends_with("angle") {
                            format!("{} degrees", digits(value))
                        } else {
                            length(job, Some(value))
                        }
                    },
                ),
            };
            let of = if first { title.clone() } else { String::new() };
            first = false;
            rows.push([of, format!("{} {value}", key.replace('_', " ")), basis(entry)]);
        }
    }
    for (pass, name) in job.passes.iter().zip(names) {
        rows.push([pass.program.clone(), format!("pass \"{}\"", pass.name), name.to_string()]);
        for entry in job.unconfirmed() {
            if let Part::Pass(of, key) = &entry.part
                && *of == pass.name
            {
                rows.push([String::new(), pass_value(job, pass, key), basis(entry)]);
            }
        }
    }
    let mut text = laid_out(&rows);
    for note in &suggested.notes {
        text.push_str(note);
        text.push('\n');
    }
    text
}

fn units(suggested: &Suggested) -> String {
    let entry = suggested.job.unconfirmed().find(|entry| entry.part == Part::Job("units"));
    entry.map_or_else(|| suggested.units.to_string(), basis)
}

fn of_job(job: &Job) -> Vec<[String; 3]> {
    let mut rows = Vec::new();
    for entry in job.unconfirmed() {
        let Part::Job(key) = entry.part else { continue };
        let row = match (key, &job.blank, &job.outline) {
            ("passes", ..) => {
                let files: Vec<&str> = job.passes.iter().map(|pass| pass.program.as_str()).collect();
                ["order", &files.join(", ")].map(str::to_owned)
            }
            ("blank", Some(blank), _) => {
                let thick = format!("{} thick", job.units.plain_with_unit(blank.thickness));
                let size = match &blank.edge {
                    PathSource::Vertices(edge) if edge.len() == 4 => {
                        let across = edge[2].at - edge[0].at;
                        let side = |length: f64| job.units.plain(length);
                        format!("{} by {}, {thick}", side(across.x), side(across.y))
                    }
                    _ => thick,
                };
                ["blank".to_owned(), size]
            }
            ("material", Some(blank), _) => {
                ["material".to_owned(), blank.material.clone().unwrap_or_default()]
            }
            ("outline", _, Some(PathSource::FromPass(name))) => {
                ["outline".to_owned(), format!("along pass \"{name}\"")]
            }
            _ => continue,
        };
        let [of, value] = row;
        rows.push([of, value, basis(entry)]);
    }
    rows
}

fn pass_value(job: &Job, pass: &Pass, key: &str) -> String {
    match key {
        "tool" => format!("tool {}", pass.tool),
        "allowance" => format!("leaves {}", length(job, pass.allowance)),
        "bottom" => format!("lowest Z {}", length(job, pass.bottom)),
        _ => {
            let [x, y, z] = pass.zero.origin;
            format!("zero at {} {} {}", digits(x), digits(y), digits(z))
        }
    }
}

fn length(job: &Job, length: Option<f64>) -> String {
    length.map(|length| job.units.fine_with_unit(length)).unwrap_or_default()
}

/// What a suggestion rests on, and what speaks against it.
fn basis(entry: &ToConfirm) -> String {
    let against = |other: &Basis| format!("; but {other} says otherwise");
    let mut text = entry.from.to_string();
    text.extend(entry.against.iter().map(against));
    if let Some(note) = &entry.note {
        text.push_str(". ");
        text.push_str(note);
    }
    text
}

fn laid_out(rows: &[[String; 3]]) -> String {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let (first, second) = (width(0), width(1));
    let line = |[of, value, from]: &[String; 3]| format!("{of:first$}  {value:second$}  {from}\n");
    rows.iter().map(line).collect()
}
