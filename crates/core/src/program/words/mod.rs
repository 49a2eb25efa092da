//! From the text of a line to its words.
//!
//! The language is that of the NIST RS274/NGC report (NISTIR 6556 section 3.3): words, comments, parameters and
//! expressions. [`tokens`] tells what each stretch of a line is; the interpreter reads the same stretches as words
//! with their values.

mod expression;
mod fault;
mod number;
mod parameters;
mod scan;
#[cfg(test)]
mod tests;
mod text;
mod tokens;

pub(in crate::program) use expression::Unset;
pub(in crate::program) use fault::{ExpressionFault, Fault, Problem};
pub(in crate::program) use parameters::Parameters;
pub(in crate::program) use text::is_heading;
pub use tokens::{Token, TokenKind, tokens};

use scan::Sink;

/// A stretch of a line, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Offset of its first byte.
    pub from: usize,
    /// Offset behind its last byte.
    pub to: usize,
}

impl Span {
    const fn new(from: usize, to: usize) -> Self {
        Self { from, to }
    }

    /// The bytes of the stretch; none when the line ends before it.
    pub fn of(self, line: &[u8]) -> &[u8] {
        line.get(self.from..self.to).unwrap_or_default()
    }
}

/// What a control reads beyond the language of the report.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Dialect {
    /// A semicolon begins a comment that goes to the end of the line.
    pub semicolon_comments: bool,
}

/// A letter and its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) struct Word {
    /// Upper case.
    pub letter: u8,
    pub value: f64,
    /// Whether the number is written with a decimal point, or was computed.
    pub point: bool,
    pub span: Span,
}

/// A parameter's new value, to be taken after everything else on the line has been read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) struct Setting {
    pub index: u16,
    pub value: f64,
    pub span: Span,
}

/// What one line says. Made once and filled again line by line.
#[derive(Debug, Default)]
pub(in crate::program) struct Words {
    pub found: Vec<Word>,
    pub problems: Vec<Problem>,
    /// In the order of the line; of two for one parameter the later holds.
    pub settings: Vec<Setting>,
    /// The line begins with `/`.
    pub deletable: bool,
    /// The line begins with `%`.
    pub mark: bool,
    /// The last comment of the line, without its brackets.
    pub comment: Option<Span>,
    /// The first parameter that was read though the program had never set it: its value is the control's affair.
    pub unset: Option<Unset>,
    /// Bytes that are no text have been told.
    not_text: bool,
}

impl Words {
    /// Reads a line, in place of the one read before.
    pub(in crate::program) fn read(&mut self, line: &[u8], parameters: &Parameters, dialect: Dialect) {
        self.found.clear();
        self.problems.clear();
        self.settings.clear();
        self.deletable = false;
        self.mark = false;
        self.comment = None;
        self.unset = None;
        self.not_text = false;
        scan::scan(line, Some(parameters), dialect, self);
    }
}

impl Sink for Words {
    fn slash(&mut self, _span: Span) {
        self.deletable = true;
    }

    fn mark(&mut self, _span: Span) {
        self.mark = true;
    }

    #[inline]
    fn word(&mut self, word: Word) {
        self.found.push(word);
    }

    fn computed(&mut self, word: Word) {
        self.found.push(word);
    }

    fn setting(&mut self, setting: Setting) {
        self.settings.push(setting);
    }

    fn unset(&mut self, unset: Unset) {
        self.unset.get_or_insert(unset);
    }

    fn comment(&mut self, _whole: Span, inner: Span) {
        self.comment = Some(inner);
    }

    fn problem(&mut self, problem: Problem, _over: Span) {
        let is_not_text = problem.fault == Fault::NotText;
        if !is_not_text || !self.not_text {
            self.problems.push(problem);
        }
        self.not_text |= is_not_text;
    }
}
