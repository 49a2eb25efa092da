//! The section at a station: dragging walks round the block.

use std::sync::Arc;

use blockwright_core::proof::Proof;
use blockwright_core::task::Cancel;
use blockwright_core::tool::Tool;
use blockwright_core::view::{self, Theme, Viewport, WallState};
use blockwright_core::wall::{Heights, Section};
use eframe::egui::{
    Align2, CursorIcon, EventFilter, Id, Key, PointerButton, Rect, Response, Sense, Ui, Vec2,
};

use crate::app::act::{Action, theme};
use crate::app::canvas::{Of, name, zoomed};
use crate::app::centre::{Ask, focus_ring};
use crate::app::desk::Desk;
use crate::app::later::Later;
use crate::app::look::Look;
use crate::paint::Canvas;
use crate::theme::{TYPE, colour, plain};

/// A step of the keys, and a long one, as parts of the outline's length.
const STEPS: (f64, f64) = (1.0 / 200.0, 1.0 / 20.0);

/// Of what a section was made.
#[derive(Debug, Clone, PartialEq)]
struct SectionKey {
    of: Of,
    station: f64,
}

/// All that the drawing depends on.
#[derive(Debug, Clone, PartialEq)]
struct WallKey {
    section: SectionKey,
    pass: usize,
    every_tool: bool,
    viewport: Viewport,
    theme: Theme,
}

/// The wall.
#[derive(Debug, Default)]
pub(in crate::app) struct WallCanvas {
    canvas: Canvas,
    key: Option<WallKey>,
    section: Later<SectionKey, Option<Section>>,
    /// The part of the window that has the keyboard when the wall has it.
    pub(in crate::app) id: Option<Id>,
}

impl WallCanvas {
    /// Has the section made that is looked at, and takes what was made.
    pub(in crate::app) fn look_at(&mut self, ui: &Ui, desk: &Desk, look: &Look) {
        self.section.take();
        let Some(proof) = desk.proof().filter(|proof| proof.wall().is_some()) else { return };
        let key = SectionKey { of: Of(Arc::clone(proof)), station: look.centre.station_on(proof) };
        let of = key.clone();
        let section = move |_: &Cancel| Some(of.of.0.wall()?.section(of.station));
        self.section.want(ui.ctx(), "wall", key, section);
    }

    /// The section that is there, if it is of this proof, and the heights on it after a pass.
    pub(in crate::app) fn heights(&self, proof: &Arc<Proof>, pass: usize) -> Option<(f64, Heights)> {
        let (key, Some(section)) = self.section.made()? else { return None };
        let heights = section.passes.get(pass)?.heights;
        Arc::ptr_eq(&key.of.0, proof).then_some((key.station, heights))
    }

    pub(in crate::app) fn show(&mut self, ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
        name(&response, "Wall");
        self.id = Some(response.id);
        let theme = theme(ui.ctx());
        ui.painter().rect_filled(rect, 0.0, colour(theme.paper));
        let says = |words: &str| {
            ui.painter().text(rect.center(), Align2::CENTER_CENTER, words, plain(TYPE), colour(theme.quiet));
        };
        let Some(proof) = desk.proof() else { return };
        if proof.wall().is_none() {
            return says(if desk.is_sketch() {
                "Only the paths so far: the wall comes with the check."
            } else {
                "A wall needs an outline and a blank in the job."
            });
        }
        let Some((key, Some(section))) = self.section.made() else { return says("Measuring the wall…") };
        let made_of = &key.of.0;
        let tools: Vec<Option<&Tool>> =
            made_of.job.passes.iter().map(|pass| made_of.job.tool(pass.tool)).collect();
        let state = WallState {
            section,
            pass: look.pass.min(section.passes.len().saturating_sub(1)),
            tools: &tools,
            every_tool: look.centre.every_tool,
            bed: made_of.job.bed_top,
            gauge: made_of.gauge.map(|gauge| gauge.z),
            units: made_of.told,
        };
        let Vec2 { x: width, y: height } = rect.size();
        let fitted = || view::wall_viewport(&state, width, height);
        let viewport = look.centre.wall_view.map_or_else(fitted, |seen| Viewport { width, height, ..seen });
        let wanted =
            WallKey { section: key.clone(), pass: state.pass, every_tool: state.every_tool, viewport, theme };
        if self.key.as_ref() != Some(&wanted) {
            self.canvas.set(&view::wall(&state, &viewport, &theme));
            self.key = Some(wanted);
        }
        self.canvas.paint(&ui.painter().with_clip_rect(rect), rect.min);
        focus_ring(ui, &response, &theme);
        hand(ui, &response, rect, (look, proof), &viewport, actions);
        keys(ui, &response, (look, proof), actions);
    }
}

/// Dragging walks; with Shift or the other button it moves the picture, and the wheel makes it larger.
fn hand(
    ui: &Ui,
    response: &Response,
    rect: Rect,
    (look, proof): (&Look, &Proof),
    viewport: &Viewport,
    actions: &mut Vec<Action>,
) {
    let drag = response.drag_delta();
    let shift = ui.input(|input| input.modifiers.shift);
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if response.double_clicked() {
        actions.push(Ask::WallView(None).into());
    } else if drag != Vec2::ZERO && (shift || !response.dragged_by(PointerButton::Primary)) {
        ui.set_cursor_icon(CursorIcon::Grabbing);
        actions.push(Ask::WallView(Some(viewport.panned(drag.x, drag.y))).into());
    } else if drag.x != 0.0 {
        ui.set_cursor_icon(CursorIcon::ResizeHorizontal);
        let walked = look.centre.station_on(proof) + f64::from(drag.x) / viewport.scale;
        actions.push(Ask::Station(walked).into());
    }
    if let Some(seen) = zoomed(ui, response, rect, *viewport) {
        actions.push(Ask::WallView(Some(seen)).into());
    }
}

/// Arrows walk, Home goes to the first vertex.
fn keys(ui: &Ui, response: &Response, (look, proof): (&Look, &Proof), actions: &mut Vec<Action>) {
    if !response.has_focus() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let (steps, home) = ui.input(|input| {
        let count = |key| input.num_presses(key) as f64;
        let step = if input.modifiers.shift { STEPS.1 } else { STEPS.0 };
        ((count(Key::ArrowRight) - count(Key::ArrowLeft)) * step, input.key_pressed(Key::Home))
    });
    let length = proof.outline.as_ref().map_or(0.0, |outline| outline.length());
    if home {
        actions.push(Ask::Station(0.0).into());
    } else if steps != 0.0 {
        actions.push(Ask::Station(look.centre.station_on(proof) + steps * length).into());
    }
}
