//! What stands in a program's text besides its motions: remarks, and the words that call tools and zeros.

use crate::job::Basis;
use crate::names;
use crate::program::words::{Dialect, TokenKind, tokens};

/// Lines that are looked through for remarks; they stand at the head and at the tools.
const MOST_LINES: usize = 20_000;

/// A comment, or a name behind the program's number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Remark {
    pub(super) line: u32,
    pub(super) text: String,
    /// It stands behind the program's number, so it is the program's name.
    pub(super) is_name: bool,
}

/// A word that stands in the text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Called {
    pub(super) number: u32,
    pub(super) line: u32,
    pub(super) word: String,
}

impl Called {
    pub(super) fn basis(&self, file: &str) -> Basis {
        Basis::Word { word: self.word.clone(), program: file.to_owned(), line: self.line }
    }
}

/// The text of a program, looked through once.
#[derive(Debug, Default)]
pub(super) struct Text {
    pub(super) remarks: Vec<Remark>,
    /// Program number, where one is given.
    pub(super) number: Option<Called>,
    /// T words that name a tool.
    pub(super) tools: Vec<Called>,
    /// Words that choose a zero, as tenths of their G: 540 for G54.
    pub(super) zeros: Vec<Called>,
    /// The word that chooses the unit.
    pub(super) units: Option<Called>,
    /// Line of the first word that moves an axis.
    pub(super) first_move: Option<u32>,
}

impl Text {
    pub(super) fn of(text: &[u8]) -> Self {
        let mut all = Self::default();
        let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
        // CR LF leaves an empty line behind, which is not counted.
        let mut number = 0;
        let mut rest = text;
        while !rest.is_empty() && number < MOST_LINES as u32 {
            let end = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
            let (line, tail) = rest.split_at(end);
            rest = tail.strip_prefix(b"\r\n").or_else(|| tail.get(1..)).unwrap_or_default();
            number += 1;
            all.line(number, line);
        }
        all
    }

    fn line(&mut self, number: u32, line: &[u8]) {
        if self.head(number, line) {
            return;
        }
        for token in tokens(line, Dialect { semicolon_comments: true }) {
            let bytes = token.span.of(line);
            match token.kind {
                TokenKind::Comment | TokenKind::Stray => self.remark(number, bytes),
                TokenKind::Word { letter, number: Some(value), .. } => {
                    let word = names::shown(&String::from_utf8_lossy(bytes)).to_uppercase();
                    self.word(Called { number: 0, line: number, word }, letter, value);
                }
                _ => {}
            }
        }
    }

    /// `%` with a text, and the program's number with a name behind it: whether there is such a text.
    fn head(&mut self, number: u32, line: &[u8]) -> bool {
        let text = String::from_utf8_lossy(line);
        let text = text.trim();
        let Some(first) = text.chars().next() else { return false };
        let rest = &text[first.len_utf8()..];
        match first {
            '%' => self.name(number, rest),
            'O' | 'o' | ':' => {
                let digits: String = rest.trim_start().chars().take_while(char::is_ascii_digit).collect();
                let Ok(value) = digits.parse() else { return false };
                if self.number.is_none() {
                    self.number = Some(Called {
                        number: value,
                        line: number,
                        word: format!("{first}{digits}").to_uppercase(),
                    });
                }
                let name = rest.trim_start().get(digits.len()..).unwrap_or_default();
                self.name(number, name.trim_start_matches(['-', ' ', '\t']))
            }
            _ => false,
        }
    }

    fn name(&mut self, line: u32, text: &str) -> bool {
        let bare = text.trim().trim_start_matches(['(', ';']);
        let bare = bare.split(')').next().unwrap_or_default().trim();
        // What has no letters in a row is no name: words may stand behind the number.
        let spoken =
            bare.chars().zip(bare.chars().skip(1)).any(|(a, b)| a.is_alphabetic() && b.is_alphabetic());
        if spoken {
            self.remarks.push(Remark { line, text: names::shown(bare).into_owned(), is_name: true });
        }
        spoken
    }

