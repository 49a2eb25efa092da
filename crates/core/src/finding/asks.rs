//! What of the job would answer a finding.

use crate::control::{PassedWord, SYSTEMS};

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
}
