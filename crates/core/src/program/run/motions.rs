//! Straight moves, what compensation makes of moves, and canned cycles: step 20 of the order of execution.

use super::compensation::{Piece, Programmed};
use super::cycle::{self, CycleFault, CycleKind, CycleSetting, CycleWords, Step};
use super::frame::Missing;
use super::line::{REMEDY, Run};
use super::modal::{FeedMode, Mode, Single};
use super::orders::Orders;
use super::reader::rely;
use crate::finding::{Asks, Code, Severity};
use crate::geometry::{Point3, pt3};
use crate::program::motion::{Curve, Kind, Known, Motion, Plane};
use crate::program::result::Dwell;

impl Run<'_, '_> {
    pub(super) fn straight(&mut self, mode: Mode, orders: &Orders) {
        let kind = if mode == Mode::Rapid { Kind::Rapid } else { Kind::Feed };
        let end = match orders.single {
            Some((Single::Machine, at)) => match self.machine_place(at) {
                Ok(end) => {
                    self.stating = [b'X', b'Y', b'Z'].map(|letter| self.word(letter).is_some());
                    end
                }
                Err(missing) => return self.leave_by_machine(kind, at, missing),
            },
            _ => self.target(),
        };
        self.go(kind, end, Curve::Straight);
    }

    /// The place that G53 names. Some controls leave it out while G91 is in force (common practice, no source).
    fn machine_place(&mut self, at: usize) -> Result<Point3, Missing> {
        if !self.reader.modal.absolute && !self.reader.settings.strict {
            self.find(Code::UsualReading, Severity::Look, at, |word| {
                format!(
                    "{word} comes while G91 is in force: it is followed as a machine position, but some controls leave \
                     it out there. Write G90 before it."
                )
            });
        }
        self.machine_target()
    }

    /// G53: X, Y and Z are the machine's own (NISTIR 6556, 3.5.12).
    fn machine_target(&mut self) -> Result<Point3, Missing> {
        let given = self.plain_axes();
        let now = self.reader.position;
        let place = |axis: usize, now: f64| {
            given[axis]
                .map_or(Ok(now), |value| self.reader.frame.of_machine(axis, value, self.reader.settings))
        };
        Ok(pt3(place(0, now.x)?, place(1, now.y)?, place(2, now.z)?))
    }

    /// Where the axis words say the tool goes.
    pub(super) fn target(&mut self) -> Point3 {
        let reader = &mut *self.reader;
        rely(reader.said.distance, &mut reader.start.distance, reader.source.line());
        let absolute = reader.modal.absolute;
        let from = reader.compensated.as_ref().map_or(reader.position, |compensated| compensated.programmed);
        if reader.frame.turned().is_on() || reader.fresh_turn {
            return self.turned_target(from);
        }
        let mut axis = |letter, index, now| match self.word(letter) {
            None => now,
            Some(word) if absolute => {
                let length = self.length(word);
                self.stating[index] = true;
                self.reader.frame.place(index, length)
            }
            Some(word) => now + self.length(word),
        };
        Point3 { x: axis(b'X', 0, from.x), y: axis(b'Y', 1, from.y), z: axis(b'Z', 2, from.z) }
    }

    /// Makes a move to `end` along `curve`, by way of cutter compensation when it is on.
    pub(super) fn go(&mut self, kind: Kind, end: Point3, curve: Curve) {
        self.need_height(b"Z");
        let in_plan = !matches!(curve, Curve::Arc { plane: Plane::Zx | Plane::Yz, .. });
        if self.reader.compensated.is_some() && in_plan {
            self.go_beside(kind, end, curve);
        } else {
            self.push(kind, end, curve);
        }
    }

    /// After G49 a height means nothing until a length is in force again.
    fn need_height(&mut self, letters: &[u8]) {
        let word = letters.iter().find_map(|letter| self.word(*letter));
        if let Some(word) = word.filter(|_| !self.reader.frame.height_known()) {
            let row = self.reader.settings.tool.unwrap_or(1);
            self.asking(Asks::LengthOffset(row)).unproven(Code::UnprovenState, word.span.from, |word| {
                format!(
                    "{word} comes after G49 has canceled the tool length: how high the tip goes is not \
                     known. Write G43 before it, or give the lengths in the job, control, \
                     \"length_offsets\"."
                )
            });
        }
    }

