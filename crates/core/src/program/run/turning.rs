//! G52, G68 and G69, G51.1 and G50.1: what shifts, rotates and mirrors the program's coordinates (common practice, no
//! source).

use super::line::{REMEDY, Run};
use super::modal::Mode;
use super::orders::Orders;
use super::turned::Turned;
use crate::control::PlainNumbers;
use crate::finding::Code;
use crate::geometry::{Point3, pt};
use crate::program::motion::Plane;

impl Run<'_, '_> {
    /// G68 and G51.1 take the axis words of their line, and so does G50.1. With a motion word beside them, which of the
    /// two takes them is open.
    pub(super) fn settle_turning(&mut self, orders: &mut Orders) {
        let takes = match (orders.rotate, orders.mirror) {
            (Some((true, at)), _) | (_, Some((true, at))) => Some(at),
            (_, Some((false, at))) if self.first_of(b"XYZ").is_some() => Some(at),
            _ => None,
        };
        let Some(at) = takes else { return };
        let moves = orders.mode.is_some_and(|(mode, _)| mode != Mode::None) || orders.single.is_some();
        if moves {
            self.take_all();
            self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} stands on a line with another word that takes X, Y and Z: {REMEDY}.")
            });
            orders.rotate = None;
            orders.mirror = None;
            orders.mode = None;
            orders.single = None;
        }
        orders.turns = true;
    }

    /// G68 X Y R: rotates the plan about a place of the program. G69 ends that.
    pub(super) fn rotate(&mut self, on: bool, at: usize) {
        if !on {
            if self.reader.frame.turned().is_rotated() {
                self.turn(Turned::No, at);
            }
            return;
        }
        let [x, y, z] = self.plain_axes();
        let angle = self.take(b'R');
        let solid = z.is_some() || self.first_of(b"IJK").is_some();
        if self.reader.modal.plane != Plane::Xy || solid {
            self.refuse_turning(at, "is followed in the XY plane alone (G17), with X, Y and R");
            return;
        }
        let (Some(x), Some(y), Some(angle), true) = (x, y, angle, self.reader.modal.absolute) else {
            self.refuse_turning(
                at,
                "is followed with X, Y and R on its line, and G90 in force: what is left out is \
                                     filled in differently from control to control",
            );
            return;
        };
        let counted = self.reader.settings.plain_numbers == PlainNumbers::Increments && !angle.point;
        let degrees = if counted { angle.value / 1000.0 } else { angle.value };
        self.reader.note(|| format!("G68 X{x} Y{y} R{degrees}"));
        self.turn(Turned::rotated(pt(x, y), degrees), at);
    }

    /// G51.1 X: mirrors along X at that place, and so for Y. G50.1 ends it, for the axes named or for all.
    pub(super) fn mirror(&mut self, on: bool, at: usize, orders: &Orders) {
        let [x, y, z] = self.plain_axes();
        let old = match self.reader.frame.turned() {
            Turned::Mirrored(at) => *at,
            _ => [None; 2],
        };
        if !on {
            let named = [x, y].iter().any(Option::is_some);
            let kept = [old[0].filter(|_| named && x.is_none()), old[1].filter(|_| named && y.is_none())];
            if old != kept {
                self.turn(if kept == [None; 2] { Turned::No } else { Turned::Mirrored(kept) }, at);
            }
            return;
        }
        if z.is_some() {
            self.refuse_turning(at, "turns Z upside down, which is not followed");
        } else if x.is_none() && y.is_none() {
            self.refuse_turning(at, "has no X or Y to say where it mirrors");
        } else if !self.reader.modal.absolute || orders.absolute == Some(false) {
            self.refuse_turning(at, "is followed with G90 in force alone");
        } else {
            self.reader.note(|| format!("G51.1 X{x:?} Y{y:?}"));
            self.turn(Turned::Mirrored([x.or(old[0]), y.or(old[1])]), at);
        }
    }

    fn refuse_turning(&mut self, at: usize, why: &str) {
        self.take_all();
        self.unproven(Code::UnprovenWord, at, |word| format!("{word} {why}: {REMEDY}."));
    }

    /// Puts another turning in force. One within another is taken in a different order from control to control.
    fn turn(&mut self, turned: Turned, at: usize) {
        if self.reader.compensated.is_some() {
            self.not_while_compensating(at);
        }
        let old = *self.reader.frame.turned();
        let same_kind = !turned.is_on() || !old.is_on() || !(old.is_rotated() || turned.is_rotated());
        if !same_kind {
            self.not_while_turned(at);
            return;
        }
        self.reader.fresh_turn |= old.is_rotated() || turned.is_rotated();
        self.reader.frame.set_turned(turned);
    }

    pub(super) fn not_while_turned(&mut self, at: usize) {
        self.unproven(Code::UnprovenState, at, |word| {
            format!(
                "{word} comes while the coordinates are rotated (G68) or mirrored (G51.1), and controls differ in what \
                 comes first; what follows is not checked. Write G69 or G50.1 before it."
            )
        });
    }

    /// G52: shifts the zero within the work offset, for the axes given.
    pub(super) fn shift_locally(&mut self, at: usize) {
        let shift = self.plain_axes();
        let zero = shift.iter().flatten().all(|by| *by == 0.0);
        if zero && !self.reader.frame.is_local() {
            return; // takes away what is not there
        }
        if !self.reader.modal.absolute {
            self.refuse_turning(at, "is followed with G90 in force alone");
            return;
        }
        if self.reader.frame.is_shifted() {
            self.refuse_turning(at, "comes on top of a G92, and controls differ in what is left of that");
            return;
        }
        self.reader.note(|| format!("G52 {shift:?}"));
        self.reader.frame.set_local(shift);
    }

    /// Where the axis words say the tool goes while the coordinates are turned, or right after.
    pub(super) fn turned_target(&mut self, from: Point3) -> Point3 {
        let words = self.plain_axes();
        let absolute = self.reader.modal.absolute;
        let frame = &self.reader.frame;
        let [x, y, z] = words;
        let moved = if absolute {
            x.is_some() || y.is_some()
        } else {
            x.or(y).is_some_and(|_| !self.are_zero(b"XY"))
        };
        if self.reader.fresh_turn && moved {
            if !absolute || x.is_none() || y.is_none() {
                let at = self.first_of(b"XY").map_or(0, |word| word.span.from);
                self.unproven(Code::UnprovenState, at, |word| {
                    format!(
                        "{word} is the first move since the rotation changed, and where the other axis then goes differs \
                         from control to control; what follows is not checked. Write X and Y with G90."
                    )
                });
            }
            self.reader.fresh_turn = false;
            return self.turned_target(from);
        }
        if !absolute {
            let by = frame.turned().way(pt(x.unwrap_or(0.0), y.unwrap_or(0.0)));
            return Point3 { x: from.x + by.x, y: from.y + by.y, z: from.z + z.unwrap_or(0.0) };
        }
        let read = frame.read(from);
        let to = Point3 { x: x.unwrap_or(read.x), y: y.unwrap_or(read.y), z: z.unwrap_or(read.z) };
        let rotated = frame.turned().is_rotated();
        let placed = frame.placed(to);
        let known = [x.is_some() || self.reader.stated[0], y.is_some() || self.reader.stated[1]];
        self.stating = if rotated {
            let both = moved && known == [true; 2];
            [both, both, z.is_some()]
        } else {
            words.map(|word| word.is_some())
        };
        // what is not moved stays where it is, to the last bit
        let keep = |moves: bool, new: f64, old: f64| if moves { new } else { old };
        Point3 {
            x: keep(x.is_some() || (rotated && moved), placed.x, from.x),
            y: keep(y.is_some() || (rotated && moved), placed.y, from.y),
            z: keep(z.is_some(), placed.z, from.z),
        }
    }

    /// Arcs and cycles outside the XY plane are not rotated with it.
    pub(super) fn need_unrotated(&mut self, at: usize) -> bool {
        let wrong = self.reader.frame.turned().is_rotated() && self.reader.modal.plane != Plane::Xy;
        if wrong {
            self.take_all();
            self.unproven(Code::UnprovenState, at, |_| {
                "The coordinates are rotated in the XY plane (G68), and another plane is in force here: the line is left \
                 out and what follows is not checked. Write G17 or G69 before it."
                    .to_owned()
            });
        }
        !wrong
    }
}
