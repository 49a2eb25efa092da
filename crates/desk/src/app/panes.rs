//! The panes round the picture: each can be hidden and comes back, or all at once.

use std::path::PathBuf;

use eframe::egui::{Button, Rect, RichText, Ui, vec2};

use super::App;
use super::act::Action;
use super::command::Command;
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

impl Panes {
    /// Shows or hides one of them. A pane that is asked for while the picture is alone comes back.
    pub(super) fn turn(&mut self, side: Side) {
        let was_alone = std::mem::take(&mut self.alone);
        let pane = match side {
            Side::Left => &mut self.left,
            Side::Right => &mut self.right,
            Side::Below => &mut self.below,
        };
        *pane = was_alone || !*pane;
    }

    /// Shows the picture alone, or all of them again.
    pub(super) fn turn_alone(&mut self) {
        self.alone = !self.alone;
    }

    /// What stands under the picture is wanted.
    pub(super) fn show_below(&mut self) {
        self.below = true;
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
    pub(super) const fn shown(self) -> [bool; 3] {
        [self.left && !self.alone, self.right && !self.alone, self.below && !self.alone]
    }
}

/// The panes as they lie in the window, each with its command and a word for it.
const SIDES: [(Command, &str); 3] =
    [(Command::PaneLeft, "Findings"), (Command::PaneBelow, "Graphs"), (Command::PaneRight, "Program")];

/// A button for each pane, lit while the pane is shown; from right to left.
pub(super) fn buttons(ui: &mut Ui, panes: Panes, actions: &mut Vec<Action>) {
    let [left, right, below] = panes.shown();
    for ((command, word), shown) in SIDES.into_iter().zip([left, below, right]).rev() {
        let button = Button::selectable(shown, RichText::new(word).size(WORD)).min_size(vec2(0.0, LEAST));
        let keys = command.shortcut().map(|keys| ui.ctx().format_shortcut(&keys)).unwrap_or_default();
        let button = ui.add(button).on_hover_text(format!("{} ({keys})", command.tooltip()));
        if button.accessible_name(command.label()).clicked() {
            actions.push(Action::Do(command));
        }
    }
}

impl App {
    /// The same with its panes as they were left, and keeping how they are left now in this place.
    #[must_use]
    pub fn arranged(self, arrangement: &Arrangement, place: PathBuf) -> Self {
        Self { panes: Panes::of(arrangement), kept_at: Some(place), ..self }
    }

    /// How the window is arranged.
    pub fn arrangement(&self, dark: bool) -> Arrangement {
        Arrangement { window: self.size, dark, ..self.panes.arrangement() }
    }

    /// The finding that is looked at.
    pub fn finding(&self) -> Option<usize> {
        self.look.finding
    }

    /// Whether the worst place of that finding is shown enlarged.
    pub fn is_magnified(&self) -> bool {
        self.inset.is_shown()
    }

    /// Which of the panes left, right and below are shown.
    pub fn panes(&self) -> [bool; 3] {
        self.panes.shown()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pane_asked_for_while_the_picture_is_alone_comes_back() {
        let mut panes = Panes::default();
        panes.turn(Side::Left);
        assert_eq!(panes.shown(), [false, true, true]);
        panes.turn_alone();
        assert_eq!(panes.shown(), [false; 3]);
        panes.turn_alone();
        assert_eq!(panes.shown(), [false, true, true], "as they were");
        panes.turn_alone();
        panes.turn(Side::Left);
        assert_eq!(panes.shown(), [true; 3]);
    }
}
