//! Parameters and expressions (NISTIR 6556 section 3.3): read and computed in one go.

mod arithmetic;
mod cursor;

use super::number;
use super::parameters::{self, Parameters};
use super::{ExpressionFault, Span};
use arithmetic::{Function, Operator, Rank};
use cursor::Cursor;

/// Brackets and parameters within each other beyond this are not read.
const DEEPEST: usize = 32;

/// Longer runs of letters are not taken for a function's name.
const LONGEST_NAME: usize = 8;

/// A fault of an expression and where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Broken {
    pub fault: ExpressionFault,
    pub span: Span,
}

/// A parameter that is read though the program never set it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) struct Unset {
    pub index: u16,
    pub span: Span,
}

/// What a parameter or an expression comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub value: f64,
    /// Behind its last character.
    pub to: usize,
}

/// What was read, and the first parameter that was read for it though it was never set.
pub(super) type Reading<T> = (Result<T, Broken>, Option<Unset>);

/// Whether a parameter, a bracket, or a name with a bracket begins at `at`.
pub(super) fn begins(line: &[u8], at: usize) -> bool {
    let mut cursor = Cursor::new(line, at);
    match cursor.peek() {
        Some(b'#' | b'[') => true,
        // One letter is that of the next word.
        _ => cursor.take_letters(LONGEST_NAME) > 1 && cursor.peek() == Some(b'['),
    }
}

/// Reads the parameter, bracket or function from `at` on. Without parameters each is taken for 0, and only the form
/// can be at fault.
pub(super) fn value(line: &[u8], at: usize, parameters: Option<&Parameters>) -> Reading<Found> {
    let mut reader = Reader::new(line, at, parameters);
    let result = reader.value().map(|value| reader.found(value));
    (result, reader.unset)
}

/// Reads `#3=15` from the `#` on: the parameter, and what it is set to.
pub(super) fn setting(line: &[u8], at: usize, parameters: Option<&Parameters>) -> Reading<(u16, Found)> {
    let mut reader = Reader::new(line, at, parameters);
    let result = reader.setting();
    (result, reader.unset)
}

struct Reader<'a> {
    cursor: Cursor<'a>,
    parameters: Option<&'a Parameters>,
    depth: usize,
    unset: Option<Unset>,
}

impl<'a> Reader<'a> {
    fn new(line: &'a [u8], at: usize, parameters: Option<&'a Parameters>) -> Self {
        Self { cursor: Cursor::new(line, at), parameters, depth: 0, unset: None }
    }

    fn found(&self, value: f64) -> Found {
        Found { value, to: self.cursor.at }
    }

    /// A fault at the next character, or at the end of the line.
    fn here(&mut self, fault: ExpressionFault) -> Broken {
        let width = usize::from(self.cursor.peek().is_some());
        let from = self.cursor.ahead();
        Broken { fault, span: Span::new(from, from + width) }
    }

    /// What came of a computation that is written from `from` to here.
    fn settle(&self, result: Result<f64, ExpressionFault>, from: usize) -> Result<f64, Broken> {
        let checked = result.and_then(|value| {
            // Adding 0 leaves no negative 0.
            if value.is_finite() { Ok(value + 0.0) } else { Err(ExpressionFault::TooLarge) }
        });
        match checked {
            Ok(value) => Ok(value),
            Err(_) if self.parameters.is_none() => Ok(0.0),
            Err(fault) => Err(Broken { fault, span: Span::new(from, self.cursor.at) }),
        }
    }

    fn deeper<T>(&mut self, read: impl FnOnce(&mut Self) -> Result<T, Broken>) -> Result<T, Broken> {
        if self.depth >= DEEPEST {
            return Err(self.here(ExpressionFault::TooDeep));
        }
        self.depth += 1;
        let result = read(self);
        self.depth -= 1;
        result
    }

    fn value(&mut self) -> Result<f64, Broken> {
        match self.cursor.peek() {
            Some(b'[') => self.bracket(),
            Some(b'#') => self.parameter(),
            Some(b'0'..=b'9' | b'.' | b'+' | b'-') => self.number(),
            Some(byte) if byte.is_ascii_alphabetic() => self.call(),
            _ => Err(self.here(ExpressionFault::NoValue)),
        }
    }

    fn setting(&mut self) -> Result<(u16, Found), Broken> {
        let index = self.index()?;
        if !self.cursor.take(b'=') {
            return Err(self.here(ExpressionFault::NoEquals));
        }
        let value = self.assigned()?;
        Ok((index, self.found(value)))
    }

