//! The drawings of the core as parts of the window, kept between frames.

use std::sync::Arc;

use blockwright_core::block::Field;
use blockwright_core::geometry::{Bounds, Point};
use blockwright_core::proof::{Proof, steps};
use blockwright_core::view::{self, Along, PlanState, Theme, Viewport};
use eframe::egui::{
    Align2, CursorIcon, Painter, Pos2, Rect, Response, Role, Sense, Ui, Vec2, WidgetInfo, pos2,
};

use super::act::{Action, theme};
use super::centre::Ask;
use super::desk::Desk;
use super::finer::{Fine, Patch};
use super::keep;
use super::look::{From, Hover, Look};
use super::slow::{self, Slow};
use super::wall::StationMark;
use crate::paint::Canvas;
use crate::theme::{TYPE, colour, plain};
use crate::worker::State;

/// Room left round the plan when all of it is shown, points.
const ROOM: f32 = 36.0;

/// How far from the path a click still means it, points.
const REACH: f64 = 10.0;

/// How far from outline or path the pointer still lights it, points.
const POINTED: f64 = 60.0;

/// A path of more motions is not looked through for every move of the pointer.
const MOST_POINTED: usize = 20_000;

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
    /// Whether the stock is drawn thicker than it is.
    pub(super) stock: bool,
    pub(super) theme: Theme,
    /// Finer cells for what is seen.
    pub(super) fine: Option<Fine>,
}

/// A block to show: of a proof, after this much of a pass, with finer cells or without.
type Moment = (Of, usize, f64, Option<Fine>);

impl PlanKey {
    /// The block to show.
    pub(super) fn block(&self) -> Option<Field> {
        let proof = &self.of.0;
        let fine = self.fine.as_ref().and_then(|fine| fine.0.block_at(proof, self.pass, self.distance));
        fine.or_else(|| proof.block_at(self.pass, self.distance))
    }
}

/// The plan.
#[derive(Debug, Default)]
pub(super) struct PlanCanvas {
    canvas: Canvas,
    key: Option<PlanKey>,
    field: Option<(Moment, Option<Field>)>,
    slow: Slow,
    /// Finer cells in the part that is seen.
    pub(super) finer: Patch,
    mark: StationMark,
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
        self.finer = Patch::default();
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
        if let Some(sketch) = &look.centre.sketch {
            keep::hand(ui, (&painter, rect, &response), sketch, &viewport, actions);
            actions.extend(zoomed(ui, &response, rect, viewport).map(Action::See));
            return;
        }
        if proof.wall().is_some()
            && let Some(outline) = &proof.outline
        {
            let at = (outline.as_ref(), look.centre.station_on(proof));
            let carried = self.mark.show(ui, (&painter, rect, &response), at, &viewport, &theme);
            actions.extend(carried.map(|station| Ask::Station(station).into()));
        }
        let pointed = response.hover_pos().filter(|_| response.contains_pointer() && !self.mark.is_held());
        let to_block = |at: Pos2| viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]);
        let hover = pointed.and_then(|at| pointed_at(look, proof, to_block(at), viewport.scale));
        if hover != look.hover && (hover.is_some() || look.hover.is_some_and(|h| h.from == From::Plan)) {
            actions.push(Action::Hover(hover));
        }
        let on_path =
            |at: Pos2| on_path(look, proof, viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]));
        if let Some((to, away)) =
            response.interact_pointer_pos().filter(|_| response.clicked()).and_then(on_path)
            && away * viewport.scale <= REACH
        {
            actions.push(Action::Scrub(to));
        }
        let seen = if self.mark.is_held() { None } else { moved(ui, &response, rect, viewport) };
        actions.extend(seen.map(Action::See));
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
            finding: look.finding.filter(|finding| !is_enlarged(look, proof, *finding)),
            stock: look.centre.stock,
            theme,
            fine: self.finer.of(proof, &viewport),
        };
        if slow::is_long(&key) {
            let cuts = proof.passes.get(key.pass).is_some_and(|pass| pass.removal.is_some());
            // Without a block nothing but the tool changes along the way.
            let still = PlanKey { distance: if cuts { distance } else { 0.0 }, ..key };
            self.slow.show(painter, rect, &still);
            tool(painter, rect, look, proof, &viewport, &theme);
            return;
        }
        self.renew(key, proof);
        self.canvas.paint(painter, rect.min);
    }

    fn renew(&mut self, key: PlanKey, proof: &Proof) {
        if self.key.as_ref() == Some(&key) {
            return;
        }
        let PlanKey { distance, viewport, theme, .. } = key;
        let moment = (key.of.clone(), key.pass, distance, key.fine.clone());
        if self.field.as_ref().is_none_or(|(of, _)| *of != moment) {
            self.field = Some((moment, key.block()));
        }
        let state = PlanState {
            pass: key.pass,
            distance: Some(distance),
            field: self.field.as_ref().and_then(|(_, field)| field.as_ref()),
            pixels_per_point: key.pixels_per_point,
            hover: None,
            finding: key.finding,
            stock: key.stock,
        };
        self.canvas.set(&view::plan(proof, &state, &viewport, &theme));
        self.key = Some(key);
    }
}

/// Whether the inset tells of a finding what a box on the plan would tell.
fn is_enlarged(look: &Look, proof: &Proof, finding: usize) -> bool {
    look.magnified && proof.findings.get(finding).is_some_and(|finding| steps(proof, finding).is_some())
}

/// The station, or the place on the path, that the pointer is near in plan.
fn pointed_at(look: &Look, proof: &Arc<Proof>, at: Point, scale: f64) -> Option<Hover> {
    let (value, at, away) = match look.along_of(proof) {
        Along::Outline => {
            let outline = proof.outline.as_ref()?;
            look.picked(Some(proof))?.along_outline.as_ref()?;
            let station = outline.nearest(at);
            let place = outline.place(station).at;
            (station, place, place.distance(at))
        }
        Along::Path => {
            let track = &look.picked(Some(proof))?.track;
            if track.placed().len() > MOST_POINTED {
                return None;
            }
            let (along, away) = on_path(look, proof, at)?;
            (along, track.at(along)?.tip.plan(), away)
        }
    };
    (away * scale <= POINTED).then_some(Hover { value, at, from: From::Plan })
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
pub(super) fn moved(ui: &Ui, response: &Response, rect: Rect, viewport: Viewport) -> Option<Viewport> {
    let drag = response.drag_delta();
    if drag != Vec2::ZERO {
        ui.set_cursor_icon(CursorIcon::Grabbing);
        return Some(viewport.panned(drag.x, drag.y));
    }
    zoomed(ui, response, rect, viewport)
}

/// Wheel and pinch zoom at the pointer.
pub(super) fn zoomed(ui: &Ui, response: &Response, rect: Rect, viewport: Viewport) -> Option<Viewport> {
    let (pointer, factor) = zoom_of(ui, response)?;
    let at = pointer - rect.min;
    Some(viewport.zoomed([at.x, at.y], factor))
}

/// Where wheel or pinch make a picture larger, and by how much.
pub(super) fn zoom_of(ui: &Ui, response: &Response) -> Option<(Pos2, f64)> {
    let pointer = response.hover_pos()?;
    let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta().y, input.zoom_delta()));
    let factor = f64::from(scroll / 300.0).exp() * f64::from(pinch);
    (factor != 1.0).then_some((pointer, factor))
}

pub(super) fn name(response: &Response, name: &str) {
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, name));
}
