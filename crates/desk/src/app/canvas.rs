//! The drawings of the core as parts of the window, kept between frames.

use std::sync::Arc;

use blockwright_core::block::Field;
use blockwright_core::geometry::Point;
use blockwright_core::proof::Proof;
use blockwright_core::view::{self, Along, PlanState, StripScale, StripState, Theme, Viewport};
use eframe::egui::{CursorIcon, Rect, Response, Role, Sense, Ui, Vec2, WidgetInfo};

use super::act::{Action, distance_of_station, theme};
use super::look::{Hover, Look};
use crate::paint::Canvas;

/// Room left round the plan when all of it is shown, points.
const ROOM: f32 = 36.0;

/// Which proof a drawing was made of. Holding it keeps its address from being used again.
#[derive(Debug, Clone)]
struct Of(Arc<Proof>);

impl PartialEq for Of {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// All that the plan's drawing depends on.
#[derive(Debug, Clone, PartialEq)]
struct PlanKey {
    of: Of,
    pass: usize,
    distance: f64,
    viewport: Viewport,
    pixels_per_point: f32,
    hover: Option<Point>,
    finding: Option<usize>,
    theme: Theme,
}

/// The plan.
#[derive(Debug, Default)]
pub(super) struct PlanCanvas {
    canvas: Canvas,
    key: Option<PlanKey>,
    field: Option<(Of, usize, f64, Option<Field>)>,
    size: Vec2,
}

impl PlanCanvas {
    /// Forgets what was drawn, for another job.
    pub(super) fn forget(&mut self) {
        self.key = None;
        self.field = None;
    }

    /// What part of the plan is seen; `None` before it has been drawn.
    pub(super) fn viewport(&self, look: &Look, proof: &Proof) -> Option<Viewport> {
        let Vec2 { x: width, y: height } = self.size;
        if width < 1.0 || height < 1.0 {
            return None;
        }
        let fitted = || Viewport::fit(view::extent(proof), width, height, ROOM);
        Some(look.viewport.map_or_else(fitted, |seen| Viewport { width, height, ..seen }))
    }

    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        look: &Look,
        proof: Option<&Arc<Proof>>,
        actions: &mut Vec<Action>,
    ) {
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
        self.size = rect.size();
        name(&response, "Plan");
        let theme = theme(ui.ctx());
        ui.painter().rect_filled(rect, 0.0, crate::theme::colour(theme.paper));
        let Some(proof) = proof else { return };
        let Some(viewport) = self.viewport(look, proof) else { return };
        self.draw(ui, look, proof, viewport, theme);
        self.canvas.paint(&ui.painter().with_clip_rect(rect), rect.min);
        if let Some(seen) = moved(ui, &response, rect, viewport) {
            actions.push(Action::See(seen));
        }
    }

    fn draw(&mut self, ui: &Ui, look: &Look, proof: &Arc<Proof>, viewport: Viewport, theme: Theme) {
        let distance = look.distance(Some(proof));
        let key = PlanKey {
            of: Of(Arc::clone(proof)),
            pass: look.pass,
            distance,
            viewport,
            pixels_per_point: ui.ctx().pixels_per_point(),
            hover: look.hover.map(|hover| hover.at),
            finding: look.finding,
            theme,
        };
        if self.key.as_ref() == Some(&key) {
            return;
        }
        let here = |(of, pass, at, _): &(Of, usize, f64, Option<Field>)| {
            *of == key.of && *pass == key.pass && *at == distance
        };
        if !self.field.as_ref().is_some_and(here) {
            self.field = Some((key.of.clone(), key.pass, distance, proof.block_at(look.pass, distance)));
        }
        let state = PlanState {
            pass: key.pass,
            distance: Some(distance),
            field: self.field.as_ref().and_then(|(.., field)| field.as_ref()),
            pixels_per_point: key.pixels_per_point,
            hover: key.hover,
            finding: key.finding,
        };
        self.canvas.set(&view::plan(proof, &state, &viewport, &theme));
        self.key = Some(key);
    }
}

/// Wheel and pinch zoom at the pointer, dragging pans.
fn moved(ui: &Ui, response: &Response, rect: Rect, viewport: Viewport) -> Option<Viewport> {
    let drag = response.drag_delta();
    if drag != Vec2::ZERO {
        ui.set_cursor_icon(CursorIcon::Grabbing);
        return Some(viewport.panned(drag.x, drag.y));
    }
    let pointer = response.hover_pos()?;
    let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
    let factor = f64::from(scroll / 300.0).exp() * f64::from(pinch);
    let at = pointer - rect.min;
    (factor != 1.0).then(|| viewport.zoomed([at.x, at.y], factor))
}

/// All that the strip's drawing depends on.
#[derive(Debug, Clone, PartialEq)]
struct StripKey {
    of: Of,
    state: StripState,
    size: Vec2,
    theme: Theme,
}

/// The strip.
#[derive(Debug, Default)]
pub(super) struct StripCanvas {
    canvas: Canvas,
    drawn: Option<(StripKey, StripScale)>,
}

impl StripCanvas {
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        height: f32,
        look: &Look,
        proof: Option<&Arc<Proof>>,
        actions: &mut Vec<Action>,
    ) {
        let size = Vec2::new(ui.available_width(), height);
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        name(&response, "Strip");
        let Some(proof) = proof else { return };
        let distance = look.distance(Some(proof));
        let state = StripState {
            pass: look.pass,
            along: look.along,
            distance,
            hover: look.hover.map(|hover| hover.value),
        };
        let scale = self.draw(proof, state, size, theme(ui.ctx()));
        self.canvas.paint(&ui.painter().with_clip_rect(rect), rect.min);
        let value = |x: f32| scale.to_value(x - rect.min.x);
        if let Some(at) = response.interact_pointer_pos()
            && let Some(to) = distance_of(look, proof, value(at.x))
        {
            actions.push(Action::Scrub(to));
        }
        let scroll = if response.hovered() { ui.input(|input| input.smooth_scroll_delta().y) } else { 0.0 };
        if scroll != 0.0 {
            let length = look.picked(Some(proof)).map_or(0.0, |pass| pass.track.length());
            actions.push(Action::Scrub(distance - f64::from(scroll) / 2000.0 * length));
        }
        let hover = response.hover_pos().and_then(|at| lit(look, proof, value(at.x)));
        if hover != look.hover {
            actions.push(Action::Hover(hover));
        }
    }

    fn draw(&mut self, proof: &Arc<Proof>, state: StripState, size: Vec2, theme: Theme) -> StripScale {
        let key = StripKey { of: Of(Arc::clone(proof)), state, size, theme };
        match &self.drawn {
            Some((drawn, scale)) if *drawn == key => *scale,
            _ => {
                let (drawing, scale) = view::strip(proof, &state, size.x, size.y, &theme);
                self.canvas.set(&drawing);
                self.drawn = Some((key, scale));
                scale
            }
        }
    }
}

/// Distance along the pass for a value on the strip.
fn distance_of(look: &Look, proof: &Proof, value: f64) -> Option<f64> {
    match look.along {
        Along::Path => Some(value),
        Along::Outline => distance_of_station(proof, look.pass, value),
    }
}

/// The place in the plan for a value on the strip.
fn lit(look: &Look, proof: &Proof, value: f64) -> Option<Hover> {
    let at = match look.along {
        Along::Path => proof.passes.get(look.pass)?.track.at(value)?.tip.plan(),
        Along::Outline => proof.outline.as_ref()?.place(value).at,
    };
    Some(Hover { value, at })
}

fn name(response: &Response, name: &str) {
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, name));
}
