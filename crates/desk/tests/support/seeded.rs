//! Numbers from a seed, and how many of them: runs that can be had again, and at any length.

#![allow(unreachable_pub, reason = "shared by the test files alone")]

/// A sequence of numbers from a seed, so that a run can be had again.
pub struct Seeded(u64);

impl Seeded {
    /// The sequence of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.max(1).wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    /// The next number below `below` (Marsaglia's xorshift, 2003, 64 bits).
    pub fn next(&mut self, below: u64) -> u64 {
        for shift in [13_i32, -7, 17] {
            self.0 ^= if shift > 0 { self.0 << shift } else { self.0 >> -shift };
        }
        self.0 % below
    }
}

/// What the environment says under a name, else what is usual.
pub fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}
