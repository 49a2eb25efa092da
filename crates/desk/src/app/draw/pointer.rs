//! The canvas of the sheet: what the pointer does to the path.

use blockwright_core::geometry::{Path, Point, Span};
use blockwright_core::sketch::{self, Around, Chain, Edit, Hit, Mark, Snapped, hit, snap};
use blockwright_core::view::Viewport;
use eframe::egui::{CursorIcon, PointerButton, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo};

use super::hand::{Drag, Side, Tool};
use super::keys::keys;
use super::paint::paint;
use super::sheet::Sheet;
use crate::app::act::Action;
use crate::app::canvas;

/// How far the pointer reaches, points.
const REACH: f64 = 9.0;

/// What the pointer makes of the canvas in one frame.
#[derive(Debug, Default)]
pub(super) struct Made {
    pub(super) started: Vec<Span>,
    pub(super) under: Option<Hit>,
    pub(super) snapped: Option<Snapped>,
    /// The path as it will be when what is dragged is let go.
    pub(super) preview: Option<Chain>,
}

pub(super) fn canvas(
    sheet: &mut Sheet,
    ui: &mut Ui,
    other: Option<&Path>,
    busy: bool,
    actions: &mut Vec<Action>,
) {
    let rect = ui.available_rect_before_wrap();
    let response = ui.interact(rect, Sheet::canvas_id(), Sense::click_and_drag());
    ui.advance_cursor_after_rect(rect);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Drawing sheet"));
    sheet.size = rect.size();
    if sheet.seen.is_none() || sheet.fitted.is_some_and(|size| size != sheet.size) {
        sheet.fit(other);
    }
    let Some(viewport) = sheet.viewport() else { return };
    if !busy {
        keys(sheet, ui, &response, actions);
    }
    let made = work(sheet, ui, &response, rect, viewport, other);
    if sheet.drag.is_none()
        && let Some(seen) = canvas::moved(ui, &response, rect, viewport)
    {
        sheet.see(seen);
    }
    paint(sheet, ui, rect, &made, viewport, other);
}

/// Does what the pointer asks for.
fn work(
    sheet: &mut Sheet,
    ui: &Ui,
    response: &Response,
    rect: Rect,
    viewport: Viewport,
    other: Option<&Path>,
) -> Made {
    let block = |at: Pos2| viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]);
    let reach = REACH / viewport.scale;
    let over = response.hover_pos().or_else(|| response.interact_pointer_pos());
    let Some(p) = over.map(block) else { return Made::default() };
    let clicked = response.clicked() && response.interact_pointer_pos().is_some();
    if let Some(under) = sheet.under.as_mut().filter(|under| under.is_marking()) {
        if clicked {
            under.mark(p);
        }
        sheet.pointer = Some(p);
        return Made::default();
    }
    if sheet.tool.draws() {
        ui.set_cursor_icon(CursorIcon::Crosshair);
        return draw(sheet, p, reach, clicked, other);
    }
    sheet.pointer = Some(p);
    let under = hit(sheet.chain(), p, reach);
    if response.drag_started_by(PointerButton::Primary) {
        let pressed = ui.input(|input| input.pointer.press_origin()).map_or(p, block);
        sheet.drag = hit(sheet.chain(), pressed, reach).map(|hit| Drag { hit, from: pressed });
    }
    if let Some(drag) = sheet.drag {
        return dragged(sheet, drag, p, reach, response.drag_stopped(), other);
    }
    if under.is_some() {
        ui.set_cursor_icon(CursorIcon::PointingHand);
    }
    if response.double_clicked()
        && let Some(Hit::Span { span, part }) = under
    {
        if sheet.edit(&Edit::Insert { span, part }) {
            sheet.picked = Some(Hit::Vertex(span + 1));
        }
    } else if clicked {
        sheet.picked = under;
        sheet.refused = None;
        if under.is_some() {
            sheet.side = Side::Path;
        }
    }
    Made { under, ..Made::default() }
}

