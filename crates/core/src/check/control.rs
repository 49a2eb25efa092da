//! What the control would refuse: program number, long lines, line ends, characters.

use std::collections::BTreeSet;

use crate::control::{Control, LineEnd};
use crate::finding::{Code, Finding, Severity};

/// Findings of one kind that are made; the last one says how many more there are.
const MOST: usize = 3;

/// Characters that every control takes besides letters and digits.
const ALWAYS_TAKEN: &str = "+-. ";

/// Tape leader, which links and readers skip: NUL, the device controls, the rubout (common practice, no source).
const SKIPPED: [char; 6] = ['\0', '\u{11}', '\u{12}', '\u{13}', '\u{14}', '\u{7f}'];

/// Those that controls take as a rule: of comments, deleted lines, marks and expressions.
const USUALLY_TAKEN: &str = "()/%#[]=*:";

/// What in a program's text the control does not take, by what the job says about it.
///
/// `number` is the program number that was read. Where the job names the control's characters, these hold in comments
/// as well. Where it does not, words may have those of `( ) / % # [ ] = *`, and comments any character of plain text.
pub(crate) fn findings(text: &[u8], number: Option<u32>, control: &Control) -> Vec<Finding> {
    let lines = lines(text);
    let mut found: Vec<Finding> = program_number(&lines, number, control).into_iter().collect();
    found.extend(capped(too_long(&lines, control)));
    found.extend(other_line_end(&lines, control));
    found.extend(capped(strange_characters(&lines, control)));
    found
}

/// One line, where its comments lie left to tell, and how it ends.
#[derive(Debug, Clone, Copy)]
struct Line<'a> {
    number: u32,
    bytes: &'a [u8],
    /// `None` when the text ends with it.
    end: Option<LineEnd>,
}

fn lines(text: &[u8]) -> Vec<Line<'_>> {
    // the mark of an editor before the text is not sent
    let mut rest = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    // NULs, and the end-of-text bytes of old disks, are what links and controls append
    while let [head @ .., 0 | 0x1a] = rest {
        rest = head;
    }
    let mut lines = Vec::new();
    while !rest.is_empty() {
        let length = rest.iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(rest.len());
        let (bytes, tail) = rest.split_at(length);
        let (end, skip) = match tail {
            [b'\r', b'\n', ..] => (Some(LineEnd::CrLf), 2),
            [b'\n', ..] => (Some(LineEnd::Lf), 1),
            [b'\r', ..] => (Some(LineEnd::Cr), 1),
            _ => (None, 0),
        };
        let number = u32::try_from(lines.len() + 1).unwrap_or(u32::MAX);
        lines.push(Line { number, bytes, end });
        rest = tail.get(skip..).unwrap_or_default();
    }
    lines
}

fn refused(message: String) -> Finding {
    Finding::new(Code::ControlRefuses, Severity::Stop, message)
}

