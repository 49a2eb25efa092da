//! Where a program's coordinates lie: coordinate systems, G92 offsets and tool length.
//!
//! Motions are given in the coordinates of the first system the program moves in, the one it was touched off in. All
//! else is a shift from there, known only as far as the job gives the control's tables.

use super::settings::{Settings, offset};
use crate::geometry::Point3;

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
    /// Machine coordinates of the systems' origins.
    origins: [Maybe3; 9],
    /// Machine coordinates of the origin of the result.
    base_origin: Maybe3,
    /// The system the result is in, from 0.
    base: u8,
    active: u8,
    /// G92, as in force and as kept by G92.2.
    shifted: [f64; 3],
    /// `None` while the program has not set it: then it is whatever the control holds.
    kept: Option<[f64; 3]>,
    length: Length,
    /// The sum of all: result = program + shift.
    shift: [f64; 3],
}

impl Frame {
    pub(super) fn new(settings: &Settings) -> Self {
        let origins = settings.work_offsets.map(|origin| origin.map_or([None; 3], |place| place.map(Some)));
        Self {
            origins,
            base_origin: origins[0],
            base: 0,
            active: 0,
            shifted: [0.0; 3],
            kept: None,
            length: Length::TouchedOff,
            shift: [0.0; 3],
        }
    }

    /// Result coordinates of a program coordinate along one axis.
    pub(super) fn place(&self, axis: usize, value: f64) -> f64 {
        value + self.shift[axis]
    }

    /// Result coordinates of a place the program gives.
    pub(super) fn placed(&self, p: Point3) -> Point3 {
        let [x, y, z] = self.shift;
        Point3 { x: p.x + x, y: p.y + y, z: p.z + z }
    }

    /// What the program reads at a place of the result.
    pub(super) fn read(&self, p: Point3) -> Point3 {
        let [x, y, z] = self.shift;
        Point3 { x: p.x - x, y: p.y - y, z: p.z - z }
    }

    /// Whether the tip's height follows from the program's Z.
    pub(super) fn height_known(&self) -> bool {
        self.length != Length::Unknown
    }

    /// Puts a system in force; before the first motion it becomes that of the result.
    pub(super) fn choose(&mut self, system: u8, moved: bool) -> Result<(), Unknown> {
        if system == self.active {
            return Ok(());
        }
        if !moved {
            self.base = system;
            self.base_origin = self.origins[usize::from(system)];
        } else if system != self.base {
            self.difference(system).ok_or(Unknown)?;
        }
        self.active = system;
        self.sum();
        Ok(())
    }

    /// G10 L2: sets the machine coordinates of a system's origin, for the axes given.
    pub(super) fn set_origin(&mut self, system: u8, place: Maybe3, moved: bool) -> Result<(), Unknown> {
        let index = usize::from(system);
        let origin = &mut self.origins[index];
        for (old, new) in origin.iter_mut().zip(place) {
            *old = new.or(*old);
        }
        if system == self.base && !moved {
            self.base_origin = self.origins[index];
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
                self.shifted[axis] = here[axis] - reads - system[axis] - length;
            }
        }
        self.kept = Some(self.shifted);
        self.sum();
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

    fn difference(&self, system: u8) -> Option<[f64; 3]> {
        if system == self.base && self.origins[usize::from(system)] == self.base_origin {
            return Some([0.0; 3]);
        }
        self.difference_from_origin(system)
    }

    fn difference_from_origin(&self, system: u8) -> Option<[f64; 3]> {
        let mut shift = [0.0; 3];
        for (axis, shift) in shift.iter_mut().enumerate() {
            *shift = self.origins[usize::from(system)][axis]? - self.base_origin[axis]?;
        }
        Some(shift)
    }

    fn system_shift(&self) -> [f64; 3] {
        self.difference(self.active).unwrap_or_default()
    }

    fn sum(&mut self) {
        let system = self.system_shift();
        for ((shift, system), shifted) in self.shift.iter_mut().zip(system).zip(self.shifted) {
            *shift = system + shifted;
        }
        self.shift[2] += self.height();
    }

    /// The length in force less the tool's own.
    fn height(&self) -> f64 {
        if let Length::Off(height) = self.length { height } else { 0.0 }
    }
}

/// The three coordinates, for what is done axis by axis.
pub(super) const fn axes(p: Point3) -> [f64; 3] {
    [p.x, p.y, p.z]
}
