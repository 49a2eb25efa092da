//! The tolerances of the measures and the checks, by name.

use crate::units::Units;

/// Every tolerance a proof uses, in the job's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerances {
    /// A thinner cut is no contact (0.0001 in, 0.0025 mm).
    pub none_below: f64,
    /// How exactly the ends of a stretch are found; asked for are 0.005 in, 0.12 mm.
    pub stretch_end: f64,
    /// Distance between stations before their ends are refined.
    pub station_spacing: f64,
    /// Leave may differ from the allowance by this much without a finding: a program posted to three decimals of
    /// an inch rounds by half of it.
    pub allowance: f64,
    /// A cut may lie this far inside the outline without a finding, for the same reason.
    pub past_outline: f64,
    /// An undercut may take this much, square to the wall, off the lower end of the land: what a program posted to
    /// three decimals of an inch rounds by.
    pub land: f64,
    /// Zeros may lie this much otherwise than the work offsets have them: touching off is no more exact (common practice, no
    /// source).
    pub touched_off: f64,
    /// A land may come out this much wider than wanted, and a land or an edge rounding uneven by as much, without a finding:
    /// what .0018 in of radius or zero moves the line of a 10 degree cutter by.
    pub land_wide: f64,
    /// A pass that nobody called a pocket must stay this far inside the outline to be taken for one.
    pub well_inside: f64,
    /// A cutter below the lower face may reach this far in under the block without being told: what a program posted to
    /// three decimals of an inch rounds by.
    pub under_block: f64,
    /// A tool that stays less than this off the bed or a clamp is told: what a touch-off may be wrong by (common practice,
    /// no source).
    pub near: f64,
    /// A gauge height that is chosen keeps this far off the levels of passes.
    pub off_level: f64,
    /// Depth may differ from the pass's bottom by this much without a finding.
    pub depth: f64,
    /// Metal must stand this much above a rapid or a plunge to count as touched.
    pub touch: f64,
    /// A stretch shorter than this makes no finding of its own.
    pub stretch_least: f64,
    /// How closely swept areas of varying radius, and arcs out of plan, are followed.
    pub follow: f64,
    /// A chip load below this part of the usual one is told: the teeth rub (common practice, no source).
    pub chip_load_least: f64,
    /// A chip load above this many times the usual one is told (common practice, no source).
    pub chip_load_most: f64,
    /// Metal that is cut loose counts where it is two cells thick for so long: less is a chip.
    pub loose: f64,
    /// Pieces of metal thinner than this are rounding.
    pub sliver: f64,
    /// The block counts as the same without a pass when less than this part of what it takes is left standing.
    pub left_out_volume: f64,
}

impl Tolerances {
    /// Values nearer to each other than this are the same, but for the last digits of the reckoning.
    pub(crate) const fn rounding(&self) -> f64 {
        self.none_below * 1e-5
    }

    /// Cuts that differ by no more are told alike: half of the last digit, and of what programs round to.
    pub(crate) const fn same_cut(&self) -> f64 {
        self.none_below / 2.0
    }

    /// The tolerances for a unit.
    pub const fn for_units(units: Units) -> Self {
        Self {
            none_below: units.pick(0.0001, 0.0025),
            stretch_end: units.pick(0.0002, 0.005),
            station_spacing: units.pick(0.005, 0.125),
            allowance: units.pick(0.001, 0.025),
            past_outline: units.pick(0.001, 0.025),
            land: units.pick(0.0005, 0.0125),
            touched_off: units.pick(0.002, 0.05),
            land_wide: units.pick(0.01, 0.25),
            well_inside: units.pick(0.01, 0.25),
            under_block: units.pick(0.001, 0.025),
            near: units.pick(0.005, 0.125),
            off_level: units.pick(0.005, 0.125),
            depth: units.pick(0.0005, 0.0125),
            touch: units.pick(0.0005, 0.0125),
            stretch_least: units.pick(0.005, 0.125),
            follow: units.pick(0.000_01, 0.000_25),
            chip_load_least: 0.25,
            chip_load_most: 2.0,
            loose: units.pick(0.1, 2.5),
            sliver: units.pick(1e-9, 2.5e-8),
            left_out_volume: 1e-4,
        }
    }
}
