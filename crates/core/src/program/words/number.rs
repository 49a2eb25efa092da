//! Numbers as programs write them: a sign, digits and a point, with blanks wherever they please.

/// Digits that an integer of 64 bits holds.
const MOST_DIGITS: usize = 18;

/// The whole numbers up to here are held exactly by a float.
const EXACT: u64 = 1 << 53;

/// Powers of ten that a float holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// A number, or what stands in its place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Number {
    pub value: Option<f64>,
    pub point: bool,
    /// A letter O stands for a digit.
    pub letter_o: bool,
    /// Behind its last character.
    pub to: usize,
    /// Where reading goes on: the blanks behind it are passed.
    pub next: usize,
}

/// A number that could be read the quick way.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plain {
    pub value: f64,
    pub point: bool,
    /// Behind its last character.
    pub to: usize,
    /// Where reading goes on: the blanks behind it are passed.
    pub next: usize,
}

pub(super) const fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

const fn is_letter_o(byte: u8) -> bool {
    matches!(byte, b'O' | b'o')
}

/// Where the blanks from `at` on end.
#[inline]
pub(super) fn past_blanks(line: &[u8], mut at: usize) -> usize {
    while line.get(at).is_some_and(|&byte| is_blank(byte)) {
        at += 1;
    }
    at
}

/// Reads digits onto `mantissa`, and says where they end. Too many of them leave nonsense.
#[inline]
fn digits(line: &[u8], mut at: usize, mantissa: &mut u64) -> usize {
    while let Some(&byte) = line.get(at) {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        *mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        at += 1;
    }
    at
}

/// Reads a number without blanks inside and of a usual length. Nothing when [`whole`] must look at it.
#[inline]
pub(super) fn plain(line: &[u8], start: usize) -> Option<Plain> {
    let first = *line.get(start)?;
    let negative = first == b'-';
    let from = start + usize::from(negative || first == b'+');
    let mut mantissa = 0;
    let mut to = digits(line, from, &mut mantissa);
    let mut count = to - from;
    let mut decimals = 0;
    let point = line.get(to) == Some(&b'.');
    if point {
        let tail = to + 1;
        to = digits(line, tail, &mut mantissa);
        decimals = to - tail;
        count += decimals;
    }
    if count == 0 || count > MOST_DIGITS || mantissa > EXACT {
        return None;
    }
    let next = past_blanks(line, to);
    match line.get(next) {
        Some(b'+'..=b'9') => return None,
        Some(&byte) if is_letter_o(byte) && next == to => return None,
        _ => {}
    }
    let size = mantissa as i64 as f64 / TENS.get(decimals)?;
    // 0 - 0 is 0, while the negative of 0 would be -0.
    let value = if negative { 0.0 - size } else { size };
    Some(Plain { value, point, to, next })
}

/// What has been read of a number.
#[derive(Debug, Default)]
struct Digits {
    mantissa: u64,
    /// Digits from the first that is not 0 on.
    significant: usize,
    count: usize,
    decimals: usize,
    negative: bool,
    point: bool,
    broken: bool,
}

impl Digits {
    fn digit(&mut self, digit: u8) {
        self.count += 1;
        self.decimals += usize::from(self.point);
        self.significant += usize::from(self.significant > 0 || digit != 0);
        if self.significant <= MOST_DIGITS {
            self.mantissa = self.mantissa * 10 + u64::from(digit);
        }
    }

    fn dot(&mut self) {
        self.broken |= self.point;
        self.point = true;
    }

    /// Their value; `text` is what they were read from.
    fn value(&self, text: &[u8]) -> Option<f64> {
        let exact = self.significant <= MOST_DIGITS && self.mantissa <= EXACT;
        let size = match TENS.get(self.decimals) {
            _ if self.broken || self.count == 0 => return None,
            Some(ten) if exact => self.mantissa as f64 / ten,
            _ => long(text)?,
        };
        Some(if self.negative { 0.0 - size } else { size })
    }
}

/// The size of a number of many digits.
fn long(text: &[u8]) -> Option<f64> {
    let is_kept = |byte: &&u8| byte.is_ascii_digit() || **byte == b'.';
    let plain: String = text.iter().filter(is_kept).map(|&byte| char::from(byte)).collect();
    plain.parse().ok().filter(|size: &f64| size.is_finite())
}

