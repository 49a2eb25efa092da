//! States of contact by the thickness of cut.

use serde::Serialize;

use crate::job::ContactLimits;

/// How a pass meets the metal at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Contact {
    /// Nothing is taken.
    None,
    /// Thinner than the job's lower limit.
    Light,
    /// Within the limits.
    Full,
    /// Thicker than the job's upper limit.
    Heavy,
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
        }
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
