//! The drawings of the core as parts of the window, kept between frames.

use std::sync::Arc;

use blockwright_core::block::Field;
use blockwright_core::geometry::{Bounds, Point};
use blockwright_core::proof::Proof;
use blockwright_core::view::{self, Along, PlanState, StripScale, StripState, Theme, Viewport};
use eframe::egui::{
    Align2, CursorIcon, Painter, Pos2, Rect, Response, Role, Sense, Ui, Vec2, WidgetInfo, pos2,
};

use super::act::{Action, distance_of_station, theme};
use super::desk::Desk;
use super::look::{Hover, Look};
use super::slow::{self, Slow};
use crate::paint::Canvas;
use crate::theme::{TYPE, colour, plain};
use crate::worker::State;

/// Room left round the plan when all of it is shown, points.
const ROOM: f32 = 36.0;

/// How far from the path a click still means it, points.
const REACH: f64 = 10.0;

/// Half the length of the tick across the outline, points.
const TICK: f64 = 14.0;

/// Which proof a drawing was made of. Holding it keeps its address from being used again.
#[derive(Debug, Clone)]
pub(super) struct Of(pub(super) Arc<Proof>);

impl PartialEq for Of {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// All that the plan's drawing depends on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlanKey {
    pub(super) of: Of,
    pub(super) pass: usize,
    pub(super) distance: f64,
    pub(super) viewport: Viewport,
    pub(super) pixels_per_point: f32,
    pub(super) finding: Option<usize>,
    pub(super) theme: Theme,
}

/// The plan.
#[derive(Debug, Default)]
pub(super) struct PlanCanvas {
    canvas: Canvas,
    key: Option<PlanKey>,
    field: Option<(Of, usize, f64, Option<Field>)>,
    slow: Slow,
    /// The box round everything worth showing.
    extent: Option<(Of, Bounds)>,
    size: Vec2,
}

impl PlanCanvas {
    /// Forgets what was drawn, for another job.
    pub(super) fn forget(&mut self) {
        self.key = None;
        self.field = None;
        self.slow = Slow::default();
    }

    /// What part of the plan is seen; `None` before it has been drawn.
    pub(super) fn viewport(&self, look: &Look, proof: &Proof) -> Option<Viewport> {
        let Vec2 { x: width, y: height } = self.size;
        if width < 1.0 || height < 1.0 {
            return None;
        }
        // Asked for in every frame, and a long program takes a while to go round.
        let known = self.extent.as_ref().filter(|(of, _)| std::ptr::eq(of.0.as_ref(), proof));
        let fitted = || {
            let extent = known.map_or_else(|| view::extent(proof), |(_, extent)| *extent);
            Viewport::fit(extent, width, height, ROOM)
        };
        Some(look.viewport.map_or_else(fitted, |seen| Viewport { width, height, ..seen }))
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
        self.size = rect.size();
        name(&response, "Plan");
        let theme = theme(ui.ctx());
        ui.painter().rect_filled(rect, 0.0, colour(theme.paper));
        let Some(proof) = desk.proof() else { return waiting(ui, rect, desk, &theme) };
        let of = Of(Arc::clone(proof));
        if self.extent.as_ref().is_none_or(|(known, _)| *known != of) {
            self.extent = Some((of, view::extent(proof)));
        }
        let Some(viewport) = self.viewport(look, proof) else { return };
        let painter = ui.painter().with_clip_rect(rect);
        self.draw(&painter, rect, look, proof, viewport, theme);
        if let Some(hover) = look.hover {
            point_out(&painter, rect, proof, hover.at, &viewport, &theme);
        }
        let on_path =
            |at: Pos2| on_path(look, proof, viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]));
        if let Some((to, away)) =
            response.interact_pointer_pos().filter(|_| response.clicked()).and_then(on_path)
            && away * viewport.scale <= REACH
        {
            actions.push(Action::Scrub(to));
        }
        if let Some(seen) = moved(ui, &response, rect, viewport) {
            actions.push(Action::See(seen));
        }
    }

    fn draw(
        &mut self,
        painter: &Painter,
        rect: Rect,
        look: &Look,
        proof: &Arc<Proof>,
        viewport: Viewport,
        theme: Theme,
    ) {
        let distance = look.distance(Some(proof));
        let key = PlanKey {
            of: Of(Arc::clone(proof)),
            pass: look.pass,
            distance,
            viewport,
            pixels_per_point: painter.ctx().pixels_per_point(),
            finding: look.finding,
            theme,
        };
        if slow::is_long(&key) {
            let cuts = proof.passes.get(key.pass).is_some_and(|pass| pass.removal.is_some());
            // Without a block nothing but the tool changes along the way.
            let still = PlanKey { distance: if cuts { distance } else { 0.0 }, ..key };
            self.slow.show(painter, rect, &still);
            tool(painter, rect, look, proof, &viewport, &theme);
            return;
        }
        self.renew(key, look, proof);
        self.canvas.paint(painter, rect.min);
    }

    fn renew(&mut self, key: PlanKey, look: &Look, proof: &Arc<Proof>) {
        if self.key.as_ref() == Some(&key) {
            return;
        }
        let PlanKey { distance, viewport, theme, .. } = key;
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
            hover: None,
            finding: key.finding,
        };
        self.canvas.set(&view::plan(proof, &state, &viewport, &theme));
        self.key = Some(key);
    }
}

