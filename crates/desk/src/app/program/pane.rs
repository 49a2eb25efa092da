//! The pane with the program of the picked pass. Only the rows in sight are looked at, whatever the length of the text.

use std::sync::Arc;

use blockwright_core::view::Theme;
use eframe::egui::{
    Align, Button, Frame, Id, Key, Label, Layout, Margin as Around, Modifiers, Rect, RichText, Sense,
    TextEdit, Ui, pos2, vec2,
};

use super::super::act::{Action, theme};
use super::super::command::Command;
use super::super::desk::Desk;
use super::super::look::Look;
use super::super::panel::words::{edited, quiet};
use super::Ask;
use super::find::{Finder, Place};
use super::margin::Margin;
use super::row::{Columns, ROW, Row, SIZE};
use super::scroll::{BAR, Scroll};
use super::sheet::Sheet;
use super::typing::Typing;
use crate::theme::{QUIET, TYPE, bold, colour};
use crate::worker::Wake;

/// Room that the mark of an edited program takes.
const EDITED: f32 = 58.0;

/// Room at the sides of what stands over the text.
const SIDE: i8 = 16;

/// What of the programs is looked at, and how.
#[derive(Debug, Default)]
pub(in crate::app) struct Pane {
    pub(super) typing: Option<Typing>,
    pub(super) finder: Option<Finder>,
    /// The search field is to be given the keyboard.
    pub(super) ask_find: bool,
    scroll: Scroll,
    /// How far long lines are moved to the left, points.
    side: f32,
    margin: Margin,
    /// Sheet and line that were brought into sight last.
    seen: Option<(usize, u32)>,
}

impl Pane {
    /// Draws the pane.
    pub(in crate::app) fn show(
        &mut self,
        ui: &mut Ui,
        (sheets, of_pass): (&[Sheet], &[usize]),
        (desk, look): (&Desk, &Look),
        wake: &Wake,
        actions: &mut Vec<Action>,
    ) {
        let colours = theme(ui.ctx());
        let Some(&index) = of_pass.get(look.pass) else { return };
        let Some(sheet) = sheets.get(index) else { return };
        ui.spacing_mut().item_spacing.y = 0.0;
        head(ui, sheet, &colours, actions);
        if sheet.gone {
            gone(ui, sheet, &colours, actions);
        } else if sheet.posted_again.is_some() {
            notice(ui, sheet, &colours, actions);
        }
        if let Some(finder) = &mut self.finder {
            let program = look.picked(desk.whole_proof()).map(|pass| Arc::clone(&pass.program));
            let read = program.as_ref().map_or(0, |program| Arc::as_ptr(program) as usize);
            let of = (index, sheet.state(), read);
            let (buffer, dialect) = (sheet.buffer().clone(), desk.dialect());
            finder.follow(&Place { buffer, dialect, program, of }, wake);
            let fresh = std::mem::take(&mut self.ask_find);
            search(ui, finder, (fresh, look.line(desk.proof())), &colours, actions);
        }
        self.text(ui, (index, sheet), (desk, look), &colours, actions);
    }

    fn text(
        &mut self,
        ui: &mut Ui,
        (index, sheet): (usize, &Sheet),
        (desk, look): (&Desk, &Look),
        theme: &Theme,
        actions: &mut Vec<Action>,
    ) {
        let rect = ui.available_rect_before_wrap();
        let area = ui.allocate_rect(rect, Sense::hover());
        let (seen, lines) = (f64::from(rect.height() / ROW), sheet.buffer().len());
        self.margin.follow(desk.whole_proof(), look.pass);
        self.bring_into_sight(index, look.line(desk.proof()), seen, lines);
        if ui.rect_contains_pointer(rect) {
            let by = ui.input(eframe::egui::InputState::smooth_scroll_delta);
            self.scroll.by(f64::from(-by.y / ROW), seen, lines);
            self.side -= by.x;
        } else {
            self.scroll.by(0.0, seen, lines);
        }
        ui.painter().rect_filled(rect, 0.0, colour(theme.panel));
        let mut inner = ui.new_child(eframe::egui::UiBuilder::new().max_rect(rect).id_salt("program text"));
        inner.set_clip_rect(rect.intersect(ui.clip_rect()));
        let widest = self.rows(&mut inner, (index, sheet), (desk, look), theme, actions);
        let room = rect.width() - BAR - (Columns::new(ui, 0.0, lines, 0.0).text_in(Rect::ZERO).left());
        self.side = self.side.clamp(0.0, (widest - room + 8.0).max(0.0));
        self.scroll.bar(&mut inner, area.rect, seen, lines, theme);
    }

