//! The state of a control that runs a program, from line to line.

use super::compensation::{Compensation, Piece};
use super::cycle::{CycleState, Step};
use super::frame::Frame;
use super::log::Log;
use super::modal::Modal;
use super::settings::Settings;
use super::source::Source;
use crate::geometry::Point3;
use crate::program::motion::{Curve, Kind, Motion};
use crate::program::result::{End, Ending, Program, StartState, ToolCall};
use crate::program::words::Parameters;

/// Most motions of a program, about as much memory as a desk can give it.
pub(super) const MOST_MOTIONS: usize = 8_000_000;

/// Most lines and steps of cycles, motions or not.
const MOST_WORK: u64 = 100_000_000;

/// Most that is kept of what motions do not show.
const MOST_BESIDES: usize = 100_000;

/// How far the program has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stage {
    /// Nothing but blank lines and comments yet.
    Opening,
    Running,
    Ended,
}

/// Which of the things that stay in force the program has said.
#[derive(Debug, Clone, Copy, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each says one thing")]
pub(super) struct Said {
    pub units: bool,
    pub plane: bool,
    pub distance: bool,
    pub system: bool,
    pub feed_mode: bool,
    pub retract: bool,
}

/// Cutter compensation in force, and where the program itself has come to.
#[derive(Debug)]
pub(super) struct Compensated {
    pub state: Compensation,
    pub programmed: Point3,
}

#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each says one thing of the control's state")]
pub(super) struct Reader<'a> {
    pub settings: &'a Settings,
    pub source: Source<'a>,
    pub modal: Modal,
    pub frame: Frame,
    pub parameters: Parameters,
    /// The tool's tip, in the coordinates of the result.
    pub position: Point3,
    pub compensated: Option<Compensated>,
    pub cycle: CycleState,
    /// Filled anew by each cycle.
    pub steps: Vec<Step>,
    /// Which of X, Y and Z the program has stated outright.
    pub stated: [bool; 3],
    /// The program has said by G92 where its zero lies, before moving.
    pub declared: bool,
    pub said: Said,
    pub start: StartState,
    pub stage: Stage,
    /// What ended it, if something has.
    pub ending: Ending,
    pub number: Option<u32>,
    pub out: Program,
    /// T words, and whether M6 ever came.
    pub chosen: Vec<ToolCall>,
    pub changed: bool,
    pub log: Log,
    pub unproven: bool,
    /// Lines run and steps made, to look at the cancel flag by.
    pub work: u64,
    /// Some line with words has been run.
    pub begun: bool,
    /// F was given in the other unit and not again since.
    pub old_feed: bool,
    /// Filled anew by each compensated move.
    pub pieces: Vec<Piece>,
}

impl<'a> Reader<'a> {
    pub(super) fn new(text: &'a [u8], settings: &'a Settings) -> Self {
        Self {
            settings,
            source: Source::new(text, settings),
            modal: Modal::new(settings.units),
            frame: Frame::new(settings),
            parameters: Parameters::default(),
            position: Point3::default(),
            compensated: None,
            cycle: CycleState::default(),
            steps: Vec::new(),
            stated: [false; 3],
            declared: false,
            said: Said::default(),
            start: StartState::default(),
            stage: Stage::Opening,
            ending: Ending::default(),
            number: None,
            out: Program::default(),
            chosen: Vec::new(),
            changed: false,
            log: Log::default(),
            unproven: false,
            work: 0,
            begun: false,
            old_feed: false,
            pieces: Vec::new(),
        }
    }

    /// Whether the program has made as much as is followed.
    pub(super) fn is_full(&self) -> bool {
        self.out.motions.len() + self.out.dwells.len() >= MOST_MOTIONS || self.work > MOST_WORK
    }

    /// Remembers what the program asks for and its motions do not show.
    pub(super) fn note(&mut self, what: impl FnOnce() -> String) {
        if self.out.besides.len() < MOST_BESIDES {
            let line = self.source.line();
            self.out.besides.push((line, what()));
        }
    }

    /// The program, when `lines` is the number of lines of its text.
    pub(super) fn finish(mut self, lines: usize) -> Program {
        if !self.changed {
            // A shop without a tool changer writes T alone.
            self.out.tools = self.chosen;
        }
        if self.ending.end != End::Word {
            self.out.coolant_left_on = self.modal.coolant;
        }
        if self.ending.end == End::Text {
            self.ending.line = u32::try_from(lines).unwrap_or(u32::MAX);
        }
        Program {
            number: self.number,
            lines,
            findings: self.log.finish(),
            unproven: self.unproven,
            start: self.start,
            ending: self.ending,
            ..self.out
        }
    }

    /// The factor from the unit in force to the unit of the result.
    pub(super) fn factor(&self) -> f64 {
        self.modal.units.to(self.settings.units)
    }

    /// Whether the tool has moved, so that its place is no longer the program's to say.
    pub(super) fn moved(&self) -> bool {
        self.declared || !self.out.motions.is_empty()
    }

    /// Adds a motion from where the tool is.
    pub(super) fn push(&mut self, kind: Kind, end: Point3, curve: Curve, feed: f64) {
        self.out.motions.push(Motion {
            start: self.position,
            end,
            curve,
            feed,
            spindle: self.modal.spindle(),
            line: self.source.line(),
            tool: self.modal.tool,
            kind,
            proven: !self.unproven,
            start_known: self.stated == [true; 3],
        });
        self.position = end;
    }
}

/// Remembers that the result depends on something the program has not said yet.
pub(super) fn rely(said: bool, place: &mut Option<u32>, line: u32) {
    if !said && place.is_none() {
        *place = Some(line);
    }
}