    fn go_beside(&mut self, kind: Kind, end: Point3, curve: Curve) {
        let Some(mut compensated) = self.reader.compensated.take() else { return };
        let shape = match curve {
            Curve::Arc { centre, sweep, .. } => Programmed::Arc { centre, sweep },
            Curve::Straight => Programmed::Line,
        };
        let mut pieces = std::mem::take(&mut self.reader.pieces);
        pieces.clear();
        let position = self.reader.position;
        let done = compensated.state.advance(position, compensated.programmed, end, shape, &mut pieces);
        if let (Ok(Some(place)), Some(along)) = (&done, compensated.along) {
            self.reader.end_before(along, *place);
            self.tell_inside_corner();
        }
        let whole = length_of_pieces(self.reader.position, &pieces);
        for piece in &pieces {
            self.push_part(kind, piece.end, piece.curve, Some(whole));
        }
        if compensated.programmed.plan() != end.plan() || shape != Programmed::Line {
            compensated.along = self.reader.out.motions.len().checked_sub(1);
        }
        compensated.programmed = end;
        self.reader.compensated = Some(compensated);
        self.reader.pieces = pieces;
        if let Err(fault) = done {
            let at = self.words.found.first().map_or(0, |word| word.span.from);
            self.unproven(Code::UnprovenState, at, |_| {
                let why = super::compensation::why(&fault);
                format!("{why} The move is shown as programmed, and what follows is not checked.")
            });
            self.push(kind, end, curve);
        }
    }

    fn tell_inside_corner(&mut self) {
        if std::mem::replace(&mut self.reader.told.inside_corner, true) {
            return;
        }
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        self.find(Code::UsualReading, Severity::Note, at, |_| {
            "The path turns toward the tool here. It is followed as on controls that look at the move ahead: the tool \
             turns where it touches both sides. A control that does not look ahead stops here."
                .to_owned()
        });
    }

    pub(super) fn push(&mut self, kind: Kind, end: Point3, curve: Curve) {
        self.push_part(kind, end, curve, None);
    }

    /// Adds one motion with the feed that is in force for it; `whole` is the length that shares the time of G93.
    fn push_part(&mut self, kind: Kind, end: Point3, curve: Curve, whole: Option<f64>) {
        self.need_place(kind, end, curve);
        let reader = &mut *self.reader;
        let line = reader.source.line();
        rely(reader.said.system, &mut reader.start.system, line);
        if matches!(curve, Curve::Arc { .. }) {
            rely(reader.said.plane, &mut reader.start.plane, line);
        }
        let feed = match kind {
            Kind::Rapid => 0.0,
            Kind::Feed => {
                rely(reader.said.feed_mode, &mut reader.start.feed_mode, line);
                if reader.modal.feed_mode == FeedMode::PerMinute {
                    reader.modal.feed
                } else {
                    reader.modal.feed_over(whole.unwrap_or_else(|| length_of(reader.position, end, curve)))
                }
            }
        };
        if kind == Kind::Feed && self.reader.modal.feed_mode == FeedMode::InverseTime {
            self.need_feed();
        } else if kind == Kind::Feed && self.reader.old_feed {
            self.tell_old_feed();
        }
        let end_known = self.end_known();
        self.reader.push(kind, end, curve, feed, end_known);
        self.state();
    }

    /// The motion that says where the axes go has been made.
    pub(super) fn state(&mut self) {
        let stating = std::mem::take(&mut self.stating);
        if stating != [false; 3] {
            self.reader.state(stating);
        }
    }

    /// What will be known where the motion ends that is about to be made.
    fn end_known(&self) -> Known {
        let (stated, stating) = (self.reader.stated, self.stating);
        Known::of(std::array::from_fn(|axis| stated[axis] || stating[axis]), self.reader.up)
    }

    /// F was given before the unit changed.
    fn tell_old_feed(&mut self) {
        self.reader.old_feed = false;
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        self.find(Code::UnprovenState, Severity::Look, at, |_| {
            "The unit has changed since F was given. The feed is followed as it was, but some controls read \
             the same number in the new unit. Write F again after G20 or G21."
                .to_owned()
        });
    }

    /// With G93 every feed line says its own F (NISTIR 6556, 3.5.19).
    fn need_feed(&mut self) {
        if self.word(b'F').is_some() {
            return;
        }
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        self.unproven(Code::UnprovenState, at, |_| {
            "G93 is in force and this line has no F of its own: how fast it goes is not known, and controls stop here. \
             Write F on every line that feeds, or G94."
                .to_owned()
        });
    }

