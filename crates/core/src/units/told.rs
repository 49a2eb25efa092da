//! How lengths are told to a person: in the unit of the job, or in the other one at their wish.

use super::Units;

/// The unit that lengths are kept in, and the one that they are told in. What is kept does not change by it, nor what is
/// found: borders and tolerances hang by the unit of the job alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    of: Units,
    shown: Units,
}

/// A billionth of an inch or of a millimeter is far below every tolerance.
const TO_BILLIONTHS: f64 = 1e9;

impl From<Units> for Told {
    fn from(units: Units) -> Self {
        Self { of: units, shown: units }
    }
}

impl Told {
    /// Lengths kept in `of`, told in `shown`.
    pub const fn new(of: Units, shown: Units) -> Self {
        Self { of, shown }
    }

    /// The unit that lengths are kept in.
    pub const fn of(self) -> Units {
        self.of
    }

    /// The unit that they are told in.
    pub const fn shown(self) -> Units {
        self.shown
    }

    /// The factor that turns a length as it is kept into one as it is told.
    pub fn factor(self) -> f64 {
        self.of.to(self.shown)
    }

    /// A length as it is kept, from one as it is told. Its last digits, which come of the conversion alone, are rounded
    /// off: 1.27 mm is .05 in.
    pub fn kept(self, length: f64) -> f64 {
        if self.of == self.shown {
            return length;
        }
        let kept = length / self.factor();
        let round = (kept * TO_BILLIONTHS).round() / TO_BILLIONTHS;
        if round.is_finite() { round } else { kept }
    }

    /// Picks, for a length as it is kept, the value meant for the unit it is told in.
    pub fn pick(self, inch: f64, mm: f64) -> f64 {
        self.shown.pick(inch, mm) / self.factor()
    }

    /// [`Units::fine`] of a length as it is kept.
    pub fn fine(self, length: f64) -> String {
        self.shown.fine(length * self.factor())
    }

    /// [`Units::plain`] of a length as it is kept.
    pub fn plain(self, length: f64) -> String {
        self.shown.plain(length * self.factor())
    }

    /// [`Told::fine`] with the unit behind it.
    pub fn fine_with_unit(self, length: f64) -> String {
        self.shown.fine_with_unit(length * self.factor())
    }

    /// [`Told::plain`] with the unit behind it.
    pub fn plain_with_unit(self, length: f64) -> String {
        self.shown.plain_with_unit(length * self.factor())
    }

    /// The factor that turns a removal rate as it is kept into one as it is told: in³/min, or cm³/min.
    pub fn factor_of_rate(self) -> f64 {
        cubic(self.of) / cubic(self.shown)
    }

    /// The unit of a removal rate.
    pub const fn unit_of_rate(self) -> &'static str {
        match self.shown {
            Units::Inch => "in³/min",
            Units::Mm => "cm³/min",
        }
    }

    /// The factor that turns a power as it is kept into one as it is told: hp, or kW.
    pub fn factor_of_power(self) -> f64 {
        kilowatts(self.of) / kilowatts(self.shown)
    }

    /// The unit of a power.
    pub const fn unit_of_power(self) -> &'static str {
        match self.shown {
            Units::Inch => "hp",
            Units::Mm => "kW",
        }
    }

    /// [`Units::short`] of the unit that is told.
    pub const fn short(self) -> &'static str {
        self.shown.short()
    }

    /// [`Units::plural`] of the unit that is told.
    pub const fn plural(self) -> &'static str {
        self.shown.plural()
    }
}

/// The unit of volume in a removal rate, cubic millimeters.
fn cubic(units: Units) -> f64 {
    units.pick(25.4_f64.powi(3), 1000.0)
}

/// The unit of power, kilowatts: the mechanical horsepower is 550 foot-pounds a second, 0.745700 kW (NIST SP 811,
/// appendix B.8).
fn kilowatts(units: Units) -> f64 {
    units.pick(0.745_699_872, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_told_in_the_unit_asked_for() {
        let told = Told::new(Units::Inch, Units::Mm);
        // 25.4 mm to the inch, by the international definition of 1959.
        assert_eq!((told.fine(0.047), told.plain_with_unit(1.0)), ("1.194".into(), "25.40 mm".into()));
        assert_eq!(Told::new(Units::Mm, Units::Inch).fine_with_unit(12.7), ".5000 in");
        assert_eq!(Told::from(Units::Mm).fine(12.7), Units::Mm.fine(12.7));
    }

    #[test]
    fn rates_and_powers_are_told_in_their_own_units() {
        let told = Told::new(Units::Inch, Units::Mm);
        // 1 in³ is 16.387064 cm³, 1 hp is 745.7 W (NIST SP 811, appendix B.8).
        assert!(
            (told.factor_of_rate() - 16.387_064).abs() < 1e-9
                && (told.factor_of_power() - 0.7457).abs() < 1e-6
        );
        assert_eq!((told.unit_of_rate(), told.unit_of_power()), ("cm³/min", "kW"));
    }

    #[test]
    fn a_length_comes_back_as_it_was() {
        let told = Told::new(Units::Inch, Units::Mm);
        for length in [0.05, 0.062, 1.0 / 8.0, 14.3457, -0.0199, 0.0] {
            assert_eq!(told.kept(length * told.factor()), length);
        }
        assert_eq!((told.kept(1.27), Told::from(Units::Mm).kept(1.0 / 3.0)), (0.05, 1.0 / 3.0));
    }

    #[test]
    fn a_value_meant_for_a_unit_comes_back_as_it_is_kept() {
        let told = Told::new(Units::Mm, Units::Inch);
        assert!((told.pick(0.5, 10.0) - 12.7).abs() < 1e-12);
    }
}
