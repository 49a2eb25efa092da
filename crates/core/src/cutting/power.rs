//! Power at the cutter.

use super::sound;
use crate::units::Units;

/// Watts in one horsepower of 550 ft lbf/s, by definition of foot, pound and standard gravity.
const WATTS_IN_HP: f64 = 745.699_871_582_270_2;
/// Cubic millimetres in a cubic inch.
const MM3_IN_IN3: f64 = 16_387.064;
const WATTS_IN_KW: f64 = 1000.0;
const MM3_IN_CM3: f64 = 1000.0;
const MM_IN_METRE: f64 = 1000.0;
const SECONDS: f64 = 60.0;

/// Power per removal rate for a specific cutting force in N/mm²: hp for each in³/min, kW for each cm³/min.
///
/// 1 N/mm² is 0.001 W s/mm³, so kW = Q kc / 60000 with Q in cm³/min: Pc = ap ae vf kc / (60e6 eta) with efficiency 1,
/// published in milling tables. In inches the same converted; derived.
pub fn unit_power(units: Units, specific_force: f64) -> Option<f64> {
    // W for each mm³/min.
    let watts = specific_force / MM_IN_METRE / SECONDS;
    sound(match units {
        Units::Inch => watts * MM3_IN_IN3 / WATTS_IN_HP,
        Units::Mm => watts * MM3_IN_CM3 / WATTS_IN_KW,
    })
}

/// The unit of [`unit_power`].
pub const fn unit_power_unit(units: Units) -> &'static str {
    match units {
        Units::Inch => "hp for each in³/min",
        Units::Mm => "kW for each cm³/min",
    }
}

/// The specific cutting force in N/mm² of a material that takes so many hp for each in³/min, or kW for each cm³/min.
///
/// Source: as for [`unit_power`].
pub fn specific_force(units: Units, unit_power: f64) -> Option<f64> {
    sound(unit_power / self::unit_power(units, 1.0)?)
}

/// Power at the cutter, hp or kW, for a removal rate in in³/min or cm³/min and a specific cutting force in N/mm². The
/// motor needs more: divide by the efficiency of the drive (0.8 in a published worked example).
///
/// Source: as for [`unit_power`].
pub fn power(units: Units, removal_rate: f64, specific_force: f64) -> Option<f64> {
    sound(unit_power(units, specific_force)? * removal_rate)
}
