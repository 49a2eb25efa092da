//! Where a program says its number, and where lines of ours may go in.

use std::ops::Range;

use super::text::{Edits, Line, lines, read, words};
use crate::program::words::TokenKind;
use crate::program::{Settings, heading};

/// The opening of a program text.
#[derive(Debug, Clone)]
pub(super) struct Origin {
    /// Its O word: the place in the text, and the number.
    pub number: Option<(Range<usize>, u32)>,
    /// Where new lines go in: behind the O word's line, or behind the `%`, or at the start.
    pub at: usize,
    /// The line that they go behind; 0 for the start.
    pub behind: u32,
    /// How lines end here.
    pub end: Vec<u8>,
    /// The line before has no end of its own.
    open: bool,
}

/// The numbers of all O words of a text: its own, and those of the programs it holds.
pub fn numbers(text: &[u8], settings: &Settings) -> Vec<u32> {
    let opens = |line: &[u8]| line.iter().any(|byte| matches!(byte, b'O' | b'o' | b':'));
    let mut numbers = Vec::new();
    for line in lines(text).filter(|line| opens(line.text)) {
        let tokens = read(line, settings);
        let values =
            words(&tokens).into_iter().filter(|word| word.letter == b'O').filter_map(|word| word.number);
        numbers.extend(
            values.filter(|value| (0.0..=f64::from(u32::MAX)).contains(value)).map(|value| value as u32),
        );
    }
    numbers
}

impl Origin {
    /// Looks at the opening of a text.
    pub(super) fn of(text: &[u8], settings: &Settings) -> Self {
        let end = lines(text).map(|line| line.end).find(|end| !end.is_empty()).unwrap_or(b"\r\n").to_vec();
        let mut origin = Self { number: None, at: 0, behind: 0, end, open: false };
        let heading = heading(text);
        for line in lines(text).skip_while(|line| line.number <= heading) {
            let tokens = read(line, settings);
            let is_blank = |kind| matches!(kind, TokenKind::Blank | TokenKind::Comment);
            if tokens.iter().all(|token| is_blank(token.kind)) {
                continue;
            }
            let is_mark = tokens.iter().any(|token| token.kind == TokenKind::Mark);
            let number = words(&tokens).into_iter().find(|word| word.letter == b'O');
            if !is_mark && number.is_none() {
                break;
            }
            origin.at = line.start + line.text.len() + line.end.len();
            origin.behind = line.number;
            origin.open = line.end.is_empty();
            if let Some(word) = number {
                let value = word.number.filter(|value| (0.0..=f64::from(u32::MAX)).contains(value));
                let place = line.start + word.span.start..line.start + word.span.end;
                origin.number = value.map(|value| (place, value.round() as u32));
                break;
            }
        }
        origin
    }

    /// Puts lines in.
    pub(super) fn insert(&self, new: &[String], edits: &mut Edits) {
        let mut bytes = Vec::new();
        for (index, line) in new.iter().enumerate() {
            if index > 0 || self.open {
                bytes.extend_from_slice(&self.end);
            }
            bytes.extend_from_slice(line.as_bytes());
        }
        if !self.open && !new.is_empty() {
            bytes.extend_from_slice(&self.end);
        }
        edits.put(self.at..self.at, bytes);
    }

    /// Writes another number over the O word, as wide as it was.
    pub(super) fn renumber(&self, text: &[u8], number: u32, edits: &mut Edits) {
        let Some((place, _)) = &self.number else { return };
        let old = text.get(place.clone()).unwrap_or_default();
        edits.put(place.clone(), renumbered(old, number));
    }

    /// The O word of a line: the place in the text, and the number.
    pub(super) fn number_of(line: Line<'_>, settings: &Settings) -> Option<(Range<usize>, u32)> {
        let words = words(&read(line, settings));
        let word = words.into_iter().find(|word| word.letter == b'O')?;
        let value = word.number.filter(|value| (0.0..=f64::from(u32::MAX)).contains(value))?;
        Some((line.start + word.span.start..line.start + word.span.end, value.round() as u32))
    }
}

/// Another number for an O word, as wide as it was and with the letter or sign that it had.
pub(super) fn renumbered(old: &[u8], number: u32) -> String {
    let digits = old.iter().position(u8::is_ascii_digit).unwrap_or(old.len());
    let (sign, rest) = old.split_at(digits);
    let width = if rest.first() == Some(&b'0') { rest.len() } else { 0 };
    format!("{}{number:0width$}", String::from_utf8_lossy(sign))
}

/// An O word, its digits filled up with zeros to a width.
pub(super) fn number_word(number: u32, width: usize) -> String {
    format!("O{number:0width$}")
}
