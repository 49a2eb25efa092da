//! The table of the undercut passes as text for people.

use std::fmt::Write as _;

use super::table::{UndercutRow, UndercutTable};
use crate::geometry::Range;
use crate::units::Units;

/// What an error of touch-off or diameter is told for: a thousandth of an inch, a fortieth of a millimetre.
pub const fn error_of(units: Units) -> f64 {
    units.pick(0.001, 0.025)
}

impl UndercutTable {
    /// The table in words; `names` are the passes' own. Writing into a string cannot fail.
    pub fn text(&self, names: &[&str], units: Units) -> String {
        let mut out = String::new();
        let range = |range: &Range| {
            let (least, most) = (units.fine(range.least), units.fine(range.most));
            if least == most { least } else { format!("{least} to {most}") }
        };
        match (&self.rounding_lower, self.upper) {
            (Some(lower), _) => {
                let _ = writeln!(out, "Edge rounding: starts at Z {} {}", range(lower), units.short());
            }
            (None, Some(top)) => {
                let top = units.fine_with_unit(top);
                let _ = writeln!(out, "No pass rounds the edge: the land is measured from the top, Z {top}");
            }
            (None, None) => {
                let _ = writeln!(out, "No wall is left to measure a land from.");
            }
        }
        let _ = writeln!(out, "Land wanted: {}", units.fine_with_unit(self.land));
        for row in &self.rows {
            let name = names.get(row.pass).copied().unwrap_or_default();
            let _ = writeln!(
                out,
                "\nPass {}: {name}\n  dovetail (undercut) cutter, {} at the tip, {} degrees a side",
                row.pass + 1,
                units.fine_with_unit(row.diameter),
                row.angle
            );
            row.write(&mut out, units);
        }
        out
    }
}

impl UndercutRow {
    fn write(&self, out: &mut String, units: Units) {
        let mut line = |label: &str, value: String| {
            let _ = writeln!(out, "  {label:<44}{value}");
        };
        let range = |range: &Range| {
            let (least, most) = (units.fine(range.least), units.fine_with_unit(range.most));
            if least == units.fine(range.most) { most } else { format!("{least} to {most}") }
        };
        if let Some(tip) = self.tip {
            line("tip at Z", units.fine_with_unit(tip));
        }
        if let Some(own) = &self.line {
            line("top of undercut right after this pass, Z", range(own));
        }
        if let Some(own) = &self.finished_line {
            line("top of this cutter's undercut when done, Z", range(own));
        }
        if let Some(step) = &self.step {
            line("steps in by", range(step));
        }
        match &self.wanted {
            Some(wanted) => {
                line("top of undercut that leaves the land, Z", units.fine_with_unit(wanted.line));
                line("step that leaves it", units.fine_with_unit(wanted.step));
                line("tool diameter to enter when programming", units.fine_with_unit(wanted.stated_diameter));
                if wanted.past_cone {
                    line("", "that is above the cutter's cone: its neck would run into the wall".to_owned());
                }
            }
            None => {
                line(
                    "",
                    "the tip runs no lower than the top of undercut wanted: no step gives it".to_owned(),
                );
            }
        }
        let small = error_of(units);
        let moved = |effect: f64| units.fine_with_unit(effect * small);
        let small = units.fine_with_unit(small);
        line(&format!("{small} of touch-off moves the top by"), moved(self.effect.touch_off));
        line(&format!("{small} of diameter moves it by"), moved(self.effect.diameter));
    }
}