/// The place on the path nearest to a place in plan: distance along the pass, and how far away it is.
fn on_path(look: &Look, proof: &Arc<Proof>, at: Point) -> Option<(f64, f64)> {
    let track = &look.picked(Some(proof))?.track;
    let along = track.nearest(at)?;
    Some((along, track.at(along)?.tip.plan().distance(at)))
}

/// What is being done, until there is something to draw.
fn waiting(ui: &Ui, rect: Rect, desk: &Desk, theme: &Theme) {
    let State::Proving(progress) = desk.state() else { return };
    let doing = if progress.doing.is_empty() { "Reading the program" } else { progress.doing.as_str() };
    let text = format!("{doing}… {:.0} %", progress.done * 100.0);
    ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, plain(TYPE), colour(theme.quiet));
}

/// A ring round a place and a tick square to the outline there, over the drawing that stays as it is.
fn point_out(painter: &Painter, rect: Rect, proof: &Proof, at: Point, viewport: &Viewport, theme: &Theme) {
    let seen = |p: Point| {
        let [x, y] = viewport.to_view(p);
        pos2(rect.left() + x, rect.top() + y)
    };
    let centre = seen(at);
    painter.circle_stroke(centre, 7.0, (4.0, colour(theme.panel)));
    painter.circle_stroke(centre, 7.0, (1.8, colour(theme.accent)));
    if let Some(outline) = &proof.outline {
        let place = outline.place(outline.nearest(at));
        let reach = place.outward * (TICK / viewport.scale);
        painter.line_segment([seen(place.at - reach), seen(place.at + reach)], (1.4, colour(theme.ink)));
    }
}

/// The tool at its place, over a drawing that is made without it.
fn tool(painter: &Painter, rect: Rect, look: &Look, proof: &Arc<Proof>, viewport: &Viewport, theme: &Theme) {
    let Some(pass) = look.picked(Some(proof)) else { return };
    let Some(position) = pass.track.at(look.distance(Some(proof))) else { return };
    let [x, y] = viewport.to_view(position.tip.plan());
    let at = pos2(rect.left() + x, rect.top() + y);
    let radius = ((pass.tool_radius * viewport.scale) as f32).max(2.0);
    let ink = colour(theme.ink);
    if rect.expand(radius).contains(at) {
        painter.circle(at, radius, colour(theme.panel).gamma_multiply(0.8), (1.6, ink));
        let arm = (radius * 0.35).clamp(3.0, 7.0);
        painter.hline(at.x - arm..=at.x + arm, at.y, (1.1, ink));
        painter.vline(at.x, at.y - arm..=at.y + arm, (1.1, ink));
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
        desk: &Desk,
        look: &Look,
        actions: &mut Vec<Action>,
    ) {
        let size = Vec2::new(ui.available_width(), height);
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        name(&response, "Strip");
        let Some(proof) = desk.whole_proof() else {
            ui.painter().rect_filled(rect, 0.0, colour(theme(ui.ctx()).paper));
            return;
        };
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
