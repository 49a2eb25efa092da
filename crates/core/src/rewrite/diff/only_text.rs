//! What differs in the text and moves nothing.

use super::Side;
use crate::program::End;
use crate::rewrite::air;
use crate::rewrite::text::lines;

/// The differences as sentences. They say nothing about motions.
pub(super) fn notes(a: Side<'_>, b: Side<'_>) -> Vec<String> {
    if a.text == b.text {
        return Vec::new();
    }
    let mut notes = Vec::new();
    for (name, text) in [("A", a.text), ("B", b.text)] {
        if let Some(mark) = air::mark(text) {
            notes.push(format!("{name} is marked as an air pass, of {}.", mark.of));
        }
    }
    if a.program.number != b.program.number {
        let number =
            |number: Option<u32>| number.map_or("no number".to_owned(), |number| format!("O{number}"));
        notes.push(format!("A is {}, B is {}.", number(a.program.number), number(b.program.number)));
    }
    if a.program.ending.end != b.program.ending.end {
        let (from, to) = (ending(a.program.ending.end), ending(b.program.ending.end));
        notes.push(format!("A ends {from}, B ends {to}."));
    }
    let (count_a, count_b) = (lines(a.text).count(), lines(b.text).count());
    if count_a != count_b {
        notes.push(format!("A has {count_a} lines, B has {count_b}."));
    }
    let same_lines = lines(a.text).map(|line| line.text).eq(lines(b.text).map(|line| line.text));
    if same_lines {
        notes.push("Only the line ends differ in the text.".to_owned());
    } else if count_a == count_b {
        let differ = lines(a.text).zip(lines(b.text)).filter(|(a, b)| a.text != b.text).count();
        notes.push(format!("{differ} of {count_a} lines are written differently."));
    }
    notes
}

const fn ending(end: End) -> &'static str {
    match end {
        End::Text => "with its last line",
        End::Word => "with M2 or M30",
        End::Mark => "with %",
        End::Return => "with M99",
    }
}
