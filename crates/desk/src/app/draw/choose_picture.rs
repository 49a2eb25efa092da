//! The picture of a drawing that is brought in; a click in it chooses a path.

use blockwright_core::geometry::Bounds;
use blockwright_core::view::{self, OfferState, Theme, Viewport};
use eframe::egui::{CursorIcon, Id, Painter, Pos2, Rect, Role, Sense, Ui, WidgetInfo};

use super::choose::Chooser;
use crate::app::canvas;
use crate::app::panel::words::quiet;
use crate::theme::colour;

/// Room left round the drawing when all of it is shown, points.
const ROOM: f32 = 48.0;
/// How far the pointer reaches, points.
const REACH: f64 = 9.0;

/// All that the picture depends on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    made: u64,
    chosen: Option<usize>,
    under: Option<usize>,
    trouble: Option<usize>,
    viewport: Viewport,
    theme: Theme,
}

impl Chooser {
    pub(super) fn picture(&mut self, ui: &mut Ui, colours: Theme) {
        let rect = ui.available_rect_before_wrap();
        let response = ui.interact(rect, Id::unique("picture of the drawing"), Sense::click_and_drag());
        ui.advance_cursor_after_rect(rect);
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Picture of the drawing"));
        self.size = rect.size();
        let painter = ui.painter().with_clip_rect(rect);
        painter.rect_filled(rect, 0.0, colour(colours.paper));
        let Some(offer) = &self.offer else {
            ui.put(rect, eframe::egui::Label::new(quiet("Looking for closed paths…", &colours)));
            return;
        };
        if self.seen.is_none() || self.fitted.is_some_and(|size| size != self.size) {
            let all = offer.drawing.curves.iter().flat_map(|curve| &curve.vertices).map(|vertex| vertex.at);
            let paths = offer.paths.iter().map(|path| path.closed.path.bounds());
            let bounds = paths.fold(Bounds::of(all), Bounds::join);
            self.seen = Some(Viewport::fit(bounds, rect.width(), rect.height(), ROOM));
            self.fitted = Some(self.size);
        }
        let Some(viewport) = self.viewport() else { return };
        let block = |at: Pos2| viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]);
        let over = response.hover_pos().map(block);
        let under = over.and_then(|p| offer.at(p, REACH / viewport.scale));
        if under.is_some() {
            ui.set_cursor_icon(CursorIcon::PointingHand);
        }
        if response.clicked() && under.is_some() {
            self.chosen = under;
        }
        if let Some(seen) = canvas::moved(ui, &response, rect, viewport) {
            self.seen = Some(seen);
            self.fitted = None;
        }
        self.paint(&painter, rect, under, viewport, colours);
    }

    fn paint(
        &mut self,
        painter: &Painter,
        rect: Rect,
        under: Option<usize>,
        viewport: Viewport,
        theme: Theme,
    ) {
        let Some(offer) = &self.offer else { return };
        let drawn =
            Drawn { made: self.made, chosen: self.chosen, under, trouble: self.trouble, viewport, theme };
        if self.drawn.as_ref() != Some(&drawn) {
            let state =
                OfferState { offer, chosen: self.chosen, under, trouble: self.trouble, units: self.job };
            self.canvas.set(&view::offer(&state, &viewport, &theme));
            self.drawn = Some(drawn);
        }
        self.canvas.paint(painter, rect.min);
    }
}
