//! Speed, feed, chip and power of a cut: plain functions of the shop's formulas, each with its source.
//!
//! Lengths are in the unit given. Surface speed is in feet a minute with inches and in metres a minute with
//! millimetres, removal rate in in³/min or cm³/min, power in hp or kW. Where a formula has no answer for what it is
//! given (a diameter of 0, a cut wider than the cutter) the answer is `None`.

mod engagement;
mod material;
mod power;
mod speed;
mod usual;

pub use engagement::{chip_thinning, engagement_angle, greatest_chip, mean_chip};
pub use material::{Material, material_named, materials};
pub use power::{power, specific_force, unit_power, unit_power_unit};
pub use speed::{chip_load, feed, feed_per_revolution, removal_rate, spindle_speed, surface_speed};
pub use usual::{CutterMaterial, usual_chip_load, usual_surface_speed};

/// The value when it is finite, and 0 or more.
fn sound(value: f64) -> Option<f64> {
    (value.is_finite() && value >= 0.0).then_some(value)
}

/// The quotient when the divisor is above 0.
fn divided(value: f64, by: f64) -> Option<f64> {
    if by > 0.0 { sound(value / by) } else { None }
}
