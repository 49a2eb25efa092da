//! What a control accepts, and how it understands what a program leaves open. A job states it, reading a program goes by
//! it.

use std::ops::RangeInclusive;

/// The nine coordinate systems by the words that call them (NISTIR 6556, table 4).
pub const SYSTEMS: [&str; 9] = ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"];

/// How program lines end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineEnd {
    /// Carriage return and line feed.
    CrLf,
    /// Line feed.
    Lf,
    /// Carriage return.
    Cr,
}

/// What a number without a decimal point means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PlainNumbers {
    /// `X1` is one inch or one millimetre.
    #[default]
    Units,
    /// `X1` is one least increment: 0.0001 in or 0.001 mm.
    Increments,
}

/// What I, J and K are measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ArcCenters {
    /// From the start of the arc.
    #[default]
    Incremental,
    /// From the program zero.
    Absolute,
}

/// The words that choose inch or millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitWords {
    /// G20 and G21.
    #[default]
    G20G21,
    /// G70 and G71; G20 and G21 are taken as well.
    G70G71,
}

/// The word that changes the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ToolChange {
    /// M6; a T word before it only chooses the tool.
    #[default]
    M6,
    /// The T word itself.
    T,
}

/// Where M98 says how often the called program runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CallCount {
    /// In an L word: `M98 P1002 L3`.
    InL,
    /// In the digits of P above the last four: `M98 P31002`.
    InP,
}

/// The axes that G28 and G30 send home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HomeAxes {
    /// All of them, as published (NISTIR 6556, 3.5.8).
    #[default]
    All,
    /// Those named on the line.
    Named,
}

/// The unit of a dwell that is written without a decimal point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DwellUnit {
    /// As published (NISTIR 6556, 3.5.4).
    Seconds,
    /// A thousandth of it.
    Milliseconds,
}

/// A G or M word that the control's owner knows to leave the path alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PassedWord {
    /// `G` or `M`.
    letter: u8,
    /// Its number in hundredths.
    hundredths: u32,
}

impl PassedWord {
    /// Reads `M8.1` or `M31`; nothing when it is no such word.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let letter = text.bytes().next()?.to_ascii_uppercase();
        let number = text.get(1..)?;
        let plain = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        let number: f64 = number.parse().ok().filter(|_| plain)?;
        Self::of(letter, number)
    }

    /// The word of this letter (upper case) and number; nothing when it is no G or M word.
    pub fn of(letter: u8, number: f64) -> Option<Self> {
        let is_word = matches!(letter, b'G' | b'M') && (0.0..1e6).contains(&number);
        is_word.then(|| Self { letter, hundredths: (number * 100.0).round() as u32 })
    }

    /// Whether it is the word of this letter (upper case) and number.
    pub fn is(self, letter: u8, number: f64) -> bool {
        self.letter == letter && (number * 100.0 - f64::from(self.hundredths)).abs() < 0.01
    }
}

impl std::fmt::Display for PassedWord {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", char::from(self.letter), f64::from(self.hundredths) / 100.0)
    }
}

/// One row of a table of offsets: its number, and its length.
pub type Offset = (u32, f64);

/// What the control accepts and how it reads. Every part may be missing. Lengths in the job's unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Control {
    /// Lowest and highest program number.
    pub program_numbers: Option<RangeInclusive<u32>>,
    /// How lines end.
    pub line_end: Option<LineEnd>,
    /// Longest line in characters.
    pub longest_line: Option<u32>,
    /// Characters it takes besides letters, digits, `+ - .` and the space.
    pub characters: Option<String>,
    /// First sequence number, and the step to the next.
    pub sequence: Option<[u32; 2]>,
    /// Numbers without a decimal point.
    pub plain_numbers: Option<PlainNumbers>,
    /// I, J, K.
    pub arc_centers: Option<ArcCenters>,
    /// By how much the two radii of an arc may differ.
    pub arc_tolerance: Option<f64>,
    /// Whether its block delete switch is on: lines that begin with `/` are skipped.
    pub block_delete: Option<bool>,
    /// Whether `;` opens a comment up to the end of the line.
    pub semicolon_comments: Option<bool>,
    /// The words for inch and millimetre.
    pub unit_words: Option<UnitWords>,
    /// What changes the tool.
    pub tool_change: Option<ToolChange>,
    /// How M98 counts; without it M98 is not followed.
    pub subprograms: Option<CallCount>,
    /// Machine coordinates of the origins of G54 to G59.3.
    pub work_offsets: [Option<[f64; 3]>; 9],
    /// The same of G54.1, by its P number.
    pub more_work_offsets: Vec<(u16, [f64; 3])>,
    /// Machine coordinates that G28 goes to.
    pub home: Option<[f64; 3]>,
    /// Machine coordinates that G30 goes to.
    pub second_home: Option<[f64; 3]>,
    /// The axes that go there.
    pub home_axes: Option<HomeAxes>,
    /// Tool lengths by H number.
    pub length_offsets: Vec<Offset>,
    /// Cutter diameters by D number.
    pub diameter_offsets: Vec<Offset>,
    /// How far above the last bottom a pecking cycle (G73, G83) goes back to feed.
    pub peck_clearance: Option<f64>,
    /// The unit of a dwell without a decimal point.
    pub dwell: Option<DwellUnit>,
    /// Words that move nothing on it.
    pub moves_nothing: Vec<PassedWord>,
    /// Whether the published rules (NISTIR 6556) alone hold, where common practice is laxer.
    pub strict: Option<bool>,
}

impl Control {
    /// Whether it gives the place of any work offset.
    pub fn has_work_offsets(&self) -> bool {
        self.work_offsets.iter().any(Option::is_some) || !self.more_work_offsets.is_empty()
    }

    /// Machine coordinates of the origin of a work offset: 0 for G54 to 8 for G59.3, then those of G54.1 from P1.
    pub fn work_offset(&self, system: u16) -> Option<[f64; 3]> {
        let index = usize::from(system);
        if index < SYSTEMS.len() {
            return self.work_offsets[index];
        }
        let number = system - SYSTEMS.len() as u16 + 1;
        self.more_work_offsets.iter().find(|(more, _)| *more == number).map(|(_, place)| *place)
    }

    /// Whether `;` opens a comment: it does in common practice (no source), by the strict reading only if the job says so.
    pub fn takes_semicolons(&self) -> bool {
        self.semicolon_comments.unwrap_or(self.strict != Some(true))
    }
}
