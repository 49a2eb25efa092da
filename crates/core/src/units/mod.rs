//! Length units and how lengths are written for people.

mod told;

use serde::{Deserialize, Serialize};
use serde_json::Value;

pub use told::Told;

/// The length unit of a job or a program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Inches.
    Inch,
    /// Millimetres.
    Mm,
}

impl Units {
    /// How many of this unit make one inch (25.4 mm by the international definition of 1959).
    pub const fn per_inch(self) -> f64 {
        match self {
            Self::Inch => 1.0,
            Self::Mm => 25.4,
        }
    }

    /// The factor that turns a length in `self` into a length in `other`.
    pub fn to(self, other: Self) -> f64 {
        if self == other { 1.0 } else { other.per_inch() / self.per_inch() }
    }

    /// Short name as written behind a number: `in` or `mm`.
    pub const fn short(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Mm => "mm",
        }
    }

    /// The name used in job files: `inch` or `mm`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Inch => "inch",
            Self::Mm => "mm",
        }
    }

    /// The name in a sentence: `inches` or `millimeters`.
    pub const fn plural(self) -> &'static str {
        match self {
            Self::Inch => "inches",
            Self::Mm => "millimeters",
        }
    }

    /// Picks the value meant for this unit.
    pub const fn pick(self, inch: f64, mm: f64) -> f64 {
        match self {
            Self::Inch => inch,
            Self::Mm => mm,
        }
    }

    /// A length to the tool's full exactness: `.0470` in inches, `1.194` in millimetres, without the unit.
    pub fn fine(self, length: f64) -> String {
        match self {
            Self::Inch => written(length, 4, true),
            Self::Mm => written(length, 3, false),
        }
    }

    /// A length as on a drawing: `.047` in inches, `1.19` in millimetres, without the unit.
    pub fn plain(self, length: f64) -> String {
        match self {
            Self::Inch => written(length, 3, true),
            Self::Mm => written(length, 2, false),
        }
    }

    /// [`Units::fine`] with the unit behind it.
    pub fn fine_with_unit(self, length: f64) -> String {
        format!("{} {}", self.fine(length), self.short())
    }

    /// [`Units::plain`] with the unit behind it.
    pub fn plain_with_unit(self, length: f64) -> String {
        format!("{} {}", self.plain(length), self.short())
    }
}

/// From here on a number is written with a power of ten: more digits than that nobody reads.
const LONG: f64 = 1e12;

/// A number in messages as it was given, in few digits however large or small it is.
pub fn digits(value: f64) -> String {
    if value == 0.0 || (1.0 / LONG..LONG).contains(&value.abs()) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

/// A number with so many decimals, or with a power of ten where it is very large; never `-0`, `-0.0` or the like, which nobody can read.
pub fn fixed(value: f64, decimals: usize) -> String {
    if value.abs() >= LONG {
        return format!("{value:.decimals$e}");
    }
    let mut text = format!("{value:.decimals$}");
    if text.starts_with('-') && text[1..].chars().all(|c| c == '0' || c == '.') {
        text.remove(0);
    }
    text
}

/// JSON laid out for people, with a line end behind it and no `-0.0` in it.
pub fn json_text(mut root: Value) -> String {
    without_minus_zero(&mut root);
    let mut text = serde_json::to_string_pretty(&root).unwrap_or_default();
    text.push('\n');
    text
}

/// JSON in one line, with a line end behind it and no `-0.0` in it.
pub fn json_row(mut root: Value) -> String {
    without_minus_zero(&mut root);
    format!("{root}\n")
}

fn without_minus_zero(value: &mut Value) {
    match value {
        Value::Number(number) if number.as_f64() == Some(0.0) && number.is_f64() => *value = Value::from(0.0),
        Value::Array(list) => list.iter_mut().for_each(without_minus_zero),
        Value::Object(map) => map.values_mut().for_each(without_minus_zero),
        _ => {}
    }
}

/// Fixed decimals; inches drop the zero before the point, as on shop drawings.
fn written(length: f64, decimals: usize, drop_zero: bool) -> String {
    let text = fixed(length, decimals);
    if !drop_zero {
        return text;
    }
    if let Some(rest) = text.strip_prefix("0.") {
        format!(".{rest}")
    } else if let Some(rest) = text.strip_prefix("-0.") {
        format!("-.{rest}")
    } else {
        text
    }
}

/// Seconds as `h:mm:ss`, rounded to the nearest second.
pub fn clock(seconds: f64) -> String {
    let total = seconds.max(0.0).round() as u64;
    format!("{}:{:02}:{:02}", total / 3600, total / 60 % 60, total % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_written_as_on_a_drawing() {
        assert_eq!(Units::Inch.fine(0.047), ".0470");
        assert_eq!(Units::Inch.fine(-0.5), "-.5000");
        assert_eq!(Units::Inch.fine(-0.000_01), ".0000");
        assert_eq!(Units::Inch.plain(1.25), "1.250");
        assert_eq!(Units::Mm.plain(-0.3), "-0.30");
        assert_eq!(Units::Mm.fine_with_unit(1.1938), "1.194 mm");
    }

    #[test]
    fn nothing_is_minus_zero() {
        for value in [-0.0, -1e-9, -0.000_04, 0.0] {
            assert_eq!((fixed(value, 0), fixed(value, 4)), ("0".to_owned(), "0.0000".to_owned()));
            assert_eq!(
                (Units::Inch.fine(value), Units::Mm.plain(value)),
                (".0000".to_owned(), "0.00".to_owned())
            );
        }
        assert_eq!(fixed(-0.25, 1), "-0.2");
        let text = json_text(serde_json::json!({ "a": -0.0, "b": [0, -0.0, { "c": -0.0, "d": -1.5 }] }));
        assert!(!text.contains("-0") && text.contains("-1.5") && text.ends_with("}\n"), "{text}");
    }

    #[test]
    fn no_number_has_hundreds_of_digits() {
        for value in [1e300, -1e300, f64::MAX, f64::MIN_POSITIVE, 1e-300, f64::INFINITY, f64::NAN, 1.0 / 3.0]
        {
            let all =
                [digits(value), fixed(value, 4), Units::Inch.fine(value), Units::Mm.plain_with_unit(value)];
            assert!(all.iter().all(|text| text.len() < 30), "{all:?}");
        }
        assert_eq!(
            (digits(0.5), digits(1e300), digits(-2e-13)),
            ("0.5".into(), "1e300".into(), "-2e-13".into())
        );
        assert_eq!((digits(0.0), fixed(1e9, 1)), ("0".into(), "1000000000.0".into()));
        assert_eq!(Units::Inch.fine(2.5e15), "2.5000e15");
    }

    #[test]
    fn clock_carries_into_hours() {
        assert_eq!(clock(59.6), "0:01:00");
        assert_eq!(clock(3725.0), "1:02:05");
    }
}
