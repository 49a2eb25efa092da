//! Numbers that are typed.

use blockwright_core::typed;
use blockwright_core::units::{Told, Units};
use eframe::egui::Ui;

use crate::app::number::{self, Style};

/// How a number is read and written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Digits {
    digits: usize,
    told: Option<Told>,
}

impl Digits {
    pub(super) const ANGLE: Self = Self { digits: 3, told: None };
    pub(super) const BULGE: Self = Self { digits: 6, told: None };

    pub(super) const fn of(told: Told) -> Self {
        let digits = match told.shown() {
            Units::Inch => 4,
            Units::Mm => 3,
        };
        Self { digits, told: Some(told) }
    }
}

/// A field for a number; the number that was typed, once it is entered and is another.
///
/// Dragging changes nothing: each step would be one to take back.
pub(super) fn number(ui: &mut Ui, name: &str, value: f64, Digits { digits, told }: Digits) -> Option<f64> {
    let mut typed = value;
    let style = told.map_or_else(Style::plain, Style::length).before("").speed(0.0).when_entered();
    let field = number::drawn(ui, &mut typed, style, |field| field.fixed_decimals(digits));
    field.accessible_name(name);
    // The field shows fewer digits than the number has; entered as shown it is the same.
    let least = 0.6 * 10_f64.powi(-(digits as i32)) / told.map_or(1.0, Told::factor);
    (typed.is_finite() && (typed - value).abs() > least).then_some(typed)
}

/// A length as typed in a shop, in these units.
pub(super) fn parse(text: &str, units: Told) -> Option<f64> {
    typed::length(text, units.shown()).ok().map(|length| units.kept(length))
}
