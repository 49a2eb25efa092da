//! Least and most of a value along a path.

/// Least and most of a value along a path, with their stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least value.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// Station of the least.
    pub least_at: f64,
    /// Station of the most.
    pub most_at: f64,
}
