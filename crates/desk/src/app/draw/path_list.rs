//! The panel beside the canvas: vertices, what is picked, and what is wrong.

use blockwright_core::geometry::{Point, Span, pt};
use blockwright_core::sketch::{Edit, Hit};
use blockwright_core::units::fixed;
use eframe::egui::{Align2, Button, Grid, RichText, ScrollArea, Sense, Ui, vec2};

use super::Target;
use super::field::{self, Digits};
use super::hand::{Side, Tool};
use super::keys::delete_picked;
use super::sheet::Sheet;
use super::tools::picked_vertex;
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::panel::words::{heading, quiet, sentence_start};
use crate::theme::{QUIET, colour, plain};

/// Height of a row of the table.
const ROW: f32 = 24.0;

pub(super) fn show(sheet: &mut Sheet, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        for (side, name) in
            [(Side::Path, "Path"), (Side::Measured, "Measured points"), (Side::Picture, "Tracing")]
        {
            if ui.add(Button::selectable(sheet.side == side, name)).clicked() {
                sheet.side = side;
            }
        }
    });
    ui.add_space(2.0);
    match sheet.side {
        Side::Path => path(sheet, ui, desk),
        Side::Measured => super::measured::show(sheet, ui),
        Side::Picture => super::under::show(sheet, ui, actions),
    }
}

fn path(sheet: &mut Sheet, ui: &mut Ui, desk: &Desk) {
    let colours = theme(ui.ctx());
    let chain = sheet.chain();
    let count = chain.vertices().len();
    let length = sheet.units.fine_with_unit(chain.length());
    let area = chain.path().map(|path| sheet.units.plain(path.area()));
    let area = area.map(|area| format!(", {area} {}²", sheet.units.short())).unwrap_or_default();
    let vertices = if count == 1 { "vertex" } else { "vertices" };
    ui.label(quiet(format!("{count} {vertices}, {length} long{area}"), &colours));
    if sheet.folded {
        let words = "The edge is drawn where the blank lies now. When you use it, that becomes the blank's \
                    place.";
        ui.label(quiet(words, &colours));
    }
    if sheet.target() == Target::Edge && desk.job().blank.is_none() {
        blank(sheet, ui);
    }
    troubles(sheet, ui);
    picked(sheet, ui);
    table(sheet, ui);
}

/// What else a blank needs, where the job has none.
fn blank(sheet: &mut Sheet, ui: &mut Ui) {
    let digits = Digits::of(sheet.units);
    Grid::new("blank of the edge").num_columns(2).show(ui, |ui| {
        for (name, value) in ["Top of the blank", "Thickness"].into_iter().zip(&mut sheet.blank) {
            ui.label(name);
            if let Some(typed) = field::number(ui, name, *value, digits) {
                *value = typed;
            }
            ui.end_row();
        }
    });
    sheet.blank[1] = sheet.blank[1].max(sheet.units.pick(0.001, 0.02));
}

fn troubles(sheet: &mut Sheet, ui: &mut Ui) {
    // While it is drawn, a path is open and need not be told so.
    if sheet.tool.draws() {
        return;
    }
    let mut go = None;
    for (index, trouble) in sheet.troubles().iter().enumerate().take(8) {
        let words = format!("{}  {}", index + 1, sentence_start(&trouble.message(sheet.units)));
        if ui.link(words).on_hover_text("Show the place").clicked() {
            go = trouble.at();
        }
    }
    if let (Some(at), Some(seen)) = (go, sheet.viewport()) {
        sheet.see(blockwright_core::view::Viewport { centre: at, ..seen });
    }
}

fn picked(sheet: &mut Sheet, ui: &mut Ui) {
    let colours = theme(ui.ctx());
    match sheet.picked {
        None => {}
        Some(Hit::Vertex(index)) => {
            ui.separator();
            heading(ui, &colours, &format!("Vertex {}", index + 1));
            vertex(sheet, ui, index);
        }
        Some(Hit::Span { span, part }) => {
            ui.separator();
            heading(ui, &colours, &format!("Span {}", span + 1));
            one_span(sheet, ui, span, part);
        }
    }
    ui.separator();
}

fn vertex(sheet: &mut Sheet, ui: &mut Ui, index: usize) {
    ui.horizontal(|ui| {
        let corner = sheet.chain().round(index).is_some();
        let fillet = ui.add_enabled(corner, Button::new("Round with radius"));
        if fillet.clicked() {
            let radius = sheet.fillet;
            if sheet.edit(&Edit::Fillet { vertex: index, radius }) {
                sheet.picked = None;
            }
        }
        if let Some(radius) = field::number(ui, "Radius of the corner", sheet.fillet, Digits::of(sheet.units))
        {
            sheet.fillet = radius.abs();
        }
    });
    ui.horizontal_wrapped(|ui| {
        if ui.button("Delete").on_hover_text("Delete the vertex").clicked() {
            delete_picked(sheet);
        }
        let first = ui.add_enabled(sheet.chain().is_closed() && index > 0, Button::new("Make it the first"));
        if first.on_hover_text("Stations along the outline begin at the first vertex").clicked()
            && sheet.edit(&Edit::BeginAt(index))
        {
            sheet.picked = Some(Hit::Vertex(0));
        }
    });
}

