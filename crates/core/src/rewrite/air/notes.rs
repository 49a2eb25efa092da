//! What is said beside an air pass.

use super::proof::Heights;
use super::{Plan, ROUNDING};
use crate::units::Units;

impl Plan<'_> {
    /// What must be kept in mind when it is run.
    pub(super) fn cautions(&self, number: Option<u32>) -> Vec<String> {
        let mut cautions = Vec::new();
        if self.scanned.starts_open {
            cautions.push(format!(
                "It moves in X and Y before it has come to a stated Z: at the start the tool must already stand above Z {}.",
                self.settings.units.fine_with_unit(self.target())
            ));
        }
        cautions.push("Spindle and coolant run as in the program. Keep a hand on feed hold.".to_owned());
        let own = number.map_or(String::new(), |number| {
            format!(" The control may already hold a program O{number}: check before you send this one.")
        });
        cautions.push(format!("Delete it from the control and load the real program before cutting.{own}"));
        cautions
    }

    /// What else is worth knowing of it.
    pub(super) fn notes(&self, number: Option<u32>, heights: &Heights) -> Vec<String> {
        let (lowest, highest) = (heights.lowest, heights.highest);
        let mut notes = Vec::new();
        let fine = |length| self.settings.units.fine_with_unit(length);
        notes.extend(self.options.number_note(self.origin.number.as_ref().map(|(_, n)| *n), number));
        notes.extend(self.clamp_note());
        if let Some(travel) = self.options.travel_z
            && highest - lowest > travel + ROUNDING
        {
            notes.push(format!(
                "It goes over {} in Z, and the machine's travel is {}. Lift it less, or shorten its retracts.",
                fine(highest - lowest),
                fine(travel)
            ));
        }
        let copies: Vec<String> = self.copies.iter().map(|(own, new)| format!("O{own} as O{new}")).collect();
        if !copies.is_empty() {
            notes.push(format!(
                "It holds lifted copies of the programs it calls: {}. Delete them from the control as well.",
                copies.join(", ")
            ));
        }
        if let Some(line) = self.scanned.by_way {
            notes.push(format!(
                "On line {line} the way home goes by a stated Z, which was lifted with the rest. Other ways home are as in \
                 the program."
            ));
        }
        if let Some(line) = self.scanned.writes_offsets {
            notes.push(format!("It writes offsets into the control on line {line}, as the program does."));
        }
        if let Some(line) = self.before.start.units {
            notes.push(format!(
                "It does not say G20 or G21 before line {line}; {} were taken.",
                if self.settings.units == Units::Inch { "inches" } else { "millimeters" }
            ));
        }
        if let Some(line) = self.before.start.distance {
            notes.push(format!("It does not say G90 or G91 before line {line}; G90 was taken."));
        }
        if let Some(line) = self.scanned.left_alone {
            notes.push(format!(
                "What stands after its end, from line {line} on, is not run and was left as it is."
            ));
        }
        notes
    }

    /// What was made of clamps.
    fn clamp_note(&self) -> Option<String> {
        if self.options.standing.is_empty() {
            return Some(
                "Clamps were not considered: only the height given as top counts. Give the job to have them considered."
                    .to_owned(),
            );
        }
        if self.options.standing.iter().all(|standing| standing.areas.is_empty()) {
            return Some("The job states no clamp areas: clamps were not considered.".to_owned());
        }
        let far = &self.over.out_of_reach;
        (!far.is_empty())
            .then(|| format!("Out of the tool's reach on this path, and not counted: {}.", far.join(", ")))
    }
}
