//! States of contact by the thickness of cut.

use serde::Serialize;

use crate::job::ContactLimits;
use crate::tolerance::Tolerances;
use crate::wall::Cut;

/// A cutter goes along the outline where it comes within this part of its radius of what it is meant to leave: a lead-in
/// soon is farther off.
pub const FOLLOWS: f64 = 0.1;

/// How a pass meets the metal at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Contact {
    /// Nothing is taken where metal was expected.
    None,
    /// Thinner than the job's lower limit.
    Light,
    /// Within the limits.
    Full,
    /// Thicker than the job's upper limit.
    Heavy,
    /// Nothing is taken, nor was it expected to be: lead-in, lead-out, a way beside the block.
    Approach,
}

impl Contact {
    /// The state of a thickness of cut; `none_below` is the thickness under which nothing is taken.
    pub fn of(cut: f64, limits: Option<&ContactLimits>, none_below: f64) -> Self {
        let light = limits.and_then(|limits| limits.light_below);
        let heavy = limits.and_then(|limits| limits.heavy_above);
        if cut < none_below {
            Self::None
        } else if light.is_some_and(|light| cut < light) {
            Self::Light
        } else if heavy.is_some_and(|heavy| cut > heavy) {
            Self::Heavy
        } else {
            Self::Full
        }
    }

    /// The word for people.
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Light => "light",
            Self::Full => "full",
            Self::Heavy => "heavy",
            Self::Approach => "approach",
        }
    }
}

/// What a pass is meant to do along the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meant {
    /// The leave it is meant to give, when it is held against the outline.
    pub allowance: Option<f64>,
    /// The largest radius of its tool.
    pub radius: f64,
    /// Limits of the thickness of cut.
    pub limits: Option<ContactLimits>,
}

impl Meant {
    /// The state of a pass at a station: without a cut, *none* only where its cutter goes along the outline at its
    /// allowance, or where metal stands that it should have taken; elsewhere it is on its way. `after` is its leave.
    pub(super) fn state(&self, cut: &Cut, after: impl FnOnce() -> f64, tolerances: &Tolerances) -> Contact {
        let state = Contact::of(cut.most, self.limits.as_ref(), tolerances.none_below);
        if state != Contact::None {
            return state;
        }
        let slack = self.allowance.map_or(tolerances.none_below, |_| self.radius * FOLLOWS);
        let goes_by = cut.nearest.is_some_and(|nearest| nearest <= self.allowance.unwrap_or(0.0) + slack);
        let stands = || self.allowance.is_some_and(|allowance| after() > allowance + tolerances.allowance);
        if goes_by || stands() { Contact::None } else { Contact::Approach }
    }
}

/// A stretch of the outline in one state of contact.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stretch {
    /// The state.
    pub state: Contact,
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends.
    pub to: f64,
}
