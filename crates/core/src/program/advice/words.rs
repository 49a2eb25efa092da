//! Words of a line of text, for saying where something stands. What a word does is the interpreter's to know.

use std::iter::Peekable;
use std::str::CharIndices;

/// A letter and the number behind it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    /// Upper case.
    pub letter: char,
    /// As written, upper case, without blanks.
    pub text: String,
    /// The number; `None` for an expression or a parameter.
    pub value: Option<f64>,
    /// Column of the letter, from 1, in characters.
    pub column: u32,
}

impl Word {
    /// Whether the number is written without a decimal point.
    pub(super) fn is_plain(&self) -> bool {
        self.value.is_some() && !self.text.contains('.')
    }
}

/// The words of a line, left to right, comments left out.
pub(super) fn of(line: &str) -> impl Iterator<Item = Word> {
    let mut column = 0;
    let mut in_comment = false;
    let mut chars = line.char_indices().peekable();
    std::iter::from_fn(move || {
        while let Some((_, c)) = chars.next() {
            column += 1;
            match c {
                '(' => in_comment = true,
                ')' => in_comment = false,
                c if in_comment || !c.is_ascii_alphabetic() => {}
                c => {
                    let at = column;
                    let number = number(&mut chars, &mut column);
                    let letter = c.to_ascii_uppercase();
                    let value = number.parse().ok();
                    return Some(Word { letter, text: format!("{letter}{number}"), value, column: at });
                }
            }
        }
        None
    })
}

/// The number that comes next, without blanks; `column` goes along.
fn number(chars: &mut Peekable<CharIndices<'_>>, column: &mut u32) -> String {
    let mut number = String::new();
    let belongs = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | ' ');
    while let Some((_, c)) = chars.next_if(|(_, c)| belongs(*c)) {
        *column += 1;
        if c != ' ' {
            number.push(c);
        }
    }
    number
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(line: &str) -> Vec<(String, u32, Option<f64>)> {
        of(line).map(|word| (word.text, word.column, word.value)).collect()
    }

    #[test]
    fn words_have_columns_and_numbers() {
        let want = [("N10", 1, 10.0), ("X-.5", 5, -0.5), ("Y+12", 11, 12.0), ("R3.", 19, 3.0)];
        let want: Vec<_> = want.map(|(text, at, value)| (text.to_owned(), at, Some(value))).into();
        assert_eq!(shown("N10 x-. 5 Y + 1 2 R3."), want);
    }

    #[test]
    fn comments_are_no_words_and_parameters_have_no_number() {
        assert_eq!(shown("(X1) Y#3"), [("Y".to_owned(), 6, None)]);
        assert_eq!(shown("(\u{f6} X1)Z2"), [("Z2".to_owned(), 7, Some(2.0))]);
        assert!(shown("").is_empty() && shown("%").is_empty());
    }

    #[test]
    fn a_plain_number_has_no_point() {
        let plain: Vec<bool> = of("X1 Y1. Z.1 F#1").map(|word| word.is_plain()).collect();
        assert_eq!(plain, [true, false, false, false]);
    }
}