fn program_number(lines: &[Line<'_>], number: Option<u32>, control: &Control) -> Option<Finding> {
    let (number, range) = (number?, control.program_numbers.as_ref()?);
    if range.contains(&number) {
        return None;
    }
    let message = format!(
        "The control takes program numbers from {} to {}, so it refuses O{number}. Give the program another number.",
        range.start(),
        range.end()
    );
    let finding = refused(message);
    let opening =
        |line: &&Line<'_>| line.bytes.trim_ascii_start().first().is_some_and(|b| matches!(b, b'O' | b'o'));
    let Some(line) = lines.iter().find(opening) else { return Some(finding) };
    let blanks = line.bytes.iter().take_while(|b| b.is_ascii_whitespace()).count();
    Some(finding.on_line(line.number).in_column(column(line.bytes, blanks)))
}

fn too_long<'a>(lines: &'a [Line<'_>], control: &Control) -> impl Iterator<Item = Finding> + use<'a> {
    let longest = control.longest_line.unwrap_or(u32::MAX);
    lines.iter().filter_map(move |line| {
        // a character has at least one byte, so most lines need no counting
        let length = if line.bytes.len() <= longest as usize { 0 } else { column(line.bytes, line.bytes.len()) - 1 };
        (length > longest).then(|| {
            let message = format!(
                "This line has {length} characters; the control takes {longest} and refuses the rest or the whole \
                 program. Shorten its comment or split it."
            );
            refused(message).on_line(line.number).in_column(longest.saturating_add(1))
        })
    })
}

/// One finding for all lines that end otherwise: they are one fault of whatever wrote the file.
fn other_line_end(lines: &[Line<'_>], control: &Control) -> Option<Finding> {
    let wanted = control.line_end?;
    let mut other = lines.iter().filter(|line| line.end.is_some_and(|end| end != wanted));
    let first = other.next()?;
    let more = other.count();
    let more = if more > 0 { format!(", and {more} more lines do not either") } else { String::new() };
    let message = format!(
        "This line ends with {}, not with {} as the control wants{more}: it may run lines together or refuse the file. \
         Rewrite the program for the control.",
        first.end.map_or("nothing", name),
        name(wanted)
    );
    Some(refused(message).on_line(first.number))
}

const fn name(end: LineEnd) -> &'static str {
    match end {
        LineEnd::CrLf => "CR LF",
        LineEnd::Lf => "LF alone",
        LineEnd::Cr => "CR alone",
    }
}

/// The first strange character of each line that has one.
fn strange_characters<'a>(
    lines: &'a [Line<'_>],
    control: &Control,
) -> impl Iterator<Item = Finding> + use<'a> {
    let extra: Option<BTreeSet<char>> = control.characters.as_ref().map(|all| all.chars().collect());
    let semicolons = control.takes_semicolons();
    lines.iter().filter_map(move |line| {
        let (at, character) = strange(line.bytes, extra.as_ref(), semicolons)?;
        let shown = if character.is_control() || character == char::REPLACEMENT_CHARACTER {
            format!("a character that does not print ({})", byte_name(line.bytes, at))
        } else {
            format!("'{character}'")
        };
        let message = format!(
            "The control does not take {shown}: it refuses the program or stops here. Delete it, or add it \
             to the control's characters in the job."
        );
        Some(refused(message).on_line(line.number).in_column(column(line.bytes, at)))
    })
}

/// The first character of a line that is not taken, and at which byte it stands.
fn strange(line: &[u8], extra: Option<&BTreeSet<char>>, semicolons: bool) -> Option<(usize, char)> {
    let mut in_comment = false;
    let taken = |c: char, in_comment: bool| {
        c.is_ascii_alphanumeric()
            || ALWAYS_TAKEN.contains(c)
            || match extra {
                Some(extra) => extra.contains(&c),
                None => USUALLY_TAKEN.contains(c) || c == '\t' || SKIPPED.contains(&c) || in_comment,
            }
    };
    let mut at = 0;
    for chunk in line.utf8_chunks() {
        for c in chunk.valid().chars() {
            match c {
                '(' => in_comment = true,
                ';' if semicolons => in_comment = true,
                ')' => in_comment = false,
                _ => {}
            }
            if !taken(c, in_comment) {
                return Some((at, c));
            }
            at += c.len_utf8();
        }
        let any_taken = in_comment && extra.is_none();
        if !chunk.invalid().is_empty() && !any_taken {
            return Some((at, char::REPLACEMENT_CHARACTER));
        }
        at += chunk.invalid().len();
    }
    None
}

/// `byte 0x09`.
fn byte_name(line: &[u8], at: usize) -> String {
    line.get(at).map_or_else(String::new, |byte| format!("byte 0x{byte:02X}"))
}

/// Column of a byte, from 1, in characters.
fn column(line: &[u8], at: usize) -> u32 {
    let before = String::from_utf8_lossy(line.get(..at).unwrap_or(line)).chars().count();
    u32::try_from(before + 1).unwrap_or(u32::MAX)
}

