//! Finding the numbers that a lift changes, and what it cannot be made of.

use std::ops::Range;

use super::words::{TAKE_OUT, Words};
use crate::job::{ArcCenters, PlainNumbers};
use crate::program::words::{Token, TokenKind};
use crate::program::{Plane, Settings};
use crate::rewrite::number::{Decimal, Style};
use crate::rewrite::text::{Line, Word, column, lines, read, words};
use crate::rewrite::{NotWritten, Refusal};
use crate::task::Task;
use crate::units::Units;

/// Lines between two looks at the cancel flag.
const LINES_A_LOOK: u32 = 4096;

/// A number that is lifted.
#[derive(Debug)]
pub(super) struct Site {
    /// The number, without its letter, in the text.
    pub place: Range<usize>,
    pub line: u32,
    pub column: u32,
    /// The unit in force there.
    pub units: Units,
    number: Decimal,
    /// Written with a point, or a whole number of units.
    point: bool,
    /// Written as a count of least increments.
    counted: bool,
    plus: bool,
}

impl Site {
    /// The number lifted `by`, as it is written; `None` when it has too many digits.
    pub(super) fn lifted(&self, by: Decimal, style: Style) -> Option<String> {
        let by = if self.counted { Decimal { digits: by.digits, places: 0 } } else { by };
        let sum = self.number.plus(by)?;
        let sign = if self.plus && sum.digits >= 0 { "+" } else { "" };
        Some(format!("{sign}{}", sum.write(self.point || sum.places > 0, style)))
    }
}

/// What the scan found.
#[derive(Debug, Default)]
pub(super) struct Scanned {
    /// In the order of the text.
    pub sites: Vec<Site>,
    /// The line of the first absolute Z that moves.
    pub first_line: Option<u32>,
    /// The first line up to which X and Y have both been stated; the highest number there is when they have not.
    pub plan_line: u32,
    /// It is sent somewhere in X and Y while nobody knows how high it stands.
    pub starts_open: bool,
    /// The first line that begins with `/`.
    pub first_slash: Option<u32>,
    /// The first line behind the end that has words.
    pub left_alone: Option<u32>,
    /// Numbers are written `.5` rather than `0.5`.
    pub bare_point: bool,
}

/// Which motion is in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mode {
    None,
    Straight,
    Arc,
    Cycle,
}

/// Runs over a program that the interpreter has followed to its end.
pub(super) fn scan(text: &[u8], settings: &Settings, task: Task<'_>) -> Result<Scanned, NotWritten> {
    let mut scan = Scan::new(settings);
    for line in lines(text) {
        if line.number.is_multiple_of(LINES_A_LOOK) {
            task.cancel.check()?;
        }
        scan.line(line)?;
    }
    Ok(scan.found)
}

/// What is in force from line to line, as far as heights depend on it.
#[derive(Debug)]
struct Scan<'a> {
    settings: &'a Settings,
    found: Scanned,
    units: Units,
    plane: Plane,
    absolute: bool,
    centres: ArcCenters,
    mode: Mode,
    /// G43 and its like are in force, with this H.
    length: Option<f64>,
    /// The program has said at which Z the tool is.
    known: bool,
    /// It has said where in X and Y.
    stated: [bool; 2],
    stage: Stage,
}

/// How far the program has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Nothing but comments yet.
    Opening,
    Running,
    Ended,
}

impl<'a> Scan<'a> {
    fn new(settings: &'a Settings) -> Self {
        Self {
            settings,
            found: Scanned { plan_line: u32::MAX, ..Scanned::default() },
            units: settings.units,
            plane: Plane::Xy,
            absolute: true,
            centres: settings.arc_centers,
            mode: Mode::None,
            length: None,
            known: false,
            stated: [false; 2],
            stage: Stage::Opening,
        }
    }

    fn line(&mut self, line: Line<'_>) -> Result<(), Refusal> {
        let tokens = read(line, self.settings);
        let words = words(&tokens);
        if self.stage == Stage::Ended {
            if !words.is_empty() && self.found.left_alone.is_none() {
                self.found.left_alone = Some(line.number);
            }
            return Ok(());
        }
        self.look_at_marks(line, &tokens);
        let words = Words { line, words };
        words.refuse_what_is_computed(&tokens)?;
        words.refuse_calls()?;
        self.found.bare_point |= words.words.iter().any(|word| words.has_bare_point(word));
        let takes_axes = self.set_modes(&words)?;
        if !takes_axes {
            self.move_axes(&words)?;
        }
        if words.number_of(b'M', &[2.0, 30.0, 99.0]).is_some() {
            self.stage = Stage::Ended;
        }
        Ok(())
    }

    fn look_at_marks(&mut self, line: Line<'_>, tokens: &[Token]) {
        let has = |kind| tokens.iter().any(|token| token.kind == kind);
        if has(TokenKind::Slash) {
            self.found.first_slash.get_or_insert(line.number);
        }
        if has(TokenKind::Mark) && self.stage == Stage::Running {
            self.stage = Stage::Ended;
        } else if tokens.iter().any(|token| !matches!(token.kind, TokenKind::Blank | TokenKind::Comment)) {
            self.stage = Stage::Running;
        }
    }

