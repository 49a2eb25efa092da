//! Spindle speed, feed, chip load and removal rate.

use std::f64::consts::PI;

use super::{divided, sound};
use crate::units::Units;

/// How many of the unit a diameter is given in make one of the unit a surface speed is given in: inches in a foot,
/// millimetres in a metre.
const fn in_one(units: Units) -> f64 {
    units.pick(12.0, 1000.0)
}

/// Spindle speed in rev/min for a surface speed in ft/min or m/min: N = 12 V / (pi D), n = 1000 vc / (pi D).
///
/// Source: SME, *Fundamentals of Tool Design* chapter "Speed and feed" (chapters.sme.org/s118/SpeedFeed.html) for
/// inches; published milling tables for millimetres.
pub fn spindle_speed(units: Units, surface_speed: f64, diameter: f64) -> Option<f64> {
    divided(in_one(units) * surface_speed, PI * diameter)
}

/// Surface speed in ft/min or m/min at a spindle speed in rev/min: the same formula turned round.
pub fn surface_speed(units: Units, spindle_speed: f64, diameter: f64) -> Option<f64> {
    sound(PI * diameter * spindle_speed / in_one(units))
}

/// Feed a minute from the chip load: F = f n N. Source: as for [`spindle_speed`].
pub fn feed(chip_load: f64, flutes: u32, spindle_speed: f64) -> Option<f64> {
    sound(chip_load * f64::from(flutes) * spindle_speed)
}

/// Feed in one revolution.
pub fn feed_per_revolution(feed: f64, spindle_speed: f64) -> Option<f64> {
    divided(feed, spindle_speed)
}

/// Chip load, the feed that falls to each tooth: f = F / (n N). Source: as for [`spindle_speed`].
pub fn chip_load(feed: f64, flutes: u32, spindle_speed: f64) -> Option<f64> {
    divided(feed, f64::from(flutes) * spindle_speed)
}

/// Removal rate in in³/min or cm³/min of a cut `width` wide square to the path and `depth` deep along the axis:
/// W t F, and ap ae vf / 1000 in millimetres. Source: as for [`spindle_speed`].
pub fn removal_rate(units: Units, width: f64, depth: f64, feed: f64) -> Option<f64> {
    sound(width * depth * feed / units.pick(1.0, 1000.0))
}
