//! Numbers as a person types them into a field: decimals, fractions, sums, another unit.
//!
//! What can be meant in two ways is refused, not guessed: a wrong number would be cut.

use std::fmt;

use crate::units::Units;

/// Larger numbers are slips of the finger.
const MOST: f64 = 1e9;

/// Longest text that is looked at.
const LONGEST: usize = 200;

/// Why what was typed is no number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// Nothing is typed.
    Nothing,
    /// This part cannot be read.
    Unread(String),
    /// It can be meant in two ways; how to say which.
    TwoWays(&'static str),
    /// Something is divided by 0.
    ByZero,
    /// It is too large.
    TooLarge,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => f.write_str("type a number"),
            Self::Unread(part) => write!(f, "\"{part}\" cannot be read as a number"),
            Self::TwoWays(how) => write!(f, "this can be meant in two ways: {how}"),
            Self::ByZero => f.write_str("nothing can be divided by 0"),
            Self::TooLarge => f.write_str("this number is too large"),
        }
    }
}

impl std::error::Error for Fault {}

/// A length in `units`: `1.25`, `,5`, `3/8`, `1 1/2`, `1.25-.062`, `12.7mm`, `1/2 in + 3 mm`. A number without a unit is
/// in `units`; when one term of a sum has a unit, every one must.
///
/// # Errors
/// Why it cannot be read, for the person who typed it.
pub fn length(text: &str, units: Units) -> Result<f64, Fault> {
    let terms = terms(text)?;
    let stated = terms.iter().filter(|term| term.units.is_some()).count();
    if stated > 0 && stated < terms.len() {
        return Err(Fault::TwoWays("say the unit with each number"));
    }
    sum(terms.iter().map(|term| term.value * term.units.map_or(1.0, |own| own.to(units))))
}

/// A number without a unit, such as an angle; a degree sign after it is left out.
///
/// # Errors
/// Why it cannot be read, for the person who typed it.
pub fn number(text: &str) -> Result<f64, Fault> {
    let terms = terms(text.trim().trim_end_matches('°'))?;
    if let Some(term) = terms.iter().find(|term| term.units.is_some()) {
        return Err(Fault::Unread(term.units.map_or("", Units::short).to_owned()));
    }
    sum(terms.iter().map(|term| term.value))
}

fn sum(values: impl Iterator<Item = f64>) -> Result<f64, Fault> {
    let sum: f64 = values.sum();
    if sum.abs() < MOST { Ok(sum + 0.0) } else { Err(Fault::TooLarge) }
}

/// One number of a sum, with its sign.
#[derive(Debug)]
struct Term {
    value: f64,
    units: Option<Units>,
}

fn terms(text: &str) -> Result<Vec<Term>, Fault> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Fault::Nothing);
    }
    if text.len() > LONGEST {
        return Err(Fault::TooLarge);
    }
    let text = text.replace('−', "-").to_lowercase();
    let mut rest = Rest(&text);
    let (mut terms, mut first) = (Vec::new(), true);
    while !rest.is_at_end() {
        let sign = rest.sign();
        if sign.is_none() && !first {
            return Err(rest.fault());
        }
        first = false;
        terms.push(rest.term(sign.unwrap_or(1.0))?);
    }
    Ok(terms)
}

/// What is still to be read.
struct Rest<'a>(&'a str);

impl<'a> Rest<'a> {
    fn skip_spaces(&mut self) {
        self.0 = self.0.trim_start();
    }

    fn is_at_end(&mut self) -> bool {
        self.skip_spaces();
        self.0.is_empty()
    }

    fn take(&mut self, part: &str) -> bool {
        self.0.strip_prefix(part).map(|rest| self.0 = rest).is_some()
    }

    fn sign(&mut self) -> Option<f64> {
        self.skip_spaces();
        let sign = if self.take("-") { Some(-1.0) } else { self.take("+").then_some(1.0) };
        if sign.is_some() {
            self.skip_spaces();
        }
        sign
    }

