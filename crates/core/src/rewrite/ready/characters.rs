//! Characters that a control takes.

use super::line::{Piece, Pieces};
use super::notes::Changes;
use crate::program::words::TokenKind;
use crate::rewrite::Refusal;

/// What stands for a character that is not taken in a comment.
const INSTEAD: char = '-';

/// Makes a line of characters that the control takes.
pub(super) fn apply(pieces: &mut Pieces<'_>, taken: &str, changes: &mut Changes) -> Result<(), Refusal> {
    let line = pieces.line.number;
    let takes = |c: char| is_always_taken(c) || taken.contains(c);
    let brackets = takes('(') && takes(')');
    let mut dropped = false;
    for piece in &mut pieces.list {
        match piece.kind {
            TokenKind::Comment if brackets || (piece.bytes.starts_with(b";") && takes(';')) => {
                comment(piece, &takes, line, changes);
            }
            TokenKind::Comment => {
                piece.bytes.clear();
                dropped = true;
            }
            TokenKind::Blank if !piece.bytes.iter().all(|&byte| takes(char::from(byte))) => {
                piece.bytes.fill(b' ');
            }
            _ => {}
        }
    }
    if dropped {
        changes.dropped.push(line);
        drop_trailing_blanks(pieces);
    }
    words(pieces, &takes)
}

fn is_always_taken(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.' | ' ')
}

/// Puts a dash for what is not taken; a comment behind a semicolon gets brackets where the semicolon is not taken.
fn comment(piece: &mut Piece, takes: &impl Fn(char) -> bool, line: u32, changes: &mut Changes) {
    let text = String::from_utf8_lossy(&piece.bytes).into_owned();
    let (open, inner, close) = match text.strip_prefix(';') {
        Some(inner) if takes(';') => (";", inner, ""),
        Some(inner) => ("(", inner, ")"),
        None => ("(", text.trim_start_matches('(').trim_end_matches(')'), ")"),
    };
    let bare = |c: char| takes(c) && (open == ";" || !matches!(c, '(' | ')'));
    let kept: String = inner.chars().map(|c| if bare(c) { c } else { INSTEAD }).collect();
    let new = format!("{open}{kept}{close}");
    if new != text {
        changes.replaced.push(line);
        piece.bytes = new.into_bytes();
    }
}

pub(super) fn drop_trailing_blanks(pieces: &mut Pieces<'_>) {
    while pieces.list.last().is_some_and(|piece| piece.kind == TokenKind::Blank || piece.bytes.is_empty()) {
        pieces.list.pop();
    }
}

/// Words cannot be written with other characters.
fn words(pieces: &mut Pieces<'_>, takes: &impl Fn(char) -> bool) -> Result<(), Refusal> {
    for index in 0..pieces.list.len() {
        let Some(piece) = pieces.list.get_mut(index) else { continue };
        if matches!(piece.kind, TokenKind::Comment | TokenKind::Blank | TokenKind::Mark) {
            continue;
        }
        for byte in &mut piece.bytes {
            // a tab between a letter and its number is a blank like any other
            if *byte == b'\t' && !takes('\t') {
                *byte = b' ';
            }
        }
        let text = String::from_utf8_lossy(&piece.bytes).into_owned();
        if let Some((at, c)) = text.char_indices().find(|(_, c)| !takes(*c)) {
            let at = piece.from + at;
            let remedy = if c == '/' {
                "Delete it, or add it to the control's characters"
            } else {
                "Write the line without it, or add it to the control's characters"
            };
            return Err(pieces.refuse(at, format!("The control does not take the character {c}. {remedy}.")));
        }
    }
    Ok(())
}
