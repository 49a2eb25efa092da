//! Keys typed fast go where they belong: a key or a click that moves the keyboard has a frame to itself, so that what was
//! typed before it is taken by the field that it leaves, and what is typed after it by the one that it goes to.

use eframe::egui::{Context, Event, Key, Plugin, RawInput};

/// Input that waits for the next frame.
#[derive(Debug, Default)]
pub(super) struct InTurn {
    waiting: Vec<Event>,
}

impl Plugin for InTurn {
    fn debug_name(&self) -> &'static str {
        "keys in turn"
    }

    fn input_hook(&mut self, ctx: &Context, input: &mut RawInput) {
        let mut events = std::mem::take(&mut self.waiting);
        events.append(&mut input.events);
        self.waiting = split(&mut events);
        input.events = events;
        if !self.waiting.is_empty() {
            ctx.request_repaint();
        }
    }
}

/// Takes off what has to wait.
fn split(events: &mut Vec<Event>) -> Vec<Event> {
    let Some(moves) = events.iter().position(moves_keyboard) else { return Vec::new() };
    let typed =
        |event: &Event| matches!(event, Event::Text(_) | Event::Paste(_) | Event::Key { pressed: true, .. });
    let (before, after) = (events[..moves].iter().any(typed), events[moves + 1..].iter().any(typed));
    match (before, after) {
        (true, _) => events.split_off(moves),
        (false, true) => events.split_off(moves + 1),
        (false, false) => Vec::new(),
    }
}

/// Whether the keyboard may belong to another field after this.
fn moves_keyboard(event: &Event) -> bool {
    match event {
        Event::Key { key, pressed: true, .. } => matches!(key, Key::Tab | Key::Enter | Key::Escape),
        Event::PointerButton { pressed: false, .. } => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use eframe::egui::Modifiers;

    use super::*;

    fn key(key: Key) -> Event {
        Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: Modifiers::NONE }
    }

    #[test]
    fn a_move_of_the_keyboard_has_a_frame_to_itself() {
        let text = |text: &str| Event::Text(text.to_owned());
        let mut events = vec![text("1"), key(Key::Tab), text("2"), key(Key::Tab), text("3")];
        let mut frames = vec![];
        loop {
            let rest = split(&mut events);
            frames.push(events);
            if rest.is_empty() {
                break;
            }
            events = rest;
        }
        assert_eq!(
            frames,
            [vec![text("1")], vec![key(Key::Tab)], vec![text("2")], vec![key(Key::Tab)], vec![text("3")]]
        );
        let mut alone = vec![Event::PointerGone, key(Key::Enter), Event::PointerGone];
        assert!(split(&mut alone).is_empty(), "nothing is typed before or after it");
        assert_eq!(alone.len(), 3);
    }
}
