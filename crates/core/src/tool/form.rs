//! Cutter forms by their trade's dimensions, and the questions asked of each.
//!
//! Heights run upwards from the tip. A form is turned about the spindle axis, so its [`Profile`] says all.

use super::profile::{Profile, cone_height, cone_spread};
use crate::geometry::pt;

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
        /// Height of the cutting cone. Above it goes on a neck as wide as the cone's upper end.
        height: f64,
    },
    /// A pilot below, then a concave quarter that rounds an edge.
    EdgeRound {
        /// Diameter of the pilot.
        pilot_diameter: f64,
        /// Radius left on the edge.
        radius: f64,
        /// Length of the pilot. The concave quarter begins at this height, as wide as the pilot.
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
        /// `[radius, height]` pairs, the first at height 0, heights not falling. Above the last one the cutter
        /// goes on at its radius.
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

    /// Its sizes by the keys of job files: lengths, and angles in degrees.
    pub fn sizes(&self) -> Vec<(&'static str, f64)> {
        match *self {
            Self::Flat { diameter } | Self::Ball { diameter } => vec![("diameter", diameter)],
            Self::Bull { diameter, corner_radius } => {
                vec![("diameter", diameter), ("corner_radius", corner_radius)]
            }
            Self::Undercut { diameter, angle, height } => {
                vec![("diameter", diameter), ("angle", angle), ("height", height)]
            }
            Self::EdgeRound { pilot_diameter, radius, pilot_length } => {
                vec![("pilot_diameter", pilot_diameter), ("radius", radius), ("pilot_length", pilot_length)]
            }
            Self::Chamfer { tip_diameter, angle, height } => {
                vec![("tip_diameter", tip_diameter), ("angle", angle), ("height", height)]
            }
            Self::Drill { diameter, point_angle } => {
                vec![("diameter", diameter), ("point_angle", point_angle)]
            }
            Self::Silhouette { .. } => Vec::new(),
        }
    }

    /// A short description for a tool without a name.
    pub fn describe(&self) -> String {
        let what = match self {
            Self::Flat { .. } => "flat end mill",
            Self::Ball { .. } => "ball end mill",
            Self::Bull { .. } => "bull-nose end mill",
            Self::Undercut { .. } => "dovetail (undercut) cutter",
            Self::EdgeRound { .. } => "corner-rounding cutter",
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
                tip_diameter / 2.0 + cone_spread(*height, *angle)
            }
            Self::Silhouette { points } => points.iter().map(|p| p[0]).fold(0.0, f64::max),
        }
    }

    /// Whether the form is made to go straight down into metal.
    pub const fn can_plunge(&self) -> bool {
        matches!(self, Self::Drill { .. })
    }

    /// Whether some part of the form is wider than a part above it, so that it leaves metal above a void.
    pub fn is_undercutting(&self) -> bool {
        match self {
            Self::Undercut { .. } => true,
            Self::Silhouette { points } => points.windows(2).any(|pair| pair[1][0] < pair[0][0]),
            _ => false,
        }
    }

    /// Radius of the rounded part of the tip: the whole radius for a ball, 0 for any other end but a bull nose.
    pub fn corner(&self) -> f64 {
        match self {
            Self::Ball { diameter } => diameter / 2.0,
            Self::Bull { corner_radius, .. } => *corner_radius,
            _ => 0.0,
        }
    }

    /// Half of the silhouette, as exact lines and arcs from the tip up. Whoever asks for many radii or heights
    /// keeps it: the questions below work it out each time.
    pub fn profile(&self) -> Profile {
        let half = |diameter: f64| diameter / 2.0;
        match self {
            Self::Flat { diameter } => Profile::from_axis(&[pt(half(*diameter), 0.0)]),
            Self::Ball { diameter } => Profile::nosed(half(*diameter), half(*diameter)),
            Self::Bull { diameter, corner_radius } => Profile::nosed(half(*diameter), *corner_radius),
            Self::Undercut { diameter, angle, height } => {
                let neck = half(*diameter) - cone_spread(*height, *angle);
                Profile::from_axis(&[pt(half(*diameter), 0.0), pt(neck, *height)])
            }
            Self::EdgeRound { pilot_diameter, radius, pilot_length } => Profile::from_axis(&[
                pt(half(*pilot_diameter), 0.0),
                pt(half(*pilot_diameter), *pilot_length),
            ])
            .with_concave_quarter(*radius),
            Self::Chamfer { tip_diameter, height, .. } => {
                Profile::from_axis(&[pt(half(*tip_diameter), 0.0), pt(self.radius(), *height)])
            }
            Self::Drill { diameter, point_angle } => {
                let point = cone_height(half(*diameter), point_angle / 2.0);
                Profile::from_axis(&[pt(half(*diameter), point)])
            }
            Self::Silhouette { points } => {
                let points: Vec<_> = points.iter().map(|[radius, height]| pt(*radius, *height)).collect();
                Profile::from_axis(&points)
            }
        }
    }

    /// The radius at `height` above the tip; `None` below the tip. Where the silhouette steps, the wider side
    /// counts; above the silhouette a form goes on at its upper radius without end.
    pub fn radius_at(&self, height: f64) -> Option<f64> {
        self.profile().radius_at(height)
    }

    /// Height of the lowest point of the form at `radius` from the axis, the underside; `None` outside the
    /// cutter.
    pub fn height_at(&self, radius: f64) -> Option<f64> {
        self.profile().height_at(radius)
    }

    /// Height at which the form that begins at [`Form::height_at`] ends again at this radius, since it is wider
    /// below; `None` where it goes on without end, and outside the cutter.
    pub fn roof_at(&self, radius: f64) -> Option<f64> {
        self.profile().roof_at(radius)
    }
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
