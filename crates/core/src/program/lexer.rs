//! From the bytes of one line to its words.

/// Longer lines are not read.
const LONGEST: usize = 4096;

/// Digits that fit an integer which a float holds exactly.
const EXACT_DIGITS: usize = 15;

/// Powers of ten that a float holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// A stretch of the line, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    pub from: usize,
    pub to: usize,
}

/// A letter and its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Word {
    /// Upper case.
    pub letter: u8,
    pub value: f64,
    /// Whether the number is written with a decimal point.
    pub point: bool,
    pub span: Span,
}

/// What keeps a stretch of the line from being a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// A letter whose number is none.
    Number,
    /// A letter without a number.
    NoNumber,
    /// A number without a letter.
    NoLetter,
    /// A variable or an expression; the rest of the line is not read.
    Expression,
    /// A character that no word has; the rest of the line is not read.
    Stray,
    /// Bytes that are no characters of a program; the first of the line stands for all.
    NotText,
    /// A comment that does not end on its line.
    OpenComment,
    /// A comment within a comment.
    NestedComment,
    /// More bytes than are read.
    LongLine,
}

/// A fault and where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Problem {
    pub fault: Fault,
    pub span: Span,
}

/// The words of one line. Made once and filled again line by line.
#[derive(Debug, Default)]
pub(super) struct Words {
    pub found: Vec<Word>,
    pub problems: Vec<Problem>,
    /// The line begins with `/`.
    pub deletable: bool,
    /// The line begins with `%`.
    pub mark: bool,
}

impl Words {
    /// Reads a line, in place of the one read before.
    pub(super) fn read(&mut self, line: &[u8]) {
        self.found.clear();
        self.problems.clear();
        self.deletable = false;
        self.mark = false;
        if line.len() > LONGEST {
            self.problem(Fault::LongLine, LONGEST, line.len());
            return;
        }
        let mut at = line.iter().take_while(|b| matches!(b, b' ' | b'\t')).count();
        match line.get(at) {
            Some(b'/') => self.deletable = true,
            Some(b'%') => self.mark = true,
            _ => {}
        }
        if self.deletable || self.mark {
            at += 1;
        }
        while let Some(&byte) = line.get(at) {
            at = match byte {
                b' ' | b'\t' => at + 1,
                b'A'..=b'Z' | b'a'..=b'z' => self.word(line, at),
                b'(' => self.comment(line, at),
                b'0'..=b'9' | b'.' | b'+' | b'-' => {
                    let number = number(line, at);
                    self.problem(Fault::NoLetter, at, number.to);
                    number.next
                }
                0x80.. | 0..0x20 | 0x7f => self.not_text(at),
                b'#' | b'[' | b']' | b'=' | b'*' => self.give_up(Fault::Expression, line, at),
                _ => self.give_up(Fault::Stray, line, at),
            };
        }
    }

    fn problem(&mut self, fault: Fault, from: usize, to: usize) {
        self.problems.push(Problem { fault, span: Span { from, to } });
    }

    fn give_up(&mut self, fault: Fault, line: &[u8], at: usize) -> usize {
        self.problem(fault, at, line.len());
        line.len()
    }

    fn not_text(&mut self, at: usize) -> usize {
        if !self.problems.iter().any(|problem| problem.fault == Fault::NotText) {
            self.problem(Fault::NotText, at, at + 1);
        }
        at + 1
    }

    fn word(&mut self, line: &[u8], at: usize) -> usize {
        let number = number(line, at + 1);
        match number.value {
            Some(value) => {
                let letter = line[at].to_ascii_uppercase();
                let span = Span { from: at, to: number.to };
                self.found.push(Word { letter, value, point: number.point, span });
            }
            None if matches!(line.get(number.next), Some(b'#' | b'[')) => {
                return self.give_up(Fault::Expression, line, at);
            }
            None if number.to <= at + 1 => self.problem(Fault::NoNumber, at, at + 1),
            None => self.problem(Fault::Number, at, number.to),
        }
        number.next
    }

    fn comment(&mut self, line: &[u8], at: usize) -> usize {
        let (mut depth, mut nested) = (0_u32, None);
        for (i, byte) in line.iter().enumerate().skip(at) {
            match byte {
                b'(' => {
                    depth += 1;
                    if depth == 2 && nested.is_none() {
                        nested = Some(i);
                    }
                }
                b')' if depth == 1 => {
                    if let Some(inner) = nested {
                        self.problem(Fault::NestedComment, inner, inner + 1);
                    }
                    return i + 1;
                }
                b')' => depth -= 1,
                _ => {}
            }
        }
        self.give_up(Fault::OpenComment, line, at)
    }
}

/// A number, or what stands in its place.
#[derive(Debug, Clone, Copy)]
struct Number {
    value: Option<f64>,
    point: bool,
    /// Behind its last character.
    to: usize,
    /// Where reading goes on.
    next: usize,
}

