//! Numbers of program words as they are written: exact decimals.

/// Digits of a number that can be written back; no length of any machine has more.
const MOST_DIGITS: u32 = 15;

/// A decimal number, exact, with the places it was written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Decimal {
    /// The number times ten to the power of `places`.
    pub digits: i64,
    /// Digits behind the point.
    pub places: u32,
}

/// How numbers are written in a program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Style {
    /// `.5` rather than `0.5`.
    pub bare_point: bool,
}

impl Decimal {
    /// Reads a number as a program has it: sign, digits and point, blanks between them. `None` for more digits than
    /// can be written back, and for what is no number.
    pub(super) fn read(text: &[u8]) -> Option<Self> {
        let (mut digits, mut count, mut places, mut negative, mut point) = (0_i64, 0, 0, false, false);
        for byte in text {
            match byte {
                b'0'..=b'9' => {
                    digits = digits * 10 + i64::from(byte - b'0');
                    count += u32::from(digits != 0);
                    places += u32::from(point);
                    if count > MOST_DIGITS || places > MOST_DIGITS {
                        return None;
                    }
                }
                b'.' if !point => point = true,
                b'-' => negative = true,
                b'+' | b' ' | b'\t' => {}
                _ => return None,
            }
        }
        Some(Self { digits: if negative { -digits } else { digits }, places })
    }

    /// The decimal with this many places nearest to `value`; `None` when it has too many digits.
    pub(super) fn nearest(value: f64, places: u32) -> Option<Self> {
        let scaled = (value * 10_f64.powi(places as i32)).round();
        (scaled.abs() < 1e15).then_some(Self { digits: scaled as i64, places })
    }

    /// The same number with at least this many places; `None` when it has too many digits.
    pub(super) fn with_places(self, places: u32) -> Option<Self> {
        let more = places.saturating_sub(self.places);
        let digits = self.digits.checked_mul(10_i64.checked_pow(more)?)?;
        Some(Self { digits, places: self.places + more })
    }

    /// The sum, exact, with the places of the first and no more than it needs beyond them.
    pub(super) fn plus(self, other: Self) -> Option<Self> {
        let places = self.places.max(other.places);
        let sum = self.with_places(places)?.digits.checked_add(other.with_places(places)?.digits)?;
        Some(Self { digits: sum, places }.trimmed_to(self.places))
    }

    fn trimmed_to(mut self, least: u32) -> Self {
        while self.places > least && self.digits % 10 == 0 {
            self.digits /= 10;
            self.places -= 1;
        }
        self
    }

    /// The number.
    pub(super) fn value(self) -> f64 {
        self.digits as f64 / 10_f64.powi(self.places as i32)
    }

    /// The number as a program has it; `point` writes a point behind a whole number too.
    pub(super) fn write(self, point: bool, style: Style) -> String {
        let sign = if self.digits < 0 { "-" } else { "" };
        let digits = format!("{:0width$}", self.digits.unsigned_abs(), width = self.places as usize + 1);
        let (whole, part) = digits.split_at(digits.len() - self.places as usize);
        let whole = if whole == "0" && style.bare_point && self.digits != 0 { "" } else { whole };
        if part.is_empty() && !point { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum(a: &str, b: &str) -> String {
        let read = |text: &str| Decimal::read(text.as_bytes()).expect("a number");
        let style = Style { bare_point: true };
        read(a).plus(read(b)).expect("few digits").write(a.contains('.'), style)
    }

    #[test]
    fn sums_keep_the_places_they_had() {
        for (a, b, is) in [
            ("-1.02", "1.04", ".02"),
            ("2.", "1.04", "3.04"),
            ("2.", "1.0", "3."),
            ("2", "1", "3"),
            ("- 1 .0", "1.", "0.0"),
            ("-0.", "0", "0."),
            ("-.5000", ".25", "-.2500"),
            ("-12.5", "13.0400", ".54"),
            ("+0.1", "0.00001", ".10001"),
            ("-1020", "1040", "20"),
        ] {
            assert_eq!(sum(a, b), is, "{a} + {b}");
        }
        assert_eq!(Decimal { digits: 5, places: 1 }.write(true, Style::default()), "0.5");
        assert_eq!(Decimal { digits: -5, places: 4 }.write(true, Style::default()), "-0.0005");
    }

    #[test]
    fn too_many_digits_are_not_written_back() {
        assert!(Decimal::read(b"123456789012345").is_some());
        assert!(Decimal::read(b"1234567890123456").is_none());
        assert!(Decimal::read(b"0.0000000000000001").is_none());
        assert!(Decimal::read(b"#1").is_none());
        assert!(Decimal::nearest(1e15, 4).is_none());
        assert_eq!(Decimal::nearest(1.04, 4).map(Decimal::value), Some(1.04));
    }
}