    fn fault(&self) -> Fault {
        let part = self.0.trim();
        if part.is_empty() { Fault::Nothing } else { Fault::Unread(part.chars().take(20).collect()) }
    }

    /// The digits and points that come next.
    fn figures(&mut self) -> Option<&'a str> {
        let end =
            self.0.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ','))).unwrap_or(self.0.len());
        let (figures, rest) = self.0.split_at(end);
        self.0 = rest;
        figures.bytes().any(|byte| byte.is_ascii_digit()).then_some(figures)
    }

    fn term(&mut self, sign: f64) -> Result<Term, Fault> {
        let before = self.0;
        let figures = self.figures().ok_or_else(|| Rest(before).fault())?;
        let mut value = decimal(figures)?;
        let whole = figures.bytes().all(|byte| byte.is_ascii_digit());
        if let Some(below) = self.divisor()? {
            value /= below;
        } else if whole && let Some(part) = self.fraction_behind()? {
            value += part;
        }
        let units = self.units()?;
        Ok(Term { value: sign * value, units })
    }

    /// What comes after a stroke.
    fn divisor(&mut self) -> Result<Option<f64>, Fault> {
        let before = self.0;
        self.skip_spaces();
        if !self.take("/") {
            self.0 = before;
            return Ok(None);
        }
        self.skip_spaces();
        let figures = self.figures().ok_or_else(|| self.fault())?;
        let below = decimal(figures)?;
        if below == 0.0 { Err(Fault::ByZero) } else { Ok(Some(below)) }
    }

    /// The fraction of a mixed number, as in `1 3/8`. `1-3/8` is written so for one and three eighths in some shops.
    fn fraction_behind(&mut self) -> Result<Option<f64>, Fault> {
        let before = self.0;
        let hyphen = self.take("-");
        if hyphen == self.0.starts_with(' ') {
            // A difference with spaces, or another number at once.
            self.0 = before;
            return Ok(None);
        }
        self.skip_spaces();
        let figures = self.figures().filter(|figures| figures.bytes().all(|byte| byte.is_ascii_digit()));
        let (Some(figures), true) = (figures, self.0.trim_start().starts_with('/')) else {
            self.0 = before;
            return Ok(None);
        };
        if hyphen {
            return Err(Fault::TwoWays("write 1 3/8 for one and three eighths, 1 - 3/8 for the difference"));
        }
        let above = decimal(figures)?;
        Ok(self.divisor()?.map(|below| above / below))
    }

    fn units(&mut self) -> Result<Option<Units>, Fault> {
        self.skip_spaces();
        let end = self
            .0
            .find(|c: char| !(c.is_alphabetic() || matches!(c, '"' | '″' | '”')))
            .unwrap_or(self.0.len());
        let (word, rest) = self.0.split_at(end);
        let units = match word {
            "" => None,
            "in" | "inch" | "inches" | "\"" | "″" | "”" => Some(Units::Inch),
            "mm" => Some(Units::Mm),
            _ => return Err(Fault::Unread(word.chars().take(20).collect())),
        };
        self.0 = rest.strip_prefix('.').filter(|_| word == "in").unwrap_or(rest);
        Ok(units)
    }
}

