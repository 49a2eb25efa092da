//! A comment as words, numbers and marks, as a machinist would read it aloud.

use crate::units::Units;

/// How a number is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// Without a point.
    Whole,
    /// With a decimal point.
    Decimal,
    /// As a fraction, which in the trade is always of an inch (common practice, no source).
    Fraction,
}

/// A number of a comment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) style: Style,
    /// The unit written behind it.
    pub(super) units: Option<Units>,
}

/// One thing in a comment.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    Word(String),
    Number(Number),
    Mark(char),
}

/// One thing in a comment, and whether it stands right behind the one before.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    pub(super) kind: Kind,
    pub(super) glued: bool,
}

/// Larger numbers are none: in millimeters a job file would not take them (its own limit is 1e9).
const LARGEST: f64 = 1e9 / 25.4;

impl Item {
    pub(super) fn word(&self) -> Option<&str> {
        match &self.kind {
            Kind::Word(word) => Some(word),
            _ => None,
        }
    }

    pub(super) const fn number(&self) -> Option<Number> {
        match self.kind {
            Kind::Number(number) => Some(number),
            _ => None,
        }
    }

    pub(super) fn is_mark(&self, marks: &str) -> bool {
        matches!(self.kind, Kind::Mark(mark) if marks.contains(mark))
    }
}

/// Words that number what stands behind them: `TOOL 1 1/2 END MILL` is no tool of one and a half.
const COUNTED: [&str; 16] = [
    "T", "TOOL", "TL", "NO", "NUMBER", "OP", "PASS", "STEP", "REV", "PART", "O", "N", "P", "H", "SETUP",
    "BLOCK",
];

/// The items of a comment, words in upper case.
pub(super) fn items(comment: &str) -> Vec<Item> {
    let text: Vec<char> = comment.to_uppercase().replace("E.M.", "EM").replace("M/M", "MM").chars().collect();
    let mut lexer = Lexer { text, at: 0, items: Vec::new() };
    while lexer.step() {}
    lexer.items
}

struct Lexer {
    text: Vec<char>,
    at: usize,
    items: Vec<Item>,
}

