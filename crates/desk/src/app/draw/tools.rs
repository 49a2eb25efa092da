//! The rows over and under the canvas of the sheet.

use blockwright_core::job::PathSource;
use blockwright_core::sketch::{Edit, Hit};
use blockwright_core::units::fixed;
use eframe::egui::text::{CCursor, CCursorRange};
use eframe::egui::text_edit::TextEditState;
use eframe::egui::{
    Align, Align2, Button, Context, Id, Key, Layout, PopupCloseBehavior, RichText, TextEdit, Ui,
    containers::menu,
};

use super::field::{self, Digits};
use super::hand::{Side, Tool};
use super::pointer;
use super::sheet::Sheet;
use super::{Ask, Target};
use crate::app::act::{Action, theme};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::dialog::Purpose;
use crate::app::panel::words::quiet;
use crate::theme::{TYPE, bold, colour, mono};

impl Tool {
    const fn label(self) -> &'static str {
        match self {
            Self::Pick => "Select and move",
            Self::Line => "Line",
            Self::Through => "3-point arc",
            Self::On => "Tangent arc",
            Self::Bulge => "Arc by bulge",
        }
    }

    const fn tooltip(self) -> &'static str {
        match self {
            Self::Pick => "Click to select, drag to move a vertex or a span; double click to add a vertex",
            Self::Line => "Click from vertex to vertex; a click on the first closes the path",
            Self::Through => "From the last vertex: click a point on the arc, then its end",
            Self::On => "From the last vertex, tangent to the span before it: click the end",
            Self::Bulge => {
                "Type the bulge, the tangent of a quarter of the included angle, then click the end"
            }
        }
    }

    const fn hint(self) -> &'static str {
        match self {
            Self::Pick => "Click to select, drag to move, double click on a span to add a vertex",
            Self::Line | Self::On | Self::Bulge => {
                "Click the next vertex, or type a length and press Enter. Backspace undoes one, Enter \
                finishes"
            }
            Self::Through => "Click a point on the arc, then its end",
        }
    }
}

/// What is being drawn, the tools, and what can be done with the path.
pub(super) fn show(sheet: &mut Sheet, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        let title = match sheet.target() {
            Target::Outline => "Drawing the outline",
            Target::Edge => "Drawing the blank's edge",
        };
        ui.label(RichText::new(title).font(bold(14.0)));
        ui.add_space(6.0);
        bring_in(sheet, ui, desk, actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| finish(sheet, ui, desk, actions));
    });
    ui.horizontal_wrapped(|ui| {
        for tool in Tool::ALL {
            let button = ui.add(Button::selectable(sheet.tool == tool, tool.label()));
            if button.on_hover_text(tool.tooltip()).clicked() {
                sheet.take_tool(tool);
            }
        }
        let open = !sheet.chain().is_closed() && sheet.chain().vertices().len() > 1;
        let close = ui.add_enabled(open, Button::new("Close the path"));
        if close.on_hover_text("A line from the last vertex to the first").clicked()
            && sheet.edit(&Edit::Close { bulge: 0.0 })
        {
            sheet.take_tool(Tool::Pick);
        }
        ui.separator();
        history(sheet, ui, actions);
        if ui.add_enabled(!sheet.chain().is_empty(), Button::new("Clear")).clicked() {
            sheet.edit(&Edit::Clear);
            sheet.take_tool(Tool::Line);
        }
        ui.separator();
        catching(sheet, ui);
    });
}

fn bring_in(sheet: &mut Sheet, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    ui.menu_button("Take from", |ui| {
        if ui.button("A drawing…").on_hover_text(Command::BringIn.tooltip()).clicked() {
            actions.push(Action::Do(Command::BringIn));
            ui.close();
        }
        if ui.button("Measured points").clicked() {
            sheet.side = Side::Measured;
            ui.close();
        }
        ui.menu_button("A pass…", |ui| {
            passes(ui, desk, actions, |index, _| Ask::FromPass(index));
        });
        if sheet.target() == Target::Outline {
            ui.menu_button("A pass, linked…", |ui| {
                ui.label("The outline follows that pass's path whenever its program changes.");
                passes(ui, desk, actions, |_, name| {
                    Ask::Use(Target::Outline, PathSource::FromPass(name.to_owned()), None)
                });
            });
        }
    });
    let picture = ui.button("Picture under the sheet…");
    if picture.on_hover_text("Put a photo or a scan under the sheet and trace over it").clicked() {
        actions.push(Action::Draw(Ask::Path(Purpose::Under)));
        sheet.side = Side::Picture;
    }
}

fn passes(ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>, ask: impl Fn(usize, &str) -> Ask) {
    for (index, pass) in desk.job().passes.iter().enumerate() {
        let button = ui.button(format!("Pass {}: {}", index + 1, pass.name));
        if button.on_hover_text("Its path, moved in by its tool's radius").clicked() {
            actions.push(Action::Draw(ask(index, &pass.name)));
            ui.close();
        }
    }
}

