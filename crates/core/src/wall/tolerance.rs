//! The tolerances of the wall, by name.

use crate::units::Units;

/// Every tolerance of the wall, in the job's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallTolerances {
    /// How exactly heights at which the face changes its kind are found. Asked for are 0.0005 in; a halving more or
    /// less costs nothing.
    pub height: f64,
    /// The face may step sideways by this much within the land: two passes meant to be flush differ by the rounding
    /// of their programs. A shelf that hangs over or a rounding no deeper than this is none; what tapers out to nothing
    /// is an undercut, however thin it is.
    pub step: f64,
    /// A pass that moves the face sideways by no more than this has not touched it: rounding of the arithmetic.
    pub untouched: f64,
    /// How closely the polygons of a section follow it.
    pub flatness: f64,
    /// How closely a radius that changes along a sloping motion is followed.
    pub follow: f64,
    /// Pieces of metal thinner than this are rounding.
    pub sliver: f64,
    /// How far into the block the wall is looked at.
    pub inward: f64,
    /// Stations at the ends of a span are looked at this far from them.
    pub hair: f64,
    /// Distance between stations before extremes and ends are refined.
    pub spacing: f64,
    /// How exactly the ends of a stretch along the outline are found.
    pub stretch_end: f64,
}

impl WallTolerances {
    /// The tolerances for a unit.
    pub const fn for_units(units: Units) -> Self {
        Self {
            height: units.pick(0.000_001, 0.000_025),
            step: units.pick(0.0005, 0.0125),
            untouched: units.pick(1e-9, 2.5e-8),
            flatness: units.pick(0.0001, 0.0025),
            follow: units.pick(0.000_01, 0.000_25),
            sliver: units.pick(1e-9, 2.5e-8),
            inward: units.pick(2.0, 50.0),
            hair: units.pick(0.000_01, 0.000_25),
            spacing: units.pick(0.02, 0.5),
            stretch_end: units.pick(0.005, 0.125),
        }
    }
}
