//! The sheet painted: paper, the picture under it, the drawing, and what is written beside the pointer.

use blockwright_core::geometry::Path;
use blockwright_core::units::fixed;
use blockwright_core::view::{self, SheetState, Theme, Viewport};
use eframe::egui::{Align2, Painter, Rect, Ui, vec2};

use super::hand::Side;
use super::pointer::Made;
use super::sheet::Sheet;
use crate::app::act::theme;
use crate::theme::{TYPE, colour, plain};

pub(super) fn paint(
    sheet: &mut Sheet,
    ui: &Ui,
    rect: Rect,
    made: &Made,
    viewport: Viewport,
    other: Option<&Path>,
) {
    let colours = theme(ui.ctx());
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 0.0, colour(colours.paper));
    if let Some(under) = &mut sheet.under {
        under.paint(&painter, rect, &viewport);
    }
    let points = sheet.measured.points();
    let name = sheet.other_name();
    let mut started = made.started.clone();
    if sheet.side == Side::Measured {
        started.extend(sheet.measured.spans());
    }
    let state = SheetState {
        chain: made.preview.as_ref().unwrap_or(sheet.chain()),
        other: other.map(|path| (path, name)),
        started: &started,
        picked: sheet.picked,
        under: made.under,
        snapped: made.snapped,
        troubles: if made.preview.is_some() || sheet.tool.draws() { &[] } else { sheet.troubles() },
        measured: (&points, sheet.measured.radius()),
        units: sheet.units,
    };
    let drawing = view::sheet(&state, &viewport, &colours);
    sheet.canvas.set(&drawing);
    sheet.canvas.paint(&painter, rect.min);
    if let Some(under) = &sheet.under {
        under.paint_marks(&painter, rect, &viewport, &colours);
    }
    if !made.started.is_empty() {
        tell_started(sheet, &painter, rect, &viewport, &colours);
    }
}

/// Writes length and angle of the span being drawn beside the pointer, on the side away from the span.
fn tell_started(sheet: &Sheet, painter: &Painter, rect: Rect, viewport: &Viewport, colours: &Theme) {
    let (Some(from), Some(to)) = (sheet.chain().end(), sheet.pointer) else { return };
    let chord = to - from;
    let length = sheet.units.fine_with_unit(chord.length());
    let words = format!("{length}  {}°", fixed(chord.angle().to_degrees(), 2));
    let [x, y] = viewport.to_view(to);
    let (dx, anchor) =
        if chord.x < 0.0 { (-16.0, Align2::RIGHT_CENTER) } else { (16.0, Align2::LEFT_CENTER) };
    let galley = painter.layout_no_wrap(words, plain(TYPE), colour(colours.ink));
    let room = anchor.anchor_size(rect.min + vec2(x + dx, y - 16.0), galley.size()).expand2(vec2(5.0, 2.0));
    painter.rect_filled(room, 3.0, colour(colours.panel).gamma_multiply(0.9));
    painter.galley(room.shrink2(vec2(5.0, 2.0)).min, galley, colour(colours.ink));
}
