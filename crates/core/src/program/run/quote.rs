//! Program text as messages quote it.

use crate::program::words::Span;
use crate::units::{Units, fixed};

/// Column of a byte, from 1, in characters.
pub(super) fn column(text: &[u8], at: usize) -> u32 {
    let before = text.get(..at).unwrap_or(text);
    u32::try_from(String::from_utf8_lossy(before).chars().count() + 1).unwrap_or(u32::MAX)
}

/// A stretch of a line: without blanks, upper case, not too long.
pub(super) fn shown(text: &[u8], span: Span) -> String {
    const MOST: usize = 24;
    let all = text.get(span.from..span.to).unwrap_or_default();
    let solid = || all.iter().filter(|b| !b.is_ascii_whitespace());
    let mut quoted: String = solid()
        .take(MOST)
        .map(|&b| if b.is_ascii_graphic() { char::from(b.to_ascii_uppercase()) } else { '\u{fffd}' })
        .collect();
    if solid().nth(MOST).is_some() {
        quoted.push('\u{2026}');
    }
    quoted
}

/// A length for a message; with more places where those of [`Units::fine`] would hide what it is.
pub(super) fn exact(units: Units, length: f64) -> String {
    if length * units.pick(1e4, 1e3) >= 10.0 {
        return units.fine_with_unit(length);
    }
    let places = units.pick(6.0, 5.0) as usize;
    let text = fixed(length, places);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let text = if units == Units::Inch {
        text.strip_prefix('0').filter(|t| !t.is_empty()).unwrap_or(text)
    } else {
        text
    };
    format!("{text} {}", units.short())
}
