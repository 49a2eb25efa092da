//! One walk along a line, for whoever wants its parts.

use super::expression::{self, Broken, Unset};
use super::number::{self, Number, is_blank, past_blanks};
use super::text::{self, past_leader};
use super::{Dialect, ExpressionFault, Fault, Parameters, Problem, Setting, Span, Word};
use crate::limits::PROGRAM_LINE;

/// Takes the parts of a line, in their order. What lies between two of them is blank.
pub(super) trait Sink {
    /// The `/` that begins a deletable line.
    fn slash(&mut self, span: Span);
    /// The `%` that begins or ends a program.
    fn mark(&mut self, span: Span);
    /// A word with its number.
    fn word(&mut self, word: Word);
    /// A word with a parameter or an expression.
    fn computed(&mut self, word: Word);
    /// A parameter's new value.
    fn setting(&mut self, setting: Setting);
    /// A parameter read, for a value or in vain, though it was never set.
    fn unset(&mut self, unset: Unset);
    /// A comment, with and without what begins and ends it.
    fn comment(&mut self, whole: Span, inner: Span);
    /// A fault, and what is not read because of it.
    fn problem(&mut self, problem: Problem, over: Span);
}

/// Walks along a line. Without parameters each is taken for 0, and what a value comes to is no fault.
pub(super) fn scan<S: Sink>(line: &[u8], parameters: Option<&Parameters>, dialect: Dialect, sink: &mut S) {
    let mut walk = Walk { line, parameters, dialect, sink, first: 0 };
    if line.len() > PROGRAM_LINE {
        walk.fault(Fault::LongLine, Span::new(PROGRAM_LINE, line.len()), Span::new(0, line.len()));
        return;
    }
    walk.start();
    let mut at = walk.first;
    while let Some(&byte) = line.get(at) {
        at = walk.part(byte, at);
    }
}

struct Walk<'a, S> {
    line: &'a [u8],
    parameters: Option<&'a Parameters>,
    dialect: Dialect,
    sink: &'a mut S,
    /// Where the first part behind the line's own mark begins.
    first: usize,
}

