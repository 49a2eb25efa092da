//! What the operator must look at before running.

mod asks;
mod usual;

use serde::{Serialize, Serializer};

pub use asks::Asks;
pub use usual::Usual;

use crate::geometry::Point3;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing to do.
    Note,
    /// Look at it and decide.
    Look,
    /// Do not run this as it is.
    Stop,
}

macro_rules! codes {
    ($($(#[doc = $doc:literal])* $name:ident => $text:literal, $title:literal,)*) => {
        /// What kind of finding it is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[non_exhaustive]
        pub enum Code {
            $($(#[doc = $doc])* $name,)*
        }

        impl Code {
            /// Every code there is.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// A few words for people, as the head of a card.
            pub const fn title(self) -> &'static str {
                match self {
                    $(Self::$name => $title,)*
                }
            }

            /// The code as written in the proof.
            pub const fn text(self) -> &'static str {
                match self {
                    $(Self::$name => $text,)*
                }
            }
        }
    };
}

codes! {
    /// A rapid goes through metal as it stands at that moment.
    RapidThroughBlock => "rapid-through-block", "Rapid through metal",
    /// The tool comes straight down on metal.
    PlungeOnBlock => "plunge-on-block", "Plunge onto metal",
    /// The tool goes below the top of the bed.
    CutsBed => "cuts-bed", "Cuts the bed",
    /// The tip only just clears the bed.
    NearBed => "near-bed", "Close to the bed",
    /// A cutter comes in under the block.
    UnderBlock => "under-block", "Reaches under the block",
    /// A pass cuts inside the outline.
    PastOutline => "past-outline", "Cuts inside the line",
    /// A pass takes metal of the finished block.
    CutsFinishedBlock => "cuts-finished-block", "Cuts the finished block",
    /// An undercut takes the land over it.
    TakesLand => "takes-land", "Land cut away",
    /// The job does not say what a pass is for, and metal of the block depends on it.
    DoesNotSay => "does-not-say", "What is the pass for?",
    /// A pass takes nothing along a stretch of the outline.
    NoContact => "no-contact", "No contact",
    /// A pass takes less than the job's lower limit along a stretch.
    LightCut => "light-cut", "Light cut",
    /// A pass takes more than the job's upper limit along a stretch.
    HeavyCut => "heavy-cut", "Heavy cut",
    /// A pass never reaches its bottom.
    NotToDepth => "not-to-depth", "Not to depth",
    /// A pass goes below its bottom.
    BelowDepth => "below-depth", "Too deep",
    /// A pass leaves more or less than its allowance.
    LeaveOffAllowance => "leave-off-allowance", "Wrong stock left",
    /// The blank ends inside the outline.
    BlankShort => "blank-short", "Blank is short",
    /// The tool feeds into metal with the spindle stopped.
    SpindleStopped => "spindle-stopped", "Spindle stopped",
    /// A feed motion before any feed was set.
    NoFeed => "no-feed", "No feed",
    /// The program calls another tool than the pass names.
    WrongTool => "wrong-tool", "Tool number differs",
    /// The ends of an arc do not fit its centre or radius.
    ArcMismatch => "arc-mismatch", "Arc does not fit",
    /// A word that cannot be followed.
    UnprovenWord => "unproven-word", "Word not followed",
    /// A state in which what follows cannot be followed.
    UnprovenState => "unproven-state", "Position not known",
    /// A pass removes nothing.
    CutsNothing => "cuts-nothing", "Cuts nothing",
    /// A number that is not a number, or is missing.
    BadNumber => "bad-number", "Number not readable",
    /// The job holds suggestions that nobody has confirmed.
    Unconfirmed => "unconfirmed", "Not confirmed yet",
    /// A part of the proof that could not be made, for want of something in the job.
    NotChecked => "not-checked", "Not checked",
    /// A number that looks like a decimal point forgotten or misplaced.
    OddNumber => "odd-number", "Suspect number",
    /// A feed that looks like one of the other unit.
    OddFeed => "odd-feed", "Suspect feed",
    /// One dip below the depth that the program cuts at.
    OddDepth => "odd-depth", "Suspect depth",
    /// A rapid that comes down while it crosses.
    SlantingRapid => "slanting-rapid", "Rapid down at an angle",
    /// The tool feeds with the spindle turning backwards.
    SpindleBackwards => "spindle-backwards", "Spindle backward",
    /// The spindle is started without a speed.
    NoSpeed => "no-speed", "No speed",
    /// The coolant is still on when the text ends.
    CoolantLeftOn => "coolant-left-on", "Coolant left on",
    /// A program that does not end as controls expect.
    NoEnd => "no-end", "No program end",
    /// A program relies on what is in force before it.
    StartState => "start-state", "Relies on earlier modes",
    /// X or Y goes to a place of the machine while Z is not known to be up.
    HomeAcross => "home-across", "X or Y home before Z is up",
    /// A word that controls read in more than one way is read as most do.
    UsualReading => "usual-reading", "Controls differ on this",
    /// The operator's override knobs are taken out of use.
    OverridesOff => "overrides-off", "Overrides off",
    /// The program takes the offset of another tool.
    OtherOffset => "other-offset", "Offset of another tool",
    /// A program sets its zero itself, or runs from another one than the passes before it.
    OtherZero => "other-zero", "Different work zero",
    /// Two programs of a job have the same number.
    NumberTwice => "number-twice", "Same number twice",
    /// Two programs of a job make the same motion.
    SameMotion => "same-motion", "Same motion twice",
    /// A pass runs an air pass in place of the real program.
    SameAsAirPass => "same-as-air-pass", "Runs the air pass",
    /// The control does not take the text as it is.
    ControlRefuses => "control-refuses", "Control refuses it",
    /// Tool or holder comes into an area that is to be kept clear.
    KeepClear => "keep-clear", "Into a clamp area",
    /// Metal stands in the cut higher up than the flutes reach.
    PastFlutes => "past-flutes", "Deeper than the flutes",
    /// The shank, or an undercutting cutter's neck, sweeps metal as it stands at that moment.
    ShankContact => "shank-contact", "Shank hits metal",
    /// The holder sweeps metal as it stands at that moment.
    HolderContact => "holder-contact", "Holder hits metal",
    /// A motion goes beyond the machine's travel.
    OffTravel => "off-travel", "Overtravel",
    /// Spindle or feed faster than the machine goes.
    TooFast => "too-fast", "Faster than the machine",
    /// The feed that falls to each tooth is far from the usual.
    ChipLoad => "chip-load", "Chip load",
    /// A cut takes more power than the spindle has.
    OverPower => "over-power", "Over spindle power",
    /// Metal that should have come off still stands after the last pass.
    MetalLeft => "metal-left", "Metal left standing",
    /// A pass cuts metal through all around, and nothing is known to hold it.
    LooseMetal => "loose-metal", "Metal comes loose",
    /// All of a pass's cut is light.
    NotNeeded => "not-needed", "Pass not needed",
    /// Two ends in a drawing that do not quite meet were joined.
    DrawingGap => "drawing-gap", "Drawing: gap joined",
    /// A line in a drawing ends and none goes on.
    DrawingOpen => "drawing-open", "Drawing: open end",
    /// More than two lines in a drawing meet.
    DrawingBranch => "drawing-branch", "Drawing: branch",
    /// Something in a drawing is drawn twice.
    DrawingTwice => "drawing-twice", "Drawing: drawn twice",
    /// A path from a drawing crosses itself or runs back along itself.
    DrawingCrosses => "drawing-crosses", "Drawing: crosses itself",
    /// Things in a drawing are no curves in plan.
    DrawingLeftOut => "drawing-left-out", "Drawing: left out",
    /// A drawing states another unit than the job does for it.
    DrawingUnits => "drawing-units", "Drawing: another unit",
    /// A drawing has several closed paths; the one that encloses most was taken.
    DrawingSeveral => "drawing-several", "Drawing: several paths",
    /// A pass's tool can't go into an inner corner of the outline.
    ToolTooWide => "tool-too-wide", "Tool too wide for a corner",
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.text())
    }
}