/// Reads signs, digits and points from `start` on, over spaces and tabs, as far as they go.
fn number(line: &[u8], start: usize) -> Number {
    let (mut at, mut to) = (start, start);
    let (mut mantissa, mut significant, mut digits, mut decimals) = (0_u64, 0_usize, 0_usize, 0_usize);
    let (mut negative, mut signed, mut point, mut sound) = (false, false, false, true);
    while let Some(&byte) = line.get(at) {
        at += 1;
        match byte {
            b' ' | b'\t' => continue,
            b'0'..=b'9' => {
                digits += 1;
                decimals += usize::from(point);
                significant += usize::from(significant > 0 || byte != b'0');
                if significant <= EXACT_DIGITS {
                    mantissa = mantissa * 10 + u64::from(byte - b'0');
                }
            }
            b'.' => {
                sound &= !point;
                point = true;
            }
            b'+' | b'-' => {
                sound &= !signed && !point && digits == 0;
                signed = true;
                negative = byte == b'-';
            }
            _ => {
                at -= 1;
                break;
            }
        }
        to = at;
    }
    let size = match TENS.get(decimals) {
        _ if !sound || digits == 0 => None,
        Some(ten) if significant <= EXACT_DIGITS => Some(mantissa as f64 / ten),
        _ => long_number(&line[start..to]),
    };
    let value = size.map(|size| if negative && size != 0.0 { -size } else { size });
    Number { value, point, to, next: at }
}

/// The size of a number of many digits.
fn long_number(text: &[u8]) -> Option<f64> {
    let plain: String =
        text.iter().filter(|b| b.is_ascii_digit() || **b == b'.').map(|&b| char::from(b)).collect();
    plain.parse().ok().filter(|size: &f64| size.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(line: &[u8]) -> Words {
        let mut words = Words::default();
        words.read(line);
        words
    }

    fn values(line: &str) -> Vec<(char, f64)> {
        let words = read(line.as_bytes());
        assert!(words.problems.is_empty(), "{line}: {:?}", words.problems);
        words.found.iter().map(|w| (char::from(w.letter), w.value)).collect()
    }

    fn fault(line: &[u8]) -> Option<(Fault, usize)> {
        read(line).problems.first().map(|p| (p.fault, p.span.from))
    }

    #[test]
    fn numbers_in_every_form() {
        for (text, value) in [
            ("X.5", 0.5),
            ("X5.", 5.0),
            ("x-0.", 0.0),
            ("X+1", 1.0),
            ("X-.25", -0.25),
            ("X 1 2 . 5\t0", 12.5),
            ("X0001", 1.0),
            ("X-1.2345", -1.2345),
            ("X123456.7890123", 123_456.789_012_3),
            ("X0.1234567890123456789", 0.123_456_789_012_345_68),
            ("X0.00000000000000000000000001", 1e-26),
        ] {
            assert_eq!(values(text), [('X', value)], "{text}");
        }
        assert!(read(b"X-0.").found[0].value.is_sign_positive());
    }

    #[test]
    fn four_and_five_decimals_are_read_as_the_standard_library_reads_them() {
        for n in (0..2_000_000_u32).step_by(37) {
            let text = format!("{}.{:05}", n / 100_000, n % 100_000);
            assert_eq!(Some(values(&format!("X{text}"))[0].1), text.parse().ok(), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_told_with_its_place() {
        for line in ["G1 X1.2.3", "G1 X--1", "G1 X1-", "G1 X+-2", "G1 X.", "G1 X-", "G1 X1.-2"] {
            assert_eq!(fault(line.as_bytes()), Some((Fault::Number, 3)), "{line}");
        }
        assert_eq!(fault(b"G1 X"), Some((Fault::NoNumber, 3)));
        assert_eq!(fault(b"G1 XY2"), Some((Fault::NoNumber, 3)));
        assert_eq!(fault(b" 12 X1"), Some((Fault::NoLetter, 1)));
    }

    #[test]
    fn other_faults_are_told_with_their_place() {
        for (line, found) in [
            (&b"G1 X#1"[..], Fault::Expression),
            (b"G1 X[1+2]", Fault::Expression),
            (b"G1 #1=3", Fault::Expression),
            (b"G1 ;note", Fault::Stray),
            (b"G1 %", Fault::Stray),
            (b"G1 )", Fault::Stray),
            (b"G1 \xe9\xe9 X1", Fault::NotText),
            (b"G1 (no end", Fault::OpenComment),
        ] {
            assert_eq!(fault(line), Some((found, 3)), "{line:?}");
        }
        assert_eq!(fault(b"(a (b) c)"), Some((Fault::NestedComment, 3)));
        assert_eq!(fault(&[b' '; LONGEST + 1]), Some((Fault::LongLine, LONGEST)));
        assert_eq!(fault(&[b' '; LONGEST]), None);
    }

    #[test]
    fn comments_and_marks_are_no_words() {
        assert_eq!(values("G1(go X9 \u{e9})Y2(there)"), [('G', 1.0), ('Y', 2.0)]);
        assert!(read(b" /G0").deletable && read(b"\t%").mark);
    }
}
