//! Where in a long text the pane stands. Counted in rows, not points: a million rows are more points than a single
//! precision number tells apart.

use eframe::egui::{Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use blockwright_core::view::Theme;

use crate::theme::colour;

/// Width of the bar.
pub(super) const BAR: f32 = 10.0;
/// Least height of its handle.
const HANDLE: f32 = 24.0;

/// The first row seen, with the part of it that is scrolled away.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Scroll {
    pub(super) top: f64,
}

impl Scroll {
    /// Moves by rows and stays within the text.
    pub(super) fn by(&mut self, rows: f64, seen: f64, all: usize) {
        let most = (all as f64 - seen).max(0.0);
        let to = self.top + rows;
        self.top = if to.is_finite() { to.clamp(0.0, most) } else { 0.0 };
    }

    /// Brings a row into sight: where it is not, a third from the top, since what comes next is worth more than what
    /// has been.
    pub(super) fn show(&mut self, row: usize, seen: f64, all: usize) {
        let row = row as f64;
        let edge = (seen / 8.0).clamp(0.0, 2.0);
        if row < self.top + edge || row + 1.0 > self.top + seen - edge {
            self.top = row - (seen / 3.0).floor();
        }
        self.by(0.0, seen, all);
    }

    /// The bar at the right of `rect`: dragged or clicked, it moves the text.
    pub(super) fn bar(&mut self, ui: &mut Ui, rect: Rect, seen: f64, all: usize, theme: &Theme) {
        let most = (all as f64 - seen).max(0.0);
        if most <= 0.0 {
            return;
        }
        let bar = Rect::from_min_max(pos2(rect.right() - BAR, rect.top()), rect.max);
        let response = ui.interact(bar, ui.scope_id().with("scroll bar"), Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::ScrollBar, true, "Place in the program text"));
        let handle =
            (bar.height() * (seen / all as f64) as f32).clamp(HANDLE.min(bar.height()), bar.height());
        let free = (bar.height() - handle).max(1.0);
        if let Some(at) = response.interact_pointer_pos() {
            self.top = f64::from((at.y - bar.top() - handle / 2.0) / free).clamp(0.0, 1.0) * most;
        }
        let top = bar.top() + (self.top / most) as f32 * free;
        let held = response.hovered() || response.dragged();
        let (inset, ink) = if held { (2.0, theme.quiet) } else { (4.0, theme.metal_edge) };
        let size = vec2(BAR - inset - 1.0, handle);
        let shape = Rect::from_min_size(pos2(bar.left() + inset, top), size);
        ui.painter().rect_filled(
            shape,
            size.x / 2.0,
            colour(ink).gamma_multiply(if held { 1.0 } else { 0.7 }),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scrolling_stays_within_the_text() {
        let mut scroll = Scroll::default();
        scroll.by(-3.0, 10.0, 100);
        assert_eq!(scroll.top, 0.0);
        scroll.by(1e9, 10.0, 100);
        assert_eq!(scroll.top, 90.0);
        scroll.by(f64::NAN, 10.0, 5);
        assert_eq!(scroll.top, 0.0);
        scroll.top = 999_990.0;
        scroll.by(0.25, 10.5, 1_000_001);
        assert_eq!(scroll.top, 999_990.25, "a quarter row near the end of a long text");
    }

    #[test]
    fn a_row_in_sight_does_not_move_the_text() {
        let mut scroll = Scroll { top: 20.0 };
        scroll.show(25, 12.0, 100);
        assert_eq!(scroll.top, 20.0);
        scroll.show(60, 12.0, 100);
        assert_eq!(scroll.top, 56.0);
        scroll.show(99, 12.0, 100);
        assert_eq!(scroll.top, 88.0);
        scroll.show(0, 12.0, 100);
        assert_eq!(scroll.top, 0.0);
    }
}
