//! A program's text, kept so that one line of a million is cheap to change and all others stay as they were posted,
//! byte for byte and with their own line ends.

use std::fmt;
use std::sync::Arc;

use crate::files::Print;

/// What ends a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// Nothing: the last line of a text that just stops.
    None,
    Lf,
    Cr,
    CrLf,
}

impl End {
    const fn bytes(self) -> &'static [u8] {
        match self {
            Self::None => b"",
            Self::Lf => b"\n",
            Self::Cr => b"\r",
            Self::CrLf => b"\r\n",
        }
    }
}

/// One line: where its text lies, and what ends it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Line {
    from: u32,
    length: u32,
    end: End,
    /// In the bytes that were typed here, rather than in the posted ones.
    typed: bool,
}

/// The lines of a text. Clones share everything until one of them is changed.
#[derive(Clone)]
pub(super) struct Buffer {
    posted: Arc<[u8]>,
    /// Grows only, so that lines taken out can be put back as they were.
    typed: Arc<Vec<u8>>,
    lines: Arc<Vec<Line>>,
    /// Where the lines of the posted text stop: controls and serial links append NULs, which belong to no line.
    stop: usize,
}

impl fmt::Debug for Buffer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Buffer")
            .field("bytes", &self.posted.len())
            .field("lines", &self.lines.len())
            .finish_non_exhaustive()
    }
}

/// The lines that take the place of others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Splice {
    /// Index of the first line touched.
    pub(super) at: usize,
    /// Lines there before.
    pub(super) before: Vec<Line>,
    /// Lines there afterwards.
    pub(super) after: Vec<Line>,
}

impl Buffer {
    /// Finds the lines of a posted text: CR LF, LF and CR each end one.
    pub(super) fn new(posted: Arc<[u8]>) -> Self {
        let mut stop = posted.len();
        while stop > 0 && matches!(posted.get(stop - 1), Some(0 | 0x1a)) {
            stop -= 1;
        }
        let text = posted.get(..stop).unwrap_or_default();
        let mut lines = Vec::with_capacity(text.len() / 32);
        let mut from = 0;
        while let Some(rest) = text.get(from..).filter(|rest| !rest.is_empty()) {
            let length = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
            let end = match rest.get(length..) {
                Some([b'\r', b'\n', ..]) => End::CrLf,
                Some([b'\r', ..]) => End::Cr,
                Some([b'\n', ..]) => End::Lf,
                _ => End::None,
            };
            lines.push(Line { from: from as u32, length: length as u32, end, typed: false });
            from += length + end.bytes().len();
        }
        Self { posted, typed: Arc::default(), lines: Arc::new(lines), stop }
    }

    /// How many lines there are.
    pub(super) fn len(&self) -> usize {
        self.lines.len()
    }

    /// Of the text as it was posted.
    pub(super) fn print(&self) -> Print {
        Print::of(&self.posted)
    }

    fn of(&self, line: Line) -> &[u8] {
        let store: &[u8] = if line.typed { &self.typed } else { &self.posted };
        let from = line.from as usize;
        store.get(from..from + line.length as usize).unwrap_or_default()
    }

    /// The bytes of line `index`, from 0, without its end; none where there is no such line.
    pub(super) fn bytes(&self, index: usize) -> &[u8] {
        self.lines.get(index).map(|line| self.of(*line)).unwrap_or_default()
    }

    /// The bytes of each line from `first` on.
    pub(super) fn from(&self, first: usize) -> impl Iterator<Item = &[u8]> {
        self.lines.get(first..).unwrap_or_default().iter().map(|line| self.of(*line))
    }

    /// The text of a line, to be changed by hand.
    pub(super) fn text(&self, index: usize) -> String {
        decoded(self.bytes(index))
    }

    /// Another text for a line; `None` when it is the same.
    pub(super) fn retype(&mut self, index: usize, text: &str) -> Option<Splice> {
        let line = *self.lines.get(index)?;
        if decoded(self.of(line)) == text {
            return None;
        }
        let bytes = encoded(text, self.of(line));
        let retyped = self.put(&bytes, line.end)?;
        Some(Splice { at: index, before: vec![line], after: vec![retyped] })
    }

