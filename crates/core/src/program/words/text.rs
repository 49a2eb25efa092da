//! Text that stands where words do: names of programs, headings, and what punched tape had before its program.

use super::number::is_blank;

/// Names that some controls call and close subprograms by, behind an O word (common practice, no source).
const CALLS: [&str; 12] = [
    "SUB",
    "ENDSUB",
    "CALL",
    "RETURN",
    "DO",
    "WHILE",
    "ENDWHILE",
    "REPEAT",
    "ENDREPEAT",
    "IF",
    "ENDIF",
    "GOTO",
];

/// NUL, the four device controls and the rubout of punched tape: serial links and tape readers skip them (common
/// practice, no source).
pub(super) const fn is_leader(byte: u8) -> bool {
    matches!(byte, 0 | 0x11..=0x14 | 0x7f)
}

/// Where blanks and tape leader from `at` on end.
pub(super) fn past_leader(line: &[u8], mut at: usize) -> usize {
    while line.get(at).is_some_and(|&byte| is_blank(byte) || is_leader(byte)) {
        at += 1;
    }
    at
}

/// Whether this is a name in plain letters, and no word: two letters of it stand side by side, before any bracket.
pub(super) fn is_name(text: &[u8]) -> bool {
    let text = text.trim_ascii();
    let plain = text.iter().position(|byte| b"(;[#=".contains(byte)).map_or(text, |end| &text[..end]);
    let computes = text.iter().any(|byte| b"[#=".contains(byte));
    let first = plain.iter().position(|byte| !byte.is_ascii_alphabetic()).map_or(plain, |end| &plain[..end]);
    let calls = CALLS.iter().any(|name| first.eq_ignore_ascii_case(name.as_bytes()));
    let has_letters = plain.windows(2).any(|pair| pair.iter().all(u8::is_ascii_alphabetic));
    has_letters && !computes && !calls
}

/// Whether a line is a heading: text as a listing has before its `%`, and nothing that a control would run.
pub(in crate::program) fn is_heading(line: &[u8]) -> bool {
    let text = line.get(past_leader(line, 0)..).unwrap_or_default();
    matches!(text.first(), None | Some(b'('))
        || (!matches!(text.first(), Some(b'%' | b'/' | b'O' | b'o' | b':')) && is_name(text))
}
