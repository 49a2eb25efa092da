//! One motion of the tool, as the control would make it.

use crate::geometry::{Point, Point3, pt, pt3};

/// How the axes are driven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// G0: as fast as the machine goes.
    Rapid,
    /// G1, G2, G3: at the feed of the program.
    Feed,
}

/// The plane an arc lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plane {
    /// G17.
    Xy,
    /// G18: the pair is Z then X, so counter-clockwise is seen from the positive end of Y.
    Zx,
    /// G19: the pair is Y then Z.
    Yz,
}

impl Plane {
    /// The in-plane pair of a point and the coordinate along the plane's axis.
    pub const fn split(self, p: Point3) -> (Point, f64) {
        match self {
            Self::Xy => (pt(p.x, p.y), p.z),
            Self::Zx => (pt(p.z, p.x), p.y),
            Self::Yz => (pt(p.y, p.z), p.x),
        }
    }

    /// The point with this in-plane pair and this coordinate along the plane's axis.
    pub const fn join(self, pair: Point, along: f64) -> Point3 {
        match self {
            Self::Xy => pt3(pair.x, pair.y, along),
            Self::Zx => pt3(pair.y, along, pair.x),
            Self::Yz => pt3(along, pair.x, pair.y),
        }
    }
}

/// The line a motion follows from its start to its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// A straight line.
    Straight,
    /// A circular arc, or a helix when the ends differ along the plane's axis.
    Arc {
        /// The plane of the arc.
        plane: Plane,
        /// Centre, as the plane's in-plane pair.
        centre: Point,
        /// Angle swept from start to end in radians, positive counter-clockwise.
        sweep: f64,
    },
}

/// What a program has said of where a point lies.
///
/// A machine's own Z home is above everything (common practice, no source), so a tool that was sent there is known to
/// be *up* even where nobody has said how high that is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Known(u8);

impl Known {
    /// X, Y and Z are known.
    pub const ALL: Self = Self(0b0111);
    /// Nothing is.
    pub const NONE: Self = Self(0);
    const UP: u8 = 0b1000;

    /// What is known when these of X, Y and Z have been stated. `up` counts only while Z is not.
    pub const fn of(stated: [bool; 3], up: bool) -> Self {
        let [x, y, z] = stated;
        let up = if up && !z { Self::UP } else { 0 };
        Self(x as u8 | (y as u8) << 1 | (z as u8) << 2 | up)
    }

    /// Whether this coordinate is known, counted from 0 for X.
    pub const fn axis(self, axis: usize) -> bool {
        self.0 >> axis & 1 == 1
    }

    /// Whether X and Y are known.
    pub const fn plan(self) -> bool {
        self.axis(0) && self.axis(1)
    }

    /// Whether Z is only known to be that of the tool's home or higher: above all that the program and the job name.
    pub const fn is_up(self) -> bool {
        self.0 & Self::UP != 0
    }

    /// Whether the tool can be followed from here: X and Y are known, and Z is known or up.
    pub const fn is_place(self) -> bool {
        self.plan() && (self.axis(2) || self.is_up())
    }
}

/// One motion. Lengths in the unit the program was read into, feed in that unit a minute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Where the tool tip starts, in program coordinates.
    pub start: Point3,
    /// Where it ends.
    pub end: Point3,
    /// The line between the two.
    pub curve: Curve,
    /// Feed; 0 when the program has not set one, or for a rapid.
    pub feed: f64,
    /// Spindle speed in rev/min: positive for M3, negative for M4, 0 while stopped.
    pub spindle: f32,
    /// Line of the program text, from 1.
    pub line: u32,
    /// Tool in the spindle by the program's own words; 0 when it names none.
    pub tool: u16,
    /// Rapid or feed.
    pub kind: Kind,
    /// False after a word that could not be followed: the motion is shown, but proves nothing.
    pub proven: bool,
    /// What is known of the start. Unless it is a place the start is a guess, and a rapid from there is not followed.
    pub start_known: Known,
    /// What is known of the end. While it is up, the Z given is the highest that the program states, and the tool is
    /// there or higher.
    pub end_known: Known,
}

impl Motion {
    /// Length of the line followed, along the helix for a helical motion.
    pub fn length(&self) -> f64 {
        match self.curve {
            Curve::Straight => self.start.distance(self.end),
            Curve::Arc { plane, centre, sweep } => {
                let (from, along_from) = plane.split(self.start);
                let (_, along_to) = plane.split(self.end);
                (from.distance(centre) * sweep).hypot(along_to - along_from)
            }
        }
    }

    /// The tool tip a part `t` (0 to 1) of the way along.
    pub fn at(&self, t: f64) -> Point3 {
        match self.curve {
            Curve::Straight => self.start.toward(self.end, t),
            Curve::Arc { plane, centre, sweep } => {
                if t >= 1.0 {
                    return self.end;
                }
                let (from, along_from) = plane.split(self.start);
                let (_, along_to) = plane.split(self.end);
                let pair = centre + (from - centre).turned(sweep * t);
                plane.join(pair, along_from + (along_to - along_from) * t)
            }
        }
    }

    /// Time in seconds at the motion's feed, or at `rapid` (unit a minute) for a rapid; `None` when that speed
    /// is not known.
    pub fn seconds(&self, rapid: Option<f64>) -> Option<f64> {
        let speed = match self.kind {
            Kind::Rapid => rapid?,
            Kind::Feed => self.feed,
        };
        (speed > 0.0).then(|| self.length() / speed * 60.0)
    }
}

impl Motion {
    /// The motion from its start to a part `t` (0 to 1) of the way along.
    #[must_use]
    pub fn first_part(&self, t: f64) -> Self {
        let curve = match self.curve {
            Curve::Straight => Curve::Straight,
            Curve::Arc { plane, centre, sweep } => Curve::Arc { plane, centre, sweep: sweep * t },
        };
        Self { end: self.at(t), curve, ..*self }
    }
}

#[cfg(test)]
impl Motion {
    /// A straight motion of a plain program, all of it known, for tests.
    pub(crate) fn straight(start: Point3, end: Point3, kind: Kind) -> Self {
        Self {
            start,
            end,
            curve: Curve::Straight,
            feed: 10.0,
            spindle: 1000.0,
            line: 1,
            tool: 1,
            kind,
            proven: true,
            start_known: Known::ALL,
            end_known: Known::ALL,
        }
    }
}
