//! Sequence numbers.

use super::line::{Piece, Pieces};
use crate::program::words::TokenKind;
use crate::rewrite::Refusal;

/// The highest sequence number: N and at most five digits (NISTIR 6556, 3.3.1).
const HIGHEST: u32 = 99_999;

/// The number that comes next.
#[derive(Debug)]
pub(super) struct Sequence {
    next: u32,
    step: u32,
}

impl Sequence {
    pub(super) fn new([first, step]: [u32; 2]) -> Self {
        Self { next: first, step: step.max(1) }
    }

    /// Numbers a line that has words. The line of a program's number keeps what it has.
    pub(super) fn apply(&mut self, pieces: &mut Pieces<'_>) -> Result<(), Refusal> {
        refuse_jumps(pieces)?;
        let has_words =
            pieces.list.iter().any(|piece| matches!(piece.kind, TokenKind::Setting | TokenKind::Word { .. }));
        if !has_words || !pieces.words(b'O').is_empty() || pieces.has(TokenKind::Mark) {
            return Ok(());
        }
        if self.next > HIGHEST {
            return Err(Refusal::on_line(
                pieces.line.number,
                format!("Sequence numbers would pass {HIGHEST} here. Choose a smaller first number or step."),
            ));
        }
        let word = format!("N{}", self.next).into_bytes();
        self.next = self.next.saturating_add(self.step);
        match pieces.words(b'N').first().and_then(|&index| pieces.list.get_mut(index)) {
            Some(old) => old.bytes = word,
            None => insert(pieces, word),
        }
        Ok(())
    }
}

/// Puts an N word first, but behind the `/`; a blank behind it where the line has blanks.
fn insert(pieces: &mut Pieces<'_>, word: Vec<u8>) {
    let at = pieces.list.iter().position(|piece| piece.kind == TokenKind::Slash).map_or(0, |slash| slash + 1);
    let piece = |kind, bytes| Piece { kind, number: None, from: 0, bytes };
    let spaced = pieces.has(TokenKind::Blank);
    if spaced && pieces.list.get(at).is_some_and(|piece| piece.kind != TokenKind::Blank) {
        pieces.list.insert(at, piece(TokenKind::Blank, b" ".to_vec()));
    }
    let kind = TokenKind::Word { letter: b'N', number: None, point: false };
    pieces.list.insert(at, piece(kind, word));
}

/// M97 and M99 with P go to a sequence number, which renumbering would pull away.
fn refuse_jumps(pieces: &Pieces<'_>) -> Result<(), Refusal> {
    let has_target = !pieces.words(b'P').is_empty();
    let jump = pieces
        .words(b'M')
        .into_iter()
        .filter_map(|index| pieces.list.get(index))
        .find(|piece| piece.number == Some(97.0) || (piece.number == Some(99.0) && has_target));
    match jump {
        None => Ok(()),
        Some(piece) => Err(pieces.refuse(
            piece.from,
            "This line jumps to a sequence number, so the lines cannot be renumbered. Leave \"sequence\" \
            out of the control, or rewrite the line.",
        )),
    }
}
