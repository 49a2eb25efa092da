//! Over the picture: which one it is, and what can be done with it.

use std::sync::Arc;

use crate::app::number::{self, Style};
use blockwright_core::proof::Proof;
use blockwright_core::units::Told;
use eframe::egui::{Align, Button, Checkbox, Frame, Label, Layout, Margin, RichText, ScrollArea, Slider, Ui};

use super::{Ask, Centre, Shown};
use crate::app::act::{Action, theme};
use crate::app::canvas::PlanCanvas;
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::keep;
use crate::app::look::Look;
use crate::app::mark;
use crate::app::panel::words::quiet;
use crate::app::panes::{self, Shown as ShownPanes};
use crate::app::wall;
use crate::theme::{QUIET, colour, show_rails};

/// Narrower than this, what can be done has a row of its own; wall and block have more of it.
const ONE_ROW: f32 = 640.0;
const ONE_ROW_OF_WALL: f32 = 780.0;
const ONE_ROW_OF_BLOCK: f32 = 840.0;
/// Narrower than this, there is no room for words beside the buttons.
const TIGHT: f32 = 470.0;
/// Width kept for what stands beside the slider of the station.
const BESIDE_SLIDER: f32 = 176.0;

/// The switch: word, command and what it shows.
const SWITCH: [(&str, Command, Shown); 3] = [
    ("Plan", Command::ShowPlan, Shown::Plan),
    ("Wall", Command::ShowWall, Shown::Wall),
    ("Block", Command::ShowBlock, Shown::Block),
];

pub(super) fn show(
    ui: &mut Ui,
    (desk, look, panes): (&Desk, &Look, ShownPanes),
    centre: &mut Centre,
    actions: &mut Vec<Action>,
) {
    let colours = theme(ui.ctx());
    let frame = Frame::new().fill(colour(colours.panel)).inner_margin(Margin::symmetric(12, 3));
    frame.show(ui, |ui| {
        ui.spacing_mut().item_spacing = [6.0, 2.0].into();
        let needed = match look.centre.shown {
            Shown::Plan => ONE_ROW,
            Shown::Wall => ONE_ROW_OF_WALL,
            Shown::Block => ONE_ROW_OF_BLOCK,
        };
        let one_row = ui.available_width() >= needed;
        let tight = ui.available_width() < TIGHT;
        let controls = |ui: &mut Ui, centre: &mut Centre, actions: &mut Vec<Action>| match look.centre.shown {
            Shown::Plan => of_plan(ui, (desk, look), &centre.plan, actions),
            Shown::Wall => of_wall(ui, (desk, look), centre, actions),
            Shown::Block => of_block(ui, (desk, look), tight, actions),
        };
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.scope(|ui| {
                    ui.spacing_mut().item_spacing.x = 2.0;
                    panes::buttons(ui, panes, actions);
                });
                ui.add_space(4.0);
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    switch(ui, look, actions);
                    if one_row {
                        ui.add_space(14.0);
                        controls(ui, centre, actions);
                    }
                    ui.take_available_width();
                });
            });
        });
        if !one_row {
            ScrollArea::horizontal().id_salt("controls").auto_shrink([false, true]).show(ui, |ui| {
                ui.horizontal(|ui| controls(ui, centre, actions));
            });
        }
        if look.centre.shown == Shown::Wall
            && let Some(proof) = desk.proof()
        {
            figures(ui, proof, look, centre);
        }
    });
}

fn switch(ui: &mut Ui, look: &Look, actions: &mut Vec<Action>) {
    for (word, command, shown) in SWITCH {
        let button = ui.add(Button::selectable(look.centre.shown == shown, word));
        let button = button.on_hover_text(command.tooltip()).accessible_name(command.label());
        if button.clicked() {
            actions.push(Action::Do(command));
        }
    }
}

fn ask(ui: &mut Ui, command: Command, word: &str, actions: &mut Vec<Action>) {
    let button = ui.add(Button::new(word)).on_hover_text(command.tooltip());
    if button.accessible_name(command.label()).clicked() {
        actions.push(Action::Do(command));
    }
}

