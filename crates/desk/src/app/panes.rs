//! The panes round the picture: each can be hidden and comes back, or all at once.

use std::path::PathBuf;

use eframe::egui::{Rect, Role, Sense, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use super::App;
use super::act::{Action, theme};
use super::command::Command;
use crate::arrangement::Arrangement;
use crate::theme::colour;

/// Side of a button that shows or hides a pane.
const SIDE: f32 = 24.0;

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
    /// Shows or hides what a command is about. A pane that is asked for while the picture is alone comes back.
    pub(super) fn turn(&mut self, command: Command) {
        if command == Command::PictureAlone {
            self.alone = !self.alone;
            return;
        }
        let was_alone = std::mem::take(&mut self.alone);
        let pane = match command {
            Command::PaneLeft => &mut self.left,
            Command::PaneRight => &mut self.right,
            _ => &mut self.below,
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
    pub(super) const fn shown(self) -> [bool; 3] {
        [self.left && !self.alone, self.right && !self.alone, self.below && !self.alone]
    }
}

/// A button for each pane, with a small picture of the window in which that pane is filled while it is shown.
pub(super) fn buttons(ui: &mut Ui, panes: Panes, actions: &mut Vec<Action>) {
    let [left, right, below] = panes.shown();
    for (command, shown) in
        [(Command::PaneRight, right), (Command::PaneBelow, below), (Command::PaneLeft, left)]
    {
        let (rect, response) = ui.allocate_exact_size(vec2(SIDE, SIDE), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, shown, command.label()));
        let keys = command.shortcut().map(|keys| ui.ctx().format_shortcut(&keys)).unwrap_or_default();
        let response = response.on_hover_text(format!("{} ({keys})", command.tooltip()));
        if response.clicked() {
            actions.push(Action::Do(command));
        }
        let colours = theme(ui.ctx());
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, 4.0, colour(colours.accent_soft));
        }
        let frame = Rect::from_center_size(rect.center(), vec2(16.0, 12.0));
        let part = match command {
            Command::PaneLeft => Rect::from_min_max(frame.min, pos2(frame.left() + 5.0, frame.bottom())),
            Command::PaneRight => Rect::from_min_max(pos2(frame.right() - 5.0, frame.top()), frame.max),
            _ => Rect::from_min_max(pos2(frame.left(), frame.bottom() - 5.0), frame.max),
        };
        let ink = colour(colours.quiet);
        if shown {
            ui.painter().rect_filled(part, 0.0, ink);
        } else {
            ui.painter().rect_stroke(part, 0.0, (1.0, ink), StrokeKind::Inside);
        }
        ui.painter().rect_stroke(frame, 1.0, (1.2, ink), StrokeKind::Inside);
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
        panes.turn(Command::PaneLeft);
        assert_eq!(panes.shown(), [false, true, true]);
        panes.turn(Command::PictureAlone);
        assert_eq!(panes.shown(), [false; 3]);
        panes.turn(Command::PictureAlone);
        assert_eq!(panes.shown(), [false, true, true], "as they were");
        panes.turn(Command::PictureAlone);
        panes.turn(Command::PaneLeft);
        assert_eq!(panes.shown(), [true; 3]);
    }
}