/// Each step takes the part of the line at an offset, and says where the next begins.
impl<S: Sink> Walk<'_, S> {
    fn start(&mut self) {
        let at = past_leader(self.line, 0);
        self.first = at;
        match self.line.get(at) {
            Some(b'/') => {
                let end = self.slash(at);
                self.first = past_leader(self.line, end);
            }
            Some(b'%') => {
                self.sink.mark(Span::new(at, at + 1));
                self.first = self.mark_text(past_leader(self.line, at + 1));
            }
            Some(b'O' | b'o' | b':') => self.first = self.program_number(at),
            _ => {}
        }
    }

    /// The `/`, with the number of the switch that some controls have several of.
    fn slash(&mut self, at: usize) -> usize {
        let numbered = matches!(self.line.get(at + 1), Some(b'1'..=b'9'))
            && !self.line.get(at + 2).is_some_and(|byte| byte.is_ascii_digit() || *byte == b'.');
        let end = at + if numbered { 2 } else { 1 };
        self.sink.slash(Span::new(at, end));
        end
    }

    /// Text behind a `%` that is no words is a name.
    fn mark_text(&mut self, at: usize) -> usize {
        let rest = self.line.get(at..).unwrap_or_default();
        let digits = !rest.is_empty() && rest.trim_ascii_end().iter().all(u8::is_ascii_digit);
        if digits || text::is_name(rest) { self.name(at) } else { at }
    }

    /// `:1234` is the program's number as `O1234` is, and text behind either is its name.
    fn program_number(&mut self, at: usize) -> usize {
        let Some(number) = number::plain(self.line, at + 1).filter(|number| !number.point) else { return at };
        let is_name = text::is_name(self.line.get(number.next..).unwrap_or_default());
        let colon = self.line.get(at) == Some(&b':');
        let digits = self.line.get(past_blanks(self.line, at + 1)).is_some_and(u8::is_ascii_digit);
        if !digits || !(colon || is_name) {
            return at;
        }
        self.put_word(b'O', number.value, false, Span::new(at, number.to));
        if is_name { self.name(number.next) } else { number.next }
    }

    fn name(&mut self, at: usize) -> usize {
        let span = Span::new(at, self.line.len());
        self.sink.comment(span, span);
        span.to
    }

    /// Whether a `/` stands behind nothing but the line's number.
    fn is_behind_number(&self, at: usize) -> bool {
        let before = self.line.get(self.first..at).unwrap_or_default().trim_ascii();
        matches!(before, [b'N' | b'n', digits @ ..] if digits.trim_ascii().iter().all(u8::is_ascii_digit))
    }

    #[inline]
    fn part(&mut self, byte: u8, at: usize) -> usize {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' => self.word(byte, at),
            byte if is_blank(byte) => at + 1,
            b'(' => self.comment(at),
            b'#' => self.setting(at),
            b';' if self.dialect.semicolon_comments => {
                let end = self.line.len();
                self.sink.comment(Span::new(at, end), Span::new(at + 1, end));
                end
            }
            b'0'..=b'9' | b'.' | b'+' | b'-' => {
                let number = number::whole(self.line, at, false);
                self.skip(Fault::NoLetter, at, number.to);
                number.next
            }
            b'/' if self.is_behind_number(at) => self.slash(at),
            byte if text::is_leader(byte) => at + 1,
            0..0x20 | 0x7f.. => self.not_text(at),
            b'[' | b']' | b'=' | b'*' => self.give_up(Fault::Expression(ExpressionFault::Outside), at),
            _ => self.give_up(Fault::Stray, at),
        }
    }

    #[inline]
    fn word(&mut self, byte: u8, at: usize) -> usize {
        let Some(number) = number::plain(self.line, at + 1) else {
            return self.rare_word(at);
        };
        self.put_word(byte, number.value, number.point, Span::new(at, number.to));
        number.next
    }

    #[inline]
    fn put_word(&mut self, byte: u8, value: f64, point: bool, span: Span) {
        self.sink.word(Word { letter: byte.to_ascii_uppercase(), value, point, span });
    }

    /// A word that the quick way could not read.
    #[cold]
    fn rare_word(&mut self, at: usize) -> usize {
        let letter = self.line.get(at).map_or(0, u8::to_ascii_uppercase);
        let number = number::whole(self.line, at + 1, letter == b'N' && at == self.first);
        let empty = number.to == at + 1;
        match number.value {
            Some(value) => self.put_word(letter, value, number.point, Span::new(at, number.to)),
            None if number.letter_o => self.skip(Fault::LetterO, at, number.to),
            None if expression::begins(self.line, number.next) => {
                return if empty { self.computed_word(letter, at) } else { self.half_number(number, at) };
            }
            None if empty => self.skip(Fault::NoNumber, at, at + 1),
            None => self.skip(Fault::Number, at, number.to),
        }
        number.next
    }

    /// A letter at `at` and what begins like a number, with a parameter or an expression right behind.
    fn half_number(&mut self, number: Number, at: usize) -> usize {
        let from = past_blanks(self.line, at + 1);
        if from + 1 == number.to && matches!(self.line.get(from), Some(b'+' | b'-')) {
            let span = Span::new(from, number.to);
            return self.broken(Broken { fault: ExpressionFault::Sign, span }, at);
        }
        self.skip(Fault::Number, at, number.to);
        number.next
    }

    fn computed_word(&mut self, letter: u8, at: usize) -> usize {
        let (result, unset) = expression::value(self.line, at + 1, self.parameters);
        if let Some(unset) = unset {
            self.sink.unset(unset);
        }
        match result {
            Ok(found) => {
                let word = Word { letter, value: found.value, point: true, span: Span::new(at, found.to) };
                self.sink.computed(word);
                found.to
            }
            Err(broken) => self.broken(broken, at),
        }
    }

    fn setting(&mut self, at: usize) -> usize {
        let (result, unset) = expression::setting(self.line, at, self.parameters);
        if let Some(unset) = unset {
            self.sink.unset(unset);
        }
        match result {
            Ok((index, found)) => {
                let setting = Setting { index, value: found.value, span: Span::new(at, found.to) };
                self.sink.setting(setting);
                found.to
            }
            Err(broken) => self.broken(broken, at),
        }
    }

    fn comment(&mut self, at: usize) -> usize {
        let (mut depth, mut nested) = (0_u32, None);
        for (i, byte) in self.line.iter().enumerate().skip(at) {
            match byte {
                b'(' => {
                    depth += 1;
                    if depth == 2 && nested.is_none() {
                        nested = Some(i);
                    }
                }
                b')' if depth == 1 => {
                    self.sink.comment(Span::new(at, i + 1), Span::new(at + 1, i));
                    if let Some(inner) = nested {
                        self.fault(Fault::NestedComment, Span::new(inner, inner + 1), Span::new(i, i));
                    }
                    return i + 1;
                }
                b')' => depth -= 1,
                _ => {}
            }
        }
        self.give_up(Fault::OpenComment, at)
    }

    fn not_text(&mut self, at: usize) -> usize {
        let rest = self.line.get(at..).unwrap_or_default();
        let alike =
            |byte: &&u8| matches!(byte, 0..0x20 | 0x7f..) && !is_blank(**byte) && !text::is_leader(**byte);
        let end = at + rest.iter().take_while(alike).count();
        self.skip(Fault::NotText, at, end);
        end
    }

    fn broken(&mut self, broken: Broken, at: usize) -> usize {
        let end = self.line.len();
        self.fault(Fault::Expression(broken.fault), broken.span, Span::new(at, end));
        end
    }

    fn give_up(&mut self, fault: Fault, at: usize) -> usize {
        let end = self.line.len();
        self.skip(fault, at, end);
        end
    }

    fn skip(&mut self, fault: Fault, from: usize, to: usize) {
        let span = Span::new(from, to);
        self.fault(fault, span, span);
    }

    fn fault(&mut self, fault: Fault, span: Span, over: Span) {
        self.sink.problem(Problem { fault, span }, over);
    }
}