/// At most [`MOST`] of them; the last one says how many more there are.
fn capped(mut found: impl Iterator<Item = Finding>) -> Vec<Finding> {
    let mut kept: Vec<Finding> = found.by_ref().take(MOST).collect();
    let more = found.count();
    if let (Some(last), 1..) = (kept.last_mut(), more) {
        last.message.push_str(" (");
        last.message.push_str(&more.to_string());
        last.message.push_str(" more lines like this.)");
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn places(text: &[u8], number: Option<u32>, control: &Control) -> Vec<(u32, u32)> {
        let found = findings(text, number, control);
        assert!(found.iter().all(|f| f.code == Code::ControlRefuses && f.severity == Severity::Stop));
        found.iter().map(|f| (f.line.unwrap_or(0), f.column.unwrap_or(0))).collect()
    }

    fn control() -> Control {
        Control {
            program_numbers: Some(1..=9999),
            line_end: Some(LineEnd::CrLf),
            longest_line: Some(8),
            ..Control::default()
        }
    }

    #[test]
    fn a_program_number_is_taken_to_the_ends_of_the_range() {
        for (number, refused) in [(0, true), (1, false), (9999, false), (10_000, true)] {
            let text = format!("%\r\n O{number}\r\n");
            let want: &[(u32, u32)] = if refused { &[(2, 2)] } else { &[] };
            assert_eq!(places(text.as_bytes(), Some(number), &control()), want, "{number}");
        }
        assert!(places(b"G0 X1\r\n", None, &control()).is_empty());
    }

    #[test]
    fn a_line_is_taken_to_its_longest() {
        // characters, not bytes; the line end does not count
        assert!(places(b"12345678\r\n12345678", None, &control()).is_empty());
        assert_eq!(places(b"X\r\n123456789\r\n", None, &control()), [(2, 9)]);
        let loose = Control { longest_line: None, ..control() };
        assert!(places(&b"X".repeat(10_000), None, &loose).is_empty());
        let text = "(\u{f6}\u{f6}\u{f6}\u{f6}\u{f6}\u{f6})".to_owned();
        let own = Control { characters: Some("()\u{f6}".to_owned()), ..control() };
        assert!(places(text.as_bytes(), None, &own).is_empty(), "eight characters");
    }

    #[test]
    fn each_line_end_is_told_from_the_others() {
        let ends = [(LineEnd::CrLf, "\r\n"), (LineEnd::Lf, "\n"), (LineEnd::Cr, "\r")];
        for (wanted, _) in ends {
            for (given, text) in ends {
                let control = Control { line_end: Some(wanted), ..Control::default() };
                let text = format!("X1{text}X2{text}");
                let want: &[(u32, u32)] = if wanted == given { &[] } else { &[(1, 0)] };
                assert_eq!(places(text.as_bytes(), None, &control), want, "{wanted:?} {given:?}");
            }
        }
        let mixed = findings(b"X1\r\nX2\nX3\nX4", None, &control());
        assert_eq!((mixed.len(), mixed[0].line), (1, Some(2)));
        assert!(mixed[0].message.contains("1 more line"), "{}", mixed[0].message);
    }

    #[test]
    fn characters_are_those_of_words_unless_the_job_names_more() {
        let with = |characters: Option<&str>| Control {
            characters: characters.map(str::to_owned),
            ..Control::default()
        };
        for (text, characters, want) in [
            ("/N1 G1 x-1.+2 #3=[4*5] (A) %", None, None),
            ("X1;", None, None),
            ("X1@", None, Some(3)),
            ("\0\x11X1\x13", None, None),
            (":1001", None, None),
            ("X1;", Some(";"), None),
            ("X1\tY2", None, None),
            ("X1\t", Some(";"), Some(3)),
            ("(A: B, C!)", None, None),
            ("(A)", Some("%"), Some(1)),
            ("(A: B)", Some("(),"), Some(3)),
            ("(A: B)", Some("():"), None),
            ("(A) @", None, Some(5)),
            ("(\u{f6})", None, None),
            ("(\u{f6}\u{e4})", Some("()\u{f6}"), Some(3)),
        ] {
            let want: Vec<_> = want.map(|column| (1, column)).into_iter().collect();
            assert_eq!(places(text.as_bytes(), None, &with(characters)), want, "{text} {characters:?}");
        }
        let any = with(None);
        assert_eq!(places(b"X1\xff", None, &any), [(1, 3)], "no text at all");
        assert!(places(b"X1\r\n%\r\n\0\0\x1a", None, &any).is_empty(), "what links append");
    }

    #[test]
    fn many_of_a_kind_are_counted() {
        let found = findings(&b"X1@\n".repeat(10), None, &Control::default());
        assert_eq!(found.len(), MOST);
        assert!(found[2].message.contains("7 more lines"), "{}", found[2].message);
        let three = findings(&b"X1@\n".repeat(3), None, &Control::default());
        assert!(!three[2].message.contains("more lines"));
    }

    #[test]
    fn the_samples_are_taken_by_a_usual_control() {
        let usual = Control { longest_line: Some(80), ..control() };
        for (name, text) in demo::files().iter().filter(|(_, text)| text.starts_with(b"%")) {
            assert!(places(text, Some(1001), &usual).is_empty(), "{name}");
        }
    }
}
