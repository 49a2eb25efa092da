//! Windows that only say something.

use eframe::egui::{Grid, RichText, Ui};

use super::Action;
use crate::app::command::Command;
use crate::app::panel::words::sentence_start;
use crate::theme::bold;
use crate::trouble::Trouble;

/// What went wrong, where, and what to do.
pub(super) fn trouble(ui: &mut Ui, trouble: &Trouble, actions: &mut Vec<Action>) {
    if !trouble.place.is_empty() {
        ui.label(RichText::new(&trouble.place).font(bold(13.0)));
    }
    ui.label(sentence(&trouble.what));
    if !trouble.remedy.is_empty() {
        ui.label(sentence(&trouble.remedy));
    }
    close(ui, actions);
}

/// With a capital and a full stop, for standing alone.
fn sentence(words: &str) -> String {
    let end = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{end}", sentence_start(words))
}

/// What a proof cannot promise.
pub(super) fn cautions(ui: &mut Ui, actions: &mut Vec<Action>) {
    for line in crate::CAUTION.split_inclusive(". ") {
        ui.label(line.trim());
    }
    close(ui, actions);
}

/// What the keys do.
pub(super) fn keys(ui: &mut Ui, actions: &mut Vec<Action>) {
    Grid::new("keys").num_columns(2).spacing([24.0, 4.0]).show(ui, |ui| {
        for command in Command::ALL {
            if let Some(keys) = command.shortcut() {
                ui.label(ui.ctx().format_shortcut(&keys));
                ui.label(command.label().trim_end_matches('…'));
                ui.end_row();
            }
        }
        for (hand, what) in [
            ("Wheel on the plan", "Zoom at the pointer"),
            ("Drag on the plan", "Move the plan"),
            ("Wheel on the strip", "Move the tool along the pass"),
            ("Click on the strip", "Send the tool there"),
        ] {
            ui.label(hand);
            ui.label(what);
            ui.end_row();
        }
    });
    close(ui, actions);
}

fn close(ui: &mut Ui, actions: &mut Vec<Action>) {
    ui.add_space(4.0);
    if ui.button("Close").clicked() {
        actions.push(Action::Close);
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn words_become_a_sentence() {
        assert_eq!(super::sentence("is a folder"), "Is a folder.");
        assert_eq!(super::sentence("Done."), "Done.");
    }
}
