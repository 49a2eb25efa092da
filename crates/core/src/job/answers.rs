//! Which questions of findings a job answers.

use super::{Job, Machine};
use crate::control::Control;
use crate::finding::Asks;

impl Job {
    /// Whether the job says by now what a finding asks for.
    pub fn answers(&self, asks: Asks) -> bool {
        let nothing = (Control::default(), Machine::default());
        let control = self.control.as_ref().unwrap_or(&nothing.0);
        let machine = self.machine.as_ref().unwrap_or(&nothing.1);
        match asks {
            Asks::Confirm => self.unconfirmed().next().is_none(),
            Asks::Blank => self.blank.is_some(),
            Asks::Outline => self.outline.is_some(),
            Asks::Bed => self.bed_top.is_some(),
            Asks::Contact => self.contact.is_some(),
            Asks::Gauge => self.gauge_height.is_some(),
            Asks::Tool(number) => self.tool(number).is_some_and(|tool| {
                tool.flute_length.is_some() && tool.stickout.is_some() && tool.holder_diameter.is_some()
            }),
            Asks::Rapid => machine.rapid.is_some(),
            Asks::Travel => machine.travel.is_some(),
            Asks::Home => control.home.is_some(),
            Asks::SecondHome => control.second_home.is_some(),
            Asks::WorkOffset(index) => control.work_offsets.get(index).is_some_and(Option::is_some),
            Asks::LengthOffset(row) => control.length_offsets.iter().any(|(known, _)| *known == row),
            Asks::DiameterOffset(row) => control.diameter_offsets.iter().any(|(known, _)| *known == row),
            Asks::UnitWords => control.unit_words.is_some(),
            Asks::SemicolonComments => control.semicolon_comments.is_some(),
            Asks::BlockDelete => control.block_delete.is_some(),
            Asks::Subprograms => control.subprograms.is_some(),
            Asks::Dwell => control.dwell.is_some(),
            Asks::MovesNothing(word) => control.moves_nothing.contains(&word),
        }
    }
}
