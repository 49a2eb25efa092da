//! A tool in another unit.

use super::{Form, Tool};
use crate::units::Units;

/// A converted length is rounded to this part of a unit, so that half an inch comes out as half an inch.
const GRAINS: f64 = 1e9;

impl Tool {
    /// The same tool with every length turned from one unit into another; angles, flutes, number and name stay.
    #[must_use]
    pub fn converted(&self, from: Units, to: Units) -> Self {
        if from == to {
            return self.clone();
        }
        let by = |length: f64| (length * to.per_inch() / from.per_inch() * GRAINS).round() / GRAINS;
        let length = |length: Option<f64>| length.map(by);
        Self {
            number: self.number,
            name: self.name.clone(),
            form: self.form.converted(by),
            flutes: self.flutes,
            flute_length: length(self.flute_length),
            shank_diameter: length(self.shank_diameter),
            stickout: length(self.stickout),
            holder_diameter: length(self.holder_diameter),
        }
    }
}

impl Form {
    fn converted(&self, by: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::Flat { diameter } => Self::Flat { diameter: by(*diameter) },
            Self::Ball { diameter } => Self::Ball { diameter: by(*diameter) },
            Self::Bull { diameter, corner_radius } => {
                Self::Bull { diameter: by(*diameter), corner_radius: by(*corner_radius) }
            }
            Self::Undercut { diameter, angle, height } => {
                Self::Undercut { diameter: by(*diameter), angle: *angle, height: by(*height) }
            }
            Self::EdgeRound { pilot_diameter, radius, pilot_length } => Self::EdgeRound {
                pilot_diameter: by(*pilot_diameter),
                radius: by(*radius),
                pilot_length: by(*pilot_length),
            },
            Self::Chamfer { tip_diameter, angle, height } => {
                Self::Chamfer { tip_diameter: by(*tip_diameter), angle: *angle, height: by(*height) }
            }
            Self::Drill { diameter, point_angle } => {
                Self::Drill { diameter: by(*diameter), point_angle: *point_angle }
            }
            Self::Silhouette { points } => {
                Self::Silhouette { points: points.iter().map(|[r, z]| [by(*r), by(*z)]).collect() }
            }
        }
    }
}
