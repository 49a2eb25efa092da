//! Windows that only say something.

use blockwright_core::finding::Code;
use eframe::egui::{Grid, RichText, ScrollArea, Ui};

use super::{Action, Question};
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

/// What each kind of finding means, and what is usually done about it.
pub(super) fn meanings(ui: &mut Ui, actions: &mut Vec<Action>) {
    ScrollArea::vertical().max_height(room(ui)).auto_shrink(false).show(ui, |ui| {
        for code in Code::ALL {
            let usual = code.usual();
            ui.label(RichText::new(code.title()).font(bold(13.0)));
            ui.label(format!("{} {}", usual.means, usual.done));
            ui.add_space(2.0);
        }
    });
    close(ui, actions);
}

/// A question with its answers.
pub(super) fn question(ui: &mut Ui, question: &Question, actions: &mut Vec<Action>) {
    ui.label(&question.words);
    ui.horizontal_wrapped(|ui| {
        for (words, action) in &question.answers {
            if ui.button(words).clicked() {
                // The answer may open the next window.
                actions.push(Action::Close);
                actions.push(action.clone());
            }
        }
    });
}

/// What the keys do.
pub(super) fn keys(ui: &mut Ui, actions: &mut Vec<Action>) {
    let keys = Command::ALL.iter().filter_map(|command| Some((command, command.shortcut()?)));
    let keys = keys.map(|(command, keys)| {
        (ui.ctx().format_shortcut(&keys), command.label().trim_end_matches('…').to_owned())
    });
    let hands = HANDS.map(|(hand, what)| (hand.to_owned(), what.to_owned()));
    let all: Vec<(String, String)> = keys.chain(hands).collect();
    let half = all.len().div_ceil(2);
    ScrollArea::vertical().max_height(room(ui)).show(ui, |ui| {
        Grid::new("keys").num_columns(4).min_row_height(16.0).spacing([18.0, 3.0]).show(ui, |ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            for (index, left) in all.iter().take(half).enumerate() {
                for (hand, what) in [Some(left), all.get(half + index)].into_iter().flatten() {
                    ui.label(hand);
                    ui.label(what);
                }
                ui.end_row();
            }
        });
    });
    close(ui, actions);
}

/// Height for what a window lists: a low one scrolls.
fn room(ui: &Ui) -> f32 {
    (ui.ctx().content_rect().height() - AROUND).max(120.0)
}

/// Height that a window takes beside what it lists: its title, its button and some room above and below.
const AROUND: f32 = 150.0;

/// What the hand does.
const HANDS: [(&str, &str); 16] = [
    ("Wheel on the plan", "Zoom at the pointer"),
    ("Drag on the plan", "Move the plan"),
    ("Click on the path", "Show the tool there"),
    ("Drag the section mark", "Move the station"),
    ("Drag on the wall", "Walk around the block"),
    ("Drag on the block", "Rotate it; with Shift, move it"),
    ("Wheel on a graph", "Zoom at the pointer"),
    ("Drag on a graph", "Move along it"),
    ("Click on a graph", "Show the tool there"),
    ("Double click on a graph", "Show all of it"),
    ("Click on a line", "Show the tool there"),
    ("Double click on a line", "Edit it"),
    ("Enter on the sheet", "Finish the path"),
    ("Escape on the sheet", "Cancel what is started"),
    ("Backspace on the sheet", "Undo the last vertex"),
    ("Delete on the sheet", "Delete the selected vertex"),
];

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
