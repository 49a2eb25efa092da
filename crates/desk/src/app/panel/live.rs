//! The line under the picture: where the tool is and what it meets, or the place that the pointer lights.

use blockwright_core::geometry::Point3;
use blockwright_core::proof::Moment;
use blockwright_core::units::{Told, Units, digits};
use blockwright_core::view::Along;
use eframe::egui::{
    Align2, Button, Color32, Painter, Rect, RichText, Role, Sense, Ui, UiBuilder, Vec2, WidgetInfo, pos2,
    vec2,
};

use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::look::{CountedFrom, Look};
use crate::theme::{bold, colour, plain};

/// Height of the line.
pub(in crate::app) const HEIGHT: f32 = 28.0;
/// Between a name and its figure, and between two.
const NEAR: f32 = 4.0;
const APART: f32 = 6.0;
/// Where there is room, two figures stand up to this much farther apart.
const FARTHER: f32 = 14.0;
const TYPE: f32 = 11.0;
/// Size of the switch from one kind of coordinates to the other.
const SWITCH: Vec2 = vec2(52.0, 24.0);
const SWITCH_TYPE: f32 = 10.5;

/// A figure: its name, what stands there, the widest that may stand there, what it is, and how soon it is left out
/// where there is no room: the last first.
struct Cell {
    name: &'static str,
    value: String,
    widest: &'static str,
    tip: String,
    rank: u8,
}

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let moment = moment(desk, look);
    let units = desk.told();
    let cells = cells(moment.as_ref(), look, units);
    let said: Vec<String> =
        cells.iter().map(|cell| format!("{} {}", cell.name, cell.value).trim_end().to_owned()).collect();
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("Here: {}", said.join(", "))));
    let theme = theme(ui.ctx());
    let painter = ui.painter().with_clip_rect(rect);
    painter.hline(rect.x_range(), rect.bottom() - 0.5, (1.0, colour(theme.line)));
    let width = |text: &str, strong: bool| {
        let font = if strong { bold(TYPE) } else { plain(TYPE) };
        painter.layout_no_wrap(text.to_owned(), font, Color32::PLACEHOLDER).size().x
    };
    let wide = |cell: &Cell| width(cell.name, false) + NEAR + width(cell.widest, true);
    let mut shown: Vec<&Cell> = cells.iter().collect();
    let from = switch(ui, rect, look.origin, actions) + APART;
    let room = rect.right() - APART - from;
    let total = |shown: &[&Cell]| shown.iter().map(|cell| wide(cell) + APART).sum::<f32>() - APART;
    while shown.len() > 1 && total(&shown) > room {
        let Some(least) = shown.iter().map(|cell| cell.rank).max() else { break };
        shown.retain(|cell| cell.rank != least);
    }
    let spare = (room - total(&shown)).max(0.0) / shown.len() as f32;
    let mut x = from;
    for cell in shown {
        let place = Rect::from_min_size(pos2(x, rect.top()), vec2(wide(cell), HEIGHT));
        figure(&painter, place, cell, (colour(theme.quiet), colour(theme.ink)));
        x = place.right() + APART + spare.min(FARTHER);
    }
    let tips: Vec<&str> = cells.iter().map(|cell| cell.tip.as_str()).filter(|tip| !tip.is_empty()).collect();
    response.on_hover_text(tips.join("\n"));
}

/// Whose coordinates X, Y and Z are, and the way to the others; where it ends.
fn switch(ui: &mut Ui, rect: Rect, origin: CountedFrom, actions: &mut Vec<Action>) -> f32 {
    let place = Rect::from_min_size(pos2(rect.left() + APART, rect.top() + 2.0), SWITCH);
    let button = Button::new(RichText::new(origin.word()).size(SWITCH_TYPE)).min_size(SWITCH);
    // In a place of its own: the line takes no more room for it.
    let mut own = ui.new_child(UiBuilder::new().max_rect(place));
    own.spacing_mut().button_padding.x = 3.0;
    let button = own.put(place, button).on_hover_text(origin.tip());
    if button.accessible_name(format!("X, Y, Z of the {}: change", origin.word())).clicked() {
        actions.push(Action::CountFrom(origin.other()));
    }
    place.right()
}