    /// Lines put in so that the first of them has this index, with the line end of the line before.
    pub(super) fn insert(&mut self, at: usize, texts: &[String]) -> Option<Splice> {
        let at = at.min(self.len());
        let above = at.checked_sub(1).and_then(|above| self.lines.get(above)).copied();
        let usual = self.lines.first().map_or(End::CrLf, |line| line.end);
        let end = above.map_or(usual, |line| line.end);
        let mut before = Vec::new();
        let mut after = Vec::new();
        let mut first = at;
        // After a line that just stops: that line gets an end, and the new last one stops.
        let stops = end == End::None;
        let between = if !stops || usual != End::None { usual } else { End::CrLf };
        let each = if stops { between } else { end };
        if let (true, Some(above)) = (stops, above) {
            before.push(above);
            after.push(Line { end: between, ..above });
            first -= 1;
        }
        for (index, text) in texts.iter().enumerate() {
            let last = index + 1 == texts.len();
            let end = if stops && last && above.is_some() { End::None } else { each };
            after.push(self.put(&encoded(text, b""), end)?);
        }
        Some(Splice { at: first, before, after })
    }

    /// Takes lines out.
    pub(super) fn remove(&self, at: usize, count: usize) -> Option<Splice> {
        let before = self.lines.get(at..at.checked_add(count)?)?.to_vec();
        Some(Splice { at, before, after: Vec::new() })
    }

    /// Keeps typed bytes; `None` when there are too many of them, which no hand reaches.
    fn put(&mut self, bytes: &[u8], end: End) -> Option<Line> {
        let typed = Arc::make_mut(&mut self.typed);
        let from = u32::try_from(typed.len()).ok()?;
        let length = u32::try_from(bytes.len()).ok()?;
        from.checked_add(length)?;
        typed.extend_from_slice(bytes);
        Some(Line { from, length, end, typed: true })
    }

    /// Does a change.
    pub(super) fn apply(&mut self, change: &Splice) {
        self.swap(change.at, change.before.len(), &change.after);
    }

    /// Takes it back.
    pub(super) fn revert(&mut self, change: &Splice) {
        self.swap(change.at, change.after.len(), &change.before);
    }

    fn swap(&mut self, at: usize, out: usize, lines: &[Line]) {
        let all = Arc::make_mut(&mut self.lines);
        let at = at.min(all.len());
        let to = (at + out).min(all.len());
        all.splice(at..to, lines.iter().copied());
    }

    /// The whole text as it would be posted.
    pub(super) fn whole(&self) -> Arc<[u8]> {
        let mut whole = Vec::with_capacity(self.posted.len() + self.typed.len());
        // Neighbours in the posted text are copied in one go.
        let mut run = 0..0;
        for line in self.lines.iter() {
            let (from, ends) = (line.from as usize, line.end.bytes());
            let text_end = from + line.length as usize;
            let as_posted = !line.typed && self.posted.get(text_end..text_end + ends.len()) == Some(ends);
            if as_posted && run.end == from {
                run.end = text_end + ends.len();
                continue;
            }
            whole.extend_from_slice(self.posted.get(run).unwrap_or_default());
            run = 0..0;
            if as_posted {
                run = from..text_end + ends.len();
            } else {
                whole.extend_from_slice(self.of(*line));
                whole.extend_from_slice(ends);
            }
        }
        whole.extend_from_slice(self.posted.get(run).unwrap_or_default());
        whole.extend_from_slice(self.posted.get(self.stop..).unwrap_or_default());
        whole.into()
    }
}

/// A line as text. One that is not UTF-8 is taken byte for letter, so that it can be written back unchanged.
fn decoded(bytes: &[u8]) -> String {
    std::str::from_utf8(bytes)
        .map_or_else(|_| bytes.iter().copied().map(char::from).collect(), ToOwned::to_owned)
}

/// A typed text as bytes, in the manner of the line it replaces; a line end in it becomes a space.
fn encoded(text: &str, like: &[u8]) -> Vec<u8> {
    let one_line: String = text.chars().map(|c| if matches!(c, '\n' | '\r') { ' ' } else { c }).collect();
    let narrow = std::str::from_utf8(like).is_err();
    let bytes: Option<Vec<u8>> =
        narrow.then(|| one_line.chars().map(|c| u8::try_from(u32::from(c)).ok()).collect()).flatten();
    bytes.unwrap_or_else(|| one_line.into_bytes())
}

