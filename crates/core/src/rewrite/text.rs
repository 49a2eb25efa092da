//! Program text as lines that can be put together again.

use std::ops::Range;

use crate::control::LineEnd;
use crate::program::Settings;
use crate::program::words::{Token, TokenKind, tokens};

/// A line with the bytes that end it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line<'a> {
    /// From 1.
    pub number: u32,
    /// Where it starts in the text.
    pub start: usize,
    pub text: &'a [u8],
    /// CR LF, LF, CR, or nothing behind the last line.
    pub end: &'a [u8],
}

/// A word of a line; its letter in upper case, its place in the line.
#[derive(Debug, Clone)]
pub(super) struct Word {
    pub letter: u8,
    /// `None` for a variable or an expression.
    pub number: Option<f64>,
    pub point: bool,
    pub span: Range<usize>,
}

/// The text without the NULs and end-of-text bytes behind it, and those.
pub(super) fn body(text: &[u8]) -> (&[u8], &[u8]) {
    let kept = text.iter().rposition(|byte| !matches!(byte, 0 | 0x1a)).map_or(0, |last| last + 1);
    text.split_at(kept)
}

/// The lines of a text; CR LF, LF and CR each end one.
pub(super) fn lines(text: &[u8]) -> impl Iterator<Item = Line<'_>> {
    let (text, _) = body(text);
    let (mut start, mut number) = (0, 0);
    std::iter::from_fn(move || {
        let rest = text.get(start..).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
        let (line, tail) = rest.split_at(length);
        let end = match tail {
            [b'\r', b'\n', ..] => 2,
            [] => 0,
            _ => 1,
        };
        number += 1;
        let line = Line { number, start, text: line, end: tail.get(..end).unwrap_or_default() };
        start += length + end;
        Some(line)
    })
}

/// The bytes of a token.
pub(super) fn bytes<'a>(line: &'a [u8], token: &Token) -> &'a [u8] {
    line.get(token.span.from..token.span.to).unwrap_or_default()
}

/// The words among tokens.
pub(super) fn words(tokens: &[Token]) -> Vec<Word> {
    let word = |token: &Token| match token.kind {
        TokenKind::Word { letter, number, point } => {
            Some(Word { letter, number, point, span: token.span.from..token.span.to })
        }
        _ => None,
    };
    tokens.iter().filter_map(word).collect()
}

/// The tokens of a line.
pub(super) fn read(line: Line<'_>, settings: &Settings) -> Vec<Token> {
    tokens(line.text, settings.dialect())
}

/// Column of a byte of a line, from 1, in characters.
pub(super) fn column(line: &[u8], at: usize) -> u32 {
    let before = line.get(..at).unwrap_or(line);
    u32::try_from(String::from_utf8_lossy(before).chars().count() + 1).unwrap_or(u32::MAX)
}

/// A word as messages quote it: without blanks, in upper case.
pub(super) fn quoted(line: &[u8], span: &Range<usize>) -> String {
    let solid = line.get(span.clone()).unwrap_or_default().iter().filter(|byte| byte.is_ascii_graphic());
    solid.take(24).map(|byte| char::from(byte.to_ascii_uppercase())).collect()
}

/// The bytes of a line end.
pub(super) const fn end_bytes(end: LineEnd) -> &'static [u8] {
    match end {
        LineEnd::CrLf => b"\r\n",
        LineEnd::Lf => b"\n",
        LineEnd::Cr => b"\r",
    }
}

/// Replacements in a text, put in from front to back.
#[derive(Debug, Default)]
pub(super) struct Edits {
    list: Vec<(Range<usize>, Vec<u8>)>,
}

impl Edits {
    /// Puts `with` in the place of `range`, which may be empty.
    pub(super) fn put(&mut self, range: Range<usize>, with: impl Into<Vec<u8>>) {
        self.list.push((range, with.into()));
    }

    /// The text with all replacements made. None may overlap another.
    pub(super) fn apply(mut self, text: &[u8]) -> Vec<u8> {
        self.list.sort_by_key(|(range, _)| range.start);
        let added: usize = self.list.iter().map(|(_, with)| with.len()).sum();
        let mut out = Vec::with_capacity(text.len() + added);
        let mut from = 0;
        for (range, with) in &self.list {
            out.extend_from_slice(text.get(from..range.start).unwrap_or_default());
            out.extend_from_slice(with);
            from = range.end;
        }
        out.extend_from_slice(text.get(from..).unwrap_or_default());
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_hold_every_byte() {
        for text in [&b"G0\r\nG1\rG2\n\nM2"[..], b"", b"\n\r\n", b"M2\0\0", b"a\rb\r\n\x1a"] {
            let (kept, tail) = body(text);
            let joined: Vec<u8> = lines(text).flat_map(|line| [line.text, line.end].concat()).collect();
            assert_eq!(joined, kept);
            assert!(tail.iter().all(|byte| matches!(byte, 0 | 0x1a)));
            for line in lines(text) {
                assert_eq!(text.get(line.start..line.start + line.text.len()), Some(line.text));
            }
        }
    }

    #[test]
    fn edits_are_made_in_any_order() {
        let mut edits = Edits::default();
        edits.put(4..5, *b"two");
        edits.put(0..1, *b"");
        edits.put(2..2, *b"+");
        assert_eq!(edits.apply(b"abcdefg"), b"b+cdtwofg");
    }
}