impl Lexer {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.text.get(self.at + ahead).copied()
    }

    fn digit(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|c| c.is_ascii_digit())
    }

    fn number_begins(&self, ahead: usize) -> bool {
        self.digit(ahead) || (self.peek(ahead) == Some('.') && self.digit(ahead + 1))
    }

    fn step(&mut self) -> bool {
        let Some(c) = self.peek(0) else { return false };
        if c.is_whitespace() {
            self.at += 1;
            return true;
        }
        let glued = self.at > 0 && !self.text[self.at - 1].is_whitespace();
        if !glued && let Some(sum) = self.checksum() {
            self.at += sum.len();
            self.push(Kind::Word(sum), glued);
        } else if self.number_begins(0)
            || (matches!(c, '-' | '+') && self.number_begins(1) && self.sign_may_stand(glued))
        {
            let number = self.number();
            self.push(Kind::Number(number), glued);
        } else if c.is_alphabetic() && !matches!(c, 'Ø' | '⌀') {
            let length = self.text[self.at..].iter().take_while(|c| c.is_alphabetic()).count();
            let word = self.text[self.at..self.at + length].iter().collect();
            self.at += length;
            self.push(Kind::Word(word), glued);
        } else {
            self.at += 1;
            self.push(Kind::Mark(if c == '⌀' { 'Ø' } else { c }), glued);
        }
        true
    }

    /// A checksum that stands here, eight hexadecimal digits: `D46` in one is no diameter.
    fn checksum(&self) -> Option<String> {
        let sum: String = self.text[self.at..].iter().take_while(|c| c.is_alphanumeric()).collect();
        let is_sum = sum.len() == 8 && sum.chars().all(|c| c.is_ascii_hexdigit());
        (is_sum && sum.contains(|c: char| c.is_ascii_alphabetic())).then_some(sum)
    }

    fn push(&mut self, kind: Kind, glued: bool) {
        self.items.push(Item { kind, glued });
    }

    /// A dash between two words or numbers joins them; behind a blank, `=` or the letter of an axis it is a sign.
    fn sign_may_stand(&self, glued: bool) -> bool {
        let last = self.items.last();
        !glued
            || last
                .is_some_and(|last| last.is_mark("=:,(") || last.word().is_some_and(|word| word.len() == 1))
    }

    fn number(&mut self) -> Number {
        let sign = match self.peek(0) {
            Some('-') => {
                self.at += 1;
                -1.0
            }
            Some('+') => {
                self.at += 1;
                1.0
            }
            _ => 1.0,
        };
        let counts = self
            .items
            .last()
            .is_some_and(|last| last.is_mark("#") || last.word().is_some_and(|word| COUNTED.contains(&word)));
        let (whole, style) = self.plain();
        let (value, style) = self.with_fraction(whole, style, counts);
        Number { value: sign * value, style, units: self.units() }
    }

    fn plain(&mut self) -> (f64, Style) {
        let length = self.text[self.at..].iter().take_while(|c| c.is_ascii_digit() || **c == '.').count();
        let mut written: String = self.text[self.at..self.at + length].iter().collect();
        // `12.` at the end of a sentence is read as well; a second point ends the number.
        if let Some(second) = written.match_indices('.').nth(1).map(|(at, _)| at) {
            written.truncate(second);
        }
        self.at += written.chars().count().max(1);
        let style = if written.contains('.') { Style::Decimal } else { Style::Whole };
        (written.parse().ok().filter(|value| *value < LARGEST).unwrap_or(0.0), style)
    }

    /// `1/2` of `1`, `1-1/2` and `1 1/2` of the first `1`.
    fn with_fraction(&mut self, whole: f64, style: Style, counts: bool) -> (f64, Style) {
        if style != Style::Whole {
            return (whole, style);
        }
        if let Some((part, length)) = self.over(whole, 0) {
            self.at += length;
            return (part, Style::Fraction);
        }
        let joined = match self.peek(0) {
            Some('-') => true,
            Some(' ') => !counts,
            _ => false,
        };
        if joined && self.digit(1) {
            let digits: String = self.text[self.at + 1..].iter().take_while(|c| c.is_ascii_digit()).collect();
            let above = digits.parse().unwrap_or(0.0);
            if let Some((part, length)) = self.over(above, 1 + digits.len()) {
                self.at += 1 + digits.len() + length;
                return (whole + part, Style::Fraction);
            }
        }
        (whole, style)
    }

    /// `/2` with so many characters before it: the fraction, and how long that is. Dates and the like are none: what is
    /// below must be one of the parts an inch is divided into.
    fn over(&self, above: f64, ahead: usize) -> Option<(f64, usize)> {
        if self.peek(ahead) != Some('/') {
            return None;
        }
        let digits: String =
            self.text[self.at + ahead + 1..].iter().take_while(|c| c.is_ascii_digit()).collect();
        let below: u32 = digits.parse().ok()?;
        let inch_part = matches!(below, 2 | 4 | 8 | 16 | 32 | 64) && above > 0.0 && above < f64::from(below);
        let behind = self.peek(ahead + 1 + digits.len());
        (inch_part && behind != Some('/')).then(|| (above / f64::from(below), 1 + digits.len()))
    }

    /// A unit behind a number.
    fn units(&mut self) -> Option<Units> {
        let blanks = self.text[self.at..].iter().take_while(|c| **c == ' ').count();
        if blanks == 0 {
            for mark in ["\"", "''", "”"] {
                let marks: Vec<char> = mark.chars().collect();
                if self.text[self.at..].starts_with(&marks) {
                    self.at += marks.len();
                    return Some(Units::Inch);
                }
            }
        }
        let from = self.at + blanks;
        let word: String = self.text[from..].iter().take_while(|c| c.is_alphabetic()).collect();
        let units = match word.as_str() {
            "MM" => Units::Mm,
            "IN" | "INCH" | "INCHES" => Units::Inch,
            _ => return None,
        };
        let end = from + word.len();
        let rest: String = self.text[end..].iter().collect();
        // A rate, and the little word.
        let next = rest.trim_start().split(|c: char| !c.is_alphabetic()).next().unwrap_or_default();
        if rest.starts_with('/') || (word == "IN" && matches!(next, "Z" | "THE" | "A" | "CORNER" | "CORNERS"))
        {
            return None;
        }
        self.at = end;
        Some(units)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The numbers of a comment: value, and `w`, `d` or `f` with the unit.
    fn numbers(comment: &str) -> Vec<(f64, String)> {
        let told = |number: Number| {
            let style = match number.style {
                Style::Whole => "w",
                Style::Decimal => "d",
                Style::Fraction => "f",
            };
            (number.value, format!("{style}{}", number.units.map_or("", Units::short)))
        };
        items(comment).iter().filter_map(Item::number).map(told).collect()
    }

    #[test]
    fn numbers_are_read_as_they_are_meant() {
        let cases: [(&str, &[(f64, &str)]); 18] = [
            ("1/2 end mill", &[(0.5, "f")]),
            ("1-1/4 FACE MILL", &[(1.25, "f")]),
            ("2 1/2 FACE MILL", &[(2.5, "f")]),
            ("T1 1/2 EM", &[(1.0, "w"), (0.5, "f")]),
            ("TOOL 1 - 1/2 EM", &[(1.0, "w"), (0.5, "f")]),
            ("TOOL #1 1/2 EM", &[(1.0, "w"), (0.5, "f")]),
            ("EM-1/2-4FL", &[(0.5, "f"), (4.0, "w")]),
            ("12MM BALL", &[(12.0, "wmm")]),
            ("D=0.5 R.03", &[(0.5, "d"), (0.03, "d")]),
            ("1/4\" BALL, 2 INCH LONG", &[(0.25, "fin"), (2.0, "win")]),
            ("12/05/2024", &[(12.0, "w"), (5.0, "w"), (2024.0, "w")]),
            ("Z-1.02 TO BOTTOM", &[(-1.02, "d")]),
            ("LEAVE -.005", &[(-0.005, "d")]),
            ("LEAVE .01 IN Z", &[(0.01, "d")]),
            ("AIR SUM DC5F7D46", &[]),
            ("D10R2L50", &[(10.0, "w"), (2.0, "w"), (50.0, "w")]),
            ("1.2.3", &[(1.2, "d"), (0.3, "d")]),
            ("3/3 1/7", &[(3.0, "w"), (3.0, "w"), (1.0, "w"), (7.0, "w")]),
        ];
        for (comment, want) in cases {
            let want: Vec<(f64, String)> = want.iter().map(|(v, s)| (*v, (*s).to_owned())).collect();
            assert_eq!(numbers(comment), want, "{comment}");
        }
    }
}
