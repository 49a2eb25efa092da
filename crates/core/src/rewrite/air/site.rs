//! A number of a program that a lift changes.

use std::ops::Range;

use super::words::Words;
use crate::control::PlainNumbers;
use crate::program::Settings;
use crate::rewrite::Refusal;
use crate::rewrite::number::{Decimal, Style};
use crate::rewrite::text::{Word, column};
use crate::units::Units;

/// A number that is lifted.
#[derive(Debug)]
pub(super) struct Site {
    /// The number, without its letter, in the text.
    pub place: Range<usize>,
    pub line: u32,
    pub column: u32,
    /// The unit in force there.
    pub units: Units,
    /// `None` where the control computes it from parameters.
    number: Option<Decimal>,
    /// As it is written, without blanks around it.
    text: String,
    /// Written with a point, or a whole number of units.
    point: bool,
    /// Written as a count of least increments.
    counted: bool,
    plus: bool,
}

impl Site {
    /// The number of a word as it is written, in the unit in force.
    pub(super) fn of(
        words: &Words<'_>,
        word: &Word,
        units: Units,
        settings: &Settings,
    ) -> Result<Self, Refusal> {
        let span = word.span.start + 1..word.span.end;
        let text = words.line.text.get(span.clone()).unwrap_or_default();
        let counts = settings.plain_numbers == PlainNumbers::Increments;
        let number = match word.number {
            Some(_) => Some(Decimal::read(text).ok_or_else(|| {
                words.refuse(word, "has more digits than can be written back", "Round it.")
            })?),
            None if counts => {
                let why = "is computed from parameters that count increments";
                return Err(words.refuse(word, why, "Write the number itself."));
            }
            None => None,
        };
        Ok(Self {
            place: words.line.start + span.start..words.line.start + span.end,
            line: words.line.number,
            column: column(words.line.text, word.span.start),
            units,
            number,
            text: String::from_utf8_lossy(text).trim().to_owned(),
            point: word.point,
            counted: counts && !word.point,
            plus: text.contains(&b'+'),
        })
    }

    /// The number lifted `by`, as it is written; `None` when it has too many digits.
    pub(super) fn lifted(&self, by: Decimal, style: Style) -> Option<String> {
        let Some(number) = self.number else {
            return Some(format!("[{}+{}]", self.text, by.write(true, Style::default())));
        };
        let by = if self.counted { Decimal { digits: by.digits, places: 0 } } else { by };
        let sum = number.plus(by)?;
        let sign = if self.plus && sum.digits >= 0 { "+" } else { "" };
        Some(format!("{sign}{}", sum.write(self.point || sum.places > 0, style)))
    }
}
