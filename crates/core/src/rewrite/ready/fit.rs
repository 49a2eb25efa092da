//! Lines no longer than a control takes.

use super::characters::drop_trailing_blanks;
use super::line::Pieces;
use super::notes::Changes;
use crate::program::words::TokenKind;
use crate::rewrite::Refusal;

/// Shortens a line that is too long: first blanks at its end, then comments, then all other blanks.
pub(super) fn apply(pieces: &mut Pieces<'_>, longest: usize, changes: &mut Changes) -> Result<(), Refusal> {
    if pieces.characters() <= longest {
        return Ok(());
    }
    drop_trailing_blanks(pieces);
    shorten_comments(pieces, longest, changes);
    if pieces.characters() > longest {
        take_out_blanks(pieces);
        changes.closed_up.push(pieces.line.number);
    }
    let length = pieces.characters();
    if length <= longest {
        return Ok(());
    }
    Err(Refusal::on_line(
        pieces.line.number,
        format!(
            "Without spaces and comments this line still has {length} characters, and the control takes \
            {longest}. Put some of its words on a line of their own."
        ),
    ))
}

/// Cuts the last comment down to the room there is; takes it out where there is none, and goes on to the one before.
fn shorten_comments(pieces: &mut Pieces<'_>, longest: usize, changes: &mut Changes) {
    for index in (0..pieces.list.len()).rev() {
        let over = pieces.characters().saturating_sub(longest);
        let Some(piece) = pieces.list.get_mut(index).filter(|piece| piece.kind == TokenKind::Comment) else {
            continue;
        };
        if over == 0 {
            return;
        }
        let text = String::from_utf8_lossy(&piece.bytes).into_owned();
        let close = if text.ends_with(')') && text.starts_with('(') { ")" } else { "" };
        let room = text.chars().count().saturating_sub(over + close.len());
        // one bracket and one letter at least
        if room > 1 {
            let kept: String = text.chars().take(room).collect();
            piece.bytes = format!("{}{close}", kept.trim_end()).into_bytes();
            changes.shortened.push(pieces.line.number);
        } else {
            piece.bytes.clear();
            changes.dropped.push(pieces.line.number);
            drop_trailing_blanks(pieces);
        }
    }
}

fn take_out_blanks(pieces: &mut Pieces<'_>) {
    for piece in &mut pieces.list {
        match piece.kind {
            TokenKind::Blank => piece.bytes.clear(),
            TokenKind::Comment => {}
            _ => piece.bytes.retain(|byte| !matches!(byte, b' ' | b'\t')),
        }
    }
}
