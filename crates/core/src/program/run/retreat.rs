//! Ways to the machine's own places: G28, G30 and G53.
//!
//! Where the job gives the place and the control's tables, the way is exact. Where it does not, Z goes up: the tool's
//! Z home is above everything (common practice, no source). X and Y are then nowhere until the program states them.

use super::frame::{Missing, axes};
use super::line::Run;
use super::reader::Reader;
use crate::control::HomeAxes;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Point3, pt3};
use crate::program::motion::{Curve, Kind, Known};

/// Rounding that may lie between two heights of one program.
const LEVEL: f64 = 1e-6;

impl Run<'_, '_> {
    /// G28 and G30: by way of the programmed point (NISTIR 6556, 3.5.8).
    pub(super) fn go_home(&mut self, which: usize, at: usize) {
        if which == 1 {
            self.take(b'P'); // second home and those behind it are one as far as nobody says where they are
        }
        let named = [b'X', b'Y', b'Z'].map(|letter| self.word(letter).is_some());
        if named.contains(&true) {
            self.by_way(at);
        }
        let go = self.axes_sent(named);
        match self.home(which, go) {
            Ok([x, y, z]) => {
                self.push(Kind::Rapid, pt3(x, y, z), Curve::Straight);
                self.reader.state(go);
            }
            Err(missing) if self.reader.settings.strict || (go[2] && !self.home_is_up(which)) => {
                self.tell_unknown_home(at, missing, go);
                self.reader.stated = std::array::from_fn(|axis| self.reader.stated[axis] && !go[axis]);
                self.reader.up &= !go[2];
            }
            Err(_) => self.leave(Kind::Rapid, go, at),
        }
        if self.reader.frame.touched_off() && !self.reader.settings.length_offsets.is_empty() && go[2] {
            self.reader.stated[2] = false; // the nose is there, and how far below it the tip hangs G43 has still to say
        }
    }

    /// The programmed point comes first. In G90 it is a place that the line states.
    fn by_way(&mut self, at: usize) {
        let by_way = self.target();
        let is_somewhere = (0..2).all(|axis| self.reader.stated[axis] || self.stating[axis]);
        if self.stating[2] && !is_somewhere && self.reader.lost == [false; 3] {
            self.tell_down_first(at, by_way.z);
        }
        let states = (0..3).any(|axis| self.stating[axis] && !self.reader.stated[axis]);
        if by_way != self.reader.position || (states && !self.reader.settings.strict) {
            self.push(Kind::Rapid, by_way, Curve::Straight);
        }
        self.state();
    }

    /// In G90 the Z of the line is a height of the work, and the tool goes there first.
    fn tell_down_first(&mut self, at: usize, z: f64) {
        let height = self.reader.settings.units.fine_with_unit(z);
        self.find(Code::HomeAcross, Severity::Look, at, |word| {
            format!(
                "{word} goes by way of Z {height} first, by G90, and the program has not stated X and Y: the tool may come \
                 down on whatever is under it. Normally G91 G28 Z0. goes straight up."
            )
        });
    }

    /// Which of X, Y and Z a home word sends: all as published (NISTIR 6556, 3.5.8), in practice those named.
    fn axes_sent(&self, named: [bool; 3]) -> [bool; 3] {
        let usual = if self.reader.settings.strict { HomeAxes::All } else { HomeAxes::Named };
        let rotary = self.words.found.iter().any(|word| matches!(word.letter, b'A'..=b'C'));
        match self.reader.settings.home_axes.unwrap_or(usual) {
            HomeAxes::Named if named.contains(&true) || rotary => named,
            _ => [true; 3],
        }
    }

    /// Result coordinates of the place that G28 or G30 goes to.
    fn home(&self, which: usize, go: [bool; 3]) -> Result<[f64; 3], Missing> {
        let mut end = axes(self.reader.position);
        let home = self.reader.settings.homes.get(which).copied().flatten().ok_or(Missing::Home(which))?;
        for axis in (0..3).filter(|axis| go[*axis]) {
            end[axis] = self.reader.frame.of_machine(axis, home[axis], self.reader.settings)?;
        }
        Ok(end)
    }

