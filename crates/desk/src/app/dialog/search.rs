//! All commands in one list, found by typing a part of what they are called or do.

use eframe::egui::{Grid, Key, RichText, ScrollArea, TextEdit, Ui};

use super::Action;
use crate::app::command::Command;

/// Height of the list, so that nothing moves while it is being searched.
const LIST: f32 = 340.0;

/// What is looked for, and which of the commands found is chosen.
#[derive(Debug, Default)]
pub(in crate::app) struct SearchDialog {
    text: String,
    chosen: usize,
    focused: bool,
}

/// Commands whose name or sentence has every word of a text, those first whose name has them.
fn found(text: &str) -> Vec<Command> {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    let has = |text: &str| {
        let text = text.to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    let all = || Command::ALL.iter().copied().filter(|command| *command != Command::Search);
    let named: Vec<Command> = all().filter(|command| has(command.label())).collect();
    let whole = |command: &Command| has(&format!("{} {}", command.label(), command.tooltip()));
    let told = all().filter(|command| !named.contains(command) && whole(command));
    named.iter().copied().chain(told).collect()
}

impl SearchDialog {
    pub(super) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let hint = "a part of what you want to do, such as \"picture\" or \"undo\"";
        let field = ui.add(TextEdit::singleline(&mut self.text).hint_text(hint).desired_width(f32::INFINITY));
        if !self.focused {
            field.request_focus();
            self.focused = true;
        }
        if field.changed() {
            self.chosen = 0;
        }
        let found = found(&self.text);
        let (down, up, enter) = ui.input(|input| {
            let pressed = |key| input.key_pressed(key);
            (pressed(Key::ArrowDown), pressed(Key::ArrowUp), pressed(Key::Enter))
        });
        self.chosen = (self.chosen + usize::from(down)).min(found.len().saturating_sub(1));
        self.chosen = self.chosen.saturating_sub(usize::from(up));
        let mut asked = found.get(self.chosen).copied().filter(|_| enter);
        ScrollArea::vertical().max_height(LIST).min_scrolled_height(LIST).auto_shrink(false).show(ui, |ui| {
            if found.is_empty() {
                ui.label("No command has these words.");
            }
            Grid::new("commands").num_columns(3).spacing([16.0, 4.0]).show(ui, |ui| {
                for (index, command) in found.iter().enumerate() {
                    let label = ui.selectable_label(index == self.chosen, command.label());
                    if index == self.chosen && (down || up) {
                        label.scroll_to_me(None);
                    }
                    if label.clicked() {
                        asked = Some(*command);
                    }
                    let keys = command.shortcut().map(|keys| ui.ctx().format_shortcut(&keys));
                    ui.label(RichText::new(keys.unwrap_or_default()).strong());
                    ui.label(RichText::new(command.tooltip()).weak());
                    ui.end_row();
                }
            });
        });
        if let Some(command) = asked {
            // The command may open the next window.
            actions.push(Action::Close);
            actions.push(Action::Do(command));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_is_found_by_its_name_and_none_by_nonsense() {
        for command in Command::ALL.iter().copied().filter(|command| *command != Command::Search) {
            let all = found(command.label());
            assert!(all.contains(&command), "{command:?}");
        }
        assert_eq!(found("").len(), Command::ALL.len() - 1);
        assert_eq!(found("zzz"), []);
    }

    #[test]
    fn words_are_found_in_any_order_and_names_come_first() {
        assert_eq!(found("fit BEST").first(), Some(&Command::BlankFit));
        let pictures = found("picture");
        let named = pictures.iter().take_while(|command| command.label().contains("icture")).count();
        assert!(named >= 6 && pictures[named..].iter().all(|command| !command.label().contains("icture")));
        assert!(found("clamp").contains(&Command::KeepClear));
    }
}
