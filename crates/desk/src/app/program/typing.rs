//! One line of a program being edited where it stands.

use eframe::egui::text::{CCursor, CCursorRange};
use eframe::egui::text_edit::TextEditState;
use eframe::egui::{Frame, Id, Key, Margin, Modifiers, Rect, TextEdit, Ui, vec2};

use super::super::act::Action;
use super::Ask;
use super::sheet::Sheet;
use crate::theme::mono;

/// The line being edited.
#[derive(Debug)]
pub(super) struct Typing {
    /// Index of the sheet.
    pub(super) sheet: usize,
    /// Index of the line.
    pub(super) index: usize,
    text: String,
    /// Whether the keyboard still has to be given to it.
    fresh: bool,
}

impl Typing {
    pub(super) fn new(sheet: usize, index: usize, text: String) -> Self {
        Self { sheet, index, text, fresh: true }
    }

    /// The field in the line's place. Keys that leave the line are taken before the field sees them.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        size: f32,
        sheet: &Sheet,
        actions: &mut Vec<Action>,
    ) {
        let line = self.index as u32 + 1;
        let id = Id::unique("program line being edited");
        if ui.memory(|memory| memory.has_focus(id)) {
            actions.extend(keys(ui, line, sheet.buffer().len() as u32).map(Action::Program));
        }
        if self.fresh {
            // What was typed in another line is not this line's to undo; the hand begins at the end.
            let mut state = TextEditState::default();
            let end = CCursor::new(self.text.chars().count());
            state.cursor.set_char_range(Some(CCursorRange::one(end)));
            state.store(ui.ctx(), id);
        }
        let field = TextEdit::singleline(&mut self.text)
            .id(id)
            .font(mono(size))
            .frame(Frame::NONE)
            .margin(Margin::ZERO)
            .desired_width(rect.width());
        // As high as its type, so that the text stands where it stood before.
        let high = ui.fonts_mut(|fonts| fonts.row_height(&mono(size)));
        let place = Rect::from_center_size(rect.center(), vec2(rect.width(), high));
        let response = ui.put(place, field).accessible_name(format!("Text of line {line}"));
        if std::mem::replace(&mut self.fresh, false) {
            response.request_focus();
            ui.request_repaint();
        } else if response.lost_focus() {
            actions.push(Action::Program(Ask::Leave));
        }
        if response.changed() {
            actions.push(Action::Program(Ask::Type(self.text.clone())));
        }
    }
}

/// What the keys that go to another line ask for. Escape takes the keyboard away by itself.
fn keys(ui: &Ui, line: u32, lines: u32) -> Option<Ask> {
    ui.input_mut(|input| {
        let mut pressed = |key| input.consume_key(Modifiers::NONE, key);
        if pressed(Key::Enter) || pressed(Key::ArrowDown) {
            return Some(if line < lines { Ask::Edit(line + 1) } else { Ask::Leave });
        }
        (pressed(Key::ArrowUp) && line > 1).then(|| Ask::Edit(line - 1))
    })
}