/// Catches the pointer on something.
fn catch(sheet: &Sheet, p: Point, reach: f64, moved: Option<usize>, other: Option<&Path>) -> Snapped {
    let chain = sheet.chain();
    let vertices = chain.vertices();
    let guides: Vec<Point> = match moved {
        Some(vertex) => {
            let count = vertices.len();
            let next = [(vertex + count - 1) % count, (vertex + 1) % count];
            next.iter().filter_map(|index| vertices.get(*index)).map(|vertex| vertex.at).collect()
        }
        None => chain.end().into_iter().chain(vertices.first().map(|first| first.at)).collect(),
    };
    let from = if moved.is_none() { chain.end() } else { None };
    snap(p, &sheet.snapping, &Around { chain, other, from, moved, guides: &guides, reach })
}

fn dragged(sheet: &mut Sheet, drag: Drag, p: Point, reach: f64, done: bool, other: Option<&Path>) -> Made {
    let (edit, snapped) = match drag.hit {
        Hit::Vertex(vertex) => {
            let snapped = catch(sheet, p, reach, Some(vertex), other);
            (Edit::MoveVertex { vertex, to: snapped.at }, Some(snapped))
        }
        Hit::Span { span, .. } => (Edit::MoveSpan { span, by: moved_by(sheet, drag.from, p) }, None),
    };
    if let Some(snapped) = snapped {
        sheet.pointer = Some(snapped.at);
    }
    if done {
        sheet.drag = None;
        sheet.picked = Some(drag.hit);
        sheet.edit(&edit);
        return Made::default();
    }
    Made { preview: sheet.chain().edited(&edit).ok(), snapped, under: Some(drag.hit), ..Made::default() }
}

/// How far a span is moved: by whole steps of the grid while that is caught on.
fn moved_by(sheet: &Sheet, from: Point, p: Point) -> Point {
    let by = p - from;
    match sheet.snapping.grid {
        Some(step) => Point { x: (by.x / step).round() * step, y: (by.y / step).round() * step },
        None => by,
    }
}

/// Draws: shows the span under the pointer, and adds it when clicked.
fn draw(sheet: &mut Sheet, p: Point, reach: f64, clicked: bool, other: Option<&Path>) -> Made {
    let held = sheet.typed.held(sheet.units);
    let caught = catch(sheet, p, reach, None, other);
    let snapped = match sheet.chain().end().filter(|_| held.any()) {
        Some(from) => Snapped { at: held.end(from, caught.at), mark: Mark::Free },
        None => caught,
    };
    sheet.pointer = Some(snapped.at);
    if clicked {
        place(sheet, snapped.at);
    }
    Made { started: started(sheet, snapped.at), snapped: Some(snapped), ..Made::default() }
}

/// The bulge of the span to a point with the tool in hand; `None` when it has none yet.
fn bulge_to(sheet: &Sheet, to: Point) -> Option<f64> {
    let from = sheet.chain().end()?;
    match sheet.tool {
        Tool::Pick => None,
        Tool::Line => Some(0.0),
        Tool::Through => sketch::through(from, sheet.via?, to),
        Tool::On => sheet.chain().heading().map_or(Some(0.0), |heading| sketch::tangent(from, heading, to)),
        Tool::Bulge => Some(sheet.bulge),
    }
}

fn started(sheet: &Sheet, to: Point) -> Vec<Span> {
    let Some(from) = sheet.chain().end().filter(|from| *from != to) else { return Vec::new() };
    match (bulge_to(sheet, to), sheet.via) {
        (Some(bulge), _) => vec![Span::with_bulge(from, to, bulge)],
        (None, Some(via)) => vec![Span::Line { from, to: via }, Span::Line { from: via, to }],
        (None, None) => vec![Span::Line { from, to }],
    }
}

/// Puts the next point of what is being drawn.
pub(super) fn place(sheet: &mut Sheet, at: Point) {
    let begins = sheet.chain().is_empty();
    if !begins && !sheet.chain().is_closed() && sheet.tool == Tool::Through && sheet.via.is_none() {
        sheet.leave_started();
        sheet.via = Some(at);
        return;
    }
    let bulge = if begins { Some(0.0) } else { bulge_to(sheet, at) };
    let Some(bulge) = bulge.or(sheet.chain().is_closed().then_some(0.0)) else {
        sheet.refused = Some(sketch::Refused::NoArc.message(sheet.units));
        return;
    };
    if sheet.edit(&Edit::Add { to: at, bulge }) {
        sheet.leave_started();
        if sheet.chain().is_closed() {
            sheet.take_tool(Tool::Pick);
        }
    }
}
