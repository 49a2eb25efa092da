//! Programs written from programs: the air pass, the program made ready for a control, and what differs between two.
//!
//! Both rewriters change the text word by word, so that comments, blanks and everything that needs no change stay as
//! they are, byte for byte. What they wrote is then read like any other program and held against the first one motion
//! by motion; only what is proven so is handed out.

pub mod air;
pub mod diff;
mod number;
mod origin;
pub mod ready;
mod sum;
mod text;

use std::fmt;

pub use origin::numbers;
pub use sum::checksum;

use crate::finding::{Code, Severity};
use crate::program::Program;
use crate::program::words::{Dialect, tokens};
use crate::task::Cancelled;
use crate::units::Units;

/// Why a program was not written, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Line of the program, from 1, when it has a place there.
    pub line: Option<u32>,
    /// Column of that line, from 1, in characters.
    pub column: Option<u32>,
    /// What stands in the way and what to do about it, as one or two sentences.
    pub message: String,
}

impl Refusal {
    fn new(message: impl Into<String>) -> Self {
        Self { line: None, column: None, message: message.into() }
    }

    fn on_line(line: u32, message: impl Into<String>) -> Self {
        Self { line: Some(line), column: None, message: message.into() }
    }

    fn at(line: u32, column: u32, message: impl Into<String>) -> Self {
        Self { line: Some(line), column: Some(column), message: message.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.line, self.column) {
            (Some(line), Some(column)) => write!(f, "line {line}, column {column}: {}", self.message),
            (Some(line), None) => write!(f, "line {line}: {}", self.message),
            _ => f.write_str(&self.message),
        }
    }
}

/// A program was not written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotWritten {
    /// It cannot be, or cannot be proven.
    Refused(Refusal),
    /// The work was stopped.
    Cancelled(Cancelled),
}

impl fmt::Display for NotWritten {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(refusal) => refusal.fmt(f),
            Self::Cancelled(cancelled) => cancelled.fmt(f),
        }
    }
}

impl std::error::Error for NotWritten {}

impl From<Refusal> for NotWritten {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<Cancelled> for NotWritten {
    fn from(cancelled: Cancelled) -> Self {
        Self::Cancelled(cancelled)
    }
}

/// The unit that a program states first, by G20 or G70 and G21 or G71.
pub fn stated_units(program: &[u8]) -> Option<Units> {
    let first = |line: text::Line<'_>| {
        let tokens = tokens(line.text, Dialect::default());
        text::words(&tokens).iter().filter(|word| word.letter == b'G').find_map(|word| match word.number? {
            20.0 | 70.0 => Some(Units::Inch),
            21.0 | 71.0 => Some(Units::Mm),
            _ => None,
        })
    };
    text::lines(program).find_map(first)
}

/// A program that is to be proven must be followed to its end.
fn followed(program: &Program) -> Result<(), Refusal> {
    if !program.unproven {
        return Ok(());
    }
    let unread = |code: Code| matches!(code, Code::UnprovenWord | Code::UnprovenState | Code::BadNumber);
    let stops = || program.findings.iter().filter(|finding| finding.severity == Severity::Stop);
    let first = stops().find(|finding| unread(finding.code)).or_else(|| stops().next());
    Err(match first {
        Some(finding) => Refusal {
            line: finding.line,
            column: finding.column,
            message: format!(
                "The program cannot be followed here, so nothing made from it could be checked. {}",
                finding.message
            ),
        },
        None => Refusal::new(
            "The program cannot be followed to its end, so nothing made from it could be checked. Check it \
            first and correct what is found.",
        ),
    })
}
