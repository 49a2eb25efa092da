//! The fit over the plan, which stays as it is.

use blockwright_core::fit::{Fit, Fitting};
use blockwright_core::view::{self, BuildUpState, Drawing, Theme, Viewport};
use eframe::egui::{Rect, Ui};

use super::{Lie, Same};
use crate::app::act::theme;
use crate::paint::Canvas;

/// What is laid over the plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    pub(super) lie: Lie,
    pub(super) fit: Same<Fit>,
    pub(super) fitting: Option<Same<Fitting>>,
}

impl Laid {
    fn drawing(&self, viewport: &Viewport, theme: &Theme) -> Drawing {
        let Self { lie, fit: Same(fit), fitting } = self;
        let mut drawing = Drawing::new(viewport.width, viewport.height);
        if fit.gains(lie.units) {
            drawing.place(view::ghost(&lie.edge, fit, viewport, theme), 0.0, 0.0);
        }
        if let Some(Same(fitting)) = fitting {
            let state = BuildUpState {
                outline: &lie.outline,
                edge: &lie.edge,
                stretches: &fitting.before,
                better: None,
                units: lie.units.into(),
            };
            drawing.place(view::build_up_marks(&state, viewport, theme), 0.0, 0.0);
        }
        drawing
    }
}

/// The drawing, kept between frames.
#[derive(Debug, Default)]
pub(super) struct Overlay {
    canvas: Canvas,
    drawn: Option<(Laid, Viewport, Theme)>,
}

impl Overlay {
    pub(super) fn show(&mut self, ui: &Ui, rect: Rect, laid: Laid, viewport: Viewport) {
        let wanted = (laid, viewport, theme(ui.ctx()));
        if self.drawn.as_ref() != Some(&wanted) {
            let (laid, viewport, theme) = &wanted;
            self.canvas.set(&laid.drawing(viewport, theme));
            self.drawn = Some(wanted);
        }
        self.canvas.paint(&ui.painter().with_clip_rect(rect), rect.min);
    }
}
