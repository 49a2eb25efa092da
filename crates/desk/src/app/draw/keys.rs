//! What the keys do on the sheet.

use blockwright_core::sketch::{Edit, Hit};
use eframe::egui::{Event, Key, Response, Ui};

use super::hand::Tool;
use super::sheet::Sheet;
use super::under::Under;
use super::{Ask, tools};
use crate::app::act::Action;

/// Enter ends, Escape leaves what is started, Backspace takes the last vertex back, Delete takes the picked one out;
/// a digit begins the length of the span being drawn.
pub(super) fn keys(sheet: &mut Sheet, ui: &Ui, response: &Response, actions: &mut Vec<Action>) {
    let focused = ui.ctx().memory(eframe::egui::Memory::focused);
    let elsewhere = focused.is_some_and(|id| id != response.id);
    if elsewhere {
        return;
    }
    let pressed = |key: Key| ui.input(|input| input.key_pressed(key) && input.modifiers.is_none());
    if pressed(Key::Escape) {
        escape(sheet, actions);
    } else if pressed(Key::Enter) && sheet.tool.draws() {
        sheet.take_tool(Tool::Pick);
    } else if pressed(Key::Backspace) {
        back(sheet);
    } else if pressed(Key::Delete) {
        delete_picked(sheet);
    } else if sheet.tool.draws() && sheet.chain().end().is_some() {
        let typed: String = ui.input(|input| {
            let text = |event: &Event| if let Event::Text(text) = event { Some(text.clone()) } else { None };
            input.events.iter().filter_map(text).collect()
        });
        if typed.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-')) {
            sheet.typed.length = typed;
            tools::focus_length(ui.ctx(), sheet.typed.length.chars().count());
        }
    }
}

fn escape(sheet: &mut Sheet, actions: &mut Vec<Action>) {
    if sheet.drag.is_some() || sheet.via.is_some() || sheet.typed.held(sheet.units).any() {
        sheet.leave_started();
    } else if sheet.under.as_ref().is_some_and(Under::is_marking) {
        sheet.under.iter_mut().for_each(Under::stop_marking);
    } else if sheet.tool.draws() {
        sheet.take_tool(Tool::Pick);
    } else if sheet.picked.is_some() {
        sheet.picked = None;
    } else {
        actions.push(Action::Draw(Ask::Leave));
    }
}

fn back(sheet: &mut Sheet) {
    if sheet.via.take().is_some() {
        return;
    }
    let last = sheet.chain().vertices().len().checked_sub(1);
    if let Some(last) = last.filter(|_| !sheet.chain().is_closed()) {
        sheet.edit(&Edit::Delete(last));
    }
}

pub(super) fn delete_picked(sheet: &mut Sheet) {
    if let Some(Hit::Vertex(vertex)) = sheet.picked {
        sheet.picked = None;
        sheet.edit(&Edit::Delete(vertex));
    }
}
