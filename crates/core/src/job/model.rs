//! The job as it is worked with, whichever file it came from.

use super::confirm::ToConfirm;
use crate::control::Control;
use crate::program::Zero;

use super::crib::CribFile;
use super::does::Does;
use super::material::MaterialFigure;
use super::measured::Measured;
use super::seen::Seen;
use crate::geometry::{Path, Point};
use crate::tool::Tool;
use crate::units::Units;

/// A vertex of a closed path: the span to the next vertex starts here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// The point in plan.
    pub at: Point,
    /// tan(included angle / 4) of the span that starts here, positive counter-clockwise; 0 for a line.
    pub bulge: f64,
}

/// A closed path as a job states it.
#[derive(Debug, Clone, PartialEq)]
pub enum PathSource {
    /// Vertices in the job file itself.
    Vertices(Vec<Vertex>),
    /// A drawing or a list of points beside the job file.
    File {
        /// File name, relative to the job file.
        file: String,
        /// Layer, where the file has layers.
        layer: Option<String>,
        /// Units, where the file has none of its own.
        units: Option<Units>,
    },
    /// The path of the named pass, moved in by its tool's radius (for outlines only).
    FromPass(String),
}

/// The metal before the first cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Blank {
    /// The sawn outline in plan.
    pub edge: PathSource,
    /// Z of its upper face.
    pub top: f64,
    /// From the upper to the lower face.
    pub thickness: f64,
    /// What it is made of.
    pub material: Option<String>,
    /// Where the blank lies: x, y, and turn in degrees, counter-clockwise.
    pub at: Option<[f64; 3]>,
}

impl Blank {
    /// Z of the lower face.
    pub fn bottom(&self) -> f64 {
        self.top - self.thickness
    }
}

/// Limits of the thickness of cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactLimits {
    /// Thinner cuts are light.
    pub light_below: Option<f64>,
    /// Thicker cuts are heavy.
    pub heavy_above: Option<f64>,
}

/// Something on the table that no part of a tool may come into: a clamp, a screw, a stop.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepClear {
    /// What the operator calls it.
    pub name: String,
    /// The closed area it takes in plan, block coordinates.
    pub area: Vec<Vertex>,
    /// Z up to which it stands. It stands from the bed up.
    pub top: f64,
}

impl KeepClear {
    /// The path round it; `None` when it encloses nothing.
    pub fn path(&self) -> Option<Path> {
        let points: Vec<_> = self.area.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
        Path::closed(&points)
    }
}

/// What the machine can do. Every part may be missing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Machine {
    /// Rapid speed in the job's unit a minute.
    pub rapid: Option<f64>,
    /// Highest spindle speed, rev/min.
    pub spindle_max: Option<f64>,
    /// Spindle power: horsepower in an inch job, kilowatts in a millimetre job.
    pub power: Option<f64>,
    /// Lowest and highest X, Y and Z.
    pub travel: Option<Travel>,
}

/// Lowest and highest machine coordinates, axis by axis.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Travel {
    /// X.
    pub x: Option<[f64; 2]>,
    /// Y.
    pub y: Option<[f64; 2]>,
    /// Z.
    pub z: Option<[f64; 2]>,
}

/// One program, run with one tool, from one zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// What the operator calls it.
    pub name: String,
    /// Program file, relative to the job file.
    pub program: String,
    /// Number of the tool in the job's list.
    pub tool: u32,
    /// What it is for; suggested from its tool and path where the job does not say.
    pub does: Option<Does>,
    /// The leave this pass is meant to give; without it the pass is not held against the outline.
    pub allowance: Option<f64>,
    /// Lowest program Z the pass is meant to reach.
    pub bottom: Option<f64>,
    /// Where the program's origin lies in block coordinates.
    pub zero: Zero,
    /// What was measured on the block after it.
    pub measured: Vec<Measured>,
}

/// A whole job, lengths in `units`.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What the job is called.
    pub name: Option<String>,
    /// The unit of every length in the job.
    pub units: Units,
    /// The scribed reference line.
    pub outline: Option<PathSource>,
    /// The metal before the first cut.
    pub blank: Option<Blank>,
    /// Z of the top of what is under the block.
    pub bed_top: Option<f64>,
    /// What no tool may come into.
    pub keep_clear: Vec<KeepClear>,
    /// Height at which stock left is measured; chosen where the job does not give it.
    pub gauge_height: Option<f64>,
    /// The land wanted on the finished wall, between undercut line and edge rounding.
    pub land: Option<f64>,
    /// Limits of the thickness of cut.
    pub contact: Option<ContactLimits>,
    /// Stations of the outline whose wall the record shows.
    pub walls: Vec<f64>,
    /// What the machine can do.
    pub machine: Option<Machine>,
    /// What the control accepts.
    pub control: Option<Control>,
    /// Tools by number.
    pub tools: Vec<Tool>,
    /// The shop's own figures for materials.
    pub materials: Vec<MaterialFigure>,
    /// A file of tools that complete the job's own.
    pub crib: Option<CribFile>,
    /// Passes in the order they are run.
    pub passes: Vec<Pass>,
    /// What was suggested and nobody has confirmed yet.
    pub to_confirm: Vec<ToConfirm>,
    /// Findings that a person has ticked as seen.
    pub seen: Vec<Seen>,
}

impl Job {
    /// A job with nothing in it.
    pub const fn empty(units: Units) -> Self {
        Self {
            name: None,
            units,
            outline: None,
            blank: None,
            bed_top: None,
            keep_clear: Vec::new(),
            gauge_height: None,
            land: None,
            contact: None,
            walls: Vec::new(),
            machine: None,
            control: None,
            tools: Vec::new(),
            materials: Vec::new(),
            crib: None,
            passes: Vec::new(),
            to_confirm: Vec::new(),
            seen: Vec::new(),
        }
    }

    /// The tool with this number, the job's own or else its crib's.
    pub fn tool(&self, number: u32) -> Option<&Tool> {
        self.all_tools().find(|tool| tool.number == number)
    }

    /// The drawings and lists of points that the job names: the key that names each, and its file.
    pub fn drawings(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let outline = self.outline.iter().map(|source| ("outline", source));
        let edge = self.blank.iter().map(|blank| ("blank.edge", &blank.edge));
        outline.chain(edge).filter_map(|(key, source)| match source {
            PathSource::File { file, .. } => Some((key, file.as_str())),
            PathSource::Vertices(_) | PathSource::FromPass(_) => None,
        })
    }

    /// The highest that the blank or an area to be kept clear reaches, in block coordinates. The tool's home is above it.
    pub fn highest(&self) -> Option<f64> {
        let tops = self.keep_clear.iter().map(|area| area.top);
        tops.chain(self.blank.as_ref().map(|blank| blank.top)).reduce(f64::max)
    }
}
