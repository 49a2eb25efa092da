//! Cutter forms as silhouettes: radius at a height, and height at a radius.
//!
//! Heights run upwards from the tip. A form is turned about the spindle axis, so its silhouette says all.

/// The shape of a cutter, by its trade's usual dimensions.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Square end mill or face mill.
    Flat {
        /// Cutting diameter.
        diameter: f64,
    },
    /// Ball end mill.
    Ball {
        /// Cutting diameter.
        diameter: f64,
    },
    /// Flat end with rounded corners.
    Bull {
        /// Cutting diameter.
        diameter: f64,
        /// Radius of the corner.
        corner_radius: f64,
    },
    /// Wider at its tip.
    Undercut {
        /// Diameter at the tip, where it is widest.
        diameter: f64,
        /// Angle of each side from vertical, degrees.
        angle: f64,
        /// Height of the cutting cone.
        height: f64,
    },
    /// A pilot below, then a concave quarter that rounds an edge.
    EdgeRound {
        /// Diameter of the pilot.
        pilot_diameter: f64,
        /// Radius left on the edge.
        radius: f64,
        /// Length of the pilot.
        pilot_length: f64,
    },
    /// A cone, wider upwards.
    Chamfer {
        /// Diameter of the flat at the tip; 0 for a point.
        tip_diameter: f64,
        /// Angle of each side from vertical, degrees.
        angle: f64,
        /// Height of the cone.
        height: f64,
    },
    /// Twist drill.
    Drill {
        /// Diameter.
        diameter: f64,
        /// Included angle of the point, degrees.
        point_angle: f64,
    },
    /// Anything else, as radius and height from the tip up.
    Silhouette {
        /// `[radius, height]` pairs, heights not falling.
        points: Vec<[f64; 2]>,
    },
}

impl Form {
    /// The name used in job files.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Flat { .. } => "flat",
            Self::Ball { .. } => "ball",
            Self::Bull { .. } => "bull",
            Self::Undercut { .. } => "undercut",
            Self::EdgeRound { .. } => "edge_round",
            Self::Chamfer { .. } => "chamfer",
            Self::Drill { .. } => "drill",
            Self::Silhouette { .. } => "silhouette",
        }
    }

    /// A short description for a tool without a name.
    pub fn describe(&self) -> String {
        let what = match self {
            Self::Flat { .. } => "flat end mill",
            Self::Ball { .. } => "ball end mill",
            Self::Bull { .. } => "bull-nose end mill",
            Self::Undercut { .. } => "undercut cutter",
            Self::EdgeRound { .. } => "edge rounding cutter",
            Self::Chamfer { .. } => "chamfer cutter",
            Self::Drill { .. } => "drill",
            Self::Silhouette { .. } => "cutter",
        };
        format!("{} {what}", self.radius() * 2.0)
    }

    /// Largest cutting radius.
    pub fn radius(&self) -> f64 {
        match self {
            Self::Flat { diameter }
            | Self::Ball { diameter }
            | Self::Bull { diameter, .. }
            | Self::Undercut { diameter, .. }
            | Self::Drill { diameter, .. } => diameter / 2.0,
            Self::EdgeRound { pilot_diameter, radius, .. } => pilot_diameter / 2.0 + radius,
            Self::Chamfer { tip_diameter, angle, height } => {
                tip_diameter / 2.0 + height * angle.to_radians().tan()
            }
            Self::Silhouette { points } => points.iter().map(|p| p[0]).fold(0.0, f64::max),
        }
    }

    /// Whether the removal of metal by this form is followed. A form that is not makes its pass unproven.
    pub const fn is_followed(&self) -> bool {
        matches!(self, Self::Flat { .. } | Self::Ball { .. } | Self::Bull { .. })
    }

    /// Whether the form is made to go straight down into metal.
    pub const fn can_plunge(&self) -> bool {
        matches!(self, Self::Drill { .. })
    }

    /// Radius of the rounded part of the tip: the whole radius for a ball, 0 for a flat end.
    pub fn corner(&self) -> f64 {
        match self {
            Self::Ball { diameter } => diameter / 2.0,
            Self::Bull { corner_radius, .. } => *corner_radius,
            _ => 0.0,
        }
    }

    /// The radius at `height` above the tip; `None` below the tip. Above the rounded part a followed form is a
    /// cylinder without end.
    pub fn radius_at(&self, height: f64) -> Option<f64> {
        if height < 0.0 {
            return None;
        }
        let (radius, corner) = (self.radius(), self.corner());
        let below = corner - height;
        if below <= 0.0 {
            return Some(radius);
        }
        Some(radius - corner + (corner * corner - below * below).max(0.0).sqrt())
    }

    /// Height of the lowest cutting point at `radius` from the axis; `None` outside the cutter.
    ///
    /// Profile of a bull-nose tool: 0 up to R - c, then c - sqrt(c^2 - (r - (R - c))^2); a ball is c = R, a flat
    /// end c = 0.
    pub fn height_at(&self, radius: f64) -> Option<f64> {
        let (outer, corner) = (self.radius(), self.corner());
        if radius > outer {
            return None;
        }
        let beyond = radius - (outer - corner);
        if beyond <= 0.0 {
            return Some(0.0);
        }
        Some(corner - (corner * corner - beyond * beyond).max(0.0).sqrt())
    }

    /// Why these dimensions make no cutter; `Ok` when they do.
    ///
    /// # Errors
    /// The key at fault and the reason, in plain words.
    pub fn check(&self) -> Result<(), (&'static str, String)> {
        let above_zero = |key, value: f64| {
            if value > 0.0 { Ok(()) } else { Err((key, format!("must be above 0, not {value}"))) }
        };
        let not_negative = |key, value: f64| {
            if value >= 0.0 { Ok(()) } else { Err((key, format!("must not be below 0, not {value}"))) }
        };
        let side_angle = |value: f64| {
            if value > 0.0 && value < 90.0 {
                Ok(())
            } else {
                Err(("angle", format!("must lie between 0 and 90 degrees from vertical, not {value}")))
            }
        };
        match *self {
            Self::Flat { diameter } | Self::Ball { diameter } => above_zero("diameter", diameter),
            Self::Bull { diameter, corner_radius } => {
                above_zero("diameter", diameter)?;
                above_zero("corner_radius", corner_radius)?;
                if corner_radius > diameter / 2.0 {
                    let limit = diameter / 2.0;
                    return Err((
                        "corner_radius",
                        format!(
                            "{corner_radius} is more than half the diameter ({limit}): no such cutter can be ground"
                        ),
                    ));
                }
                Ok(())
            }
            Self::Undercut { diameter, angle, height } => {
                above_zero("diameter", diameter)?;
                side_angle(angle)?;
                above_zero("height", height)?;
                if height * angle.to_radians().tan() >= diameter / 2.0 {
                    return Err(("height", "the cone would close before this height".to_owned()));
                }
                Ok(())
            }
            Self::EdgeRound { pilot_diameter, radius, pilot_length } => {
                not_negative("pilot_diameter", pilot_diameter)?;
                above_zero("radius", radius)?;
                not_negative("pilot_length", pilot_length)
            }
            Self::Chamfer { tip_diameter, angle, height } => {
                not_negative("tip_diameter", tip_diameter)?;
                side_angle(angle)?;
                above_zero("height", height)
            }
            Self::Drill { diameter, point_angle } => {
                above_zero("diameter", diameter)?;
                if point_angle > 0.0 && point_angle <= 180.0 {
                    Ok(())
                } else {
                    Err(("point_angle", format!("must lie between 0 and 180 degrees, not {point_angle}")))
                }
            }
            Self::Silhouette { ref points } => check_silhouette(points),
        }
    }
}

