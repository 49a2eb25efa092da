//! The panes round the picture: each can be hidden and comes back, or all at once.

use eframe::egui::{Button, Rect, RichText, Ui, vec2};

use super::act::Action;
use super::command::Command;
use super::room::Effects;
use crate::arrangement::Arrangement;

/// Height of a button that shows or hides a pane, and of the letters on it.
const LEAST: f32 = 24.0;
const WORD: f32 = 11.5;

/// A pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// Findings and passes.
    Left,
    /// Figures and program.
    Right,
    /// Strips and tables.
    Below,
}

/// Whether left, right and below are shown.
pub(super) type Shown = [bool; 3];

/// Which panes are shown, and how large they are.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each says of one pane whether it is shown")]
pub(super) struct Panes {
    /// Findings and passes.
    pub(super) left: bool,
    /// Figures and program.
    pub(super) right: bool,
    /// Strips and tables.
    pub(super) below: bool,
    /// The picture alone, whatever the others say.
    pub(super) alone: bool,
    /// Widths and height, once they are known.
    sizes: [Option<f32>; 3],
}

impl Default for Panes {
    fn default() -> Self {
        Self { left: true, right: true, below: true, alone: false, sizes: [None; 3] }
    }
}

/// Something that happens to the panes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Message {
    /// Show or hide one of them.
    Turn(Side),
    /// Show the picture alone, or all of them again.
    TurnAlone,
    /// What stands under the picture is wanted.
    ShowBelow,
}

impl Panes {
    /// Does it.
    pub(super) fn update(&mut self, message: Message) -> Effects {
        match message {
            Message::Turn(side) => self.turn(side),
            Message::TurnAlone => self.alone = !self.alone,
            Message::ShowBelow => self.below = true,
        }
        Vec::new()
    }

    /// Shows or hides one of them. A pane that is asked for while the picture is alone comes back.
    fn turn(&mut self, side: Side) {
        let was_alone = std::mem::take(&mut self.alone);
        let pane = match side {
            Side::Left => &mut self.left,
            Side::Right => &mut self.right,
            Side::Below => &mut self.below,
        };
        *pane = was_alone || !*pane;
    }

    /// As they were left.
    pub(super) const fn of(left: &Arrangement) -> Self {
        let [no_left, no_right, no_below] = left.hidden;
        Self { left: !no_left, right: !no_right, below: !no_below, alone: false, sizes: left.panes }
    }

    /// As they are left now; the picture alone is not kept.
    pub(super) fn arrangement(self) -> Arrangement {
        let hidden = [!self.left, !self.right, !self.below];
        Arrangement { panes: self.sizes, hidden, ..Arrangement::default() }
    }

    /// How large a pane was the last time.
    pub(super) const fn size(self, side: Side) -> Option<f32> {
        self.sizes[side as usize]
    }

    /// Notes how large a pane is.
    pub(super) fn note(&mut self, side: Side, shown: Rect) {
        let size = if side == Side::Below { shown.height() } else { shown.width() };
        self.sizes[side as usize] = Some(size);
    }

    /// Left, right and below.
    pub(super) const fn shown(self) -> Shown {
        [self.left && !self.alone, self.right && !self.alone, self.below && !self.alone]
    }
}

/// The panes as they lie in the window, each with its command and a word for it.
const SIDES: [(Command, &str); 3] =
    [(Command::PaneLeft, "Findings"), (Command::PaneBelow, "Graphs"), (Command::PaneRight, "Program")];

/// A button for each pane, lit while the pane is shown; from right to left.
pub(super) fn buttons(ui: &mut Ui, shown: Shown, actions: &mut Vec<Action>) {
    let [left, right, below] = shown;
    for ((command, word), shown) in SIDES.into_iter().zip([left, below, right]).rev() {
        let button = Button::selectable(shown, RichText::new(word).size(WORD)).min_size(vec2(0.0, LEAST));
        let keys = command.shortcut().map(|keys| ui.ctx().format_shortcut(&keys)).unwrap_or_default();
        let button = ui.add(button).on_hover_text(format!("{} ({keys})", command.tooltip()));
        if button.accessible_name(command.label()).clicked() {
            actions.push(Action::Do(command));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pane_asked_for_while_the_picture_is_alone_comes_back() {
        let mut panes = Panes::default();
        panes.update(Message::Turn(Side::Left));
        assert_eq!(panes.shown(), [false, true, true]);
        panes.update(Message::TurnAlone);
        assert_eq!(panes.shown(), [false; 3]);
        panes.update(Message::TurnAlone);
        assert_eq!(panes.shown(), [false, true, true], "as they were");
        panes.update(Message::TurnAlone);
        panes.update(Message::Turn(Side::Left));
        assert_eq!(panes.shown(), [true; 3]);
    }
}
