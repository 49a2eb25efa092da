//! The worst place of the finding, enlarged in a free corner of the plan.

use blockwright_core::geometry::{Point, Point3};
use blockwright_core::proof::{Proof, steps};
use blockwright_core::view::{Theme, Viewport, magnifier, magnifier_name};
use eframe::egui::{Button, Pos2, Rect, RichText, Sense, StrokeKind, Ui, pos2, vec2};
use std::sync::Arc;

use super::act::{Action, theme};
use super::canvas::{Of, name};
use super::command::Command;
use super::desk::Desk;
use super::look::Look;
use crate::paint::Canvas;
use crate::theme::{QUIET, colour};

/// Size of the inset; from the sides of the plan, and from its upper edge, where the key stands.
const SIZE: [f32; 2] = [280.0, 196.0];
const SIDE: f32 = 10.0;
const TOP: f32 = 40.0;
const FOOT: f32 = 22.0;
/// What it takes of the plan's width.
pub(super) const WIDTH: f32 = SIZE[0] + 2.0 * SIDE;
/// Kept free round the place itself.
const FREE: f32 = 28.0;
/// Side of what closes it.
const CLOSE: f32 = 22.0;

/// What it was drawn of.
type Key = (Of, usize, f64, Theme);

/// The place that it is about, and what it tells, for a screen reader.
#[derive(Debug)]
struct Told {
    of: (Of, usize),
    at: Point,
    name: String,
}

/// The inset, kept between frames.
#[derive(Debug, Default)]
pub(super) struct Inset {
    canvas: Canvas,
    drawn: Option<Key>,
    told: Option<Told>,
    shown: bool,
}

impl Inset {
    pub(super) const fn is_shown(&self) -> bool {
        self.shown
    }

    /// Over the plan in `rect`, of which `seen` is seen.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        seen: Option<Viewport>,
        (desk, look): (&Desk, &Look),
        actions: &mut Vec<Action>,
    ) {
        self.shown = false;
        let (Some(proof), Some(finding), Some(seen)) = (desk.whole_proof(), look.finding, seen) else {
            return;
        };
        if !look.magnified || look.centre.sketch.is_some() {
            return;
        }
        let of = (Of(Arc::clone(proof)), finding);
        if self.told.as_ref().is_none_or(|told| told.of != of) {
            let told = place_of(proof, finding).zip(magnifier_name(proof, finding));
            self.told = told.map(|(at, name)| Told { of, at, name });
        }
        let Some(told) = &self.told else { return };
        let [x, y] = seen.to_view(told.at);
        let Some(corner) = free_corner(rect, rect.min + vec2(x, y)) else { return };
        let colours = theme(ui.ctx());
        let key = (Of(Arc::clone(proof)), finding, seen.scale, colours);
        if self.drawn.as_ref() != Some(&key) {
            let Some(drawing) = magnifier(proof, finding, SIZE, seen.scale, &colours) else { return };
            self.canvas.set(&drawing);
            self.drawn = Some(key);
        }
        self.shown = true;
        let inset = Rect::from_min_size(corner, SIZE.into());
        // It takes the pointer, so that the plan under it is not worked by mistake.
        let response = ui.interact(inset, ui.scope_id().with("magnifier"), Sense::click_and_drag());
        name(&response, &told.name);
        self.canvas.paint(&ui.painter().with_clip_rect(inset), inset.min);
        ui.painter().rect_stroke(inset, 4.0, (1.4, colour(colours.ink)), StrokeKind::Outside);
        let close =
            Rect::from_min_size(pos2(inset.right() - CLOSE - 1.0, inset.top() + 1.0), vec2(CLOSE, CLOSE));
        let button = Button::new(RichText::new("×").size(QUIET + 2.0)).frame(false).min_size(close.size());
        let close = ui.place(close, button).on_hover_text("Close (Escape)");
        if close.accessible_name(Command::CloseMagnifier.label()).clicked() {
            actions.push(Action::Magnify(false));
        }
    }
}

/// The worst place of a finding.
fn place_of(proof: &Proof, finding: usize) -> Option<Point> {
    let finding = proof.findings.get(finding)?;
    let station = steps(proof, finding)?.station;
    let outline = proof.outline.as_ref()?;
    let at = finding.at.map(Point3::plan).filter(|at| outline.distance(*at) < f64::EPSILON);
    Some(at.unwrap_or_else(|| outline.place(station).at))
}

/// The corner of the plan farthest from a place whose inset leaves the place free; `None` where the plan is too small.
fn free_corner(rect: Rect, place: Pos2) -> Option<Pos2> {
    let (left, right) = (rect.left() + SIDE + 20.0, rect.right() - SIDE - SIZE[0]);
    let (top, bottom) = (rect.top() + TOP, rect.bottom() - FOOT - SIZE[1]);
    if right < left || bottom < top {
        return None;
    }
    let corners = [pos2(right, top), pos2(left, top), pos2(right, bottom), pos2(left, bottom)];
    let room = |corner: Pos2| Rect::from_min_size(corner, SIZE.into());
    let free = corners.into_iter().filter(|corner| !room(*corner).expand(FREE).contains(place));
    free.max_by(|a, b| room(*a).center().distance(place).total_cmp(&room(*b).center().distance(place)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_inset_never_covers_the_place() {
        let rect = Rect::from_min_size(pos2(100.0, 50.0), vec2(660.0, 400.0));
        for x in 0..66 {
            for y in 0..40 {
                let place = pos2(100.0 + x as f32 * 10.0, 50.0 + y as f32 * 10.0);
                if let Some(corner) = free_corner(rect, place) {
                    assert!(!Rect::from_min_size(corner, SIZE.into()).contains(place), "{place:?}");
                }
            }
        }
        assert!(free_corner(rect, rect.center()).is_some());
        assert_eq!(
            free_corner(Rect::from_min_size(pos2(0.0, 0.0), vec2(200.0, 200.0)), pos2(1.0, 1.0)),
            None
        );
    }
}
