//! Where a program's coordinates lie: coordinate systems, G92 offsets and tool length.
//!
//! Motions are given in the coordinates of the first system the program moves in, the one it was touched off in. All
//! else is a shift from there, known only as far as the job gives the control's tables.

use std::collections::BTreeMap;

use super::settings::{Settings, offset};
use super::turned::Turned;
use crate::control::SYSTEMS;
use crate::finding::Asks;
use crate::geometry::{Point, Point3};
use crate::program::motion::Plane;

/// X, Y and Z, each known or not.
pub(super) type Maybe3 = [Option<f64>; 3];

/// What the control would look up, and nobody has said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unknown;

/// What is missing to know where a place of the machine lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Missing {
    /// Where the program's zero lies on the machine.
    Zero,
    /// How long the tool is.
    Length,
    /// The place itself.
    Home(usize),
}

impl Missing {
    /// What the job does not say.
    pub(super) const fn what(self) -> &'static str {
        match self {
            Self::Zero => "where the program's zero lies on the machine",
            Self::Length => "how long the tool is",
            Self::Home(_) => "where that is",
        }
    }

    /// What of the job would say it, while this frame is in force and this tool runs.
    pub(super) fn asks(self, frame: &Frame, tool: Option<u32>) -> Asks {
        match self {
            Self::Zero => Asks::WorkOffset(usize::from(frame.active)),
            Self::Length => Asks::LengthOffset(tool.unwrap_or(1)),
            Self::Home(0) => Asks::Home,
            Self::Home(_) => Asks::SecondHome,
        }
    }

    /// The key of the job's control that would say it.
    pub(super) const fn key(self) -> &'static str {
        match self {
            Self::Zero => "work_offsets",
            Self::Length => "length_offsets",
            Self::Home(0) => "home",
            Self::Home(_) => "second_home",
        }
    }
}

/// The tool length in force.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Length {
    /// No G43 yet: the tip stands where it was touched off.
    TouchedOff,
    /// What is in force less what the tool has; 0 when the offset is the tool's own.
    Off(f64),
    /// G49 after G43, and no table says how far that moves the tip.
    Unknown,
}

/// Where the program's coordinates lie in those of the result.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    /// Machine coordinates of the systems' origins, by their index.
    origins: BTreeMap<u16, Maybe3>,
    /// Machine coordinates of the origin of the result.
    base_origin: Maybe3,
    /// The system the result is in, from 0.
    base: u16,
    active: u16,
    /// G92, as in force and as kept by G92.2.
    shifted: [f64; 3],
    /// `None` while the program has not set it: then it is whatever the control holds.
    kept: Option<[f64; 3]>,
    length: Length,
    /// G52.
    local: [f64; 3],
    /// G68 or G51.1.
    turned: Turned,
    /// The sum of all shifts: result = what is turned of the program + shift.
    shift: [f64; 3],
}

/// The system that G54.1 P1 calls; P2 calls the next.
pub(super) const EXTENDED: u16 = SYSTEMS.len() as u16;

/// A system as programs call it.
pub(crate) fn system_name(system: u16) -> String {
    match SYSTEMS.get(usize::from(system)) {
        Some(name) => (*name).to_owned(),
        None => format!("G54.1 P{}", system - EXTENDED + 1),
    }
}

impl Frame {
    pub(super) fn new(settings: &Settings) -> Self {
        let standard = (0..).zip(settings.work_offsets).filter_map(|(system, place)| Some((system, place?)));
        let more = settings.more_work_offsets.iter().map(|(number, place)| (extended(*number), *place));
        let origins: BTreeMap<u16, Maybe3> =
            standard.chain(more).map(|(system, place)| (system, place.map(Some))).collect();
        let base_origin = origins.get(&0).copied().unwrap_or_default();
        Self {
            origins,
            base_origin,
            base: 0,
            active: 0,
            shifted: [0.0; 3],
            kept: None,
            length: Length::TouchedOff,
            local: [0.0; 3],
            turned: Turned::No,
            shift: [0.0; 3],
        }
    }

    /// Result coordinates of a program coordinate along one axis.
    pub(super) fn place(&self, axis: usize, value: f64) -> f64 {
        self.turned.along(axis, value) + self.shift[axis]
    }