    /// What stands behind `=`: a number goes as far as its signs, digits and points do, as that of a word.
    fn assigned(&mut self) -> Result<f64, Broken> {
        let from = self.cursor.ahead();
        let number = number::whole(self.cursor.line, from, false);
        if number.to <= from || begins(self.cursor.line, number.next) {
            return self.value();
        }
        self.cursor.at = number.to;
        number.value.ok_or(Broken { fault: ExpressionFault::Number, span: Span::new(from, number.to) })
    }

    fn number(&mut self) -> Result<f64, Broken> {
        let from = self.cursor.ahead();
        let number = number::operand(self.cursor.line, from);
        self.cursor.at = number.to;
        let only_sign = number.to == from + 1 && !number.point;
        number.value.ok_or_else(|| {
            let next = self.cursor.peek();
            let signed = next.is_some_and(|byte| matches!(byte, b'#' | b'[') || byte.is_ascii_alphabetic());
            let fault = if only_sign && signed { ExpressionFault::Sign } else { ExpressionFault::Number };
            Broken { fault, span: Span::new(from, number.to) }
        })
    }

    fn bracket(&mut self) -> Result<f64, Broken> {
        self.deeper(|reader| {
            let open = reader.cursor.ahead();
            reader.cursor.at = open + 1;
            let value = reader.operation(Rank::LOWEST)?;
            if reader.cursor.take(b']') {
                return Ok(value);
            }
            Err(match reader.cursor.peek() {
                None => Broken { fault: ExpressionFault::OpenBracket, span: Span::new(open, open + 1) },
                Some(_) => reader.here(ExpressionFault::NoOperator),
            })
        })
    }

    /// Values joined, from left to right, by operators of this rank, and within them by those of higher ones.
    fn operation(&mut self, rank: Rank) -> Result<f64, Broken> {
        let mut left = self.operand(rank)?;
        loop {
            let before = self.cursor.at;
            let from = self.cursor.ahead();
            let Some(operator) = Operator::take(&mut self.cursor).filter(|found| found.rank() == rank) else {
                self.cursor.at = before;
                return Ok(left);
            };
            let right = self.operand(rank)?;
            left = self.settle(operator.of(left, right), from)?;
        }
    }

    fn operand(&mut self, rank: Rank) -> Result<f64, Broken> {
        match rank.higher() {
            Some(higher) => self.operation(higher),
            None => self.value(),
        }
    }

    fn call(&mut self) -> Result<f64, Broken> {
        let from = self.cursor.ahead();
        let Some(function) = Function::take(&mut self.cursor) else {
            let letters = self.cursor.take_letters(LONGEST_NAME);
            let fault = if letters > 1 { ExpressionFault::UnknownFunction } else { ExpressionFault::NoValue };
            return Err(Broken { fault, span: Span::new(from, self.cursor.at) });
        };
        let argument = self.argument(ExpressionFault::NoBracket)?;
        let result = if function == Function::Atan {
            if !self.cursor.take(b'/') {
                return Err(self.here(ExpressionFault::HalfAtan));
            }
            arithmetic::direction(argument, self.argument(ExpressionFault::HalfAtan)?)
        } else {
            function.of(argument)
        };
        self.settle(result, from)
    }

    fn argument(&mut self, missing: ExpressionFault) -> Result<f64, Broken> {
        if self.cursor.peek() == Some(b'[') { self.bracket() } else { Err(self.here(missing)) }
    }

    fn parameter(&mut self) -> Result<f64, Broken> {
        let from = self.cursor.ahead();
        let index = self.index()?;
        let Some(parameters) = self.parameters else { return Ok(0.0) };
        if self.unset.is_none() && !parameters.is_set(index) {
            self.unset = Some(Unset { index, span: Span::new(from, self.cursor.at) });
        }
        let value = parameters.get(index).ok_or(ExpressionFault::Index);
        self.settle(value, from)
    }

    /// `#` and the number of a parameter.
    fn index(&mut self) -> Result<u16, Broken> {
        let from = self.cursor.ahead();
        let number = self.deeper(|reader| {
            reader.cursor.at = from + 1;
            reader.value()
        })?;
        match parameters::index(number) {
            Some(index) => Ok(index),
            // Which parameter it is cannot be told without their values.
            None if self.parameters.is_none() => Ok(0),
            None => Err(Broken { fault: ExpressionFault::Index, span: Span::new(from, self.cursor.at) }),
        }
    }
}