fn check_silhouette(points: &[[f64; 2]]) -> Result<(), (&'static str, String)> {
    if points.len() < 2 {
        return Err(("points", "needs at least two [radius, height] pairs, from the tip up".to_owned()));
    }
    if points.iter().any(|p| p[0] < 0.0) {
        return Err(("points", "a radius must not be below 0".to_owned()));
    }
    if points.windows(2).any(|pair| pair[1][1] < pair[0][1]) {
        return Err(("points", "heights must not fall: list the points from the tip up".to_owned()));
    }
    if points.iter().all(|p| p[0] == 0.0) {
        return Err(("points", "the largest radius must be above 0".to_owned()));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// Bull-nose profile, R 0.25, c 0.0625: derived from the closed form z(r) = c - sqrt(c^2 - (r-(R-c))^2).
    #[test]
    fn bull_profile_has_its_handbook_heights() {
        let form = Form::Bull { diameter: 0.5, corner_radius: 0.0625 };
        for (radius, height) in
            [(0.1, 0.0), (0.2, 0.001_263), (0.22, 0.009_115), (0.24, 0.028_588), (0.25, 0.0625)]
        {
            assert_abs_diff_eq!(form.height_at(radius).unwrap_or(f64::NAN), height, epsilon = 1e-6);
        }
        assert_eq!(form.height_at(0.2501), None);
    }

    #[test]
    fn radius_and_height_undo_each_other() {
        for form in [Form::Ball { diameter: 0.5 }, Form::Bull { diameter: 0.5, corner_radius: 0.1 }] {
            for step in 1..20 {
                let height = form.corner() * f64::from(step) / 20.0;
                let radius = form.radius_at(height).unwrap_or(f64::NAN);
                assert_abs_diff_eq!(form.height_at(radius).unwrap_or(f64::NAN), height, epsilon = 1e-12);
            }
            assert_eq!(form.radius_at(-0.001), None);
        }
    }

    #[test]
    fn impossible_cutters_are_refused_with_the_key() {
        let refused = |form: Form| form.check().err().map(|(key, _)| key);
        assert_eq!(refused(Form::Flat { diameter: 0.0 }), Some("diameter"));
        assert_eq!(refused(Form::Ball { diameter: f64::NAN }), Some("diameter"));
        assert_eq!(refused(Form::Bull { diameter: 0.5, corner_radius: 0.251 }), Some("corner_radius"));
        assert_eq!(refused(Form::Bull { diameter: 0.5, corner_radius: 0.25 }), None);
        assert_eq!(refused(Form::Undercut { diameter: 0.5, angle: 10.0, height: 1.5 }), Some("height"));
        assert_eq!(refused(Form::Silhouette { points: vec![[0.1, 0.2], [0.1, 0.1]] }), Some("points"));
    }
}
