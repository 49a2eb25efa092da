//! The tools as they are set in the job, with room for what is measured.

use super::say::{Say, name};
use super::{Part, Section, Table, number, words, write_in};
use crate::record::Record;
use crate::tool::{Form, Tool};
use crate::units::fixed;

pub(super) fn section(record: &Record<'_>) -> Section {
    let (job, say) = (&record.proof.job, Say::of(record));
    let mut table = Table::new(vec![
        number("", 0.6),
        words("Tool", 3.4),
        words("Form", 4.2),
        number("Flutes", 1.1),
        number("Flute length", 1.2),
        number("Shank", 1.2),
        number("Stickout", 1.5),
        number("Holder", 1.2),
        words("Passes", 1.2),
        write_in("Diameter measured", 1.6),
        write_in("Length set", 1.6),
    ]);
    let mut tools: Vec<&Tool> = Vec::new();
    for pass in &job.passes {
        if let Some(tool) = job.tool(pass.tool).filter(|tool| !tools.contains(tool)) {
            tools.push(tool);
        }
    }
    for tool in tools {
        let passes = job.passes.iter().enumerate().filter(|(_, pass)| pass.tool == tool.number);
        let passes: Vec<String> = passes.map(|(index, _)| (index + 1).to_string()).collect();
        table.rows.push(vec![
            tool.number.to_string(),
            name(&tool.title()),
            form(&say, &tool.form),
            tool.flutes.map_or_else(|| "-".to_owned(), |flutes| flutes.to_string()),
            say.or_dash(tool.flute_length),
            say.or_dash(tool.shank_diameter),
            say.or_dash(tool.stickout),
            say.or_dash(tool.holder_diameter),
            passes.join(", "),
            String::new(),
            String::new(),
        ]);
    }
    let words = "Lengths not given in the job are shown as -. Write the measured diameter and the length or offset as set into the boxes.";
    Section::new("Tools as set", vec![Part::Table(table), Part::Words(words.to_owned())])
}

/// What kind of cutter it is, with its sizes.
fn form(say: &Say<'_>, form: &Form) -> String {
    let kind = match form {
        Form::Flat { .. } => "flat",
        Form::Ball { .. } => "ball end",
        Form::Bull { .. } => "bull nose",
        Form::Undercut { .. } => "dovetail (undercut)",
        Form::EdgeRound { .. } => "corner rounding",
        Form::Chamfer { .. } => "chamfer",
        Form::Drill { .. } => "drill",
        Form::Silhouette { .. } => "silhouette",
    };
    let size = |(key, value): (&'static str, f64)| {
        let degrees = key.contains("angle");
        let value = if degrees { format!("{}°", fixed(value, 1)) } else { say.fine(value) };
        format!("{} {value}", key.replace('_', " "))
    };
    let sizes: Vec<String> = form.sizes().into_iter().map(size).collect();
    if sizes.is_empty() {
        return format!("{kind}, {} across at its widest", say.fine(2.0 * form.radius()));
    }
    format!("{kind}: {}", sizes.join(", "))
}
