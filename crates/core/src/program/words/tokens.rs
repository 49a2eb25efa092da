//! A line as stretches that lie side by side.

use super::expression::Unset;
use super::scan::{Sink, scan};
use super::{Dialect, Problem, Setting, Span, Word};

/// What a stretch of a line is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TokenKind {
    /// Spaces and tabs between other tokens.
    Blank,
    /// A comment with its brackets, or from its semicolon on.
    Comment,
    /// The `%` that begins or ends a program.
    Mark,
    /// The `/` that begins a line which the operator can have left out.
    Slash,
    /// A letter and its number, with the blanks between.
    Word {
        /// Upper case.
        letter: u8,
        /// The number; none where a parameter or an expression stands for it.
        number: Option<f64>,
        /// Whether the number is written with a decimal point.
        point: bool,
    },
    /// A parameter's new value.
    Setting,
    /// Anything that cannot be read.
    Stray,
}

/// A stretch of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Where it is.
    pub span: Span,
}

/// Cuts a line, given without its line end, into tokens. They lie side by side from its first byte to its last, so
/// that together they are the line, byte for byte.
///
/// What a parameter or an expression comes to is not asked: one whose form is right is part of its word or setting.
pub fn tokens(line: &[u8], dialect: Dialect) -> Vec<Token> {
    let mut row = Row::default();
    scan(line, None, dialect, &mut row);
    row.fill(line.len());
    row.tokens
}

#[derive(Debug, Default)]
struct Row {
    tokens: Vec<Token>,
    /// Behind the last token.
    end: usize,
}

impl Row {
    fn fill(&mut self, to: usize) {
        if self.end < to {
            self.tokens.push(Token { kind: TokenKind::Blank, span: Span::new(self.end, to) });
            self.end = to;
        }
    }

    fn put(&mut self, kind: TokenKind, span: Span) {
        self.fill(span.from);
        if span.from < span.to {
            self.tokens.push(Token { kind, span });
            self.end = span.to;
        }
    }
}

impl Sink for Row {
    fn slash(&mut self, span: Span) {
        self.put(TokenKind::Slash, span);
    }

    fn mark(&mut self, span: Span) {
        self.put(TokenKind::Mark, span);
    }

    fn word(&mut self, word: Word) {
        let Word { letter, value, point, span } = word;
        self.put(TokenKind::Word { letter, number: Some(value), point }, span);
    }

    fn computed(&mut self, word: Word) {
        self.put(TokenKind::Word { letter: word.letter, number: None, point: false }, word.span);
    }

    fn setting(&mut self, setting: Setting) {
        self.put(TokenKind::Setting, setting.span);
    }

    fn unset(&mut self, _unset: Unset) {}

    fn comment(&mut self, whole: Span, _inner: Span) {
        self.put(TokenKind::Comment, whole);
    }

    fn problem(&mut self, _problem: Problem, over: Span) {
        self.put(TokenKind::Stray, over);
    }
}
