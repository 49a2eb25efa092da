//! What operators and functions come to (NISTIR 6556 section 3.3). Angles are in degrees.

use super::super::ExpressionFault;
use super::cursor::Cursor;

/// How tightly an operator binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rank {
    Sum,
    Product,
    Power,
}

impl Rank {
    pub(super) const LOWEST: Self = Self::Sum;

    pub(super) const fn higher(self) -> Option<Self> {
        match self {
            Self::Sum => Some(Self::Product),
            Self::Product => Some(Self::Power),
            Self::Power => None,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operator {
    Power,
    Times,
    Over,
    Mod,
    Plus,
    Minus,
    Or,
    Xor,
    And,
}

/// The operators as they are written; one that another begins with comes behind it.
const OPERATORS: [(&str, Operator); 9] = [
    ("**", Operator::Power),
    ("*", Operator::Times),
    ("/", Operator::Over),
    ("MOD", Operator::Mod),
    ("+", Operator::Plus),
    ("-", Operator::Minus),
    ("OR", Operator::Or),
    ("XOR", Operator::Xor),
    ("AND", Operator::And),
];

impl Operator {
    /// Takes the operator that comes next, if one does.
    pub(super) fn take(cursor: &mut Cursor<'_>) -> Option<Self> {
        let mut ahead = Cursor::new(cursor.line, cursor.ahead());
        let (_, operator) = OPERATORS.iter().find(|(name, _)| ahead.take_name(name))?;
        cursor.at = ahead.at;
        Some(*operator)
    }

    pub(super) const fn rank(self) -> Rank {
        match self {
            Self::Power => Rank::Power,
            Self::Times | Self::Over | Self::Mod => Rank::Product,
            Self::Plus | Self::Minus | Self::Or | Self::Xor | Self::And => Rank::Sum,
        }
    }

    /// Its result. It may be infinite; it is a number otherwise.
    pub(super) fn of(self, left: f64, right: f64) -> Result<f64, ExpressionFault> {
        Ok(match self {
            Self::Power => return power(left, right),
            Self::Over | Self::Mod if right == 0.0 => return Err(ExpressionFault::DivisionByZero),
            Self::Times => left * right,
            Self::Over => left / right,
            Self::Mod => left.rem_euclid(right),
            Self::Plus => left + right,
            Self::Minus => left - right,
            Self::Or => truth(left != 0.0 || right != 0.0),
            Self::Xor => truth((left != 0.0) != (right != 0.0)),
            Self::And => truth(left != 0.0 && right != 0.0),
        })
    }
}

fn truth(is_true: bool) -> f64 {
    f64::from(u8::from(is_true))
}

fn power(left: f64, right: f64) -> Result<f64, ExpressionFault> {
    match left.powf(right) {
        result if result.is_nan() => Err(ExpressionFault::Power),
        _ if left == 0.0 && right < 0.0 => Err(ExpressionFault::DivisionByZero),
        result => Ok(result),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Function {
    Abs,
    Acos,
    Asin,
    Atan,
    Cos,
    Exp,
    Fix,
    Fup,
    Ln,
    Round,
    Sin,
    Sqrt,
    Tan,
}

const FUNCTIONS: [(&str, Function); 13] = [
    ("ABS", Function::Abs),
    ("ACOS", Function::Acos),
    ("ASIN", Function::Asin),
    ("ATAN", Function::Atan),
    ("COS", Function::Cos),
    ("EXP", Function::Exp),
    ("FIX", Function::Fix),
    ("FUP", Function::Fup),
    ("LN", Function::Ln),
    ("ROUND", Function::Round),
    ("SIN", Function::Sin),
    ("SQRT", Function::Sqrt),
    ("TAN", Function::Tan),
];

impl Function {
    /// Takes the name of a function, if one comes next.
    pub(super) fn take(cursor: &mut Cursor<'_>) -> Option<Self> {
        FUNCTIONS.iter().find(|(name, _)| cursor.take_name(name)).map(|&(_, function)| function)
    }

    /// Its result. It may be infinite; it is a number otherwise. `ATAN` by itself is that of a slope.
    pub(super) fn of(self, x: f64) -> Result<f64, ExpressionFault> {
        let is_sine = (-1.0..=1.0).contains(&x);
        Ok(match self {
            Self::Acos | Self::Asin if !is_sine => return Err(ExpressionFault::NotASine),
            Self::Ln if x <= 0.0 => return Err(ExpressionFault::Logarithm),
            Self::Sqrt if x < 0.0 => return Err(ExpressionFault::Root),
            Self::Tan if x.rem_euclid(180.0) == 90.0 => return Err(ExpressionFault::RightAngle),
            Self::Abs => x.abs(),
            Self::Acos => x.acos().to_degrees(),
            Self::Asin => x.asin().to_degrees(),
            Self::Atan => x.atan().to_degrees(),
            Self::Cos => cosine(x),
            Self::Exp => x.exp(),
            Self::Fix => x.floor(),
            Self::Fup => x.ceil(),
            Self::Ln => x.ln(),
            Self::Round => x.round(),
            Self::Sin => sine(x),
            Self::Sqrt => x.sqrt(),
            Self::Tan if x.rem_euclid(180.0) == 0.0 => 0.0,
            Self::Tan => x.to_radians().tan(),
        })
    }
}

// Whole quarters of a turn are exact: a circle's full number of radians is not, and would leave a trace of 1e-16 where
// a program counts on 0.

fn sine(degrees: f64) -> f64 {
    match degrees.rem_euclid(360.0) {
        0.0 | 180.0 => 0.0,
        90.0 => 1.0,
        270.0 => -1.0,
        _ => degrees.to_radians().sin(),
    }
}

fn cosine(degrees: f64) -> f64 {
    match degrees.rem_euclid(360.0) {
        0.0 => 1.0,
        90.0 | 270.0 => 0.0,
        180.0 => -1.0,
        _ => degrees.to_radians().cos(),
    }
}

/// The angle, from -180 to 180, in which the point (x, y) lies: `ATAN[y]/[x]`.
pub(super) fn direction(y: f64, x: f64) -> Result<f64, ExpressionFault> {
    if y == 0.0 && x == 0.0 { Err(ExpressionFault::NoDirection) } else { Ok(y.atan2(x).to_degrees()) }
}
