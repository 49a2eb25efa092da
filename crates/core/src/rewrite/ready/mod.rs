//! A program made ready for a control: its number, line ends, longest line, characters and sequence numbers.
//!
//! Words that move the machine stay as they are. The text that comes out is read back and held against the original.

mod characters;
mod fit;
mod line;
mod notes;
mod sequence;

use std::ops::RangeInclusive;

use line::Pieces;
use notes::Changes;
use sequence::Sequence;

use super::origin::{Origin, number_word};
use super::text::{Line, body, end_bytes, lines, read};
use super::{NotWritten, Refusal, followed};
use crate::control::{Control, LineEnd};
use crate::program::{self, Motion, Program, Settings};
use crate::task::Task;

/// Lines between two looks at the cancel flag.
const LINES_A_LOOK: u32 = 4096;

/// What the program shall fit. What is absent stays as it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadyOptions {
    /// Its program number.
    pub number: Option<u32>,
    /// Lowest and highest number that the control takes.
    pub range: Option<RangeInclusive<u32>>,
    /// How lines end.
    pub line_end: Option<LineEnd>,
    /// Longest line in characters, its end not counted.
    pub longest_line: Option<u32>,
    /// Characters that the control takes besides letters, digits, `+ - .` and the space. The `%` that begins and ends
    /// a program is always taken.
    pub characters: Option<String>,
    /// First sequence number, and the step to the next.
    pub sequence: Option<[u32; 2]>,
}

impl ReadyOptions {
    /// What a job says about its control.
    pub fn for_control(number: Option<u32>, control: Option<&Control>) -> Self {
        let Some(control) = control else { return Self { number, ..Self::default() } };
        Self {
            number,
            range: control.program_numbers.clone(),
            line_end: control.line_end,
            longest_line: control.longest_line,
            characters: control.characters.clone(),
            sequence: control.sequence,
        }
    }

    fn check(&self) -> Result<(), Refusal> {
        match (&self.range, self.number) {
            (Some(range), Some(number)) if !range.contains(&number) => Err(Refusal::new(format!(
                "The control does not take the program number {number}. Give one from {} to {}.",
                range.start(),
                range.end()
            ))),
            _ => Ok(()),
        }
    }
}

/// A program made ready, proven to move as before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ready {
    /// Its text.
    pub text: Vec<u8>,
    /// Its program number.
    pub number: Option<u32>,
    /// What was changed besides numbers and line ends, as sentences.
    pub notes: Vec<String>,
}

/// Makes a program ready for a control.
///
/// # Errors
/// [`NotWritten::Refused`] with the place and the reason when the program cannot be made to fit, or cannot be proven
/// to move as before; [`NotWritten::Cancelled`] when the task was asked to stop.
pub fn make(
    text: &[u8],
    options: &ReadyOptions,
    settings: &Settings,
    task: Task<'_>,
) -> Result<Ready, NotWritten> {
    options.check()?;
    let before = program::read(text, settings, task)?;
    followed(&before)?;
    let origin = Origin::of(text, settings);
    refuse_called(options.number, &origin, settings)?;
    let mut writer = Writer::new(options, settings, &origin)?;
    for line in lines(text) {
        if line.number.is_multiple_of(LINES_A_LOOK) {
            task.cancel.check()?;
        }
        writer.line(line)?;
    }
    let inserted = writer.insert_number_at_the_end()?;
    let Writer { out, changes, .. } = writer;
    let after = program::read(&out, settings, task)?;
    let number = options.number.or_else(|| origin.number.as_ref().map(|(_, number)| *number));
    unchanged(&before, &after, &origin, inserted)?;
    if after.number != number {
        return Err(Refusal::new(
            "Read back, the program does not have the number it was given, so it was not written. Write an O word on \
             its first line.",
        )
        .into());
    }
    let mut notes = changes.notes();
    if !body(text).1.is_empty() {
        notes.push("The empty bytes after the program were left out.".to_owned());
    }
    if number.is_none() {
        notes.push("The program has no number, and none was given.".to_owned());
    }
    Ok(Ready { text: out, number, notes })
}

/// A new number must not be that of a program which others call.
fn refuse_called(number: Option<u32>, origin: &Origin, settings: &Settings) -> Result<(), Refusal> {
    let own = origin.number.as_ref().map(|(_, number)| *number);
    let called = settings.beside.iter().find(|beside| Some(beside.number) == number && own != number);
    match called {
        None => Ok(()),
        Some(called) => Err(Refusal::new(format!(
            "{} is the number of {}, which other programs call. Give another.",
            called.number, called.file
        ))),
    }
}

/// Writes the lines.
struct Writer<'a> {
    options: &'a ReadyOptions,
    settings: &'a Settings,
    origin: &'a Origin,
    sequence: Option<Sequence>,
    /// The O word is still to be put in, behind the line `origin.behind`.
    waiting: Option<u32>,
    inserted: u32,
    out: Vec<u8>,
    changes: Changes,
}