    /// Takes the G words; tells whether one of them takes the axis words for itself.
    fn set_modes(&mut self, words: &Words<'_>) -> Result<bool, Refusal> {
        let (mut takes_axes, mut motion) = (false, false);
        for word in words.words.iter().filter(|word| word.letter == b'G') {
            match tenths(word) {
                0 | 10 => (self.mode, motion) = (Mode::Straight, true),
                20 | 30 => (self.mode, motion) = (Mode::Arc, true),
                730 | 740 | 760 | 810..=890 => (self.mode, motion) = (Mode::Cycle, true),
                800 => self.mode = Mode::None,
                170 => self.plane = Plane::Xy,
                180 => self.plane = Plane::Zx,
                190 => self.plane = Plane::Yz,
                200 | 700 => self.units = Units::Inch,
                210 | 710 => self.units = Units::Mm,
                900 => self.absolute = true,
                910 => self.absolute = false,
                901 => self.centres = ArcCenters::Absolute,
                911 => self.centres = ArcCenters::Incremental,
                430 | 431 | 440 => self.set_length(Some(words.value(b'H').unwrap_or(-1.0))),
                490 => self.set_length(None),
                100 => return Err(words.refuse(word, "writes offsets in the control", TAKE_OUT)),
                280 | 300 => {
                    words.refuse_home(word)?;
                    takes_axes = true;
                }
                530 => words.refuse_z(word, "goes to a height of the machine, which a lift does not move")?,
                520 | 920 => {
                    words.refuse_z(word, "moves the program's zero in Z")?;
                    takes_axes = true;
                }
                921..=923 => self.known = false,
                _ => {}
            }
        }
        Ok(takes_axes && !motion)
    }

    /// Another tool length: where the tool is in Z is then open until the program says it again.
    fn set_length(&mut self, length: Option<f64>) {
        if self.length != length {
            self.length = length;
            self.known = false;
        }
    }

    fn move_axes(&mut self, words: &Words<'_>) -> Result<(), Refusal> {
        let z = words.find(b'Z');
        for (axis, letter) in [b'X', b'Y'].into_iter().enumerate() {
            self.stated[axis] |= self.absolute && words.find(letter).is_some();
        }
        if self.stated == [true; 2] && self.found.plan_line == u32::MAX {
            self.found.plan_line = words.line.number;
        }
        let centre = |letter| self.mode == Mode::Arc && words.find(letter).is_some();
        let moves = [b'X', b'Y', b'Z'].into_iter().any(|letter| words.find(letter).is_some())
            || [b'I', b'J', b'K'].into_iter().any(centre);
        if !moves || self.mode == Mode::None {
            return Ok(());
        }
        self.found.starts_open |= self.found.first_line.is_none()
            && [b'X', b'Y'].into_iter().any(|letter| words.find(letter).is_some());
        match z {
            Some(word) if self.absolute => {
                self.site(words, word)?;
                self.found.first_line.get_or_insert(words.line.number);
                self.known = true;
            }
            Some(word) if !self.known => {
                return Err(words.refuse(
                    word,
                    "goes on from a Z that the program has not stated",
                    "Write a G90 line with the Z the tool starts from before it.",
                ));
            }
            None if !self.known && self.found.first_line.is_some() => {
                return Err(words.refuse_unknown_height());
            }
            _ => {}
        }
        if self.mode == Mode::Cycle
            && self.plane == Plane::Xy
            && self.absolute
            && let Some(word) = words.find(b'R')
        {
            self.site(words, word)?;
        }
        if self.mode == Mode::Arc
            && self.plane != Plane::Xy
            && self.centres == ArcCenters::Absolute
            && let Some(word) = words.find(b'K')
        {
            self.site(words, word)?;
        }
        Ok(())
    }

    fn site(&mut self, words: &Words<'_>, word: &Word) -> Result<(), Refusal> {
        let span = word.span.start + 1..word.span.end;
        let text = words.line.text.get(span.clone()).unwrap_or_default();
        let number = Decimal::read(text)
            .ok_or_else(|| words.refuse(word, "has more digits than can be written back", "Round it."))?;
        self.found.sites.push(Site {
            place: words.line.start + span.start..words.line.start + span.end,
            line: words.line.number,
            column: column(words.line.text, word.span.start),
            units: self.units,
            number,
            point: word.point,
            counted: self.settings.plain_numbers == PlainNumbers::Increments && !word.point,
            plus: text.contains(&b'+'),
        });
        Ok(())
    }
}

/// The number of a G word in tenths; none of a G word otherwise.
fn tenths(word: &Word) -> u32 {
    word.number
        .map(|number| (number * 10.0).round())
        .filter(|tenths| (0.0..10_000.0).contains(tenths))
        .map_or(u32::MAX, |tenths| tenths as u32)
}
