//! What can be wrong on a line.

use super::Span;

/// What keeps a stretch of the line from being read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) enum Fault {
    /// A letter whose number is none.
    Number,
    /// A letter without a number.
    NoNumber,
    /// A number without a letter.
    NoLetter,
    /// The letter O where a digit belongs; the word is not read.
    LetterO,
    /// A parameter or an expression; the rest of the line is not read.
    Expression(ExpressionFault),
    /// A character that no word has; the rest of the line is not read.
    Stray,
    /// Bytes that are no characters of a program; the first of the line stand for all.
    NotText,
    /// A comment that does not end on its line.
    OpenComment,
    /// A comment within a comment.
    NestedComment,
    /// More bytes than are read.
    LongLine,
}

/// What keeps a parameter or an expression from having a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) enum ExpressionFault {
    /// A calculation outside of square brackets, or a bracket that belongs to no word.
    Outside,
    /// No value where one belongs.
    NoValue,
    /// Digits, signs and points that make no number.
    Number,
    /// A sign before anything but a number.
    Sign,
    /// No operator where one belongs.
    NoOperator,
    /// A name that is no function's.
    UnknownFunction,
    /// A function without its bracket.
    NoBracket,
    /// `ATAN` without the `/` and the second bracket.
    HalfAtan,
    /// A bracket that is not closed.
    OpenBracket,
    /// More brackets and parameters within each other than are read.
    TooDeep,
    /// A parameter's number that is no whole number, or is out of range.
    Index,
    /// A parameter by itself: the `=` is missing.
    NoEquals,
    /// A division, or `MOD`, by zero.
    DivisionByZero,
    /// The square root of a negative number.
    Root,
    /// An inverse sine or cosine of what is not between -1 and 1.
    NotASine,
    /// The tangent of a right angle.
    RightAngle,
    /// The angle of `ATAN[0]/[0]`.
    NoDirection,
    /// The logarithm of zero or less.
    Logarithm,
    /// A negative number to a power that is not whole.
    Power,
    /// A result that no number holds.
    TooLarge,
}

/// A fault and where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) struct Problem {
    pub fault: Fault,
    pub span: Span,
}
