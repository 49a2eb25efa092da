//! Numbers that are typed.

use blockwright_core::units::Units;
use eframe::egui::{DragValue, Ui};

/// How a number is written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Digits(usize);

impl Digits {
    pub(super) const ANGLE: Self = Self(3);
    pub(super) const BULGE: Self = Self(6);

    pub(super) const fn of(units: Units) -> Self {
        match units {
            Units::Inch => Self(4),
            Units::Mm => Self(3),
        }
    }
}

/// A field for a number; the number that was typed, once it is entered and is another.
///
/// Dragging changes nothing: each step would be one to take back.
pub(super) fn number(ui: &mut Ui, name: &str, value: f64, Digits(digits): Digits) -> Option<f64> {
    let mut typed = value;
    let field = DragValue::new(&mut typed)
        .speed(0.0)
        .fixed_decimals(digits)
        .custom_parser(parse)
        .update_while_editing(false);
    ui.add(field).accessible_name(name);
    // The field shows fewer digits than the number has; entered as shown it is the same.
    let least = 0.6 * 10_f64.powi(-(digits as i32));
    (typed.is_finite() && (typed - value).abs() > least).then_some(typed)
}

/// A number as typed in a shop: with a comma for the point, or as a fraction such as 3/8 or 1 3/8.
pub(super) fn parse(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    if let Ok(number) = text.parse::<f64>() {
        return Some(number).filter(|number| number.is_finite());
    }
    let (whole, fraction) = match text.rsplit_once([' ', '-']) {
        Some((whole, fraction)) if !whole.is_empty() => (whole.trim().parse().ok()?, fraction),
        _ => (0.0, text.as_str()),
    };
    let (above, below) = fraction.split_once('/')?;
    let part = above.trim().parse::<f64>().ok()? / below.trim().parse::<f64>().ok()?;
    let sum = if text.starts_with('-') && whole < 0.0 { whole - part } else { whole + part };
    Some(sum).filter(|number| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::parse;

    #[test]
    fn numbers_are_read_as_typed_in_a_shop() {
        for (text, number) in [
            ("1.25", Some(1.25)),
            (" -0,5 ", Some(-0.5)),
            (".375", Some(0.375)),
            ("3/8", Some(0.375)),
            ("1 3/8", Some(1.375)),
            ("1-3/8", Some(1.375)),
            ("-3/8", Some(-0.375)),
            ("-1 3/8", Some(-1.375)),
            ("1/0", None),
            ("inf", None),
            ("a", None),
            ("", None),
        ] {
            assert_eq!(parse(text), number, "{text}");
        }
    }
}
