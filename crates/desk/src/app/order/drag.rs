//! A pass dragged to another place among the others.

use eframe::egui::{CursorIcon, Rangef, Rect, Response, Ui};

use super::Ask;
use crate::app::act::{Action, theme};
use crate::theme::colour;

/// Which list a pass is dragged in, and its place there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Dragged {
    list: &'static str,
    from: usize,
}

/// The card of a pass can be dragged, and others can be dropped on it.
pub(in crate::app) fn card(ui: &Ui, response: &Response, index: usize, actions: &mut Vec<Action>) {
    take(response, "passes", index);
    if let Some((from, before)) = dropped(ui, response, response.rect, ("passes", index)) {
        actions.push(Action::OfOrder(Ask::Move(from, before)));
    }
}

/// Starts dragging from this place of a list.
pub(super) fn take(response: &Response, list: &'static str, index: usize) {
    response.dnd_set_drag_payload(Dragged { list, from: index });
}

/// Shows where a pass would come to stand beside the card in `rect`, and says where it was dropped: which one, and
/// before which.
pub(super) fn dropped(
    ui: &Ui,
    response: &Response,
    rect: Rect,
    (list, index): (&'static str, usize),
) -> Option<(usize, usize)> {
    let over = response.dnd_hover_payload::<Dragged>().filter(|dragged| dragged.list == list)?;
    let pointer = ui.input(|input| input.pointer.interact_pos())?;
    let before = index + usize::from(pointer.y > rect.center().y);
    // Where it stands already there is nowhere to go.
    let stays = before == over.from || before == over.from + 1;
    if !stays {
        let y = if before == index { rect.top() } else { rect.bottom() };
        let width = Rangef::new(rect.left() + 4.0, rect.right() - 4.0);
        ui.painter().hline(width, y, (3.0, colour(theme(ui.ctx()).accent)));
        ui.set_cursor_icon(CursorIcon::Grabbing);
    }
    let released = response.dnd_release_payload::<Dragged>().is_some();
    (released && !stays).then_some((over.from, before))
}
