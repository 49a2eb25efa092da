//! Feed, speed, tool, spindle, coolant and dwell: steps 2 to 10 of the order of execution.

use super::line::{REMEDY, Run, whole};
use super::modal::Single;
use super::orders::Orders;
use super::reader::rely;
use crate::control::{DwellUnit, ToolChange};
use crate::finding::{Asks, Code, Severity};
use crate::program::result::{Dwell, ToolCall};
use crate::program::words::Word;

use super::modal::FeedMode;

/// A longer dwell is looked at twice, in seconds (common practice, no source).
const LONG_DWELL: f64 = 60.0;

impl Run<'_, '_> {
    pub(super) fn set_speeds(&mut self, orders: &Orders) {
        if let Some(word) = self.word(b'O') {
            self.program_number(word);
        }
        if let Some(mode) = orders.feed_mode {
            self.reader.said.feed_mode = true;
            if mode != self.reader.modal.feed_mode {
                self.reader.modal.feed_mode = mode;
                self.reader.modal.feed = 0.0; // a number of the old mode means nothing in the new one
            }
        }
        if let Some(word) = self.word(b'F') {
            self.feed(word, orders);
        }
        if let Some(word) = self.word(b'S') {
            self.reader.modal.speed = word.value;
        }
        self.tool(orders);
        if let Some(turning) = orders.turn {
            self.reader.modal.turning = turning;
        }
        if let Some(on) = orders.coolant {
            let line = self.reader.source.line();
            self.reader.modal.coolant = on.then(|| self.reader.modal.coolant.unwrap_or(line));
            self.reader.note(|| if on { "coolant on" } else { "coolant off" }.to_owned());
        }
        if let Some((Single::Dwell, at)) = orders.single {
            self.dwell(at);
        }
    }

    fn feed(&mut self, word: Word, orders: &Orders) {
        if self.reader.modal.feed_mode == FeedMode::InverseTime {
            self.reader.modal.feed = word.value;
            return;
        }
        let reader = &mut *self.reader;
        if orders.units.is_none() {
            rely(reader.said.units, &mut reader.start.units, reader.source.line());
        }
        reader.modal.feed = word.value * reader.factor();
        reader.old_feed = false;
        if let Some((units, span)) = orders.units.filter(|(units, _)| *units != self.reader.modal.units) {
            let old = self.reader.modal.units.short();
            self.find(Code::UnprovenState, Severity::Look, span.from, |word| {
                format!(
                    "{word} is on the line of an F word: F is taken in {old}/min as published, but some \
                     controls take it in {}/min. Put {word} on a line before.",
                    units.short()
                )
            });
        }
    }

    fn tool(&mut self, orders: &Orders) {
        let line = self.reader.source.line();
        if let Some(number) = self.word(b'T').and_then(|word| whole(word.value)) {
            let before = self.reader.out.motions.len();
            self.reader.chosen.push(ToolCall { number, line, before });
            if self.reader.settings.tool_change == ToolChange::T {
                self.change_tool(number, line);
            }
        }
        if orders.tool_change {
            self.reader.modal.turning = 0;
            if let Some(chosen) = self.reader.chosen.last().copied() {
                self.change_tool(chosen.number, line);
            }
        }
        if !self.reader.changed
            && let Some(chosen) = self.reader.chosen.last()
        {
            self.reader.modal.tool = u16::try_from(chosen.number).unwrap_or(u16::MAX);
        }
    }

    fn change_tool(&mut self, number: u32, line: u32) {
        self.reader.changed = true;
        self.reader.modal.tool = u16::try_from(number).unwrap_or(u16::MAX);
        let call = ToolCall { number, line, before: self.reader.out.motions.len() };
        if self.reader.out.tools.last() != Some(&call) {
            self.reader.out.tools.push(call);
        }
    }

    fn program_number(&mut self, word: Word) {
        let number = whole(word.value);
        if self.reader.source.called().is_some() && self.reader.source.called() == number {
            return;
        }
        if self.reader.number.is_none() && !self.reader.begun && self.reader.source.called().is_none() {
            self.reader.number = number;
            return;
        }
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!(
                "{word} opens another program within this one, which cannot be followed: what the tool does \
                 from here on is not checked. Keep one program in a file, or end each with M30 or M99."
            )
        });
    }

    /// G4: P seconds (NISTIR 6556, 3.5.4). In practice also X or U, and without a decimal point seconds or milliseconds.
    fn dwell(&mut self, at: usize) {
        let letters: &[u8] = if self.reader.settings.strict { b"P" } else { b"PXU" };
        let given =
            letters.iter().find(|letter| self.word(**letter).is_some()).and_then(|letter| self.take(*letter));
        let Some(word) = given else {
            self.take(b'P');
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} has no P for its seconds, and controls differ in what else they take: what follows is \
                     not checked. Write P and the seconds."
                )
            });
            return;
        };
        if word.value < 0.0 {
            self.unproven(Code::BadNumber, word.span.from, |word| {
                format!("{word} has a negative time: {REMEDY}.")
            });
            return;
        }
        self.reader.note(|| format!("dwell of {}", word.value));
        let Some(seconds) = self.dwell_seconds(word) else { return };
        if seconds >= LONG_DWELL {
            self.find(Code::OddNumber, Severity::Look, word.span.from, |word| {
                format!(
                    "{word} dwells for {seconds} s as published; controls that count milliseconds wait a \
                     thousandth of it. Check which is meant."
                )
            });
        }
        let line = self.reader.source.line();
        self.reader.out.dwells.push(Dwell { before: self.reader.out.motions.len(), seconds, line });
    }

    /// The seconds that a word gives. Without a decimal point and a word from the job nobody knows the unit: told once.
    pub(super) fn dwell_seconds(&mut self, word: Word) -> Option<f64> {
        let settings = self.reader.settings;
        match settings.dwell {
            _ if word.point || word.value <= 0.0 => return Some(word.value),
            Some(DwellUnit::Seconds) => return Some(word.value),
            Some(DwellUnit::Milliseconds) => return Some(word.value / 1000.0),
            None if settings.strict => return Some(word.value),
            None => {}
        }
        if !std::mem::replace(&mut self.reader.told.dwell, true) {
            self.asking(Asks::Dwell).find(Code::UsualReading, Severity::Note, word.span.from, |word| {
                format!(
                    "{word} is a dwell in seconds on some controls, in milliseconds on others: its time is not counted. \
                     Say it in the job, control, \"dwell\": \"seconds\" or \"milliseconds\"."
                )
            });
        }
        None
    }
}
