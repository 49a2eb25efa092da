//! How a program is to be understood where its text leaves it open.

use std::sync::Arc;

use crate::control::{
    ArcCenters, CallCount, Control, DwellUnit, HomeAxes, Offset, PassedWord, PlainNumbers, SYSTEMS,
    ToolChange, UnitWords,
};
use crate::program::words::Dialect;
use crate::units::Units;

/// How far above the last bottom a pecking cycle feeds again, unless the job says so: the .010 in of the published
/// control (NISTIR 6556, 3.5.16.4).
const PECK_CLEARANCE_INCH: f64 = 0.010;

/// A program that another may call with M98.
#[derive(Debug, Clone, PartialEq)]
pub struct Subprogram {
    /// Its number.
    pub number: u32,
    /// The file it comes from, as messages name it.
    pub file: String,
    /// The text of the file.
    pub text: Arc<[u8]>,
}

/// How a program is to be understood where its text leaves it open. Lengths in `units`.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Unit of the result, and the unit in force until the program chooses one.
    pub units: Units,
    /// What `X1` means. Holds for X, Y, Z, I, J, K, Q and R; F is always in units a minute.
    pub plain_numbers: PlainNumbers,
    /// What I, J and K are measured from.
    pub arc_centers: ArcCenters,
    /// By how much the radii at the two ends of an arc may differ, in `units`. `None` for what the published
    /// standard control allows: 0.0002 in while G20 is in force, 0.002 mm while G21 is.
    pub arc_tolerance: Option<f64>,
    /// Whether lines that begin with `/` are skipped, as with the control's block delete switch on. Off by default:
    /// the lines are run.
    pub block_delete: bool,
    /// Whether `;` opens a comment, as it does unless the job says otherwise.
    pub semicolon_comments: bool,
    /// The words for inch and millimetre; without it G20 and G21, and G70 and G71 where they cannot be anything else.
    pub unit_words: Option<UnitWords>,
    /// What changes the tool.
    pub tool_change: ToolChange,
    /// How M98 counts; `None` when M98 is not followed.
    pub subprograms: Option<CallCount>,
    /// Programs beside this one that it may call; those in its own text need not be here.
    pub beside: Vec<Subprogram>,
    /// Machine coordinates of the origins of G54 to G59.3.
    pub work_offsets: [Option<[f64; 3]>; SYSTEMS.len()],
    /// The same of G54.1, by its P number.
    pub more_work_offsets: Vec<(u16, [f64; 3])>,
    /// The unit that a dwell without a decimal point is counted in, when the job gives it.
    pub dwell: Option<DwellUnit>,
    /// Words that move nothing on the job's control.
    pub moves_nothing: Vec<PassedWord>,
    /// Machine coordinates that G28 and G30 go to.
    pub homes: [Option<[f64; 3]>; 2],
    /// The axes that they send there; without it those named on the line, and all of them by the strict reading.
    pub home_axes: Option<HomeAxes>,
    /// Tool lengths by H number.
    pub length_offsets: Vec<Offset>,
    /// Cutter diameters by D number.
    pub diameter_offsets: Vec<Offset>,
    /// How far above the last bottom a pecking cycle feeds again.
    pub peck_clearance: f64,
    /// Whether the published rules alone hold, where common practice is laxer.
    pub strict: bool,
    /// The tool that runs the program, by its number in the job.
    pub tool: Option<u32>,
}

impl Settings {
    /// What the published standard control does, with nothing known of its offsets.
    pub fn new(units: Units) -> Self {
        Self::for_job(units, None)
    }

    /// The same, with what a job says about its control.
    pub fn for_job(units: Units, control: Option<&Control>) -> Self {
        let nothing = Control::default();
        let control = control.unwrap_or(&nothing);
        Self {
            units,
            plain_numbers: control.plain_numbers.unwrap_or_default(),
            arc_centers: control.arc_centers.unwrap_or_default(),
            arc_tolerance: control.arc_tolerance,
            block_delete: control.block_delete.unwrap_or_default(),
            semicolon_comments: control.takes_semicolons(),
            unit_words: control.unit_words,
            tool_change: control.tool_change.unwrap_or_default(),
            subprograms: control.subprograms,
            beside: Vec::new(),
            work_offsets: control.work_offsets,
            more_work_offsets: control.more_work_offsets.clone(),
            dwell: control.dwell,
            moves_nothing: control.moves_nothing.clone(),
            homes: [control.home, control.second_home],
            home_axes: control.home_axes,
            length_offsets: control.length_offsets.clone(),
            diameter_offsets: control.diameter_offsets.clone(),
            peck_clearance: control.peck_clearance.unwrap_or(PECK_CLEARANCE_INCH * Units::Inch.to(units)),
            strict: control.strict.unwrap_or_default(),
            tool: None,
        }
    }

    /// The same, for a pass that is run with this tool.
    #[must_use]
    pub fn with_tool(mut self, number: u32) -> Self {
        self.tool = Some(number);
        self
    }

    /// What the words need to know.
    pub const fn dialect(&self) -> Dialect {
        Dialect { semicolon_comments: self.semicolon_comments }
    }
}

/// The row of a table of offsets.
pub(super) fn offset(table: &[Offset], number: u32) -> Option<f64> {
    table.iter().find(|(row, _)| *row == number).map(|(_, length)| *length)
}
