//! Why a file cannot be used, and where.

use std::fmt;

/// A place in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// Line, from 1.
    Line(usize),
    /// Line and column, both from 1.
    Column(usize, usize),
    /// Byte, from 0, in files without lines.
    Byte(usize),
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Column(line, column) => write!(f, "line {line}, column {column}"),
            Self::Byte(byte) => write!(f, "byte {byte}"),
        }
    }
}

/// Why a drawing or a list of points cannot be used: one plain message, with its place where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where.
    pub spot: Option<Spot>,
    /// What the file calls the thing that is wrong, such as `SPLINE` or `path`.
    pub entity: Option<String>,
    /// What is wrong, and what would be usual.
    pub message: String,
}

impl Fault {
    /// A fault of the whole file.
    pub fn whole(message: impl Into<String>) -> Self {
        Self { spot: None, entity: None, message: message.into() }
    }

    /// A fault at a place.
    pub fn at(spot: Spot, message: impl Into<String>) -> Self {
        Self { spot: Some(spot), ..Self::whole(message) }
    }

    /// A fault at the same place with another message.
    #[must_use]
    pub(super) fn because(self, message: &str) -> Self {
        Self { message: message.to_owned(), ..self }
    }

    /// The same fault, said of this entity.
    #[must_use]
    pub fn of(self, entity: &str) -> Self {
        Self { entity: Some(entity.to_owned()), ..self }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(spot) = self.spot {
            write!(f, "{spot}: ")?;
        }
        if let Some(entity) = &self.entity {
            write!(f, "{entity}: ")?;
        }
        f.write_str(&self.message)
    }
}

impl std::error::Error for Fault {}
