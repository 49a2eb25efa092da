//! The height at which stock left is measured.

use serde::Serialize;

use crate::units::Told;

/// Where a gauge height comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum GaugeFrom {
    /// The job gives it.
    Given,
    /// The middle of the land that the passes leave; off the levels of passes, as the others.
    Land,
    /// The middle of the straight wall that the finish profile leaves.
    Wall,
    /// The middle of the blank.
    Blank,
}

/// The height at which stock left is measured, and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gauge {
    /// Block coordinates.
    pub z: f64,
    /// Where it comes from.
    pub from: GaugeFrom,
}

impl Gauge {
    /// `measured at Z -.170, on the land`.
    pub fn words(&self, units: impl Into<Told>) -> String {
        let units = units.into();
        let why = match self.from {
            GaugeFrom::Given => "as the job gives it",
            GaugeFrom::Land => "on the land",
            GaugeFrom::Wall => "on the finished wall",
            GaugeFrom::Blank => "near the middle of the blank",
        };
        format!("measured at Z {}, {why}", units.plain(self.z))
    }
}
