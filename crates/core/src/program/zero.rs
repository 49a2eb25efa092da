//! Where a program's zero lies.

/// Where a program's origin lies in block coordinates, and how it is turned about it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Zero {
    /// Block coordinates of the program's origin.
    pub origin: [f64; 3],
    /// Degrees, counter-clockwise.
    pub turn: f64,
}
