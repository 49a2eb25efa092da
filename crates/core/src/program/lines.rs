//! Program text as numbered lines.

use std::fmt;
use std::sync::Arc;

/// The text without the NULs (and the end-of-text bytes of old disks) that controls and serial links append.
fn trimmed(text: &[u8]) -> &[u8] {
    let mut text = text;
    while let [rest @ .., 0 | 0x1a] = text {
        text = rest;
    }
    text
}

/// Runs over the lines of a text; CR LF, LF and CR each end one.
#[derive(Debug, Clone)]
pub(super) struct Lines<'a> {
    text: &'a [u8],
    next: usize,
}

/// The byte order mark that some editors put before a text of UTF-8.
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

impl<'a> Lines<'a> {
    pub(super) fn new(text: &'a [u8]) -> Self {
        let next = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len() } else { 0 };
        Self { text: trimmed(text), next }
    }

    /// The part of the text that has been run over, from 0 to 1.
    pub(super) fn part(&self) -> f64 {
        if self.text.is_empty() { 1.0 } else { self.next as f64 / self.text.len() as f64 }
    }

    /// Offset of the line that comes next.
    const fn offset(&self) -> usize {
        self.next
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        let rest = self.text.get(self.next..).filter(|rest| !rest.is_empty())?;
        let Some(end) = memchr::memchr2(b'\n', b'\r', rest) else {
            self.next = self.text.len();
            return Some(rest);
        };
        let (line, tail) = rest.split_at(end);
        self.next += end + if tail.starts_with(b"\r\n") { 2 } else { 1 };
        Some(line)
    }
}

/// The lines of a program text, found by number without copying the text.
#[derive(Clone)]
pub struct TextLines {
    text: Arc<[u8]>,
    /// Where each line starts and ends, its line end left out.
    spans: Vec<(usize, usize)>,
}

impl fmt::Debug for TextLines {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("TextLines")
            .field("bytes", &self.text.len())
            .field("lines", &self.spans.len())
            .finish()
    }
}

impl TextLines {
    /// Finds the lines of a text. CR LF, LF and CR each end a line; trailing NULs and a leading byte order mark belong to
    /// none.
    pub fn new(bytes: Arc<[u8]>) -> Self {
        let mut spans = Vec::new();
        let mut lines = Lines::new(&bytes);
        let mut start = lines.offset();
        while let Some(line) = lines.next() {
            spans.push((start, start + line.len()));
            start = lines.offset();
        }
        Self { text: bytes, spans }
    }

    /// The whole text.
    pub fn bytes(&self) -> &[u8] {
        &self.text
    }

    /// How many lines there are.
    pub fn len(&self) -> usize {
        self.spans.len()
    }

    /// Whether there is no line at all.
    pub fn is_empty(&self) -> bool {
        self.spans.is_empty()
    }

    /// The text of line `number`, counted from 1, for showing: a tab becomes a space, other control characters and
    /// bytes that are no text become U+FFFD, so that characters stay in their columns. Empty when there is no such line.
    pub fn line(&self, number: usize) -> String {
        let bytes = number
            .checked_sub(1)
            .and_then(|index| self.spans.get(index))
            .and_then(|&(start, end)| self.text.get(start..end))
            .unwrap_or_default();
        let shown = |c: char| match c {
            '\t' => ' ',
            c if c.is_control() => char::REPLACEMENT_CHARACTER,
            c => c,
        };
        String::from_utf8_lossy(bytes).chars().map(shown).collect()
    }

    /// The sequence number that line `number` begins with, as `N120`, which controls show; `None` where it has none.
    pub fn sequence_number(&self, number: usize) -> Option<String> {
        let line = self.line(number);
        let begin = line.trim_start_matches([' ', '/']);
        let digits = begin.strip_prefix(['N', 'n'])?.trim_start();
        let end = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
        let is_one = end > 0 && end <= MOST_DIGITS && !digits[end..].starts_with(['.', '#', '[']);
        is_one.then(|| format!("N{}", &digits[..end]))
    }
}

/// Digits of a sequence number at most: controls have five (common practice, no source), some posts write more.
const MOST_DIGITS: usize = 8;

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &[u8]) -> Vec<String> {
        let lines = TextLines::new(Arc::from(text));
        (1..=lines.len()).map(|n| lines.line(n)).collect()
    }

    #[test]
    fn every_kind_of_line_end_ends_one_line() {
        for text in [
            &b"G0\nG1\nM2"[..],
            b"G0\r\nG1\r\nM2\r\n",
            b"G0\rG1\rM2\r",
            b"G0\nG1\r\nM2\r\0\0\0",
            b"G0\nG1\nM2\x1a",
        ] {
            assert_eq!(lines(text), ["G0", "G1", "M2"], "{text:?}");
        }
        assert_eq!(lines(b"G0\n\nM2"), ["G0", "", "M2"]);
        assert!(lines(b"").is_empty() && lines(b"\0\0").is_empty());
    }

    #[test]
    fn a_byte_order_mark_belongs_to_no_line() {
        assert_eq!(lines(b"\xef\xbb\xbfG0\n\xef\xbb\xbfM2"), ["G0", "\u{feff}M2"]);
        assert!(lines(b"\xef\xbb\xbf").is_empty());
    }

    #[test]
    fn a_sequence_number_is_what_a_line_begins_with() {
        for (line, want) in [
            ("N120 G1 X1.", Some("N120")),
            (" n0120G1", Some("N0120")),
            ("/N5", Some("N5")),
            ("N 7 G0", Some("N7")),
            ("G1 N8", None),
            ("N", None),
            ("N1.5 X1", None),
            ("N#1 X1", None),
            ("(N9)", None),
            ("", None),
        ] {
            let lines = TextLines::new(Arc::from(line.as_bytes()));
            assert_eq!(lines.sequence_number(1).as_deref(), want, "{line}");
        }
    }

    #[test]
    fn a_shown_line_keeps_its_columns() {
        assert_eq!(lines(b"G0\tX\x011 (\xff)"), ["G0 X\u{fffd}1 (\u{fffd})"]);
        let lines = TextLines::new(Arc::from(&b"G0"[..]));
        assert_eq!((lines.line(0), lines.line(2), lines.is_empty()), (String::new(), String::new(), false));
    }
}
