//! Which line comes next: the main text, and the programs it calls.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::settings::{Settings, Subprogram};
use crate::limits::{CALL_DEPTH, CALLED_LINES};
use crate::program::lines::Lines;
use crate::program::words::{Parameters, Words};

/// A place in a text.
#[derive(Debug, Clone)]
struct Cursor<'a> {
    lines: Lines<'a>,
    /// The line last read, from 1.
    number: u32,
    /// For a text of another file: its index in the settings.
    beside: Option<usize>,
    /// Number of the program being run; `None` for the main program.
    program: Option<u32>,
}

/// A call that has not come back.
#[derive(Debug)]
struct Call<'a> {
    /// Where it goes on afterwards.
    back: Cursor<'a>,
    /// Where the called program starts.
    start: Cursor<'a>,
    /// How often it still runs after this time.
    more: u32,
}

/// Programs by number; of one number there may be several.
type Within<'a> = BTreeMap<u32, Vec<Cursor<'a>>>;

/// Why a call cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoCall {
    /// No such program.
    Missing,
    /// More than one of this number.
    Twice,
    /// It is the program that calls.
    Itself,
    /// Calls within calls without end.
    Deep,
}

/// Runs over the lines of a program and of those it calls, in the order the control would.
#[derive(Debug)]
pub(super) struct Source<'a> {
    text: &'a [u8],
    beside: &'a [Subprogram],
    settings: &'a Settings,
    cursor: Cursor<'a>,
    calls: Vec<Call<'a>>,
    /// Programs within the main text, found when the first call asks.
    within: Option<Arc<Within<'a>>>,
    /// Lines run by calls.
    run: usize,
}

impl<'a> Source<'a> {
    pub(super) fn new(text: &'a [u8], settings: &'a Settings) -> Self {
        let cursor = Cursor { lines: Lines::new(text), number: 0, beside: None, program: None };
        Self { text, beside: &settings.beside, settings, cursor, calls: Vec::new(), within: None, run: 0 }
    }

    /// The next line of what is being run; `None` at the end of its text.
    pub(super) fn next(&mut self) -> Option<&'a [u8]> {
        let line = self.cursor.lines.next()?;
        self.cursor.number = self.cursor.number.saturating_add(1);
        self.run += usize::from(!self.calls.is_empty());
        Some(line)
    }

    /// Whether calls have made more lines than can be meant.
    pub(super) fn is_endless(&self) -> bool {
        self.run > CALLED_LINES
    }

    /// The part of the main text that has been run, from 0 to 1.
    pub(super) fn part(&self) -> f64 {
        self.calls.first().map_or(&self.cursor, |call| &call.back).lines.part()
    }

    /// Line of the main text: the one being run, or the call that led to another file.
    pub(super) fn line(&self) -> u32 {
        if self.cursor.beside.is_none() {
            return self.cursor.number;
        }
        let within = self.calls.iter().rev().find(|call| call.back.beside.is_none());
        within.map_or(0, |call| call.back.number)
    }

    /// The other file being run, and the line of it.
    pub(super) fn elsewhere(&self) -> Option<(&'a str, u32)> {
        let subprogram = self.beside.get(self.cursor.beside?)?;
        Some((&subprogram.file, self.cursor.number))
    }

    /// Number of the called program being run.
    pub(super) fn called(&self) -> Option<u32> {
        self.cursor.program
    }

    /// Goes on in the program of this number, to run it `times` times.
    pub(super) fn call(&mut self, number: u32, times: u32) -> Result<(), NoCall> {
        if times == 0 {
            return Ok(());
        }
        if self.calls.len() >= CALL_DEPTH {
            return Err(NoCall::Deep);
        }
        let start = self.find(number)?;
        let back = std::mem::replace(&mut self.cursor, start.clone());
        self.calls.push(Call { back, start, more: times - 1 });
        Ok(())
    }

    /// Ends the called program. False when none is being run.
    pub(super) fn come_back(&mut self) -> bool {
        let Some(call) = self.calls.last_mut() else { return false };
        if call.more > 0 {
            call.more -= 1;
            self.cursor = call.start.clone();
            return true;
        }
        if let Some(call) = self.calls.pop() {
            self.cursor = call.back;
        }
        true
    }

    /// The same where its text has run out. A text without a line would run its repeats for ever and do nothing.
    pub(super) fn come_back_unreturned(&mut self) {
        if let Some(call) = self.calls.last_mut()
            && call.start.number == self.cursor.number
        {
            call.more = 0;
        }
        self.come_back();
    }

    fn find(&mut self, number: u32) -> Result<Cursor<'a>, NoCall> {
        let make = || Arc::new(programs_within(self.text, self.settings));
        let within = Arc::clone(self.within.get_or_insert_with(make));
        // A program in the same text goes before one beside it.
        match within.get(&number).map(Vec::as_slice) {
            Some([one]) => return Ok(one.clone()),
            Some(_) => return Err(NoCall::Twice),
            None => {}
        }
        let mut beside = self.beside.iter().enumerate().filter(|(_, other)| other.number == number);
        let (index, other) = beside.next().ok_or(NoCall::Missing)?;
        if beside.next().is_some() {
            return Err(NoCall::Twice);
        }
        Ok(Cursor { lines: Lines::new(&other.text), number: 0, beside: Some(index), program: Some(number) })
    }
}

