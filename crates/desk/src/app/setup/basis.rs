//! What a suggestion rests on, in a small column and when the pointer rests on it.

use blockwright_core::job::{Basis, Job, Part, ToConfirm};
use eframe::egui::{Label, Response, RichText, Ui};

use crate::app::act::theme;
use crate::theme::colour;

/// The entries of these parts that wait.
pub(super) fn entries(job: &Job, of: impl Fn(&Part) -> bool) -> Vec<&ToConfirm> {
    job.unconfirmed().filter(|entry| of(&entry.part)).collect()
}

/// In few words: the lines, and what else.
pub(super) fn short(entries: &[&ToConfirm]) -> String {
    let mut comments: Vec<u32> = Vec::new();
    let mut others: Vec<String> = Vec::new();
    let mut usual = false;
    for entry in entries {
        let said = match &entry.from {
            Basis::Comment { line, .. } => {
                comments.push(*line);
                continue;
            }
            Basis::Usual => {
                usual = true;
                continue;
            }
            Basis::Word { word, line, .. } => format!("{word} on {line}"),
            Basis::Motion { line, .. } => format!("lowest feed on {line}"),
            other => other.to_string(),
        };
        if !others.contains(&said) {
            others.push(said);
        }
    }
    comments.sort_unstable();
    comments.dedup();
    let mut parts = Vec::new();
    if !comments.is_empty() {
        let lines: Vec<String> = comments.iter().map(u32::to_string).collect();
        parts.push(format!(
            "{} on {}",
            if lines.len() > 1 { "comments" } else { "comment" },
            lines.join(", ")
        ));
    }
    parts.extend(others);
    if usual {
        parts.push("usual".to_owned());
    }
    parts.join("; ")
}

/// In full, a line each.
pub(super) fn full(entries: &[&ToConfirm]) -> String {
    let lines: Vec<String> = entries.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

/// The small column.
pub(super) fn column(ui: &mut Ui, entries: &[&ToConfirm], width: f32) {
    let doubtful = entries.iter().any(|entry| !entry.against.is_empty() || speaks_up(entry));
    let theme = theme(ui.ctx());
    ui.vertical(|ui| {
        ui.set_width(width);
        let text = RichText::new(short(entries)).size(12.0).color(colour(theme.quiet));
        ui.add(Label::new(text).wrap()).on_hover_text(full(entries));
        if doubtful {
            for entry in entries.iter().filter(|entry| !entry.against.is_empty() || speaks_up(entry)) {
                let mut words: Vec<String> =
                    entry.against.iter().map(|other| format!("{other} says otherwise.")).collect();
                words.extend(entry.note.clone());
                let text = RichText::new(format!("! {}", words.join(" "))).size(12.0);
                ui.add(Label::new(text.color(ui.visuals().warn_fg_color)).wrap());
            }
        }
    });
}

/// Notes on how the blank and the outline come about say nothing against them.
fn speaks_up(entry: &ToConfirm) -> bool {
    entry.note.is_some() && !matches!(entry.part, Part::Job("blank" | "outline"))
}

/// The same for one field, when the pointer rests on it.
pub(super) fn hover(response: Response, job: &Job, part: &Part) -> Response {
    match job.unconfirmed().find(|entry| entry.part == *part) {
        Some(entry) => response.on_hover_text(format!("From {}", entry.from)),
        None => response,
    }
}
