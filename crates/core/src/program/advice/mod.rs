//! What shops get bitten by: advice on a program that can be followed.
//!
//! Every rule goes over the motions once and looks at the text of the few lines it is about to name. A rule speaks up
//! only where a sane program would hardly go: its borders are constants, in inches where they are lengths, and common
//! practice without a source.

mod across;
mod depth;
mod ends;
mod feeds;
mod moves;
mod numbers;
mod start;
mod words;

pub(crate) use across::{RunPass, across};

use super::Settings;
use super::lines::TextLines;
use super::result::Program;
use crate::finding::{Code, Finding, Severity};
use crate::units::fixed;

/// What there is to say about a program that was read with these settings. `rapid` is the machine's rapid speed in
/// `settings.units` a minute, when it is known. Findings carry line and column, but no place in block coordinates.
pub(crate) fn findings(
    program: &Program,
    text: &TextLines,
    settings: &Settings,
    rapid: Option<f64>,
) -> Vec<Finding> {
    let look = Look { program, text, settings };
    let mut found = numbers::findings(&look);
    found.extend(feeds::findings(&look, rapid));
    found.extend(depth::findings(&look));
    found.extend(moves::findings(&look));
    found.extend(start::findings(&look));
    found.extend(ends::findings(&look));
    found
}

/// A program and what it was read from.
#[derive(Debug, Clone, Copy)]
struct Look<'a> {
    program: &'a Program,
    text: &'a TextLines,
    settings: &'a Settings,
}

impl Look<'_> {
    /// A length that is stated in inches, in the unit of the program's result.
    fn inches(&self, length: f64) -> f64 {
        length * self.settings.units.per_inch()
    }

    /// A length for a message.
    fn length(&self, value: f64) -> String {
        self.settings.units.fine_with_unit(value)
    }

    /// A feed for a message.
    fn feed(&self, value: f64) -> String {
        let digits = if value >= 100.0 { 0 } else { 2 };
        format!("{} {}/min", fixed(value, digits), self.settings.units.short())
    }

    /// The first word of a letter on a line.
    fn word(&self, line: u32, letter: char) -> Option<words::Word> {
        words::of(&self.text.line(line as usize)).find(|word| word.letter == letter)
    }

    /// A finding on a line, at its first word of this letter if it has one.
    fn find(&self, code: Code, severity: Severity, (line, letter): (u32, char), message: String) -> Finding {
        let finding = Finding::new(code, severity, message).on_line(line);
        match self.word(line, letter) {
            Some(word) => finding.in_column(word.column),
            None => finding,
        }
    }
}

#[cfg(test)]
mod tests;
