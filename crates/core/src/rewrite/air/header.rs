//! The comments at the head of an air pass: what it is, and of which program.

use super::AirOptions;
use crate::program::words::{Dialect, TokenKind, tokens};
use crate::rewrite::text::{bytes, lines};
use crate::rewrite::{Refusal, checksum};
use crate::units::{Units, fixed};

/// What the first comment says.
const TITLE: &str = "AIR PASS - NOT THE REAL PROGRAM";
/// What the comments behind it say.
const WARNINGS: [&str; 3] = [
    "DELETE FROM CONTROL, LOAD THE REAL PROGRAM BEFORE CUTTING",
    "SPINDLE AND COOLANT RUN AS IN THE PROGRAM",
    "HAND ON FEED HOLD",
];
/// What is said where no job told what stands on the table.
const NO_CLAMPS: &str = "CLAMPS WERE NOT CONSIDERED";
/// The beginning by which an air pass is known, however the title was broken into lines.
const STEM: &str = "AIR PASS";

/// The longest record has this many characters with its brackets; a shorter line holds no header.
const SHORTEST_LINE: usize = 30;
/// Comment lines looked at for the header.
const LOOKED_AT: usize = 64;
/// Longest name kept.
const LONGEST_NAME: usize = 60;

/// What an air pass says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct AirMark {
    /// Name of the file it was made from, in capitals; other characters than letters, digits, `.` and `-` are `-`.
    pub of: String,
    /// Length of that file in bytes.
    pub length: u64,
    /// Its [`checksum`].
    pub checksum: u32,
    /// By how much it was lifted.
    pub by: f64,
    /// The unit of that.
    pub units: Units,
}

/// What goes into the header.
#[derive(Debug)]
pub(super) struct Header<'a> {
    pub of: &'a str,
    /// The original.
    pub text: &'a [u8],
    pub by: f64,
    pub unit: Units,
    pub lowest: f64,
    /// The height above which the tool must stand when it starts, where the program does not bring it there itself.
    pub start_above: Option<f64>,
}

impl Header<'_> {
    /// The header's lines. They use only capitals, digits, space, `.`, `-`, the brackets, and a comma where the
    /// control is not known to refuse it.
    pub(super) fn lines(&self, options: &AirOptions) -> Result<Vec<String>, Refusal> {
        if options.characters.as_ref().is_some_and(|taken| !(taken.contains('(') && taken.contains(')'))) {
            return Err(Refusal::new(
                "The control takes no brackets, so the air pass could not say that it is one. Add ( and ) to the \
                 control's characters if it does take comments.",
            ));
        }
        let longest = options.longest_line.map_or(usize::MAX, |longest| longest as usize);
        if longest < SHORTEST_LINE {
            return Err(Refusal::new(format!(
                "The control takes lines of {longest} characters, too short for an air pass to say that it is one; it \
                 needs {SHORTEST_LINE}."
            )));
        }
        let room = longest - 2;
        let name: String = plain(self.of).chars().take(LONGEST_NAME.min(room - "AIR OF ".len())).collect();
        let unit = self.unit.short().to_uppercase();
        let places = super::places(self.unit) as usize;
        let mut texts = wrapped(TITLE, room);
        let comma = options.characters.as_ref().is_none_or(|taken| taken.contains(','));
        let warnings = WARNINGS.map(|text| if comma { text.to_owned() } else { text.replace(',', " -") });
        texts.extend(warnings.iter().flat_map(|text| wrapped(text, room)));
        if let Some(height) = self.start_above {
            let start = format!("AT START TOOL MUST STAND ABOVE Z {} {unit}", fixed(height, places));
            texts.extend(wrapped(&start, room));
        }
        if options.standing.is_empty() {
            texts.extend(wrapped(NO_CLAMPS, room));
        }
        texts.push(format!("AIR OF {name}"));
        texts.push(format!("AIR BYTES {}", self.text.len()));
        texts.push(format!("AIR SUM {:08X}", checksum(self.text)));
        texts.push(format!("AIR LIFT {} {unit}", fixed(self.by, places)));
        texts.push(format!("AIR LOWEST {} {unit}", fixed(self.lowest, places)));
        Ok(texts.into_iter().map(|text| format!("({text})")).collect())
    }
}