    /// Follows the tool, the search and the hand, but not the wheel.
    fn bring_into_sight(&mut self, index: usize, line: Option<u32>, seen: f64, lines: usize) {
        let typing = self.typing.as_ref().filter(|typing| typing.sheet == index);
        let Some(line) = typing.map(|typing| typing.index as u32 + 1).or(line) else { return };
        if self.seen != Some((index, line)) {
            self.seen = Some((index, line));
            self.scroll.show(line.saturating_sub(1) as usize, seen, lines);
        }
    }

    /// The rows in sight; the width of the widest text among them.
    fn rows(
        &mut self,
        ui: &mut Ui,
        (index, sheet): (usize, &Sheet),
        (desk, look): (&Desk, &Look),
        theme: &Theme,
        actions: &mut Vec<Action>,
    ) -> f32 {
        let area = ui.max_rect();
        let columns = Columns::new(ui, area.left(), sheet.buffer().len(), self.side);
        let (first, hidden) = (self.scroll.top.floor() as usize, self.scroll.top.fract() as f32);
        let (tool, picked) = (look.tool_line(desk.proof()), look.line(desk.proof()));
        let query = self.finder.as_ref().and_then(Finder::query);
        let found = self.finder.as_ref().map(Finder::found).unwrap_or_default();
        let mut widest: f32 = 0.0;
        let in_sight = (area.height() / ROW).ceil() as usize + 1;
        for (place, bytes) in sheet.buffer().from(first).take(in_sight).enumerate() {
            let line = (first + place) as u32 + 1;
            let top = area.top() + (place as f32 - hidden) * ROW;
            let rect = Rect::from_min_size(pos2(area.left(), top), vec2(area.width(), ROW));
            let typing = self
                .typing
                .as_mut()
                .filter(|typing| typing.sheet == index && typing.index + 1 == line as usize);
            let row = Row {
                line,
                bytes,
                dialect: desk.dialect(),
                current: tool == Some(line),
                picked: picked == Some(line),
                typing: typing.is_some(),
                found: found.binary_search(&line).is_ok(),
                parts: query.map(|query| query.parts(bytes, desk.dialect())).unwrap_or_default(),
                findings: self.margin.at(line),
            };
            widest = widest.max(row.show(ui, rect, columns, theme, actions));
            if let Some(typing) = typing {
                let field = columns.text_in(rect).with_max_x(rect.right() - BAR - 6.0);
                let edge = field.expand2(vec2(4.0, -0.5));
                ui.painter().rect_filled(edge, 3.0, colour(theme.paper));
                let stroke = (1.0, colour(theme.accent));
                ui.painter().rect_stroke(edge, 3.0, stroke, eframe::egui::StrokeKind::Inside);
                typing.show(ui, field, SIZE, sheet, actions);
            }
        }
        widest
    }
}

fn head(ui: &mut Ui, sheet: &Sheet, theme: &Theme, actions: &mut Vec<Action>) {
    Frame::new().inner_margin(Around { left: SIDE, right: SIDE, top: 8, bottom: 6 }).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                let save = sheet.is_edited().then_some((Command::SaveProgram, "Save…"));
                for (command, name) in std::iter::once((Command::Find, "Find")).chain(save) {
                    let button = ui.add(Button::new(name).small()).on_hover_text(command.tooltip());
                    if button.accessible_name(command.label()).clicked() {
                        actions.push(Action::Do(command));
                    }
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let mark = if sheet.differs() { EDITED } else { 0.0 };
                    let words = format!("Program {}", sheet.heading());
                    let words = RichText::new(words).font(bold(TYPE)).color(colour(theme.quiet));
                    // The mark keeps its room; the name gives way.
                    ui.scope(|ui| {
                        ui.set_max_width((ui.available_width() - mark).max(0.0));
                        ui.add(Label::new(words).truncate());
                    });
                    if sheet.differs() {
                        edited(ui, theme);
                    }
                });
            });
        });
    });
}

