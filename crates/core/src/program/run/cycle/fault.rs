//! Why a canned cycle is not run.

use super::MOST_STEPS;

/// What is wrong with a line that runs a canned cycle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::program) enum CycleFault {
    /// Neither an in-plane word nor the depth is on the line.
    NoAxes,
    /// No depth on the first line of the cycle.
    NoDepth,
    /// No R on the first line of the cycle.
    NoRetract,
    /// The R level is below the bottom of the hole.
    RetractBelow,
    /// L is no whole number from 1 up.
    BadRepeats,
    /// No Q on the first line of a pecking cycle.
    NoPeck,
    /// Q is not above 0.
    BadPeck,
    /// No P on the first line of a cycle that dwells.
    NoDwell,
    /// P is below 0.
    NegativeDwell,
    /// A Q or a P, by its letter, that the cycle has no use for.
    Unused(u8),
    /// A right-hand tap needs the spindle to turn clockwise.
    TapDirection,
    /// The spindle does not turn where the cycle is to stop and restart it.
    SpindleOff,
    /// More steps than one line may have.
    TooManySteps,
    /// The back boring cycle.
    BackBoring,
    /// The cycle leaves the way out to the operator's hand. The steps down to there have been made.
    HandRetract,
}

impl CycleFault {
    /// Letter of the word to point at, where one is at fault; otherwise the cycle itself is.
    pub(in crate::program) const fn letter(&self) -> Option<u8> {
        match self {
            Self::RetractBelow => Some(b'R'),
            Self::BadRepeats => Some(b'L'),
            Self::BadPeck => Some(b'Q'),
            Self::NegativeDwell => Some(b'P'),
            Self::Unused(letter) => Some(*letter),
            _ => None,
        }
    }
}

/// What is wrong and what would be usual, in whole sentences.
pub(in crate::program) fn why(fault: &CycleFault) -> String {
    let text = match *fault {
        CycleFault::NoAxes => {
            "A canned cycle is in force but X, Y and Z are all missing on this line, which a control refuses. Write \
             where the hole is, or G80 to end the cycle."
        }
        CycleFault::NoDepth => {
            "This canned cycle has no depth: the first line of a cycle must give Z in G17, Y in G18 or X in G19. \
             Later lines of the same cycle may leave it out."
        }
        CycleFault::NoRetract => {
            "This canned cycle has no R, the level where the feed begins. The first line of a cycle must give it, \
             usually a little above the top of the block."
        }
        CycleFault::RetractBelow => {
            "R lies below the bottom of the hole, so there is nothing to feed down to, and a control \
             refuses it. R is usually a little above the top of the block. With G91, R counts from where \
             the tool is and the depth from R, so a depth is negative."
        }
        CycleFault::BadRepeats => {
            "L says how often the cycle is repeated and must be a whole number from 1 up. Leave it out for one hole."
        }
        CycleFault::NoPeck => {
            "This pecking cycle has no Q, the depth of one peck. The first line of the cycle must give it."
        }
        CycleFault::BadPeck => "Q is the depth of one peck and must be above 0, also where Z goes down.",
        CycleFault::NoDwell => {
            "This cycle dwells at the bottom but has no P, the time in seconds. The first line of the cycle \
             must give it; P0 for no dwell."
        }
        CycleFault::NegativeDwell => "P is the dwell in seconds and cannot be below 0.",
        CycleFault::Unused(letter) => {
            return format!(
                "{} means nothing to this cycle, and controls differ in what they do about it. Delete it, \
                 or check whether G82 or G83 is meant.",
                char::from(letter)
            );
        }
        CycleFault::TapDirection => {
            "G84 cuts a right-hand thread, so the spindle must turn clockwise before it: a tap that turns the other \
             way breaks. Write M3 and a speed before the cycle."
        }
        CycleFault::SpindleOff => {
            "This cycle stops the spindle in the hole and starts it again, so it must turn before. Write M3 or M4 and \
             a speed before the cycle."
        }
        CycleFault::TooManySteps => {
            return format!(
                "This line alone would make more than {MOST_STEPS} steps, so it is not followed. Check \
                 whether L is far too large or Q far too small."
            );
        }
        CycleFault::BackBoring => {
            "G87, back boring, takes a one-sided cutter through the hole with the spindle stopped at an \
             angle. A cutter is followed here as round, so the cycle is not. Write its moves out, or prove \
             it out at the machine."
        }
        CycleFault::HandRetract => {
            "G88 stops here for the tool to be brought out by hand, so where it stands afterwards is not known. Bring \
             it out by the program with G85, G86 or G89."
        }
    };
    text.to_owned()
}