/// A name in characters that every control takes.
fn plain(name: &str) -> String {
    let kept = |c: char| if c.is_ascii_alphanumeric() || c == '.' { c.to_ascii_uppercase() } else { '-' };
    if name.is_empty() { "UNNAMED".to_owned() } else { name.chars().map(kept).collect() }
}

/// Words put into lines of at most `room` characters.
fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if line.len() + 1 + word.len() <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Reads the header of an air pass back; `None` for every other program.
pub fn mark(text: &[u8]) -> Option<AirMark> {
    let mut record = Record::default();
    let mut is_air = false;
    for line in lines(text).take(LOOKED_AT) {
        for token in tokens(line.text, Dialect::default()) {
            if token.kind != TokenKind::Comment {
                continue;
            }
            let comment = String::from_utf8_lossy(bytes(line.text, &token)).into_owned();
            let comment = comment.trim_start_matches('(').trim_end_matches(')').trim();
            is_air |= comment.starts_with(STEM);
            if is_air {
                record.take(comment);
            }
        }
    }
    record.mark()
}

#[derive(Debug, Default)]
struct Record {
    of: Option<String>,
    length: Option<u64>,
    checksum: Option<u32>,
    lift: Option<(f64, Units)>,
}

impl Record {
    fn take(&mut self, comment: &str) {
        let Some((key, value)) = comment.strip_prefix("AIR ").and_then(|rest| rest.split_once(' ')) else {
            return;
        };
        match key {
            "OF" => self.of = Some(value.to_owned()),
            "BYTES" => self.length = value.parse().ok(),
            "SUM" => self.checksum = u32::from_str_radix(value, 16).ok(),
            "LIFT" => self.lift = value.split_once(' ').and_then(|(by, unit)| lift(by, unit)),
            _ => {}
        }
    }

    fn mark(self) -> Option<AirMark> {
        let (by, units) = self.lift?;
        Some(AirMark { of: self.of?, length: self.length?, checksum: self.checksum?, by, units })
    }
}

fn lift(by: &str, unit: &str) -> Option<(f64, Units)> {
    let units =
        [Units::Inch, Units::Mm].into_iter().find(|units| units.short().eq_ignore_ascii_case(unit))?;
    by.parse().ok().filter(|by: &f64| by.is_finite()).map(|by| (by, units))
}

/// Whether `mark` is that of an air pass made from exactly this text.
pub fn is_air_pass_of(mark: &AirMark, text: &[u8]) -> bool {
    mark.length == text.len() as u64 && mark.checksum == checksum(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header(name: &str, longest_line: Option<u32>) -> Result<Vec<String>, Refusal> {
        let header = Header {
            of: name,
            text: b"G0 Z1",
            by: 1.04,
            unit: Units::Inch,
            lowest: 0.02,
            start_above: Some(-0.0),
        };
        header.lines(&AirOptions { longest_line, ..AirOptions::default() })
    }

    #[test]
    fn the_header_is_read_back_from_any_length_of_line() {
        for longest in (30..90).map(Some).chain([None]) {
            let lines = header("Rough pass_1.nc", longest).expect("long enough");
            let fits = |line: &&String| longest.is_none_or(|longest| line.len() <= longest as usize);
            assert_eq!(lines.iter().filter(fits).count(), lines.len(), "{lines:?}");
            let taken = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || "(). -,".contains(c);
            assert!(lines.iter().all(|line| line.chars().all(taken)), "{lines:?}");
            let text = format!("%\r\nO1002\r\n{}\r\nG0 Z2.\r\n", lines.join("\r\n"));
            let mark = mark(text.as_bytes()).expect("a header");
            assert!("ROUGH-PASS-1.NC".starts_with(&mark.of) && mark.of.len() > 9, "{}", mark.of);
            assert_eq!((mark.by, mark.units), (1.04, Units::Inch));
            assert!(is_air_pass_of(&mark, b"G0 Z1") && !is_air_pass_of(&mark, b"G0 Z2"));
        }
        assert!(header("a", Some(29)).is_err());
    }

    #[test]
    fn other_programs_have_no_mark() {
        for text in
            ["", "%\nO1\n(AIR PASS)\nG0 Z1\n", "(AIR OF X)\n(AIR BYTES 1)\n(AIR SUM 0)\n(AIR LIFT 1 IN)\n"]
        {
            assert_eq!(mark(text.as_bytes()), None, "{text}");
        }
    }
}
