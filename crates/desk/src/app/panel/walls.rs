//! The worst place of a finding as small walls: before, and after each pass.

use blockwright_core::measure::Contact;
use blockwright_core::proof::{Step, Steps};
use blockwright_core::units::Told;
use blockwright_core::view::Theme;
use eframe::egui::{Align2, Painter, Rect, StrokeKind, pos2, vec2};

use super::words::contact;
use crate::theme::{colour, plain};

/// Height of the walls with their words.
pub(super) const HEIGHT: f32 = 30.0;
/// Height of a wall, and what is free between two.
const WALL: f32 = 10.0;
const GAP: f32 = 8.0;
/// The part of a wall's width that is the block inside the outline.
const BLOCK: f32 = 0.55;
/// Width of the frame that says that nothing is taken.
const EMPTY: f32 = 8.0;
/// A slab is at least this wide where there is any.
const LEAST: f32 = 2.0;

/// Draws them beside each other into `rect`, all to one scale.
pub(super) fn draw(painter: &Painter, rect: Rect, steps: &Steps, units: Told, theme: &Theme) {
    let count = steps.steps.len().max(1) as f32;
    let wide = (rect.width() - GAP * (count - 1.0)) / count;
    let most = steps.steps.iter().map(thick).fold(0.0, f64::max);
    let scale = if most > 0.0 { f64::from(wide * (1.0 - BLOCK) - EMPTY) / most } else { 0.0 };
    for (index, step) in steps.steps.iter().enumerate() {
        let left = rect.left() + index as f32 * (wide + GAP);
        let wall = Rect::from_min_max(pos2(left, rect.top()), pos2(left + wide, rect.top() + WALL));
        one(painter, wall, step, scale, theme);
        let at = pos2(left, wall.bottom() + 9.0);
        let words = Rect::from_min_max(wall.min, pos2(left + wide + GAP - 2.0, rect.bottom()));
        let painter = painter.with_clip_rect(words.expand2(vec2(0.0, 4.0)).intersect(painter.clip_rect()));
        painter.text(at, Align2::LEFT_CENTER, step.words(units), plain(10.5), colour(theme.quiet));
    }
}

/// How far metal reaches outside the outline, that which is taken included, or how far it ends inside.
fn thick(step: &Step) -> f64 {
    (step.left.max(0.0) + step.taken.map_or(0.0, |(cut, _)| cut.max(0.0))).max(-step.left)
}

fn one(painter: &Painter, wall: Rect, step: &Step, scale: f64, theme: &Theme) {
    let line = wall.left() + wall.width() * BLOCK;
    let slab = |from: f32, thickness: f64| {
        let wide = (thickness * scale) as f32;
        let wide = if thickness > 0.0 { wide.max(LEAST) } else { wide };
        Rect::from_min_max(pos2(from, wall.top()), pos2((from + wide).min(wall.right()), wall.bottom()))
    };
    painter.rect_filled(Rect::from_min_max(wall.min, pos2(line, wall.bottom())), 1.0, colour(theme.metal));
    if step.left < 0.0 {
        let missing = (-step.left * scale) as f32;
        let gap = Rect::from_min_max(
            pos2((line - missing).max(wall.left()), wall.top()),
            pos2(line, wall.bottom()),
        );
        painter.rect_filled(gap, 0.0, colour(theme.panel));
        painter.rect_stroke(gap, 0.0, (1.0, colour(theme.none)), StrokeKind::Inside);
    }
    let left = slab(line, step.left.max(0.0));
    painter.rect_filled(left, 0.0, colour(theme.stock_edge).gamma_multiply(0.55));
    if let Some((cut, state)) = step.taken {
        let taken = slab(left.right(), cut.max(0.0));
        let ink = colour(contact(state, theme));
        if state == Contact::None {
            // What should have been cut: an empty frame.
            let from = left.right().min(wall.right() - EMPTY);
            let empty = Rect::from_min_max(pos2(from, wall.top()), pos2(from + EMPTY, wall.bottom()));
            painter.rect_stroke(empty, 0.0, (1.4, ink), StrokeKind::Inside);
        } else {
            painter.rect_filled(taken, 0.0, ink);
        }
    }
    painter.vline(line, wall.top() - 2.0..=wall.bottom() + 2.0, (1.4, colour(theme.ink)));
}