fn one_span(sheet: &mut Sheet, ui: &mut Ui, index: usize, part: f64) {
    let Some(span) = sheet.chain().span(index) else { return };
    let chord = span.at(1.0) - span.at(0.0);
    let (length, angle) = (chord.length(), chord.angle().to_degrees());
    let digits = Digits::of(sheet.units);
    let mut edit = None;
    Grid::new("span").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        let names = match span {
            Span::Line { .. } => ["Length", "Angle"],
            Span::Arc(_) => ["Chord", "Angle of the chord"],
        };
        ui.label(names[0]);
        if let Some(length) = field::number(ui, names[0], length, digits) {
            edit = Some(Edit::Reach { span: index, length, angle });
        }
        ui.end_row();
        ui.label(names[1]);
        if let Some(angle) = field::number(ui, names[1], angle, Digits::ANGLE) {
            edit = Some(Edit::Reach { span: index, length, angle });
        }
        ui.end_row();
        if let Span::Arc(arc) = span {
            ui.label("Radius");
            if let Some(radius) = field::number(ui, "Radius", arc.radius, digits) {
                edit = Some(Edit::Radius { span: index, radius });
            }
            ui.end_row();
        }
        ui.label("Bulge");
        let bulge = sheet.chain().vertices().get(index).map_or(0.0, |vertex| vertex.bulge);
        if let Some(bulge) = field::number(ui, "Bulge of the span", bulge, Digits::BULGE) {
            edit = Some(Edit::Bulge { span: index, bulge });
        }
        ui.end_row();
    });
    ui.horizontal_wrapped(|ui| {
        if ui.button("Vertex here").on_hover_text("Add a vertex where you clicked the span").clicked() {
            edit = Some(Edit::Insert { span: index, part });
        }
        if ui.button("Vertex in the middle").on_hover_text("Add a vertex in the middle of the span").clicked()
        {
            edit = Some(Edit::Insert { span: index, part: 0.5 });
        }
        let open = ui.add_enabled(sheet.chain().is_closed(), Button::new("Open here"));
        if open.on_hover_text("Delete the span; the path is open there").clicked() {
            edit = Some(Edit::OpenAt(index));
        }
    });
    if let Some(edit) = edit {
        let moves = !matches!(edit, Edit::Reach { .. } | Edit::Bulge { .. } | Edit::Radius { .. });
        if sheet.edit(&edit) && moves {
            sheet.picked = None;
        }
    }
}

/// Every vertex with its X and Y, which can be typed, and what starts there.
fn table(sheet: &mut Sheet, ui: &mut Ui) {
    let colours = theme(ui.ctx());
    let (mut moved, mut picked) = (None, None);
    let now = picked_vertex(sheet);
    let digits = Digits::of(sheet.units);
    let (head, _) = ui.allocate_exact_size(vec2(ui.available_width(), 16.0), Sense::hover());
    for (words, from) in [("Vertex", 0.0), ("X", 50.0), ("Y", 120.0)] {
        let at = head.left_center() + vec2(from, 0.0);
        ui.painter().text(at, Align2::LEFT_CENTER, words, plain(QUIET), colour(colours.quiet));
    }
    ScrollArea::vertical().id_salt("vertices").auto_shrink(false).show_rows(
        ui,
        ROW,
        sheet.chain().vertices().len(),
        |ui, rows| {
            for index in rows {
                let Some(vertex) = sheet.chain().vertices().get(index).copied() else { continue };
                ui.horizontal(|ui| {
                    ui.set_min_height(ROW);
                    let number = RichText::new(format!("{}", index + 1));
                    let button = Button::selectable(now == Some(index), number).min_size([34.0, 0.0].into());
                    if ui.add(button).on_hover_text("Select this vertex").clicked() {
                        picked = Some(index);
                    }
                    let name = |axis: &str| format!("{axis} of vertex {}", index + 1);
                    if let Some(x) = field::number(ui, &name("X"), vertex.at.x, digits) {
                        moved = Some((index, pt(x, vertex.at.y)));
                    }
                    if let Some(y) = field::number(ui, &name("Y"), vertex.at.y, digits) {
                        moved = Some((index, pt(vertex.at.x, y)));
                    }
                    if vertex.bulge != 0.0 {
                        let arc = format!("arc {}°", fixed(4.0 * vertex.bulge.atan().to_degrees(), 1));
                        ui.label(RichText::new(arc).size(QUIET).color(colour(colours.quiet)));
                    }
                });
            }
        },
    );
    if let Some(vertex) = picked {
        sheet.take_tool(Tool::Pick);
        sheet.picked = Some(Hit::Vertex(vertex));
    }
    if let Some((vertex, to)) = moved {
        move_to(sheet, vertex, to);
    }
}

fn move_to(sheet: &mut Sheet, vertex: usize, to: Point) {
    sheet.edit(&Edit::MoveVertex { vertex, to });
}