/// A line as it can be shown: as many letters as columns, none that moves the pen.
pub(super) fn shown(bytes: &[u8], longest: usize) -> String {
    // Four bytes at the most make one letter.
    let part = bytes.get(..longest * 4).unwrap_or(bytes);
    let plain = |c: char| match c {
        '\t' => ' ',
        c if c.is_control() || c == char::REPLACEMENT_CHARACTER => '?',
        c => c,
    };
    decoded(part).chars().take(longest).map(plain).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn buffer(text: &[u8]) -> Buffer {
        Buffer::new(Arc::from(text))
    }

    fn texts(buffer: &Buffer) -> Vec<String> {
        (0..buffer.len()).map(|index| buffer.text(index)).collect()
    }

    fn apply(buffer: &mut Buffer, change: Option<Splice>) -> Splice {
        let change = change.expect("a change");
        buffer.apply(&change);
        change
    }

    #[test]
    fn a_text_comes_back_byte_for_byte() {
        for text in [
            &b""[..],
            b"G0",
            b"%\r\nG0 X1\nG1\rM2\r\n\r\n%\0\0\x1a",
            b"\xef\xbb\xbfG0\r\n(\xe9\xff)\r\nM2",
            b"\n\n\r\r\n",
            b"\0\0",
        ] {
            assert_eq!(&*buffer(text).whole(), text);
        }
    }

    #[test]
    fn an_edit_touches_its_own_line_only() {
        let mut text = buffer(b"G0\r\nG1 X1\n(\xe9)\rM2\0");
        let change = text.retype(1, "G1 X2");
        let change = apply(&mut text, change);
        assert_eq!(&*text.whole(), b"G0\r\nG1 X2\n(\xe9)\rM2\0");
        text.revert(&change);
        assert_eq!(&*text.whole(), b"G0\r\nG1 X1\n(\xe9)\rM2\0");
        text.apply(&change);
        assert_eq!(text.text(1), "G1 X2");
        assert_eq!(text.retype(1, "G1 X2"), None, "the same again is no change");
    }

    #[test]
    fn a_line_that_is_no_utf8_stays_in_its_own_letters() {
        let mut text = buffer(b"(caf\xe9)\n");
        assert_eq!(text.text(0), "(caf\u{e9})");
        let change = text.retype(0, "(caf\u{e9}s)");
        apply(&mut text, change);
        assert_eq!(&*text.whole(), b"(caf\xe9s)\n");
    }

    #[test]
    fn lines_are_put_in_and_taken_out_with_the_ends_around_them() {
        let mut text = buffer(b"G0\r\nG1\nM2");
        let change = text.insert(1, &["(one)".to_owned(), "(two)\n".to_owned()]);
        let first = apply(&mut text, change);
        assert_eq!(&*text.whole(), b"G0\r\n(one)\r\n(two) \r\nG1\nM2");
        let change = text.insert(5, &["%".to_owned()]);
        let last = apply(&mut text, change);
        assert_eq!(&*text.whole(), b"G0\r\n(one)\r\n(two) \r\nG1\nM2\r\n%");
        let change = text.remove(0, 2);
        let out = apply(&mut text, change);
        assert_eq!(texts(&text), ["(two) ", "G1", "M2", "%"]);
        for change in [out, last, first] {
            text.revert(&change);
        }
        assert_eq!(&*text.whole(), b"G0\r\nG1\nM2");
        let mut empty = buffer(b"");
        let change = empty.insert(0, &["M2".to_owned()]);
        apply(&mut empty, change);
        assert_eq!(&*empty.whole(), b"M2\r\n");
        assert_eq!(empty.remove(0, 2), None);
    }

    /// Any number of edits, put in and taken out again at random places, against a plain list of lines.
    #[test]
    fn many_edits_agree_with_a_plain_list() {
        let mut seed = 0x2545_f491_4f6c_dd1d_u64;
        let mut random = |below: usize| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as usize % below
        };
        let posted: String = (0..50).map(|line| format!("N{line} G1 X{line}\n")).collect::<Vec<_>>().concat();
        let mut text = buffer(posted.as_bytes());
        let mut plain: Vec<String> = posted.lines().map(ToOwned::to_owned).collect();
        let mut changes = Vec::new();
        for step in 0..500 {
            let at = random(text.len());
            let change = match random(3) {
                0 => {
                    plain[at] = format!("X{step}");
                    text.retype(at, &format!("X{step}"))
                }
                1 => {
                    plain.insert(at, format!("({step})"));
                    text.insert(at, &[format!("({step})")])
                }
                _ if text.len() > 1 => {
                    plain.remove(at);
                    text.remove(at, 1)
                }
                _ => continue,
            };
            changes.push(apply(&mut text, change));
            assert_eq!(texts(&text), plain);
        }
        assert_eq!(&*text.whole(), (plain.join("\n") + "\n").as_bytes());
        for change in changes.iter().rev() {
            text.revert(change);
        }
        assert_eq!(&*text.whole(), posted.as_bytes());
    }

    #[test]
    fn what_is_shown_stays_on_its_line() {
        assert_eq!(shown(b"G0\tX\x011 (\xff)", 99), "G0 X?1 (\u{ff})");
        assert_eq!(shown(b"G0 X1", 3), "G0 ");
    }
}