    fn remark(&mut self, line: u32, bytes: &[u8]) {
        let text = String::from_utf8_lossy(bytes);
        let Some(inner) = text.trim().strip_prefix(['(', ';']) else { return };
        let inner = inner.trim().trim_start_matches(['(', ';']).trim_end_matches(')').trim();
        let spoken = ["MSG,", "DEBUG,", "PRINT,"].iter().find_map(|order| {
            inner
                .get(..order.len())
                .filter(|head| head.eq_ignore_ascii_case(order))
                .map(|_| &inner[order.len()..])
        });
        let inner = spoken.unwrap_or(inner).trim();
        if inner.chars().any(char::is_alphanumeric) {
            self.remarks.push(Remark { line, text: names::shown(inner).into_owned(), is_name: false });
        }
    }

    fn word(&mut self, called: Called, letter: u8, value: f64) {
        match letter {
            b'T' if value >= 1.0 && value.fract() == 0.0 && value <= 9999.0 => {
                self.tools.push(Called { number: value as u32, ..called });
            }
            b'G' => {
                let tenths = (value * 10.0).round();
                match tenths as i64 {
                    540..=599 => self.zeros.push(Called { number: tenths as u32, ..called }),
                    200 | 210 | 700 | 710 if self.units.is_none() => {
                        self.units = Some(Called { number: tenths as u32, ..called });
                    }
                    _ => {}
                }
            }
            b'X' | b'Y' | b'Z' => {
                self.first_move.get_or_insert(called.line);
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_words_and_names_are_found() {
        let text = Text::of(
            b"%\r\nO1001 (ROUGH LEAVE .062)\r\nN1 G20 G54 (UNITS)\rt2 m6 ; 1/2 EM\n(MSG, CHECK TOOL)\nG0 X1 (open\n",
        );
        let remarks: Vec<(u32, &str, bool)> =
            text.remarks.iter().map(|remark| (remark.line, remark.text.as_str(), remark.is_name)).collect();
        assert_eq!(
            remarks,
            [
                (2, "ROUGH LEAVE .062", true),
                (3, "UNITS", false),
                (4, "1/2 EM", false),
                (5, "CHECK TOOL", false),
                (6, "open", false)
            ]
        );
        let word = |called: &Option<Called>| called.as_ref().map(|called| (called.word.clone(), called.line));
        assert_eq!(word(&text.number), Some(("O1001".to_owned(), 2)));
        assert_eq!(word(&text.units), Some(("G20".to_owned(), 3)));
        assert_eq!((text.tools[0].number, text.tools[0].line), (2, 4));
        assert_eq!((text.zeros[0].number, text.first_move), (540, Some(6)));
    }

    #[test]
    fn a_name_may_stand_behind_the_number_or_the_mark() {
        for (text, name) in [
            (&b"O1234 ROUGH PROFILE"[..], Some("ROUGH PROFILE")),
            (b":1234 - FINISH", Some("FINISH")),
            (b"%FACE THE TOP\nO5", Some("FACE THE TOP")),
            (b"O1234 G20 G90", None),
            (b"O12", None),
        ] {
            let found = Text::of(text).remarks.first().map(|remark| remark.text.clone());
            assert_eq!(found.as_deref(), name);
        }
    }

    #[test]
    fn what_is_not_seen_in_a_comment_gets_into_no_name() {
        let text = Text::of("%\nO1001 AB\u{202e}CD\n(END M\0ILL\u{1b}[2J)\n".as_bytes());
        let remarks: Vec<&str> = text.remarks.iter().map(|remark| remark.text.as_str()).collect();
        assert_eq!(remarks, ["AB\u{fffd}CD", "END M\u{fffd}ILL\u{fffd}[2J"]);
    }
}