fn finish(sheet: &Sheet, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    if ui.button("Cancel").on_hover_text("Back to the plan; the job stays as it was").clicked() {
        actions.push(Action::Draw(Ask::Leave));
    }
    let finished = sheet.finished();
    let label = match sheet.target() {
        Target::Outline => "Use as outline",
        Target::Edge => "Use as edge",
    };
    let button = ui.add_enabled(finished.is_ok(), Button::new(RichText::new(label).font(bold(13.0))));
    match finished {
        Ok(source) => {
            if button.on_hover_text("Put it into the job and check").clicked() {
                let blank = desk.job().blank.is_none().then_some(sheet.blank);
                actions.push(Action::Draw(Ask::Use(sheet.target(), source, blank)));
            }
        }
        Err(why) => {
            button.on_disabled_hover_text(why);
        }
    }
}

fn history(sheet: &Sheet, ui: &mut Ui, actions: &mut Vec<Action>) {
    let steps = [(Command::Undo, sheet.sketch().undo_words()), (Command::Redo, sheet.sketch().redo_words())];
    for (command, words) in steps {
        let button = ui.add_enabled(words.is_some(), Button::new(command.label()));
        if button.on_hover_text(words.unwrap_or_default()).clicked() {
            actions.push(Action::Do(command));
        }
    }
}

/// What the pointer catches on.
fn catching(sheet: &mut Sheet, ui: &mut Ui) {
    let button = Button::new("Snap to");
    let config = menu::MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    menu::MenuButton::from_button(button).config(config).ui(ui, |ui| {
        let snapping = &mut sheet.snapping;
        for (on, words) in [
            (&mut snapping.ends, "ends"),
            (&mut snapping.middles, "midpoints"),
            (&mut snapping.centres, "centers of arcs"),
            (&mut snapping.square, "square, horizontal and vertical"),
            (&mut snapping.other, "the other path"),
        ] {
            ui.checkbox(on, words);
        }
        let mut grid = snapping.grid.is_some();
        ui.checkbox(&mut grid, "grid, with a step of");
        if let Some(step) = field::number(ui, "Step of the grid", sheet.step, Digits::of(sheet.units)) {
            sheet.step = step.abs().max(sheet.units.pick(1e-4, 1e-3));
        }
        sheet.snapping.grid = grid.then_some(sheet.step);
    });
}

fn length_id() -> Id {
    Id::unique("typed length")
}

/// Gives the field of the length the keyboard, with the cursor behind what has been typed.
pub(super) fn focus_length(ctx: &Context, typed: usize) {
    let mut state = TextEditState::load(ctx, length_id()).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::one(CCursor::new(typed))));
    state.store(ctx, length_id());
    ctx.memory_mut(|memory| memory.request_focus(length_id()));
}

/// Where the pointer is, what is typed of the span being drawn, and what comes next.
pub(super) fn state(sheet: &mut Sheet, ui: &mut Ui) {
    let colours = theme(ui.ctx());
    ui.horizontal(|ui| {
        let [x, y] = match sheet.pointer {
            Some(at) => [at.x, at.y].map(|value| sheet.units.fine(value)),
            None => [const { String::new() }; 2],
        };
        ui.label(RichText::new(format!("X{x:>9}  Y{y:>9}")).font(mono(TYPE)));
        ui.add_space(6.0);
        if sheet.tool.draws() && sheet.chain().end().is_some() {
            typed(sheet, ui);
        }
        if sheet.tool == Tool::Bulge {
            ui.label("Bulge");
            if let Some(bulge) = field::number(ui, "Bulge", sheet.bulge, Digits::BULGE) {
                sheet.bulge = bulge.clamp(-100.0, 100.0);
            }
            let angle = 4.0 * sheet.bulge.atan().to_degrees();
            ui.label(quiet(format!("{}° of arc", fixed(angle, 1)), &colours));
        }
        let marking = sheet.under.as_ref().and_then(super::under::Under::hint);
        match &sheet.refused {
            Some(why) => {
                ui.add(eframe::egui::Label::new(RichText::new(why).color(colour(colours.none))).truncate())
            }
            None => ui.add(
                eframe::egui::Label::new(quiet(marking.unwrap_or(sheet.tool.hint()), &colours)).truncate(),
            ),
        };
    });
}

fn typed(sheet: &mut Sheet, ui: &mut Ui) {
    let label = ui.label("Length");
    let length = TextEdit::singleline(&mut sheet.typed.length)
        .id(length_id())
        .hint_text("free")
        .align(Align2::LEFT_CENTER)
        .desired_width(64.0);
    let length = ui.add(length).labelled_by(label.id);
    let label = ui.label("Angle");
    let angle = TextEdit::singleline(&mut sheet.typed.angle)
        .hint_text("free")
        .align(Align2::LEFT_CENTER)
        .desired_width(64.0);
    let angle = ui.add(angle).labelled_by(label.id);
    let left = length.lost_focus() || angle.lost_focus();
    if left && ui.input(|input| input.key_pressed(Key::Escape)) {
        sheet.leave_started();
    }
    let entered = left && ui.input(|input| input.key_pressed(Key::Enter));
    let held = sheet.typed.held(sheet.units);
    if entered
        && held.any()
        && let Some(from) = sheet.chain().end()
    {
        // Without a length the pointer says how far.
        let toward = sheet.pointer.unwrap_or(from);
        pointer::place(sheet, held.end(from, toward));
    }
}

/// The vertex that is picked.
pub(super) const fn picked_vertex(sheet: &Sheet) -> Option<usize> {
    match sheet.picked {
        Some(Hit::Vertex(vertex)) => Some(vertex),
        _ => None,
    }
}
