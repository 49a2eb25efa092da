//! What the unit tests of several rooms share.

/// Random numbers from a seed, so that a failure comes again.
pub(crate) struct Random(u64);

impl Random {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number from `low` to `high` (the multiplier and increment are those of D. E. Knuth's MMIX, from memory).
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }
}
