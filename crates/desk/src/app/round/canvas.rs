//! The block in the round: coarse while it is turned, then fine. Drawing never holds a frame up.

use std::sync::Arc;

use blockwright_core::view::{Camera, Scene};
use eframe::egui::{
    Align2, CursorIcon, EventFilter, Id, Key, PointerButton, Rect, Response, Sense, Ui, Vec2,
    emath::GuiRounding as _,
};

use super::draw::{Made, Moment, RoundKey, draw};
use crate::app::act::{Action, theme};
use crate::app::canvas::{Of, name, zoom_of};
use crate::app::centre::{Ask, focus_ring};
use crate::app::desk::Desk;
use crate::app::later::Later;
use crate::app::look::Look;
use crate::paint::Canvas;
use crate::theme::{TYPE, colour, plain};

/// Pixels of the screen along one side of a pixel while the block is being turned.
const COARSE: u32 = 4;
/// What an arrow key turns the block by, as points of the mouse.
const TURN: f32 = 25.0;

/// The block in the round.
#[derive(Debug, Default)]
pub(in crate::app) struct RoundCanvas {
    canvas: Canvas,
    picture: Later<(RoundKey, u32), Made>,
    /// Whether the block that was drawn last has anything to it.
    empty: bool,
    /// The part of the window that has the keyboard when the block has it.
    pub(in crate::app) id: Option<Id>,
}

impl RoundCanvas {
    /// Whether the block as it is looked at has been drawn fine.
    pub(in crate::app) fn is_fine(&self) -> bool {
        self.picture.making().is_none() && self.picture.made().is_some_and(|((_, coarse), _)| *coarse == 1)
    }

    /// Width of the last picture, points.
    pub(in crate::app) fn width(&self) -> Option<f32> {
        self.picture.made().map(|((key, _), _)| key.size.x)
    }

    pub(in crate::app) fn show(&mut self, ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
        name(&response, "Block");
        self.id = Some(response.id);
        let theme = theme(ui.ctx());
        ui.painter().rect_filled(rect, 0.0, colour(theme.paper));
        let says = |words: &str| {
            ui.painter().text(rect.center(), Align2::CENTER_CENTER, words, plain(TYPE), colour(theme.quiet));
        };
        let Some(proof) = desk.proof().filter(|_| rect.width() >= 1.0 && rect.height() >= 1.0) else {
            return;
        };
        if proof.start.is_none() {
            return says(if desk.is_sketch() {
                "Only the paths so far: the block comes with the check."
            } else {
                "The block in 3D needs a blank in the job."
            });
        }
        let moment =
            Moment { of: Of(Arc::clone(proof)), pass: look.pass, distance: look.distance(Some(proof)) };
        let key = RoundKey {
            moment,
            camera: look.centre.camera,
            by_leave: look.centre.by_leave,
            size: rect.size(),
            pixels_per_point: ui.pixels_per_point(),
            theme,
        };
        self.renew(ui, key, response.dragged() || look.playing);
        if self.picture.made().is_none() {
            return says("Drawing the block…");
        }
        if self.empty {
            return says("There is no block to draw.");
        }
        let painter = ui.painter().with_clip_rect(rect);
        self.canvas.paint(&painter, rect.min.round_to_pixels(ui.pixels_per_point()));
        focus_ring(ui, &response, &theme);
        hand(ui, &response, rect, &look.centre.camera, actions);
        keys(ui, &response, &look.centre.camera, actions);
    }

    fn renew(&mut self, ui: &Ui, key: RoundKey, moving: bool) {
        if self.picture.take()
            && let Some((_, made)) = self.picture.made()
        {
            self.canvas.set(&made.drawing);
            self.empty = made.scene.is_none();
        }
        let shown =
            self.picture.made().filter(|((shown, _), _)| *shown == key).map(|((_, coarse), _)| *coarse);
        let coarse = match shown {
            Some(1) => return,
            Some(_) if moving => return,
            Some(_) => 1,
            None => COARSE,
        };
        // A fine picture of what is no longer looked at would only be in the way.
        if self.picture.making().is_some_and(|(making, coarse)| *coarse == 1 && *making != key) {
            self.picture.stop();
        }
        let scene = self.scene_of(&key.moment);
        let of = key.clone();
        self.picture.want(ui.ctx(), "block", (key, coarse), move |cancel| draw(&of, coarse, scene, cancel));
    }

    /// The scene of a moment, if it is the one that was drawn last.
    fn scene_of(&self, moment: &Moment) -> Option<Arc<Scene>> {
        let ((key, _), made) = self.picture.made()?;
        made.scene.clone().filter(|_| key.moment == *moment)
    }
}

/// Dragging turns; with Shift or another button it moves the block, and the wheel makes it larger.
fn hand(ui: &Ui, response: &Response, rect: Rect, camera: &Camera, actions: &mut Vec<Action>) {
    let drag = response.drag_delta();
    let shift = ui.input(|input| input.modifiers.shift);
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if response.double_clicked() {
        actions.push(Ask::Turn(Camera { zoom: 1.0, pan: [0.0; 2], ..*camera }).into());
    } else if drag != Vec2::ZERO {
        ui.set_cursor_icon(CursorIcon::Grabbing);
        let turns = response.dragged_by(PointerButton::Primary) && !shift;
        let moved = if turns { camera.turned(drag.x, drag.y) } else { camera.panned(drag.x, drag.y) };
        actions.push(Ask::Turn(moved).into());
    }
    if let Some((at, factor)) = zoom_of(ui, response) {
        let away = at - rect.center();
        actions.push(Ask::Turn(camera.zoomed([away.x, away.y], factor)).into());
    }
}

/// Arrows turn.
fn keys(ui: &Ui, response: &Response, camera: &Camera, actions: &mut Vec<Action>) {
    if !response.has_focus() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let (across, up) = ui.input(|input| {
        let count = |key| input.num_presses(key) as f32;
        (count(Key::ArrowRight) - count(Key::ArrowLeft), count(Key::ArrowDown) - count(Key::ArrowUp))
    });
    if across != 0.0 || up != 0.0 {
        actions.push(Ask::Turn(camera.turned(across * TURN, up * TURN)).into());
    }
}