/// The programs that a text holds behind its own: each number, and the place before its O word.
fn programs_within<'a>(text: &'a [u8], settings: &Settings) -> Within<'a> {
    let (mut found, mut words, nothing) = (Within::new(), Words::default(), Parameters::default());
    let mut cursor = Cursor { lines: Lines::new(text), number: 0, beside: None, program: None };
    let mut any = false;
    loop {
        let before = cursor.clone();
        let Some(line) = cursor.lines.next() else { return found };
        cursor.number = cursor.number.saturating_add(1);
        if line.iter().any(|byte| matches!(byte, b'O' | b'o' | b':')) {
            words.read(line, &nothing, settings.dialect());
            let number =
                words.found.iter().find(|word| word.letter != b'N').filter(|word| word.letter == b'O');
            // What opens the text is the main program.
            if let Some(number) = number.map(|word| word.value as u32).filter(|_| any) {
                found.entry(number).or_default().push(Cursor { program: Some(number), ..before });
            }
            any |= !words.found.is_empty();
        } else {
            any |= line.iter().any(u8::is_ascii_alphanumeric) && !line.trim_ascii_start().starts_with(b"(");
        }
    }
}

/// The programs that a text holds behind its own: by number, the indices of the lines that they begin with.
pub(crate) fn held(text: &[u8], settings: &Settings) -> BTreeMap<u32, Vec<usize>> {
    let starts = |cursors: Vec<Cursor<'_>>| cursors.iter().map(|cursor| cursor.number as usize).collect();
    programs_within(text, settings).into_iter().map(|(number, cursors)| (number, starts(cursors))).collect()
}

/// Numbers of the programs that a text calls with M98, without repeats, in order of first mention: what its caller
/// may have to fetch from beside it.
pub fn called(text: &[u8], settings: &Settings) -> Vec<u32> {
    let Some(count) = settings.subprograms else { return Vec::new() };
    let (mut numbers, mut seen) = (Vec::new(), BTreeSet::new());
    let (mut words, nothing) = (Words::default(), Parameters::default());
    for line in Lines::new(text) {
        if !line.iter().any(|byte| matches!(byte, b'M' | b'm')) {
            continue;
        }
        words.read(line, &nothing, settings.dialect());
        let calls = words.found.iter().any(|word| word.letter == b'M' && word.value == 98.0);
        let which = words.found.iter().find(|word| word.letter == b'P').map(|word| word.value);
        if let Some(which) = which.filter(|which| calls && *which >= 0.0 && which.fract() == 0.0) {
            let (number, _) = super::calls::number_and_times(which as u32, 1, count);
            if seen.insert(number) {
                numbers.push(number);
            }
        }
    }
    numbers
}
