//! What of the job would answer a finding.

use crate::job::{Control, Job, Machine, PassedWord, SYSTEMS};

/// What a finding asks for: a part of the job that only the shop can know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Asks {
    /// That what was suggested is confirmed.
    Confirm,
    /// The blank.
    Blank,
    /// The outline.
    Outline,
    /// What is under the block.
    Bed,
    /// The limits of light and heavy cuts.
    Contact,
    /// The height at which stock left is measured.
    Gauge,
    /// Flutes and lengths of the tool with this number.
    Tool(u32),
    /// The machine's rapid speed.
    Rapid,
    /// The machine's travel.
    Travel,
    /// Where G28 goes.
    Home,
    /// Where G30 goes.
    SecondHome,
    /// Where a work offset lies; its index in [`SYSTEMS`].
    WorkOffset(usize),
    /// The length in row H of the control's table.
    LengthOffset(u32),
    /// The diameter in row D of the control's table.
    DiameterOffset(u32),
    /// Which words choose inch and millimeter.
    UnitWords,
    /// Whether a semicolon opens a comment.
    SemicolonComments,
    /// Whether lines that begin with a slash are skipped.
    BlockDelete,
    /// How M98 counts.
    Subprograms,
    /// Whether a dwell counts seconds or milliseconds.
    Dwell,
    /// Whether this word leaves the path alone on the shop's control.
    MovesNothing(PassedWord),
}

impl Asks {
    /// The key of the job file that answers it.
    pub fn key(self) -> String {
        match self {
            Self::Confirm => "to_confirm".to_owned(),
            Self::Blank => "blank".to_owned(),
            Self::Outline => "outline".to_owned(),
            Self::Bed => "bed.top".to_owned(),
            Self::Contact => "contact".to_owned(),
            Self::Gauge => "gauge_height".to_owned(),
            Self::Tool(number) => format!("tools.{number}"),
            Self::Rapid => "machine.rapid".to_owned(),
            Self::Travel => "machine.travel".to_owned(),
            Self::Home => "control.home".to_owned(),
            Self::SecondHome => "control.second_home".to_owned(),
            Self::WorkOffset(index) => format!("control.work_offsets.{}", SYSTEMS.get(index).unwrap_or(&"")),
            Self::LengthOffset(row) => format!("control.length_offsets.{row}"),
            Self::DiameterOffset(row) => format!("control.diameter_offsets.{row}"),
            Self::UnitWords => "control.unit_words".to_owned(),
            Self::SemicolonComments => "control.semicolon_comments".to_owned(),
            Self::BlockDelete => "control.block_delete".to_owned(),
            Self::Subprograms => "control.subprograms".to_owned(),
            Self::Dwell => "control.dwell".to_owned(),
            Self::MovesNothing(_) => "control.moves_nothing".to_owned(),
        }
    }

    /// What to ask of a person, as words behind "Say ".
    pub fn words(self) -> String {
        match self {
            Self::Confirm => "what is confirmed".to_owned(),
            Self::Blank => "what the blank is".to_owned(),
            Self::Outline => "where the outline is".to_owned(),
            Self::Bed => "where the bed is".to_owned(),
            Self::Contact => "what a light and a heavy cut are".to_owned(),
            Self::Gauge => "where to measure".to_owned(),
            Self::Tool(number) => format!("how long tool {number} is"),
            Self::Rapid => "how fast a rapid is".to_owned(),
            Self::Travel => "how far the machine goes".to_owned(),
            Self::Home => "where home is (G28)".to_owned(),
            Self::SecondHome => "where the second home is (G30)".to_owned(),
            Self::WorkOffset(index) => {
                format!("where {} lies", SYSTEMS.get(index).copied().unwrap_or("the work offset"))
            }
            Self::LengthOffset(row) => format!("the length in H{row}"),
            Self::DiameterOffset(row) => format!("the diameter in D{row}"),
            Self::UnitWords => "which words choose the unit".to_owned(),
            Self::SemicolonComments => "whether ; opens a comment".to_owned(),
            Self::BlockDelete => "how block delete stands".to_owned(),
            Self::Subprograms => "how M98 counts".to_owned(),
            Self::Dwell => "what a dwell counts".to_owned(),
            Self::MovesNothing(word) => format!("whether {word} moves anything"),
        }
    }

    /// Whether the job answers it by now.
    pub fn is_answered(self, job: &Job) -> bool {
        let nothing = (Control::default(), Machine::default());
        let control = job.control.as_ref().unwrap_or(&nothing.0);
        let machine = job.machine.as_ref().unwrap_or(&nothing.1);
        match self {
            Self::Confirm => job.unconfirmed().next().is_none(),
            Self::Blank => job.blank.is_some(),
            Self::Outline => job.outline.is_some(),
            Self::Bed => job.bed_top.is_some(),
            Self::Contact => job.contact.is_some(),
            Self::Gauge => job.gauge_height.is_some(),
            Self::Tool(number) => job.tool(number).is_some_and(|tool| {
                tool.flute_length.is_some() && tool.stickout.is_some() && tool.holder_diameter.is_some()
            }),
            Self::Rapid => machine.rapid.is_some(),
            Self::Travel => machine.travel.is_some(),
            Self::Home => control.home.is_some(),
            Self::SecondHome => control.second_home.is_some(),
            Self::WorkOffset(index) => control.work_offsets.get(index).is_some_and(Option::is_some),
            Self::LengthOffset(row) => control.length_offsets.iter().any(|(known, _)| *known == row),
            Self::DiameterOffset(row) => control.diameter_offsets.iter().any(|(known, _)| *known == row),
            Self::UnitWords => control.unit_words.is_some(),
            Self::SemicolonComments => control.semicolon_comments.is_some(),
            Self::BlockDelete => control.block_delete.is_some(),
            Self::Subprograms => control.subprograms.is_some(),
            Self::Dwell => control.dwell.is_some(),
            Self::MovesNothing(word) => control.moves_nothing.contains(&word),
        }
    }
}