fn of_plan(ui: &mut Ui, (desk, look): (&Desk, &Look), plan: &PlanCanvas, actions: &mut Vec<Action>) {
    if let Some(sketch) = &look.centre.sketch {
        keep::controls(ui, sketch, actions);
        return;
    }
    ask(ui, Command::Fit, "Show all", actions);
    ask(ui, Command::FinerHere, "Refine…", actions);
    ask(ui, Command::KeepClear, "Clamp area…", actions);
    if let Some(words) = plan.finer.words(desk.told()) {
        ui.add(Label::new(quiet(words, &theme(ui.ctx()))).truncate());
    }
}

fn of_wall(ui: &mut Ui, (desk, look): (&Desk, &Look), centre: &mut Centre, actions: &mut Vec<Action>) {
    if let Some(proof) = desk.proof()
        && let Some(outline) = &proof.outline
    {
        ui.label(quiet("Station", &theme(ui.ctx())));
        let before = look.centre.station_on(proof);
        let mut station = before;
        typed(ui, &mut station, proof.told);
        show_rails(ui);
        ui.spacing_mut().slider_width = (ui.available_width() - BESIDE_SLIDER).clamp(80.0, 420.0);
        let slider = Slider::new(&mut station, 0.0..=outline.length()).show_value(false);
        let slider = ui.add(slider).accessible_name("Station of the wall");
        centre.slider = Some(slider.id);
        if station != before {
            actions.push(Ask::Station(station).into());
        }
    }
    let mut every = look.centre.every_tool;
    let is_marked =
        desk.proof().is_some_and(|proof| mark::marked(desk.job(), look.centre.station_on(proof)).is_some());
    let button =
        ui.add(Button::selectable(is_marked, "In record")).on_hover_text(Command::MarkWall.tooltip());
    if button.accessible_name(Command::MarkWall.label()).clicked() {
        actions.push(Action::Do(Command::MarkWall));
    }
    let tools = ui.add(Checkbox::new(&mut every, "all tools"));
    if tools.on_hover_text("Show the cutters of all passes up to the selected one").changed() {
        actions.push(Ask::EveryTool(every).into());
    }
}

fn typed(ui: &mut Ui, station: &mut f64, units: Told) {
    let style = Style::length(units).speed(units.pick(0.005, 0.1)).decimals(4).before("");
    let field = number::drawn(ui, station, style, |field| {
        field.custom_formatter(move |value, _| units.shown().plain(value))
    });
    field.accessible_name("Station, type a value");
}

/// The heights at the station in words, in one line that scrolls where it is too long.
fn figures(ui: &mut Ui, proof: &Arc<Proof>, look: &Look, centre: &Centre) {
    let theme = theme(ui.ctx());
    let pass = look.pass;
    let scroll = ScrollArea::horizontal().id_salt("heights").auto_shrink([false, true]);
    scroll.show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            ui.label(quiet(format!("After pass {}:", pass + 1), &theme));
            let Some((station, heights)) = centre.wall.heights(proof, pass) else { return };
            for (name, value) in wall::figures(station, &heights, proof.told) {
                ui.label(quiet(name, &theme));
                ui.label(RichText::new(value).size(QUIET).strong());
                ui.add_space(7.0);
            }
        });
    });
}

fn of_block(ui: &mut Ui, (desk, look): (&Desk, &Look), tight: bool, actions: &mut Vec<Action>) {
    let sides = [
        (Command::FromAbove, "above"),
        (Command::FromFront, "front"),
        (Command::FromSide, "side"),
        (Command::FromCorner, "corner"),
    ];
    let words = |ui: &mut Ui, words: &str| {
        if !tight {
            ui.label(quiet(words, &theme(ui.ctx())));
        }
    };
    words(ui, "From");
    for (command, word) in sides {
        ask(ui, command, word, actions);
    }
    ui.add_space(if tight { 4.0 } else { 10.0 });
    words(ui, "Color by");
    let outline = desk.proof().is_some_and(|proof| proof.outline.is_some());
    for (by_leave, word, name) in
        [(false, "pass", "Color the block by pass"), (true, "stock left", "Color the block by stock left")]
    {
        let button = Button::selectable(look.centre.by_leave == by_leave, word);
        let button = ui.add_enabled(!by_leave || outline, button);
        let button = button.on_disabled_hover_text("The job has no outline").accessible_name(name);
        if button.clicked() {
            actions.push(Ask::ByLeave(by_leave).into());
        }
    }
}