/// The file was posted again.
fn notice(ui: &mut Ui, sheet: &Sheet, theme: &Theme, actions: &mut Vec<Action>) {
    let Some(stamp) = sheet.posted_again else { return };
    let margin = Around { left: SIDE, right: SIDE, top: 6, bottom: 8 };
    Frame::new().fill(colour(theme.accent_soft)).inner_margin(margin).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 6.0;
        let drops = if sheet.is_edited() { " If you reload, the edits made here are lost." } else { "" };
        let text = format!("{} was posted again at {}.{drops}", sheet.name, stamp.clock());
        ui.add(Label::new(RichText::new(text).size(QUIET)).wrap());
        ui.horizontal(|ui| {
            if ui.button("Reload").on_hover_text("Read the file again and keep the place").clicked() {
                actions.push(Action::Program(Ask::Reload));
            }
            if ui.button("Keep what is shown").clicked() {
                actions.push(Action::Program(Ask::Keep));
            }
        });
    });
}

/// The file is gone.
fn gone(ui: &mut Ui, sheet: &Sheet, theme: &Theme, actions: &mut Vec<Action>) {
    let margin = Around { left: SIDE, right: SIDE, top: 6, bottom: 8 };
    Frame::new().fill(colour(theme.accent_soft)).inner_margin(margin).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 6.0;
        let text = format!("{} is gone from its folder. What is shown is in no file.", sheet.name);
        ui.add(Label::new(RichText::new(text).size(QUIET)).wrap());
        if ui.button("Write it again").on_hover_text("Write the text that is shown into its file").clicked()
            && let Some(file) = &sheet.file
        {
            actions.push(Action::Program(Ask::Replace(file.clone())));
        }
    });
}

/// The row in which one looks for things.
fn search(
    ui: &mut Ui,
    finder: &mut Finder,
    (fresh, picked): (bool, Option<u32>),
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let id = Id::unique("program search");
    let focused = ui.memory(|memory| memory.has_focus(id));
    let pressed = |modifiers, key| focused && ui.input_mut(|input| input.consume_key(modifiers, key));
    // With more keys first, so that the plainer one does not take it.
    if pressed(Modifiers::SHIFT, Key::Enter) {
        actions.push(Action::Do(Command::FindBefore));
    } else if pressed(Modifiers::NONE, Key::Enter) {
        actions.push(Action::Do(Command::FindNext));
    }
    Frame::new().inner_margin(Around { left: SIDE, right: SIDE, top: 0, bottom: 6 }).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let field = TextEdit::singleline(&mut finder.text)
                .id(id)
                .hint_text("Line, word or Z level")
                .desired_width((ui.available_width() - 156.0).max(80.0));
            let field = ui.add(field).accessible_name("Line, word or Z level to find");
            if fresh {
                field.request_focus();
                ui.request_repaint();
            }
            if field.lost_focus() && ui.input(|input| input.key_pressed(Key::Escape)) {
                actions.push(Action::Program(Ask::CloseFind));
            } else if field.changed() {
                actions.push(Action::Program(Ask::Find(finder.text.clone())));
            }
            for (name, command) in [("<", Command::FindBefore), (">", Command::FindNext)] {
                let button = Button::new(name).min_size(vec2(24.0, 0.0));
                let button =
                    ui.add_enabled(!finder.found().is_empty(), button).on_hover_text(command.tooltip());
                if button.accessible_name(command.label()).clicked() {
                    actions.push(Action::Do(command));
                }
            }
            ui.add(Label::new(quiet(finder.words(picked), theme)).truncate());
        });
    });
}