/// One finding, with its place as far as it has one.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What kind.
    pub code: Code,
    /// How much it weighs.
    pub severity: Severity,
    /// Index of the pass in the job.
    pub pass: Option<usize>,
    /// Line of the pass's program, from 1.
    pub line: Option<u32>,
    /// Column of that line, from 1, in characters.
    pub column: Option<u32>,
    /// Place in block coordinates.
    pub at: Option<Point3>,
    /// Distance along the outline from its first vertex.
    pub station: Option<f64>,
    /// What, where, why it matters and what would be usual, in plain words.
    pub message: String,
    /// What of the job would answer it.
    pub asks: Vec<Asks>,
    /// The amount it is about, where one tells how bad it is: how long, how deep, how much is missing. In the job's
    /// unit of length.
    pub amount: Option<f64>,
}

impl Finding {
    /// A finding without a place.
    pub fn new(code: Code, severity: Severity, message: impl Into<String>) -> Self {
        Self {
            code,
            severity,
            pass: None,
            line: None,
            column: None,
            at: None,
            station: None,
            message: message.into(),
            asks: Vec::new(),
            amount: None,
        }
    }

    /// The same, about this amount, in the job's unit of length.
    #[must_use]
    pub fn about(mut self, amount: f64) -> Self {
        self.amount = Some(amount);
        self
    }

    /// The same, asking for this.
    #[must_use]
    pub fn asking(mut self, asks: Asks) -> Self {
        self.asks.push(asks);
        self
    }

    /// The same, of this pass.
    #[must_use]
    pub fn of_pass(mut self, pass: usize) -> Self {
        self.pass = Some(pass);
        self
    }

    /// The same, on this program line.
    #[must_use]
    pub fn on_line(mut self, line: u32) -> Self {
        self.line = Some(line);
        self
    }

    /// The same, at this column of its line.
    #[must_use]
    pub fn in_column(mut self, column: u32) -> Self {
        self.column = Some(column);
        self
    }

    /// The same, at this place in block coordinates.
    #[must_use]
    pub fn at(mut self, at: Point3) -> Self {
        self.at = Some(at);
        self
    }

    /// The same, at this station.
    #[must_use]
    pub fn at_station(mut self, station: f64) -> Self {
        self.station = Some(station);
        self
    }
}
