//! The plan of a very long pass: drawn beside the window into pixels, for its lines alone are more than a frame can
//! take. What was drawn last stays, moved and stretched to where it belongs, until the new drawing is there.

use std::sync::mpsc::{Receiver, channel};

use blockwright_core::pixels::Pixels;
use blockwright_core::view::{self, Item, PlanState, Viewport};
use eframe::egui::{Color32, ColorImage, Painter, Rect, TextureHandle, TextureOptions, pos2};

use super::canvas::PlanKey;
use crate::background;
use crate::trouble::Trouble;

/// Motions of a pass from which on it is drawn beside the window.
const LONG: usize = 50_000;
/// Strokes wider than this are the area a tool sweeps. Of a long pass it would take longer than all the rest, and
/// shows less: the path fills it.
const SWEPT: f32 = 8.0;

/// Whether a pass is too long to be drawn within a frame.
pub(super) fn is_long(key: &PlanKey) -> bool {
    key.of.0.passes.get(key.pass).is_some_and(|pass| pass.track.placed().len() > LONG)
}

/// The drawing and the one being made.
#[derive(Default)]
pub(super) struct Slow {
    shown: Option<(PlanKey, TextureHandle)>,
    making: Option<Receiver<(PlanKey, Option<Pixels>)>>,
    /// What could not be drawn: not to be tried again and again.
    failed: Option<PlanKey>,
}

impl std::fmt::Debug for Slow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Slow").field("making", &self.making.is_some()).finish_non_exhaustive()
    }
}

impl Slow {
    /// Paints what there is, and has the drawing made that is wanted.
    pub(super) fn show(&mut self, painter: &Painter, rect: Rect, key: &PlanKey) {
        self.take(painter);
        let there =
            self.shown.as_ref().is_some_and(|(shown, _)| shown == key) || self.failed.as_ref() == Some(key);
        if self.making.is_none() && !there {
            self.making = make(painter, key.clone());
        }
        if let Some((shown, texture)) = &self.shown {
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            let place = moved(&shown.viewport, &key.viewport).translate(rect.min.to_vec2());
            painter.image(texture.id(), place, whole, Color32::WHITE);
        }
    }

    fn take(&mut self, painter: &Painter) {
        let Some(made) = self.making.as_ref().and_then(|making| making.try_recv().ok()) else { return };
        self.making = None;
        let (key, pixels) = made;
        if let Some(pixels) = pixels {
            let image = ColorImage::from_rgba_unmultiplied([pixels.width, pixels.height], &pixels.rgba);
            let texture = painter.ctx().load_texture("long pass", image, TextureOptions::LINEAR);
            self.shown = Some((key, texture));
        } else {
            self.failed = Some(key);
        }
    }
}

/// Where a drawing made for one view lies in another.
fn moved(drawn: &Viewport, seen: &Viewport) -> Rect {
    let corner = |at: [f32; 2]| {
        let [x, y] = seen.to_view(drawn.to_block(at));
        pos2(x, y)
    };
    Rect::from_two_pos(corner([0.0, 0.0]), corner([drawn.width, drawn.height]))
}

fn make(painter: &Painter, key: PlanKey) -> Option<Receiver<(PlanKey, Option<Pixels>)>> {
    let (answer, answers) = channel();
    let ctx = painter.ctx().clone();
    let back = key.clone();
    let done = move |pixels: Result<Option<Pixels>, Trouble>| {
        let pixels = pixels.unwrap_or_else(|trouble| {
            background::tell(&ctx, trouble);
            None
        });
        // A window that has gone needs no answer.
        let _ = answer.send((back, pixels));
        ctx.request_repaint();
    };
    background::start("plan", "the drawing of the plan", move || drawn(&key), done).map(|_| answers)
}

fn drawn(key: &PlanKey) -> Option<Pixels> {
    let proof = &key.of.0;
    let field = key.block();
    let state = PlanState {
        pass: key.pass,
        distance: None,
        field: field.as_ref(),
        pixels_per_point: key.pixels_per_point,
        hover: None,
        finding: key.finding,
        stock: key.stock,
    };
    let mut drawing = view::plan(proof, &state, &key.viewport, &key.theme);
    drawing.items.retain(|item| !matches!(item, Item::Stroke { width, .. } if *width > SWEPT));
    view::rasterise(&drawing, key.pixels_per_point, key.theme.paper).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use blockwright_core::geometry::{Bounds, pt};

    #[test]
    fn a_drawing_lies_where_it_is_seen() {
        let drawn = Viewport::fit(Bounds::of([pt(0.0, 0.0), pt(4.0, 3.0)]), 400.0, 300.0, 0.0);
        let same = moved(&drawn, &drawn);
        assert!((same.width() - 400.0).abs() < 1e-3 && same.min.to_vec2().length() < 1e-3);
        let nearer = drawn.zoomed([0.0, 0.0], 2.0);
        let twice = moved(&drawn, &nearer);
        assert!((twice.width() - 800.0).abs() < 1e-2 && twice.min.to_vec2().length() < 1e-2);
    }
}
