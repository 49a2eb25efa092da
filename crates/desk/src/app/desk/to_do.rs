//! What is to be done at the machine: the instruction of a position that was taken over stays in view until the operator
//! says that it is done.

use blockwright_core::view::Theme;
use eframe::egui::{Align, Frame, Label, Layout, Margin, RichText, Ui};

use super::Desk;
use crate::app::act::{Action, theme};
use crate::theme::{TYPE, bold, colour};

/// Where a blank lies.
type At = Option<[f64; 3]>;

#[derive(Debug, Clone, PartialEq)]
struct Task {
    words: String,
    /// From where to where; not known of one that was restored.
    way: Option<(At, At)>,
}

/// The instructions, in order.
#[derive(Debug, Clone, Default)]
pub(super) struct ToDo(Vec<Task>);

impl ToDo {
    /// Those that were left when Blockwright ended.
    pub(super) fn left(words: Vec<String>) -> Self {
        Self(words.into_iter().map(|words| Task { words, way: None }).collect())
    }

    /// Another one, after those that still count with the blank where it lies.
    pub(super) fn add(&mut self, words: String, from: At, to: At) {
        let counting = self.counting(from);
        self.0.truncate(counting);
        self.0.push(Task { words, way: Some((from, to)) });
    }

    /// How many count with the blank here: taking a position back takes its instruction back, doing it again brings it
    /// back. A blank that was moved in another way leaves them all.
    fn counting(&self, at: At) -> usize {
        let reached = self.0.iter().rposition(|task| task.way.is_some_and(|(_, to)| to == at));
        let before = || self.0.iter().position(|task| task.way.is_some_and(|(from, _)| from == at));
        reached.map(|last| last + 1).or_else(before).unwrap_or(self.0.len())
    }

    /// Those that count with the blank here.
    pub(super) fn shown(&self, at: At) -> Vec<String> {
        self.0.iter().take(self.counting(at)).map(|task| task.words.clone()).collect()
    }

    /// This one has been done.
    pub(super) fn done(&mut self, words: &str) {
        if let Some(index) = self.0.iter().position(|task| task.words == words) {
            self.0.remove(index);
        }
    }
}

/// The row under the bar, while there is anything to do.
pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    let colours: Theme = theme(ui.ctx());
    for words in desk.to_do() {
        let margin = Margin::symmetric(16, 5);
        Frame::new().fill(colour(colours.accent_soft)).inner_margin(margin).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let mut done = false;
                if ui.checkbox(&mut done, "Done").clicked() {
                    actions.push(Action::DoneAtMachine(words.clone()));
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let text = RichText::new(format!("To do at the machine: {words}.")).font(bold(TYPE));
                    ui.add(Label::new(text).wrap());
                });
            });
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instruction_stays_until_it_is_done_or_taken_back() {
        let (a, b, c) = (None, Some([1.0, 0.0, 0.0]), Some([1.0, 2.0, 0.0]));
        let mut to_do = ToDo::default();
        to_do.add("one".to_owned(), a, b);
        assert_eq!(to_do.shown(b), ["one"]);
        to_do.add("two".to_owned(), b, c);
        assert_eq!(to_do.shown(c), ["one", "two"]);
        assert_eq!(to_do.shown(b), ["one"], "the second was taken back");
        assert_eq!(to_do.shown(a), [""; 0], "so was the first");
        assert_eq!(to_do.shown(c), ["one", "two"], "both were done again");
        assert_eq!(to_do.shown(Some([9.0; 3])), ["one", "two"], "the blank was moved otherwise");
        to_do.done("one");
        assert_eq!(to_do.shown(c), ["two"]);
        to_do.add("three".to_owned(), b, c);
        assert_eq!(to_do.shown(c), ["three"], "what was taken back is gone once there is another");
        assert_eq!(ToDo::left(vec!["x".to_owned()]).shown(b), ["x"]);
    }
}