fn figure(painter: &Painter, place: Rect, cell: &Cell, (quiet, ink): (Color32, Color32)) {
    let y = place.center().y;
    let name = painter.text(pos2(place.left(), y), Align2::LEFT_CENTER, cell.name, plain(TYPE), quiet);
    // Next to its own name, however short it is: the next name begins where the widest would end.
    painter.text(pos2(name.right() + NEAR, y), Align2::LEFT_CENTER, cell.value.as_str(), bold(TYPE), ink);
}

/// What the pointer lights, or else where the tool is.
fn moment(desk: &Desk, look: &Look) -> Option<Moment> {
    let proof = desk.proof()?;
    match (look.hover, look.along_of(proof)) {
        (Some(hover), Along::Outline) => Moment::at_station(proof, look.pass, hover.value),
        (Some(hover), Along::Path) => Moment::on_path(proof, look.pass, hover.value),
        (None, _) => look.moment(proof),
    }
}

fn cells(moment: Option<&Moment>, look: &Look, units: Told) -> Vec<Cell> {
    let told =
        |value: Option<f64>, write: &dyn Fn(f64) -> String| value.map_or_else(|| "-".to_owned(), write);
    let (plain, fine) = (|value| units.plain(value), |value| units.fine(value));
    let unit = units.plural();
    let tips = moment.map(|m| match look.origin {
        CountedFrom::Block => [m.tip, m.of_program],
        CountedFrom::Program => [m.of_program, m.tip],
    });
    let of = |which: usize, axis: fn(&Point3) -> f64| told(tips.map(|tips| axis(&tips[which])), &plain);
    let cell = |name, value, widest, tip: String, rank| Cell { name, value, widest, tip, rank };
    let long = units.shown() == Units::Mm;
    // One digit more fits into the space between two.
    let wide = if long { "-00.00" } else { "-0.000" };
    // A feed is written to a tenth of an inch, or to a millimeter.
    let steps = if long { 1.0 } else { 10.0 };
    let small = if long { "00.000" } else { ".00000" };
    let (origin, other) = (look.origin.word(), look.origin.other().word());
    let axes = |which: usize, names: [&'static str; 3], word: &str, rank: u8| {
        let tip = format!("X, Y, Z: tip of the tool, {word} coordinates, {unit}");
        [
            cell(names[0], of(which, |p| p.x), wide, tip, rank),
            cell(names[1], of(which, |p| p.y), wide, String::new(), rank),
            cell(names[2], of(which, |p| p.z), wide, String::new(), rank),
        ]
    };
    let own = axes(0, ["X", "Y", "Z"], origin, 0);
    let differ = tips.is_some_and(|[one, two]| one != two);
    let others = differ.then(|| axes(1, look.origin.other().names(), other, 6));
    let whose = cell(
        if look.hover.is_some() { "pointer" } else { "tool" },
        String::new(),
        "",
        "tool, pointer: whose place it is".to_owned(),
        0,
    );
    let rest = [
        cell(
            "left",
            told(moment.and_then(|m| m.left), &fine),
            small,
            format!("left: stock left there after the pass, {unit}"),
            0,
        ),
        cell(
            "cut",
            told(moment.and_then(|m| m.cut), &fine),
            small,
            format!("cut: stock taken, square to the line, {unit}"),
            1,
        ),
        cell(
            "feed",
            told(moment.and_then(|m| m.feed), &|feed| {
                digits((feed * units.factor() * steps).round() / steps)
            }),
            if long { "0000" } else { "00.0" },
            format!("feed: {unit} per minute"),
            4,
        ),
        cell(
            "chip",
            told(moment.and_then(|m| m.chip_load), &fine),
            ".0000",
            format!("chip: feed per tooth, {unit}"),
            5,
        ),
        cell(
            "line",
            moment.map_or_else(|| "-".to_owned(), |m| m.line.to_string()),
            "0000",
            "line: of the program".to_owned(),
            3,
        ),
        cell(
            "station",
            told(moment.and_then(|m| m.station), &plain),
            if long { "000.00" } else { "00.000" },
            format!("station: distance along the outline, {unit}"),
            2,
        ),
    ];
    std::iter::once(whose).chain(own).chain(others.into_iter().flatten()).chain(rest).collect()
}