/// Reads the signs, digits and points from `start` on as one number, over blanks, as far as they go.
///
/// A letter O that hugs what is before it counts as a mistaken 0. With `program_may_follow`, one that stands behind
/// digits and before a digit is the letter of a program's number instead, and ends the number.
pub(super) fn whole(line: &[u8], start: usize, program_may_follow: bool) -> Number {
    let (mut at, mut to) = (start, start);
    let mut read = Digits::default();
    let (mut signed, mut letter_o) = (false, false);
    while let Some(&byte) = line.get(at) {
        match byte {
            byte if is_blank(byte) => {
                at += 1;
                continue;
            }
            b'0'..=b'9' => read.digit(byte - b'0'),
            b'.' => read.dot(),
            b'+' | b'-' => {
                read.broken |= signed || read.point || read.count > 0;
                signed = true;
                read.negative = byte == b'-';
            }
            byte if is_letter_o(byte) && at == to => {
                let before_digit = line.get(past_blanks(line, at + 1)).is_some_and(u8::is_ascii_digit);
                if program_may_follow && read.count > 0 && before_digit {
                    break;
                }
                letter_o = true;
            }
            _ => break,
        }
        at += 1;
        to = at;
    }
    let value = if letter_o { None } else { read.value(line.get(start..to).unwrap_or_default()) };
    Number { value, point: read.point, letter_o, to, next: at }
}

/// Reads a number of an expression: one sign, then digits and a point; a later sign is an operator.
pub(super) fn operand(line: &[u8], start: usize) -> Number {
    let (mut at, mut to) = (start, start);
    let mut read = Digits::default();
    while let Some(&byte) = line.get(at) {
        match byte {
            byte if is_blank(byte) => {
                at += 1;
                continue;
            }
            b'0'..=b'9' => read.digit(byte - b'0'),
            b'.' => read.dot(),
            b'+' | b'-' if at == start => read.negative = byte == b'-',
            _ => break,
        }
        at += 1;
        to = at;
    }
    let value = read.value(line.get(start..to).unwrap_or_default());
    Number { value, point: read.point, letter_o: false, to, next: at }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quick_way_reads_what_the_standard_library_reads() {
        let same = |text: &str| {
            let quick = plain(text.as_bytes(), 0).map(|number| number.value);
            let slow = whole(text.as_bytes(), 0, false).value;
            assert_eq!((quick, slow), (text.parse().ok(), text.parse().ok()), "{text}");
        };
        for n in (0..2_000_000_u32).step_by(37) {
            same(&format!("{}.{:05}", n / 100_000, n % 100_000));
            same(&format!("-{}.{:04}", n / 10_000, n % 10_000));
        }
        for text in ["9007199254740992", "900719925474.0991", "0.00000000000000001", ".5", "5.", "+7"] {
            same(text);
        }
    }

    #[test]
    fn many_digits_are_read_the_long_way() {
        for text in [
            "9007199254740993",
            "0.1234567890123456789",
            "123456789012345678901234567890",
            "0000000000000000000000.125",
            "0.00000000000000000000000001",
        ] {
            assert!(plain(text.as_bytes(), 0).is_none(), "{text}");
            assert_eq!(whole(text.as_bytes(), 0, false).value, text.parse().ok(), "{text}");
            assert_eq!(operand(text.as_bytes(), 0).value, text.parse().ok(), "{text}");
        }
        assert_eq!(whole("9".repeat(400).as_bytes(), 0, false).value, None);
    }

    #[test]
    fn no_way_reads_a_negative_zero() {
        for text in [&b"-0"[..], b"-0.", b"-.000"] {
            assert_eq!(plain(text, 0).map(|number| number.value.is_sign_positive()), Some(true));
            assert_eq!(whole(text, 0, false).value.map(f64::is_sign_positive), Some(true));
            assert_eq!(operand(text, 0).value.map(f64::is_sign_positive), Some(true));
        }
    }

    #[test]
    fn an_operand_ends_before_a_second_sign() {
        let number = operand(b"- 1 . 5 -3", 0);
        assert_eq!((number.value, number.to, number.next), (Some(-1.5), 7, 8));
        assert_eq!(operand(b"--3", 0).value, None);
    }
}
