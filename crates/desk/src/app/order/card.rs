//! One pass with its figures, and those that all passes come to.

use blockwright_core::order::Figure;
use blockwright_core::view::Theme;
use eframe::egui::{Frame, Label, Margin, RichText, Stroke, Ui};

use crate::app::panel::words::quiet;
use crate::theme::{QUIET, bold, colour};

/// Width of the names of the figures.
const NAMES: f32 = 112.0;

/// A framed card.
pub(super) fn framed<R>(
    ui: &mut Ui,
    theme: &Theme,
    add: impl FnOnce(&mut Ui) -> R,
) -> eframe::egui::InnerResponse<R> {
    Frame::new()
        .stroke(Stroke::new(1.0, colour(theme.line)))
        .corner_radius(4)
        .inner_margin(Margin::symmetric(8, 6))
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.set_width(ui.available_width());
            add(ui)
        })
}

/// Figures, each with what it is otherwise, in words and in bold as well as in colour.
pub(super) fn figures(ui: &mut Ui, rows: &[Figure], theme: &Theme) {
    ui.spacing_mut().interact_size.y = 15.0;
    for Figure { name, value, was } in rows {
        ui.horizontal(|ui| {
            let width = ui.available_width();
            let label = ui.label(quiet(*name, theme));
            ui.add_space((NAMES.min(width * 0.4) - label.rect.width() - 8.0).max(0.0));
            match was {
                None => {
                    ui.add(Label::new(RichText::new(value).size(QUIET)).truncate());
                }
                Some(was) => {
                    let changed = RichText::new(value).font(bold(QUIET)).color(colour(theme.accent));
                    let words = format!("now {was}");
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 0.0;
                        ui.add(Label::new(changed).truncate());
                        ui.add(Label::new(quiet(words, theme)).truncate());
                    });
                }
            }
        });
    }
}
