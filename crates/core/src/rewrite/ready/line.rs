//! One line as pieces that can be changed.

use crate::program::words::{Token, TokenKind};
use crate::rewrite::Refusal;
use crate::rewrite::text::{Line, bytes, column};

/// A token with the bytes that will be written for it.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub kind: TokenKind,
    /// The number of a word.
    pub number: Option<f64>,
    /// Where it starts in the line.
    pub from: usize,
    pub bytes: Vec<u8>,
}

impl Piece {
    /// The letter, if it is a word.
    pub(super) fn letter(&self) -> Option<u8> {
        if let TokenKind::Word { letter, .. } = self.kind { Some(letter) } else { None }
    }

    /// How many characters it has.
    pub(super) fn characters(&self) -> usize {
        String::from_utf8_lossy(&self.bytes).chars().count()
    }
}

/// The pieces of a line, from left to right.
#[derive(Debug)]
pub(super) struct Pieces<'a> {
    pub line: Line<'a>,
    pub list: Vec<Piece>,
}

impl<'a> Pieces<'a> {
    pub(super) fn new(line: Line<'a>, tokens: &[Token]) -> Self {
        let piece = |token: &Token| Piece {
            kind: token.kind,
            number: if let TokenKind::Word { number, .. } = token.kind { number } else { None },
            from: token.span.from,
            bytes: bytes(line.text, token).to_vec(),
        };
        Self { line, list: tokens.iter().map(piece).collect() }
    }

    /// Indices of the words with this letter.
    pub(super) fn words(&self, letter: u8) -> Vec<usize> {
        let is_word = |(index, piece): (usize, &Piece)| (piece.letter() == Some(letter)).then_some(index);
        self.list.iter().enumerate().filter_map(is_word).collect()
    }

    pub(super) fn has(&self, kind: TokenKind) -> bool {
        self.list.iter().any(|piece| piece.kind == kind)
    }

    pub(super) fn characters(&self) -> usize {
        self.list.iter().map(Piece::characters).sum()
    }

    pub(super) fn bytes(self) -> impl Iterator<Item = u8> {
        self.list.into_iter().flat_map(|piece| piece.bytes)
    }

    pub(super) fn refuse(&self, at: usize, message: impl Into<String>) -> Refusal {
        Refusal::at(self.line.number, column(self.line.text, at), message)
    }
}
