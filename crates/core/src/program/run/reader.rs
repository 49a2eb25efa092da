//! The state of a control that runs a program, from line to line.

use super::compensation::{Compensation, Piece, end_at};
use super::cycle::{CycleState, Step};
use super::frame::Frame;
use super::log::Log;
use super::modal::Modal;
use super::retreat::Blind;
use super::settings::Settings;
use super::source::Source;
use crate::control::ArcCenters;
use crate::finding::Finding;
use crate::geometry::{Point, Point3, pt3};
use crate::limits::MOTIONS;
use crate::program::motion::{Curve, Kind, Known, Motion};
use crate::program::result::{End, Ending, Program, StartState, ToolCall};
use crate::program::words::Parameters;

/// Most lines and steps of cycles, motions or not.
const MOST_WORK: u64 = 100_000_000;

/// Several words of the motion group on one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pile {
    /// G0 and G80.
    Rapid,
    /// Words that move differently.
    Mixed,
}

/// What is told once a program, and has been.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is told for itself")]
pub(super) struct Told {
    /// That the control may round corners.
    pub smoothing: bool,
    /// That the overrides are off.
    pub overrides: bool,
    /// That corners towards the tool are cut by looking ahead.
    pub inside_corner: bool,
    /// That the time of a dwell is not known.
    pub dwell: bool,
    /// Words that the job passes over, each by its letter and the bits of its number.
    pub passed: Vec<(u8, u64)>,
}

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
    /// The last motion along the path that was not upright.
    pub along: Option<usize>,
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
    /// Z was sent to the tool's own home, and has not been stated since: the tool is up, nobody knows how high.
    pub up: bool,
    /// It was at least once, so that heights are left to be settled.
    pub rose: bool,
    /// Axes that were sent to a place of the machine that nobody has given, and have not been stated since.
    pub lost: [bool; 3],
    /// The program has said by G92 where its zero lies, before moving.
    pub declared: bool,
    /// The axes of that.
    pub declared_axes: [bool; 3],
    /// It has moved to a place of its own coordinates, so that where these lie is settled.
    pub placed: bool,
    /// The motion word in force comes from a line that had several.
    pub piled: Option<(u32, Pile)>,
    /// Rapids that came down where X or Y is lost.
    pub blind: Vec<Blind>,
    /// What has been told that is told once a program.
    pub told: Told,
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
    /// The rotation has changed, and X and Y have not both been stated since.
    pub fresh_turn: bool,
    /// A rotary axis was sent elsewhere than to 0.
    pub turned: bool,
    /// What I, J and K are measured from.
    pub centers: ArcCenters,
    /// F was given in the other unit and not again since.
    pub old_feed: bool,
    /// Filled anew by each compensated move.
    pub pieces: Vec<Piece>,
    /// Systems that the program has set before moving, other than the job has them, with what there is to say of it.
    pub own_zeros: Vec<(u16, Finding)>,
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
            up: false,
            rose: false,
            lost: [false; 3],
            declared: false,
            declared_axes: [false; 3],
            placed: false,
            piled: None,
            blind: Vec::new(),
            told: Told::default(),
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
            fresh_turn: false,
            turned: false,
            centers: settings.arc_centers,
            old_feed: false,
            pieces: Vec::new(),
            own_zeros: Vec::new(),
        }
    }

    /// Whether the program has made as much as is followed.
    pub(super) fn is_full(&self) -> bool {
        self.out.motions.len() + self.out.dwells.len() >= MOTIONS || self.work > MOST_WORK
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
        self.settle_heights();
        self.tell_own_zero();
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
        self.out.origin = self.frame.machine_origin(self.settings);
        for (axis, declared) in self.declared_axes.into_iter().enumerate() {
            if declared {
                self.out.origin[axis] = None;
            }
        }
        Program {
            number: self.number,
            lines,
            findings: self.log.finish(),
            unproven: self.unproven,
            start: self.start,
            ending: self.ending,
            system: self.frame.base(),
            changes_tools: self.changed,
            ..self.out
        }
    }

    /// Ends a motion at another place in plan than it did; what has gone up or down there since does so at that place.
    pub(super) fn end_before(&mut self, motion: usize, place: Point) {
        let moved = |p: Point3| pt3(place.x, place.y, p.z);
        let Some((along, upright)) = self.out.motions.get_mut(motion..).and_then(<[Motion]>::split_first_mut)
        else {
            return;
        };
        end_at(along, place);
        for motion in upright {
            (motion.start, motion.end) = (moved(motion.start), moved(motion.end));
        }
        self.position = moved(self.position);
    }

    /// The factor from the unit in force to the unit of the result.
    pub(super) fn factor(&self) -> f64 {
        self.modal.units.to(self.settings.units)
    }

    /// Whether the tool has moved, so that its place is no longer the program's to say.
    pub(super) fn moved(&self) -> bool {
        self.declared || self.placed
    }

    /// What is known of where the tool stands.
    pub(super) const fn known(&self) -> Known {
        Known::of(self.stated, self.up)
    }

    /// The program has stated these axes.
    pub(super) fn state(&mut self, stating: [bool; 3]) {
        for (axis, stating) in stating.into_iter().enumerate() {
            self.stated[axis] |= stating;
            self.lost[axis] &= !stating;
        }
        self.up &= !stating[2];
        self.placed |= stating != [false; 3];
    }

    /// These axes go to a place of the machine that nobody has given.
    pub(super) fn lose(&mut self, axes: [bool; 3]) {
        for (axis, lost) in axes.into_iter().enumerate() {
            self.stated[axis] &= !lost;
            self.lost[axis] |= lost;
        }
        self.up &= !axes[2];
    }

    /// Z goes to the tool's home.
    pub(super) fn rise(&mut self) {
        self.stated[2] = false;
        self.lost[2] = false;
        self.up = true;
        self.rose = true;
    }

    /// Adds a motion from where the tool is, at whose end this is known.
    pub(super) fn push(&mut self, kind: Kind, end: Point3, curve: Curve, feed: f64, end_known: Known) {
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
            start_known: self.known(),
            end_known,
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