    /// Z home is up unless the job gives one that is not the machine's own zero, and no table says where that lies.
    fn home_is_up(&self, which: usize) -> bool {
        self.reader.settings.homes.get(which).copied().flatten().is_none_or(|[_, _, z]| z == 0.0)
    }

    /// G53 to a place that nobody can find.
    pub(super) fn leave_by_machine(&mut self, kind: Kind, at: usize, missing: Missing) {
        let given = self.plain_axes();
        let go = given.map(|axis| axis.is_some());
        let up = given[2].is_none_or(|z| z == 0.0);
        let cuts = kind == Kind::Feed && (go[0] || go[1]) && !self.reader.up;
        if self.reader.settings.strict || !up || cuts {
            self.lose_machine(at, missing);
        } else {
            self.leave(kind, go, at);
        }
    }

    fn lose_machine(&mut self, at: usize, missing: Missing) {
        for (axis, letter) in (*b"XYZ").into_iter().enumerate() {
            if self.word(letter).is_some() {
                self.reader.stated[axis] = false;
                self.reader.up &= axis != 2;
            }
        }
        let asks = missing.asks(&self.reader.frame, self.reader.settings.tool);
        self.asking(asks).unproven(Code::UnprovenState, at, |word| {
            format!(
                "{word} gives a machine position, and the job does not say {}: the way there is not \
                 shown and not checked. Give it in the job, control, \"{}\".",
                missing.what(),
                missing.key()
            )
        });
    }

    /// Goes to a place that nobody has given, Z straight up.
    fn leave(&mut self, kind: Kind, go: [bool; 3], at: usize) {
        let names = ["X", "Y", "Z"].into_iter().zip(go).filter(|(_, go)| *go).map(|(name, _)| name);
        let named: Vec<&str> = names.collect();
        self.reader.note(|| format!("{} to a machine position", named.join(" ")));
        let sideways = go[0] || go[1];
        if sideways && !self.reader.up {
            self.tell_sideways(at, go);
        }
        if go[2] && !self.reader.up {
            let [x, y, _] = self.reader.stated;
            let end = self.reader.position;
            let feed = if kind == Kind::Feed { self.reader.modal.feed_over(1.0) } else { 0.0 };
            self.reader.push(kind, end, Curve::Straight, feed, Known::of([x, y, false], true));
        }
        if go[2] {
            self.reader.rise();
        }
        self.reader.lose([go[0], go[1], false]);
    }

    fn tell_sideways(&mut self, at: usize, go: [bool; 3]) {
        let stated = self.reader.stated[2];
        let height = self.reader.settings.units.fine_with_unit(self.reader.position.z);
        self.find(Code::HomeAcross, Severity::Look, at, |word| {
            let what = match go {
                [true, true, _] => "X and Y",
                [true, ..] => "X",
                _ => "Y",
            };
            let from = match (stated, go[2]) {
                (true, true) => format!("together with Z, from Z {height}"),
                (true, false) => format!("at Z {height}"),
                (false, true) => "together with Z".to_owned(),
                (false, false) => "at a height that the program has not stated".to_owned(),
            };
            format!(
                "{word} sends {what} to a machine position {from}: what stands in the way is not checked. Normally Z \
                 goes up alone first, with G91 G28 Z0. or G53 G0 Z0."
            )
        });
    }

    /// From a place that nobody knows yet the way home is the operator's; from a known one it should be followed.
    fn tell_unknown_home(&mut self, at: usize, missing: Missing, go: [bool; 3]) {
        let start_known = self.reader.stated.iter().zip(go).any(|(stated, go)| go && *stated);
        let message = |word: &str| {
            format!(
                "{word} sends the tool to a machine position, and the job does not say {}: the way there is not \
                 shown{}. Give it in the job, control, \"{}\".",
                missing.what(),
                if start_known { " and not checked" } else { "; see that nothing stands in it" },
                missing.key()
            )
        };
        let asks = missing.asks(&self.reader.frame, self.reader.settings.tool);
        self.asking(asks);
        if start_known {
            self.unproven(Code::UnprovenState, at, message);
        } else {
            self.find(Code::UnprovenState, Severity::Look, at, message);
        }
    }