    pub(super) fn cycle(&mut self, kind: CycleKind) {
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        if !self.need_unrotated(at) {
            return;
        }
        if self.reader.fresh_turn {
            let _ = self.turned_target(self.reader.position);
            self.stating = [false; 3];
        }
        if self.reader.compensated.is_some() || self.reader.modal.feed_mode == FeedMode::InverseTime {
            self.take_all();
            self.unproven(Code::UnprovenState, at, |_| {
                "A canned cycle cannot run while cutter compensation or G93 is on, and controls stop here; \
                 it is left out and what follows is not checked. Write G40 and G94 before it."
                    .to_owned()
            });
            return;
        }
        let line = self.reader.source.line();
        let reader = &mut *self.reader;
        rely(reader.said.plane, &mut reader.start.plane, line);
        rely(reader.said.distance, &mut reader.start.distance, line);
        rely(reader.said.retract, &mut reader.start.retract, line);
        self.need_height(b"ZR");
        self.need_level(at);
        let words = self.cycle_words(kind);
        let reader = &mut *self.reader;
        let setting = CycleSetting {
            plane: reader.modal.plane,
            absolute: reader.modal.absolute,
            to_clear: reader.modal.to_clear,
            turning: reader.modal.turning,
            chip_break: reader.settings.peck_clearance,
        };
        let mut steps = std::mem::take(&mut reader.steps);
        steps.clear();
        let from = reader.frame.read(reader.position);
        let done = cycle::steps(kind, &words, &mut reader.cycle, &setting, from, &mut steps);
        self.state_axes();
        self.reader.work += steps.len() as u64;
        for step in &steps {
            if self.reader.is_full() {
                break;
            }
            self.step(*step);
        }
        self.state();
        self.reader.steps = steps;
        if let Err(fault) = done {
            self.tell_cycle(&fault, at);
        }
    }

    /// What a cycle does first and where it comes out depends on the level before it.
    fn need_level(&mut self, at: usize) {
        let along = match self.reader.modal.plane {
            Plane::Xy => 2,
            Plane::Zx => 1,
            Plane::Yz => 0,
        };
        if !self.reader.stated[along] {
            self.unproven(Code::UnprovenState, at, |_| {
                "A canned cycle begins here and the height before it is not known, so neither is how it \
                 goes in and comes out: what follows is not checked. State the height with G0 or G1 first."
                    .to_owned()
            });
        }
    }

    fn cycle_words(&mut self, kind: CycleKind) -> CycleWords {
        let [x, y, z] = self.plain_axes();
        let (first, second, along) = match self.reader.modal.plane {
            Plane::Xy => (x, y, z),
            Plane::Zx => (z, x, y),
            Plane::Yz => (y, z, x),
        };
        let retract = self.take(b'R').map(|word| self.length(word));
        let peck = self.take(b'Q').map(|word| self.length(word));
        if kind == CycleKind::G87 {
            let _ = [b'I', b'J', b'K'].map(|letter| self.take(letter));
        }
        let dwell = self.take(b'P').map(|word| self.dwell_seconds(word).unwrap_or(0.0));
        let repeats = self.take(b'L').map(|word| word.value);
        CycleWords { first, second, along, retract, peck, dwell, repeats }
    }

    fn state_axes(&mut self) {
        if self.reader.modal.absolute {
            for (index, letter) in (*b"XYZ").into_iter().enumerate() {
                self.stating[index] = self.word(letter).is_some();
            }
        }
    }

    fn step(&mut self, step: Step) {
        match step {
            Step::Rapid(end) => self.push(Kind::Rapid, self.reader.frame.placed(end), Curve::Straight),
            Step::Feed(end) => self.push(Kind::Feed, self.reader.frame.placed(end), Curve::Straight),
            Step::Dwell(seconds) => {
                let before = self.reader.out.motions.len();
                let line = self.reader.source.line();
                self.reader.out.dwells.push(Dwell { before, seconds, line });
            }
            Step::Spindle(turning) => self.reader.modal.turning = turning,
        }
    }

    fn tell_cycle(&mut self, fault: &CycleFault, at: usize) {
        let at = fault.letter().and_then(|letter| self.word(letter)).map_or(at, |word| word.span.from);
        let what = match fault {
            CycleFault::HandRetract => "What the tool does from there on is not checked.".to_owned(),
            _ => format!("It is left out: {REMEDY}."),
        };
        self.unproven(Code::UnprovenState, at, |_| format!("{} {what}", cycle::why(fault)));
    }
}

fn length_of_pieces(start: Point3, pieces: &[Piece]) -> f64 {
    let starts = std::iter::once(start).chain(pieces.iter().map(|piece| piece.end));
    starts.zip(pieces).map(|(start, piece)| length_of(start, piece.end, piece.curve)).sum()
}

fn length_of(start: Point3, end: Point3, curve: Curve) -> f64 {
    let motion = Motion {
        start,
        end,
        curve,
        feed: 0.0,
        spindle: 0.0,
        line: 0,
        tool: 0,
        kind: Kind::Feed,
        proven: true,
        start_known: Known::ALL,
        end_known: Known::ALL,
    };
    motion.length()
}
