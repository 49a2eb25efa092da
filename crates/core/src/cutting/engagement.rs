//! How a cutter meets the metal: the arc of contact and the thickness of the chip on it.

use super::sound;

/// Part of the diameter that a cut takes, when it fits the cutter.
fn part(width: f64, diameter: f64) -> Option<f64> {
    let part = width / diameter;
    (diameter > 0.0 && (0.0..=1.0).contains(&part)).then_some(part)
}

/// Angle of engagement in degrees of a cut `width` wide from one side of the cutter: acos(1 - 2 ae / D).
///
/// Source: cos = 1 - 2 t / d, El-Hofy, *Fundamentals of Machining Processes* p. 174 (text garbled); acos(1 - WOC / R),
/// a textbook's eq. 12.9 (fliphtml5.com/osspz/scee, p. 378); published.
pub fn engagement_angle(width: f64, diameter: f64) -> Option<f64> {
    Some((1.0 - 2.0 * part(width, diameter)?).acos().to_degrees())
}

/// Thickness of the chip where it is thickest: f sin(angle of engagement) up to half the diameter, the whole chip
/// load beyond, where the teeth pass straight ahead. 2 f sqrt((ae / D)(1 - ae / D)).
///
/// Source: as for [`engagement_angle`]; published.
pub fn greatest_chip(chip_load: f64, width: f64, diameter: f64) -> Option<f64> {
    let part = part(width, diameter)?;
    let sine = if part >= 0.5 { 1.0 } else { 2.0 * (part * (1.0 - part)).sqrt() };
    sound(chip_load * sine)
}

/// Mean thickness of the chip over the arc of contact: f (2 ae / D) / angle, the exact mean of f sin; derived. The
/// shop's f sqrt(ae / D) is near it for thin cuts only. `None` where nothing is cut.
pub fn mean_chip(chip_load: f64, width: f64, diameter: f64) -> Option<f64> {
    let angle = engagement_angle(width, diameter).filter(|angle| *angle > 0.0)?.to_radians();
    sound(chip_load * 2.0 * part(width, diameter)? / angle)
}

/// By how much the chip load may be raised in a thin cut for its thickest chip to be as in a full one:
/// D / (2 sqrt(ae (D - ae))) up to half the diameter, 1 beyond. `None` where nothing is cut.
///
/// Source: the inverse of [`greatest_chip`]; derived.
pub fn chip_thinning(width: f64, diameter: f64) -> Option<f64> {
    greatest_chip(1.0, width, diameter).filter(|chip| *chip > 0.0).map(|chip| 1.0 / chip)
}
