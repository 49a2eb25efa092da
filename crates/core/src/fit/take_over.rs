//! Taking a fit over into the job, and telling the operator how it is done on the machine.

use super::position::Fit;
use crate::geometry::{Point, pt};
use crate::job::{Blank, Job};
use crate::units::Told;

/// A turn that is told as 0.000°.
const UNTOLD_TURN: f64 = 0.000_5;

/// A shift that is told as zero.
fn untold_shift(told: Told) -> f64 {
    told.of().pick(0.000_05, 0.000_5)
}

/// The job with the fit taken over: where the blank lies changes, and nothing else. A job without a blank stays as it
/// is.
pub fn taken_over(job: &Job, fit: &Fit) -> Job {
    let blank = job.blank.as_ref().map(|blank| Blank { at: Some(fit.blank_at(blank.at)), ..blank.clone() });
    Job { blank, ..job.clone() }
}

/// What the operator does to take a fit over, with the blank lying on the table as the job says.
///
/// Every other work zero moves on the machine by as much as the one that the blank is turned about: turned back, the
/// blank has the axes of the programs again, so the zeros lie to each other as before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handling {
    /// How far the work zero is moved on the blank.
    pub zero: Point,
    /// Then the blank is turned about the new work zero by this many degrees, counter-clockwise seen from above.
    pub turn: f64,
}

impl Handling {
    /// How the fit is taken over when the work zero is now at `zero` in block coordinates.
    ///
    /// Moving the outline on the blank carries the work zero with it; what the outline turns one way the blank is
    /// turned the other way, so that the program's axes stay those of the machine.
    pub fn of(fit: &Fit, zero: Point) -> Self {
        Self { zero: fit.place(zero) - zero, turn: -fit.turn }
    }

    /// In words, as an instruction for a job with one work zero.
    pub fn words(&self, units: impl Into<Told>) -> String {
        self.words_for(&Zeros::default(), units.into())
    }

    fn words_for(&self, zeros: &Zeros, units: Told) -> String {
        let axis = |name: &str, by: f64| format!("{name} {}", units.fine_with_unit(by));
        let moves = self.zero.x.abs().max(self.zero.y.abs()) >= untold_shift(units);
        let which = if zeros.several { "every" } else { "the" };
        let zero =
            format!("move {which} work zero by {}, {}", axis("X", self.zero.x), axis("Y", self.zero.y));
        let way = if self.turn < 0.0 { "clockwise" } else { "counter-clockwise" };
        let turn = format!("rotate the blank {:.3}° {way} seen from above, about the", self.turn.abs());
        let of = zeros.passes_of_first();
        match (moves, self.turn.abs() >= UNTOLD_TURN) {
            (false, false) => STAY.to_owned(),
            (true, false) => zero,
            (false, true) => format!("{turn} work zero{of}"),
            (true, true) => format!("{zero}, then {turn} new work zero{of}"),
        }
    }
}

/// What is done where nothing is to be moved.
const STAY: &str = "leave the work zero where it is";

/// The work zeros in plan that a job's passes start from.
#[derive(Debug, Default)]
struct Zeros {
    /// That of the first pass, else block X0 Y0.
    first: Point,
    /// The passes that start from it, counted from 1.
    passes: Vec<usize>,
    /// Whether others start from elsewhere.
    several: bool,
}

impl Zeros {
    fn of(job: &Job) -> Self {
        let zeros: Vec<Point> =
            job.passes.iter().map(|pass| pt(pass.zero.origin[0], pass.zero.origin[1])).collect();
        let first = zeros.first().copied().unwrap_or_default();
        let same = zeros.iter().zip(1..).filter(|(zero, _)| **zero == first);
        let passes: Vec<usize> = same.map(|(_, pass)| pass).collect();
        Self { several: passes.len() < zeros.len(), first, passes }
    }

    /// Which passes the first zero belongs to, where that has to be said.
    fn passes_of_first(&self) -> String {
        if !self.several {
            return String::new();
        }
        let names: Vec<String> = self.passes.iter().map(ToString::to_string).collect();
        format!(" of {} {}", if names.len() == 1 { "pass" } else { "passes" }, names.join(", "))
    }
}

/// What the operator does to take the fit over, as an instruction in words.
///
/// Where passes start from different zeros, the blank is turned once, about that of the first pass, and every zero
/// moves by as much as that one.
pub fn instruction(job: &Job, fit: &Fit, told: impl Into<Told>) -> String {
    if !fit.gains(job.units) {
        return STAY.to_owned();
    }
    let zeros = Zeros::of(job);
    Handling::of(fit, zeros.first).words_for(&zeros, told.into())
}