/// Digits with at most one point, or one comma for it.
fn decimal(figures: &str) -> Result<f64, Fault> {
    let unread = || Fault::Unread(figures.to_owned());
    if let Some((whole, rest)) = figures.split_once(',') {
        // 1,250 is twelve hundred and fifty to some, one and a quarter to others; 0,250 is neither.
        if rest.len() == 3
            && (1..=3).contains(&whole.len())
            && !whole.starts_with('0')
            && !whole.contains('.')
        {
            return Err(Fault::TwoWays("write 1.25 or 1250, not 1,250"));
        }
    }
    figures.replace(',', ".").parse().map_err(|_| unread())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As typed in a shop, with the field in inches.
    #[test]
    fn lengths_are_read_as_typed_in_a_shop() {
        for (text, value) in [
            ("1.25", 1.25),
            (" -0,5 ", -0.5),
            (".375", 0.375),
            (",375", 0.375),
            ("0,250", 0.25),
            ("1.", 1.0),
            ("3/8", 0.375),
            ("1 3/8", 1.375),
            ("1  1/2", 1.5),
            ("-3/8", -0.375),
            ("-1 3/8", -1.375),
            ("- 1", -1.0),
            ("1.25-.062", 1.188),
            ("1.25 - .062", 1.188),
            ("2 - 1/16", 1.9375),
            ("2 -1/16", 1.9375),
            ("2- 1/16", 1.9375),
            ("1.25-3/8", 0.875),
            ("1 1/2+.005", 1.505),
            ("1 1/2 + 1 1/4", 2.75),
            ("1 - 2", -1.0),
            ("1-2", -1.0),
            ("12.7mm", 0.5),
            ("12.7 mm", 0.5),
            ("25.4MM", 1.0),
            ("1 mm", 1.0 / 25.4),
            ("1/2 in + 12.7 mm", 1.0),
            ("1 1/2\"", 1.5),
            ("1/2\"-.25\"", 0.25),
            ("1 inch", 1.0),
            ("0.5 in.", 0.5),
            ("−.25", -0.25),
            ("0", 0.0),
            ("-0", 0.0),
        ] {
            let read = length(text, Units::Inch).unwrap_or_else(|fault| panic!("{text}: {fault}"));
            assert!((read - value).abs() < 1e-12, "{text}: {read}, not {value}");
        }
        assert_eq!(length("1 in", Units::Mm), Ok(25.4));
        assert_eq!(length("1/4", Units::Mm), Ok(0.25));
    }

    #[test]
    fn what_cannot_be_read_is_told_and_never_guessed() {
        let unread = |part: &str| Fault::Unread(part.to_owned());
        for (text, fault) in [
            ("", Fault::Nothing),
            ("  ", Fault::Nothing),
            ("-", Fault::Nothing),
            ("1+", Fault::Nothing),
            ("a", unread("a")),
            ("1.2.3", unread("1.2.3")),
            ("1 2", unread("2")),
            ("1 2 3/4", unread("2 3/4")),
            ("1 kg", unread("kg")),
            ("1 m", unread("m")),
            ("1 mmm", unread("mmm")),
            ("1e3", unread("e")),
            ("inf", unread("inf")),
            ("nan", unread("nan")),
            ("1//2", unread("/2")),
            ("--1", unread("-1")),
            ("1/0", Fault::ByZero),
            ("1 1/0", Fault::ByZero),
            ("1-3/8", Fault::TwoWays("write 1 3/8 for one and three eighths, 1 - 3/8 for the difference")),
            ("-1-3/8", Fault::TwoWays("write 1 3/8 for one and three eighths, 1 - 3/8 for the difference")),
            ("1,250", Fault::TwoWays("write 1.25 or 1250, not 1,250")),
            ("1 + 2 mm", Fault::TwoWays("say the unit with each number")),
            ("12.7-3mm", Fault::TwoWays("say the unit with each number")),
            ("9999999999", Fault::TooLarge),
        ] {
            assert_eq!(length(text, Units::Inch), Err(fault), "{text}");
        }
        assert_eq!(length(&"9".repeat(500), Units::Mm), Err(Fault::TooLarge));
    }

    #[test]
    fn plain_numbers_have_no_unit() {
        assert_eq!(number("45"), Ok(45.0));
        assert_eq!(number("22 1/2°"), Ok(22.5));
        assert_eq!(number("90-1.5"), Ok(88.5));
        assert_eq!(number("1 mm"), Err(Fault::Unread("mm".to_owned())));
    }
}