    /// What turns the program's coordinates.
    pub(super) const fn turned(&self) -> &Turned {
        &self.turned
    }

    pub(super) const fn set_turned(&mut self, turned: Turned) {
        self.turned = turned;
    }

    /// An arc's centre as the program gives it from the arc's start, as the plane's pair.
    pub(super) fn offset(&self, plane: Plane, offset: Point) -> Point {
        self.turned.offset(plane, offset)
    }

    /// Result coordinates of a place the program gives.
    pub(super) fn placed(&self, p: Point3) -> Point3 {
        let p = self.turned.placed(p);
        let [x, y, z] = self.shift;
        Point3 { x: p.x + x, y: p.y + y, z: p.z + z }
    }

    /// What the program reads at a place of the result.
    pub(super) fn read(&self, p: Point3) -> Point3 {
        let [x, y, z] = self.shift;
        self.turned.read(Point3 { x: p.x - x, y: p.y - y, z: p.z - z })
    }

    /// Whether the tip's height follows from the program's Z.
    pub(super) fn height_known(&self) -> bool {
        self.length != Length::Unknown
    }

    /// The system in force and that of the result, from 0.
    pub(super) fn systems(&self) -> [usize; 2] {
        [usize::from(self.active), usize::from(self.base)]
    }

    /// Puts a system in force; before the first motion it becomes that of the result.
    pub(super) fn choose(&mut self, system: u16, moved: bool) -> Result<(), Unknown> {
        if system == self.active {
            return Ok(());
        }
        if !moved {
            self.base = system;
            self.base_origin = self.origin(system);
        } else if system != self.base {
            self.difference(system).ok_or(Unknown)?;
        }
        self.active = system;
        self.sum();
        Ok(())
    }

    /// The system that the result is in.
    pub(super) const fn base(&self) -> u16 {
        self.base
    }

    /// Whether this system is in force.
    pub(super) const fn is_active(&self, system: u16) -> bool {
        self.active == system
    }

    /// G10 L2: sets the machine coordinates of a system's origin, for the axes given.
    pub(super) fn set_origin(&mut self, system: u16, place: Maybe3, moved: bool) -> Result<(), Unknown> {
        let origin = self.origins.entry(system).or_default();
        for (old, new) in origin.iter_mut().zip(place) {
            *old = new.or(*old);
        }
        if system == self.base && !moved {
            self.base_origin = self.origin(system);
            return Ok(());
        }
        if system == self.active {
            self.difference_from_origin(system).ok_or(Unknown)?;
            self.sum();
        }
        Ok(())
    }

    /// G92: makes `here` read as the values given. What is done before the first motion says where the program's own
    /// zero lies, and shifts nothing.
    pub(super) fn shift_to_read(&mut self, here: [f64; 3], reads: Maybe3) {
        let system = self.system_shift();
        for axis in 0..3 {
            if let Some(reads) = reads[axis] {
                let length = if axis == 2 { self.height() } else { 0.0 };
                self.shifted[axis] = here[axis] - reads - system[axis] - self.local[axis] - length;
            }
        }
        self.kept = Some(self.shifted);
        self.sum();
    }

    /// G52: a shift within every system, for the axes given.
    pub(super) fn set_local(&mut self, shift: Maybe3) {
        for (old, new) in self.local.iter_mut().zip(shift) {
            *old = new.unwrap_or(*old);
        }
        self.sum();
    }

    /// Whether G92 shifts something.
    pub(super) fn is_shifted(&self) -> bool {
        self.shifted != [0.0; 3]
    }

    /// Whether G52 does.
    pub(super) fn is_local(&self) -> bool {
        self.local != [0.0; 3]
    }

    /// G92.1 forgets the shift, G92.2 only leaves it.
    pub(super) fn clear_shift(&mut self, forget: bool) {
        self.shifted = [0.0; 3];
        if forget {
            self.kept = Some([0.0; 3]);
        }
        self.sum();
    }

    /// G92.3.
    pub(super) fn restore_shift(&mut self) -> Result<(), Unknown> {
        self.shifted = self.kept.ok_or(Unknown)?;
        self.sum();
        Ok(())
    }

