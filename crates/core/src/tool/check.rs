//! Which dimensions make no cutter, and why.

use super::Form;
use super::profile::cone_spread;
use crate::units::digits;

/// The key at fault and the reason, in plain words.
type Refusal = (&'static str, String);

impl Form {
    /// Why these dimensions make no cutter; `Ok` when they do.
    ///
    /// # Errors
    /// The key at fault and the reason, in plain words.
    pub fn check(&self) -> Result<(), Refusal> {
        match *self {
            Self::Flat { diameter } | Self::Ball { diameter } => above_zero("diameter", diameter),
            Self::Bull { diameter, corner_radius } => bull(diameter, corner_radius),
            Self::Undercut { diameter, angle, height } => undercut(diameter, angle, height),
            Self::EdgeRound { pilot_diameter, radius, pilot_length } => {
                edge_round(pilot_diameter, radius, pilot_length)
            }
            Self::Chamfer { tip_diameter, angle, height } => {
                not_negative("tip_diameter", tip_diameter)?;
                side_angle(angle)?;
                above_zero("height", height)
            }
            Self::Drill { diameter, point_angle } => drill(diameter, point_angle),
            Self::Silhouette { ref points } => silhouette(points),
        }
    }
}

fn above_zero(key: &'static str, value: f64) -> Result<(), Refusal> {
    if value > 0.0 && value.is_finite() {
        Ok(())
    } else {
        Err((key, format!("must be above 0, not {}", digits(value))))
    }
}

fn not_negative(key: &'static str, value: f64) -> Result<(), Refusal> {
    if value >= 0.0 && value.is_finite() {
        Ok(())
    } else {
        Err((key, format!("must not be below 0, not {}", digits(value))))
    }
}

fn side_angle(value: f64) -> Result<(), Refusal> {
    if value > 0.0 && value < 90.0 {
        Ok(())
    } else {
        Err(("angle", format!("must lie between 0 and 90 degrees from vertical, not {}", digits(value))))
    }
}

fn bull(diameter: f64, corner_radius: f64) -> Result<(), Refusal> {
    above_zero("diameter", diameter)?;
    above_zero("corner_radius", corner_radius)?;
    let limit = diameter / 2.0;
    if corner_radius > limit {
        let message = format!(
            "{} is more than half the diameter ({}): there is no such cutter",
            digits(corner_radius),
            digits(limit)
        );
        return Err(("corner_radius", message));
    }
    Ok(())
}

fn undercut(diameter: f64, angle: f64, height: f64) -> Result<(), Refusal> {
    above_zero("diameter", diameter)?;
    side_angle(angle)?;
    above_zero("height", height)?;
    if cone_spread(height, angle) >= diameter / 2.0 {
        return Err((
            "height",
            format!(
                "at {} degrees the cone would come to a point before a height of {}",
                digits(angle),
                digits(height)
            ),
        ));
    }
    Ok(())
}

fn edge_round(pilot_diameter: f64, radius: f64, pilot_length: f64) -> Result<(), Refusal> {
    not_negative("pilot_diameter", pilot_diameter)?;
    above_zero("radius", radius)?;
    not_negative("pilot_length", pilot_length)?;
    if pilot_diameter == 0.0 && pilot_length > 0.0 {
        let message = "a pilot without a diameter has no length: leave it out, or give the pilot's diameter";
        return Err(("pilot_length", message.to_owned()));
    }
    Ok(())
}

fn drill(diameter: f64, point_angle: f64) -> Result<(), Refusal> {
    above_zero("diameter", diameter)?;
    if point_angle > 0.0 && point_angle <= 180.0 {
        Ok(())
    } else {
        Err(("point_angle", format!("must lie between 0 and 180 degrees, not {point_angle}")))
    }
}

fn silhouette(points: &[[f64; 2]]) -> Result<(), Refusal> {
    let refused = |message: &str| Err(("points", message.to_owned()));
    let [first, rest @ ..] = points else {
        return refused("needs at least two [radius, height] pairs, from the tip up");
    };
    if rest.is_empty() {
        return refused("needs at least two [radius, height] pairs, from the tip up");
    }
    if points.iter().flatten().any(|value| !value.is_finite()) {
        return refused("every radius and height must be a number");
    }
    if points.iter().any(|point| point[0] < 0.0) {
        return refused("a radius must not be below 0");
    }
    if first[1] != 0.0 {
        return refused("the first point is the tip: its height must be 0");
    }
    if points.windows(2).any(|pair| pair[1][1] < pair[0][1]) {
        return refused("heights must not fall: list the points from the tip up");
    }
    if rest.iter().any(|point| point[0] == 0.0) {
        return refused("only the tip itself may have a radius of 0");
    }
    Ok(())
}
