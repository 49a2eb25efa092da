//! The mark of the station on the plan: it can be taken and carried round the block.

use blockwright_core::geometry::Path;
use blockwright_core::view::{self, Theme, Viewport};
use eframe::egui::{CursorIcon, Painter, Pos2, Rect, Response, Ui, pos2};

use crate::paint::Canvas;

/// How far from the mark a hand still takes it, points.
const REACH: f32 = 12.0;
/// From the station to where the mark is taken, points outward.
const HANDLE: f32 = 40.0;

/// The mark.
#[derive(Debug, Default)]
pub(in crate::app) struct StationMark {
    canvas: Canvas,
    key: Option<(f64, Viewport, Theme)>,
    held: bool,
}

impl StationMark {
    /// Draws the mark; returns the station it was carried to, if it is being carried.
    pub(in crate::app) fn show(
        &mut self,
        ui: &Ui,
        (painter, rect, response): (&Painter, Rect, &Response),
        (outline, station): (&Path, f64),
        viewport: &Viewport,
        theme: &Theme,
    ) -> Option<f64> {
        let key = (station, *viewport, *theme);
        if self.key != Some(key) {
            self.canvas.set(&view::section_mark(outline, station, viewport, theme));
            self.key = Some(key);
        }
        self.canvas.paint(painter, rect.min);
        let handle = handle(outline, station, viewport, rect);
        let near = |at: Pos2| at.distance(handle) <= REACH;
        if response.drag_started() {
            self.held = ui.input(|input| input.pointer.press_origin()).is_some_and(near);
        }
        if response.hover_pos().is_some_and(near) || self.held {
            ui.set_cursor_icon(if self.held { CursorIcon::Grabbing } else { CursorIcon::Grab });
        }
        if !response.dragged() && !response.drag_stopped() {
            self.held = false;
        }
        let at = response.interact_pointer_pos().filter(|_| self.held)?;
        Some(outline.nearest(viewport.to_block([at.x - rect.min.x, at.y - rect.min.y])))
    }

    /// Whether it is being carried.
    pub(in crate::app) fn is_held(&self) -> bool {
        self.held
    }
}

/// Where the mark is taken.
fn handle(outline: &Path, station: f64, viewport: &Viewport, rect: Rect) -> Pos2 {
    let place = outline.place(station);
    let [x, y] = viewport.to_view(place.at);
    let (dx, dy) = (place.outward.x as f32 * HANDLE, -(place.outward.y as f32) * HANDLE);
    pos2(rect.left() + x + dx, rect.top() + y + dy)
}
