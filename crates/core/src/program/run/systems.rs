//! Coordinate systems and what shifts them: steps 16 and 19 of the order of execution.

use super::frame::{Maybe3, axes, extended, system_name};
use super::line::{REMEDY, Run, whole};
use super::modal::Single;
use super::orders::Orders;
use super::reader::Reader;
use crate::finding::{Asks, Code, Severity};
use crate::geometry::pt3;

/// A zero that is set this near to where it is known to lie is the same: half of the last decimal that programs have, in
/// inches and in millimeters.
const SAME_ZERO: [f64; 2] = [0.000_05, 0.000_5];

/// Most zeros that G54.1 calls on any control (common practice, no source).
const MOST_EXTENDED: u32 = 300;

impl Run<'_, '_> {
    /// G54.1 and the system that its P calls (common practice, no source).
    pub(super) fn set_extended_system(&mut self, at: usize) {
        match self.take(b'P').and_then(|word| whole(word.value)) {
            Some(number @ 1..=MOST_EXTENDED) => self.set_system(extended(number as u16), at),
            _ => self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} needs a P from 1 to {MOST_EXTENDED} to say which zero: {REMEDY}.")
            }),
        }
    }

    pub(super) fn set_system(&mut self, system: u16, at: usize) {
        self.reader.said.system = true;
        if self.reader.compensated.is_some() {
            self.not_while_compensating(at);
        }
        let moved = self.reader.moved();
        self.reader.note(|| system_name(system));
        if self.reader.frame.turned().is_on() && !self.reader.frame.is_active(system) {
            self.not_while_turned(at);
            return;
        }
        if self.reader.frame.choose(system, moved).is_err() {
            let [first, other] = [self.reader.frame.base(), system].map(system_name);
            let [_, base] = self.reader.frame.systems();
            let asking = self.asking(Asks::WorkOffset(base)).asking(Asks::WorkOffset(usize::from(system)));
            asking.unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} calls another work offset than the one the program began with, and the job does \
                     not say where it lies: what follows is shown from the old one and is not checked. Give \
                     both in the job, control, \"work_offsets\": {{ \"{first}\": [x, y, z], \"{other}\": [x, y, z] }}."
                )
            });
        }
    }

    /// What takes the axis words for itself: step 19.
    pub(super) fn set_frame(&mut self, orders: &Orders) {
        let Some((single, at)) = orders.single else { return };
        if self.reader.compensated.is_some() && !matches!(single, Single::Dwell) {
            self.not_while_compensating(at);
        }
        if self.reader.frame.turned().is_on() && !single.goes_with_turning() {
            self.not_while_turned(at);
            self.take_all();
            return;
        }
        match single {
            Single::Dwell | Single::Machine => {}
            Single::SetOrigin => self.set_origin(at),
            Single::Home(which) => self.go_home(which, at),
            Single::Local => self.shift_locally(at),
            Single::Shift => self.shift(at),
            _ if single.only_shifts() && self.first_of(b"XYZ").is_some() => self.tell_axes(at),
            Single::ClearShift | Single::SuspendShift | Single::RestoreShift if self.reader.declared => {
                self.lose_zero(at);
            }
            Single::ClearShift => self.reader.frame.clear_shift(true),
            Single::SuspendShift => self.reader.frame.clear_shift(false),
            Single::RestoreShift => {
                if self.reader.frame.restore_shift().is_err() {
                    self.unproven(Code::UnprovenState, at, |word| {
                        format!(
                            "{word} turns on a G92 shift that the program has not set itself, so it is \
                             whatever the control holds: what follows is not checked. Set it with G92 \
                             first, or leave {word} out."
                        )
                    });
                }
            }
        }
    }

    /// G92.1 to G92.3 take no axis words; some controls would read them as a zero, others as a motion.
    fn tell_axes(&mut self, at: usize) {
        self.take_all();
        self.unproven(Code::UnprovenWord, at, |word| {
            format!(
                "{word} is on a line with X, Y or Z, which controls understand differently; the line is \
                 left out and what follows is not checked. Write two lines."
            )
        });
    }

    /// The zero that G92 set from where the machine stood is gone, and how far the one before is from it nobody knows.
    fn lose_zero(&mut self, at: usize) {
        self.reader.stated = [false; 3];
        self.unproven(Code::UnprovenState, at, |word| {
            format!(
                "{word} cancels the zero that the program set with G92 before it moved; where the one \
                 before lies is not known, so what follows is not checked. Leave {word} out, or end the \
                 program there."
            )
        });
    }

    /// The axis words as lengths, without what is in force added.
    pub(super) fn plain_axes(&mut self) -> Maybe3 {
        [b'X', b'Y', b'Z'].map(|letter| self.word(letter).map(|word| self.length(word)))
    }

    /// G10 L2 P1 to P9 (NISTIR 6556, 3.5.5).
    fn set_origin(&mut self, at: usize) {
        let kind = self.take(b'L').and_then(|word| whole(word.value));
        let system = self.take(b'P').and_then(|word| whole(word.value));
        let (Some(2), Some(system @ 1..=9)) = (kind, system) else {
            self.take_all();
            self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} is followed with L2 and P1 to P9 only: {REMEDY}.")
            });
            return;
        };
        let place = self.plain_axes();
        if !self.reader.modal.absolute {
            self.unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} stands in G91: most controls add to the work offset then, some set it. Where the zero lies \
                     from here nobody knows, and what follows is not checked. Write G90 before it."
                )
            });
            return;
        }
        self.reader.note(|| format!("G10 L2 P{system} {place:?}"));
        let (system, moved) = (system as u16 - 1, self.reader.moved());
        if !moved {
            self.note_own_zero(system, place, at);
        }
        if self.reader.frame.set_origin(system, place, moved).is_err() {
            let [active, _] = self.reader.frame.systems();
            self.asking(Asks::WorkOffset(active)).unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} moves the zero in force, and the job does not say where it lies now: what \
                     follows is shown from the old one and is not checked. Give it in the job, control, \
                     \"work_offsets\"."
                )
            });
        }
    }

    /// The program sets a zero itself before it moves: where somebody has touched off counts no more.
    fn note_own_zero(&mut self, system: u16, place: Maybe3, at: usize) {
        let stated = self.reader.frame.origin(system);
        let near = self.reader.settings.units.pick(SAME_ZERO[0], SAME_ZERO[1]);
        let is_same = |(set, stated): (Option<f64>, Option<f64>)| {
            set.is_none_or(|set| stated.is_some_and(|stated| (set - stated).abs() <= near))
        };
        if place.into_iter().zip(stated).all(is_same) {
            return;
        }
        let name = system_name(system);
        let finding = self.found_here(Code::OtherZero, Severity::Look, at, |word| {
            if stated == [None; 3] {
                format!(
                    "{word} sets {name} before the program moves, so where that was touched off does not count. Make \
                     sure that it sets the zero that the job has for this pass."
                )
            } else {
                format!(
                    "{word} sets {name} to another place than the job's work offsets have. The pass is checked from the \
                     zero that the job has for it; make sure that this is the one that {word} sets."
                )
            }
        });
        self.reader.own_zeros.push((system, finding));
    }

    /// G92 (NISTIR 6556, 3.5.18). Before the first motion it says where the program's zero lies: that is the pass's.
    fn shift(&mut self, at: usize) {
        let reads = self.plain_axes();
        if reads == [None; 3] {
            self.unproven(Code::UnprovenWord, at, |word| format!("{word} has no X, Y or Z: {REMEDY}."));
            return;
        }
        self.reader.said.system = true;
        if !self.reader.placed {
            let mut here = axes(self.reader.position);
            for axis in 0..3 {
                if let Some(reads) = reads[axis] {
                    here[axis] = self.reader.frame.place(axis, reads);
                }
            }
            self.reader.state(reads.map(|reads| reads.is_some()));
            let [x, y, z] = here;
            self.reader.position = pt3(x, y, z);
            self.reader.declared = true;
            for (declared, reads) in self.reader.declared_axes.iter_mut().zip(reads) {
                *declared |= reads.is_some();
            }
            return;
        }
        let unknown = (0..3).any(|axis| reads[axis].is_some() && !self.reader.stated[axis]);
        if unknown {
            self.unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} sets the zero from where the tool is, and that is not known here; what \
                         follows is not checked. State the place with G90 and X, Y, Z first."
                )
            });
        }
        let here = axes(self.reader.position);
        self.reader.frame.shift_to_read(here, reads);
    }
}

impl Reader<'_> {
    /// Tells of the zero that the program moves from, where it has set that itself.
    pub(super) fn tell_own_zero(&mut self) {
        let base = self.frame.base();
        let own = std::mem::take(&mut self.own_zeros);
        if let Some((_, finding)) = own.into_iter().rfind(|(system, _)| *system == base) {
            self.log.add(finding.code, finding.severity, || finding);
        }
    }
}