    /// G43 with this H number. The tip follows the program's Z when the offset is that of the tool in the spindle.
    pub(super) fn length_on(&mut self, number: u32, settings: &Settings) -> Result<(), Unknown> {
        let own = settings.tool.is_none_or(|tool| tool == number);
        if number == 0 && self.touched_off() && settings.length_offsets.is_empty() && !settings.strict {
            return Ok(()); // takes away what was never there
        }
        self.length = if settings.length_offsets.is_empty() {
            if !own || number == 0 {
                return Err(Unknown);
            }
            Length::Off(0.0)
        } else {
            let given = if number == 0 { Some(0.0) } else { offset(&settings.length_offsets, number) };
            let of_tool = offset(&settings.length_offsets, settings.tool.unwrap_or(number));
            Length::Off(given.ok_or(Unknown)? - of_tool.ok_or(Unknown)?)
        };
        self.sum();
        Ok(())
    }

    /// G43 without a table: the length is that of the tool as it was touched off.
    pub(super) fn length_of_touch_off(&mut self) {
        self.length = Length::Off(0.0);
        self.sum();
    }

    /// G49. Does nothing before the first G43: the tip stands where it was touched off.
    pub(super) fn length_off(&mut self, settings: &Settings) {
        if self.length == Length::TouchedOff {
            return;
        }
        let of_tool = settings.tool.and_then(|tool| offset(&settings.length_offsets, tool));
        self.length = of_tool.map_or(Length::Unknown, |length| Length::Off(-length));
        self.sum();
    }

    /// Whether no G43 has come yet.
    pub(super) fn touched_off(&self) -> bool {
        self.length == Length::TouchedOff
    }

    /// Result coordinates of a machine coordinate along one axis.
    pub(super) fn of_machine(&self, axis: usize, value: f64, settings: &Settings) -> Result<f64, Missing> {
        let origin = self.base_origin[axis].ok_or(Missing::Zero)?;
        // The control moves the spindle nose; the tip hangs below it by the tool's length.
        let below = match self.length {
            _ if axis != 2 => 0.0,
            Length::TouchedOff => 0.0,
            _ => settings
                .tool
                .and_then(|tool| offset(&settings.length_offsets, tool))
                .ok_or(Missing::Length)?,
        };
        Ok(value - origin - below)
    }

    /// Machine coordinates of the origin of the result, as far as they are known: of the tip before any G43, of the
    /// spindle's nose when a length is in force.
    pub(super) fn machine_origin(&self, settings: &Settings) -> Maybe3 {
        let [x, y, z] = self.base_origin;
        let length = || settings.tool.and_then(|tool| offset(&settings.length_offsets, tool));
        let z = if self.touched_off() { z } else { z.zip(length()).map(|(z, length)| z + length) };
        [x, y, z]
    }

    /// Machine coordinates of a system's origin, as far as they are known.
    pub(super) fn origin(&self, system: u16) -> Maybe3 {
        self.origins.get(&system).copied().unwrap_or_default()
    }

    fn difference(&self, system: u16) -> Option<[f64; 3]> {
        if system == self.base && self.origin(system) == self.base_origin {
            return Some([0.0; 3]);
        }
        self.difference_from_origin(system)
    }

    fn difference_from_origin(&self, system: u16) -> Option<[f64; 3]> {
        let origin = self.origin(system);
        let mut shift = [0.0; 3];
        for (axis, shift) in shift.iter_mut().enumerate() {
            *shift = origin[axis]? - self.base_origin[axis]?;
        }
        Some(shift)
    }

    fn system_shift(&self) -> [f64; 3] {
        self.difference(self.active).unwrap_or_default()
    }

    fn sum(&mut self) {
        let system = self.system_shift();
        for (axis, system) in system.into_iter().enumerate() {
            self.shift[axis] = system + self.shifted[axis] + self.local[axis];
        }
        self.shift[2] += self.height();
    }

    /// The length in force less the tool's own.
    fn height(&self) -> f64 {
        if let Length::Off(height) = self.length { height } else { 0.0 }
    }
}

/// The system that G54.1 calls with this P, from 1.
pub(super) const fn extended(number: u16) -> u16 {
    EXTENDED + number - 1
}

/// The three coordinates, for what is done axis by axis.
pub(super) const fn axes(p: Point3) -> [f64; 3] {
    [p.x, p.y, p.z]
}
