//! Names that somebody else gave, made safe to show.
//!
//! A name of a job, a pass, a layer or a file may hold characters that do something instead of being seen: line ends
//! that forge a line of a table, escape sequences that a terminal obeys, marks that turn the direction of the text
//! around. None of them reaches a screen, a picture or a page.

use std::borrow::Cow;

/// What is shown for a character that may not be.
const STAND_IN: char = '\u{fffd}';

/// Whether a character does something instead of being seen: the control characters of Unicode (general category Cc),
/// line and paragraph separators, and the marks of its bidirectional algorithm (UAX #9), invisible tags and anchors.
const fn is_unseen(c: char) -> bool {
    matches!(
        c,
        '\0'..='\u{1f}'
            | '\u{7f}'..='\u{9f}'
            | '\u{61c}'
            | '\u{200e}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}'
            | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}'
    )
}

/// A name as it may be shown in one line: every character that is not seen is replaced by `U+FFFD`.
pub fn shown(name: &str) -> Cow<'_, str> {
    replaced(name, is_unseen)
}

/// Digits of one number that anybody reads; no number of a job or a drawing needs as many.
const LONGEST_NUMBER: usize = 60;

/// A message that quotes somebody else's text: as [`shown`], and of numbers without end only the beginning.
pub fn told(message: &str) -> String {
    let (mut told, mut digits) = (String::with_capacity(message.len()), 0);
    for letter in shown(message).chars() {
        digits = if letter.is_ascii_digit() { digits + 1 } else { 0 };
        match digits {
            0..=LONGEST_NUMBER => told.push(letter),
            _ if digits == LONGEST_NUMBER + 1 => told.push('…'),
            _ => {}
        }
    }
    told
}

/// Letters of one name that are told; those of ordinary jobs and drawings have a dozen.
const LONGEST_NAME: usize = 60;

/// A name of somebody else's in a message: of one without end only the beginning.
pub(crate) fn begun(name: &str) -> String {
    let more = if name.chars().nth(LONGEST_NAME).is_some() { "…" } else { "" };
    name.chars().take(LONGEST_NAME).collect::<String>() + more
}

/// A text of several lines as it may be shown: the same, but its own line ends and tabs stay.
pub fn shown_lines(text: &str) -> Cow<'_, str> {
    replaced(text, |c| is_unseen(c) && !matches!(c, '\n' | '\t'))
}

/// A text as it may stand in HTML, SVG or XML, in an element or in a quoted attribute: as [`shown`], and no markup.
/// Characters that XML 1.0 does not allow (section 2.2) are replaced as well.
pub fn markup(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => safe.push(STAND_IN),
            letter => safe.push(if is_unseen(letter) { STAND_IN } else { letter }),
        }
    }
    safe
}

/// Whether a name can be shown as it is.
pub fn is_plain(name: &str) -> bool {
    !name.chars().any(is_unseen)
}

fn replaced(text: &str, unseen: impl Fn(char) -> bool) -> Cow<'_, str> {
    if text.chars().any(&unseen) {
        Cow::Owned(text.chars().map(|c| if unseen(c) { STAND_IN } else { c }).collect())
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_without_end_is_told_by_its_beginning() {
        let long = "7".repeat(300);
        let begun = "7".repeat(60);
        assert_eq!(
            told(&format!("layer \"{long}\" is not there")),
            format!("layer \"{begun}…\" is not there")
        );
        assert_eq!(told(&format!("{begun} and 1.5\r\n")), format!("{begun} and 1.5\u{fffd}\u{fffd}"));
    }

    #[test]
    fn what_is_not_seen_is_replaced() {
        for (name, safe) in [
            ("Rough, leave .050", "Rough, leave .050"),
            ("Größe ½ 中文 العربية", "Größe ½ 中文 العربية"),
            ("p\r\nFAKE: nothing to look at", "p\u{fffd}\u{fffd}FAKE: nothing to look at"),
            ("\u{1b}[2J\u{9b}2J", "\u{fffd}[2J\u{fffd}2J"),
            ("a\u{202e}cn.1001", "a\u{fffd}cn.1001"),
            ("a\u{2066}b\u{2069}\u{200f}", "a\u{fffd}b\u{fffd}\u{fffd}"),
            ("a\u{2028}b\u{feff}", "a\u{fffd}b\u{fffd}"),
            ("\t\0", "\u{fffd}\u{fffd}"),
        ] {
            assert_eq!(shown(name), safe);
            assert_eq!(is_plain(name), name == safe);
        }
        assert_eq!(
            markup("<b a='\"'>&\u{202e}\u{ffff}"),
            "&lt;b a=&#39;&quot;&#39;&gt;&amp;\u{fffd}\u{fffd}"
        );
        assert_eq!(shown_lines("a\tb\nc\r\u{1b}"), "a\tb\nc\u{fffd}\u{fffd}");
    }
}
