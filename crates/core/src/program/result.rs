//! What reading a program gives.

use super::motion::Motion;
use crate::finding::Finding;

/// A program as a control would run it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Program {
    /// Number of its O word.
    pub number: Option<u32>,
    /// Lines of the text, run or not.
    pub lines: usize,
    /// What the tool does, in program coordinates, from (0, 0, 0).
    pub motions: Vec<Motion>,
    /// Where the tool stands still for a time that the program gives, in order.
    pub dwells: Vec<Dwell>,
    /// What could not be followed or does not fit, with line and column.
    pub findings: Vec<Finding>,
    /// Some of the text could not be followed, so the motions prove nothing from there on.
    pub unproven: bool,
    /// Each tool that comes into the spindle, in order.
    pub tools: Vec<ToolCall>,
    /// Whether M6 brings them there. Where it never comes, T alone is taken to.
    pub changes_tools: bool,
    /// What it relies on without saying it.
    pub start: StartState,
    /// Machine coordinates of the origin of its motions, by the axis, as far as the control's tables and the program
    /// give them; for Z those of the spindle's nose when a tool length is in force.
    pub origin: [Option<f64>; 3],
    /// The work offset that its motions are given in: 0 for G54 to 8 for G59.3, then those of G54.1 from P1.
    pub system: u16,
    /// How it ends.
    pub ending: Ending,
    /// Line of the M7 or M8 that was never turned off again, when the text ends without M2 or M30 (which do).
    pub coolant_left_on: Option<u32>,
    /// What it asks for that its motions do not show (zeros, offsets, coolant, stops), in order, each with its line.
    pub besides: Vec<(u32, String)>,
    /// The first line that begins with `/`, run or left out.
    pub deletable: Option<u32>,
    /// Numbers of the programs it calls that were not to be found, without repeats.
    pub missing: Vec<u32>,
}

/// A tool comes into the spindle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ToolCall {
    /// Its number; 0 for none.
    pub number: u32,
    /// Line of the program, from 1.
    pub line: u32,
    /// Index of the motion that follows; the number of motions when none does.
    pub before: usize,
}

/// The tool stands still for a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dwell {
    /// Index of the motion that follows it; the number of motions when none does.
    pub before: usize,
    /// How long, in seconds.
    pub seconds: f64,
    /// Line of the program, from 1.
    pub line: u32,
}

/// For each thing that stays in force: the first line whose result depends on it although the program has not said it
/// yet. `None` when the program says it first, or never depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct StartState {
    /// G20 or G21: lengths or feeds before either.
    pub units: Option<u32>,
    /// G17, G18 or G19: an arc, a cycle or a compensated move before any.
    pub plane: Option<u32>,
    /// G90 or G91: axis words before either.
    pub distance: Option<u32>,
    /// G54 to G59.3 (or G92): motion before any.
    pub system: Option<u32>,
    /// G93, G94 or G95: a feed motion before any.
    pub feed_mode: Option<u32>,
    /// G98 or G99: a cycle before either.
    pub retract: Option<u32>,
}

/// What ended a program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum End {
    /// The text ran out.
    #[default]
    Text,
    /// M2 or M30.
    Word,
    /// The second `%`.
    Mark,
    /// M99 in the main program: controls start over.
    Return,
}

/// How a program ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Ending {
    /// What ended it.
    pub end: End,
    /// The line of that, or the last line.
    pub line: u32,
    /// Whether it begins with `%`.
    pub opened_by_mark: bool,
    /// Whether a second `%` stands in the text.
    pub closed_by_mark: bool,
}