impl<'a> Writer<'a> {
    fn new(options: &'a ReadyOptions, settings: &'a Settings, origin: &'a Origin) -> Result<Self, Refusal> {
        let mut writer = Self {
            options,
            settings,
            origin,
            sequence: options.sequence.map(Sequence::new),
            waiting: options.number.filter(|_| origin.number.is_none()),
            inserted: 0,
            out: Vec::new(),
            changes: Changes::default(),
        };
        if origin.behind == 0 {
            writer.insert_number()?;
        }
        Ok(writer)
    }

    fn line(&mut self, line: Line<'_>) -> Result<(), Refusal> {
        let mut pieces = Pieces::new(line, &read(line, self.settings));
        self.renumber(line, &mut pieces)?;
        if let Some(sequence) = &mut self.sequence {
            sequence.apply(&mut pieces)?;
        }
        if let Some(taken) = &self.options.characters {
            characters::apply(&mut pieces, taken, &mut self.changes)?;
        }
        if let Some(longest) = self.options.longest_line {
            fit::apply(&mut pieces, longest as usize, &mut self.changes)?;
        }
        self.out.extend(pieces.bytes());
        match self.options.line_end {
            Some(end) if !line.end.is_empty() => self.out.extend_from_slice(end_bytes(end)),
            _ => self.out.extend_from_slice(line.end),
        }
        if line.number == self.origin.behind && !line.end.is_empty() {
            self.insert_number()?;
        }
        Ok(())
    }

    fn end(&self) -> &'a [u8] {
        match self.options.line_end {
            Some(end) => end_bytes(end),
            None => &self.origin.end,
        }
    }

    fn insert_number(&mut self) -> Result<(), Refusal> {
        let Some(number) = self.waiting.take() else { return Ok(()) };
        let word = number_word(number, 0);
        if self.options.longest_line.is_some_and(|longest| word.len() > longest as usize) {
            return Err(Refusal::new(format!("{word} alone is longer than the control's longest line.")));
        }
        self.out.extend_from_slice(word.as_bytes());
        self.out.extend_from_slice(self.end());
        self.inserted += 1;
        Ok(())
    }

    /// For a text whose last line is the `%` that the number goes behind. Gives how many lines were put in.
    fn insert_number_at_the_end(&mut self) -> Result<u32, Refusal> {
        if self.waiting.is_some() && self.origin.behind > 0 {
            self.out.extend_from_slice(self.end());
        }
        self.insert_number()?;
        Ok(self.inserted)
    }

    /// Writes the new number over the program's own; another program in the text keeps its number.
    fn renumber(&self, line: Line<'_>, pieces: &mut Pieces<'_>) -> Result<(), Refusal> {
        let own = self.origin.number.as_ref().map(|(place, _)| place.start);
        for index in pieces.words(b'O') {
            let Some(piece) = pieces.list.get_mut(index) else { continue };
            let number = piece.number.filter(|number| *number >= 0.0).map(|number| number.round() as u32);
            if own == Some(line.start + piece.from) {
                if let Some(new) = self.options.number {
                    let width = if piece.bytes.get(1) == Some(&b'0') { piece.bytes.len() - 1 } else { 0 };
                    piece.bytes = number_word(new, width).into_bytes();
                } else {
                    self.check_range(line, number)?;
                }
            } else {
                self.check_other(line, number)?;
            }
        }
        Ok(())
    }

    fn check_other(&self, line: Line<'_>, number: Option<u32>) -> Result<(), Refusal> {
        if number.is_some() && number == self.options.number {
            let number = number.unwrap_or_default();
            return Err(Refusal::on_line(
                line.number,
                format!("{number} is the number of another program in this file. Give another."),
            ));
        }
        self.check_range(line, number)
    }

    fn check_range(&self, line: Line<'_>, number: Option<u32>) -> Result<(), Refusal> {
        match (&self.options.range, number) {
            (Some(range), Some(number)) if !range.contains(&number) => Err(Refusal::on_line(
                line.number,
                format!(
                    "The control does not take the program number {number}. Change it, and what calls it, to one from \
                     {} to {}.",
                    range.start(),
                    range.end()
                ),
            )),
            _ => Ok(()),
        }
    }
}

/// Nothing but lines may differ.
fn unchanged(before: &Program, after: &Program, origin: &Origin, inserted: u32) -> Result<(), Refusal> {
    followed(after)?;
    // lines of called programs in other files stay where they are
    let moved = |a: u32, b: u32| b == a || (a > origin.behind && b == a + inserted);
    let same = |(a, b): (&Motion, &Motion)| moved(a.line, b.line) && Motion { line: b.line, ..*a } == *b;
    let differs = before.motions.iter().zip(&after.motions).find(|pair| !same(*pair));
    let dwells = before.dwells.iter().map(|dwell| (dwell.before, dwell.seconds));
    let tools = before.tools.iter().map(|call| call.number);
    if differs.is_none()
        && before.motions.len() == after.motions.len()
        && dwells.eq(after.dwells.iter().map(|dwell| (dwell.before, dwell.seconds)))
        && tools.eq(after.tools.iter().map(|call| call.number))
        && before.ending.end == after.ending.end
        && before.missing == after.missing
    {
        return Ok(());
    }
    Err(Refusal {
        line: differs.map(|(a, _)| a.line),
        column: None,
        message: "Read back, the prepared program does not move as the original does, so it was not \
                 written. Keep the original, and report this as a fault of Blockwright."
            .to_owned(),
    })
}