    /// What a motion asks of the place it starts from, once the program has sent axes to places of the machine.
    pub(super) fn need_place(&mut self, kind: Kind, end: Point3, curve: Curve) {
        let reader = &*self.reader;
        if !reader.up && reader.lost == [false; 3] {
            return;
        }
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        let from = reader.position;
        let across = from.plan() != end.plan() || curve != Curve::Straight;
        let lost = reader.lost.contains(&true);
        let level = !self.stating[2] && end.z == from.z;
        if reader.up && !self.stating[2] && end.z < from.z {
            self.reader.lose([false, false, true]);
            self.unproven(Code::UnprovenState, at, |_| {
                "This move goes down by an amount from machine Z home, and that height is not given: what \
                 follows is not checked. Give Z with G90 first."
                    .to_owned()
            });
        } else if kind == Kind::Feed && (lost || (reader.up && across && !level)) {
            self.reader.lost = [false; 3];
            self.unproven(Code::UnprovenState, at, |_| {
                "The tool feeds from a machine position that is not given: what it cuts on the way is not \
                 checked. Rapid to a stated place with G0 first."
                    .to_owned()
            });
        } else if kind == Kind::Rapid && (reader.lost[0] || reader.lost[1]) && self.comes_down(end) {
            let reader = &mut *self.reader;
            let states = (0..2).all(|axis| reader.stated[axis] || self.stating[axis]);
            reader.blind.push(Blind {
                z: end.z,
                motion: reader.out.motions.len(),
                line: reader.source.line(),
                column: super::quote::column(self.text, at),
                states,
            });
        }
    }

    fn comes_down(&self, end: Point3) -> bool {
        let reader = &*self.reader;
        if reader.up { self.stating[2] } else { end.z < reader.position.z }
    }
}

/// A rapid that comes down to a height over a place that the program has not stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blind {
    /// The height it comes down to.
    z: f64,
    /// Index of its motion.
    motion: usize,
    line: u32,
    column: u32,
    /// X and Y are stated on the same line.
    states: bool,
}

impl Reader<'_> {
    /// When the whole program is known: gives what is up the highest Z it states, and looks at the rapids that came
    /// down where X or Y is lost. Coming down to that height is what a program does before its first place.
    pub(super) fn settle_heights(&mut self) {
        if !self.rose && self.blind.is_empty() {
            return;
        }
        let motions = &mut self.out.motions;
        let stated = |(known, z): (Known, f64)| known.axis(2).then_some(z);
        let ends = motions.iter().flat_map(|m| [(m.start_known, m.start.z), (m.end_known, m.end.z)]);
        let Some(highest) = ends.filter_map(stated).reduce(f64::max) else { return };
        for motion in motions.iter_mut() {
            if motion.start_known.is_up() {
                motion.start.z = highest;
            }
            if motion.end_known.is_up() {
                motion.end.z = highest;
            }
        }
        let blind: Vec<Blind> =
            std::mem::take(&mut self.blind).into_iter().filter(|blind| blind.z < highest - LEVEL).collect();
        for blind in blind {
            self.tell_blind(&blind);
        }
    }

    fn tell_blind(&mut self, blind: &Blind) {
        let height = self.settings.units.fine_with_unit(blind.z);
        let (code, severity, message) = if blind.states {
            (
                Code::SlantingRapid,
                Severity::Look,
                format!(
                    "This rapid comes down to Z {height} while it crosses from a machine position that nobody has \
                     given. Normally X and Y come first, at a safe height, then Z."
                ),
            )
        } else {
            (
                Code::UnprovenState,
                Severity::Stop,
                format!(
                    "This rapid comes down to Z {height}, and where X and Y stand nobody has said since \
                     they were sent to a machine position: what follows is not checked. State X and Y \
                     first."
                ),
            )
        };
        if severity == Severity::Stop {
            self.unproven = true;
            for motion in self.out.motions.iter_mut().skip(blind.motion) {
                motion.proven = false;
            }
        }
        self.log.add(code, severity, || {
            Finding::new(code, severity, message).on_line(blind.line).in_column(blind.column)
        });
    }
}
