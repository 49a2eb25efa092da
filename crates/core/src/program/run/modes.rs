//! Plane, units, compensation, coordinate systems and what else stays in force: steps 11 to 19 of the order of
//! execution.

use super::compensation::{self, Side};
use super::frame::Unknown;
use super::line::{REMEDY, Run, whole};
use super::modal::{Mode, Stranger};
use super::orders::Orders;
use super::reader::{Compensated, rely};
use super::settings::offset;
use crate::finding::{Asks, Code, Severity};
use crate::program::motion::{Kind, Plane};

/// G64, in tenths.
const SMOOTHING: u32 = 640;

impl Run<'_, '_> {
    pub(super) fn set_modes(&mut self, orders: &Orders) {
        if let Some((plane, at)) = orders.plane {
            self.reader.said.plane = true;
            if plane != Plane::Xy && self.reader.compensated.is_some() {
                self.not_while_compensating(at);
            }
            self.reader.modal.plane = plane;
        }
        if let Some((units, span)) = orders.units {
            self.reader.said.units = true;
            if units != self.reader.modal.units && self.reader.compensated.is_some() {
                self.not_while_compensating(span.from);
            }
            // an F of this line has its own finding
            let without_feed = self.word(b'F').is_none() && self.reader.modal.feed > 0.0;
            self.reader.old_feed |= without_feed && units != self.reader.modal.units;
            self.reader.modal.units = units;
        }
        if let Some(centers) = orders.centers {
            self.reader.centers = centers;
        }
        if let Some((path, at)) = orders.path {
            self.set_path(path, at);
        }
        if let Some((side, at)) = orders.radius {
            self.set_radius(side, at);
        }
        if let Some((on, at)) = orders.length {
            self.set_length(on, at);
        }
        if let Some((system, at)) = orders.system {
            self.set_system(system, at);
        }
        if let Some(at) = orders.extended {
            self.set_extended_system(at);
        }
        if let Some((on, at)) = orders.mirror {
            self.mirror(on, at, orders);
        }
        if let Some((on, at)) = orders.rotate {
            self.rotate(on, at);
        }
        if let Some(absolute) = orders.absolute {
            self.reader.said.distance = true;
            self.reader.modal.absolute = absolute;
        }
        if let Some((to_clear, at)) = orders.to_clear {
            self.reader.said.retract = true;
            let running = matches!(self.reader.modal.mode, Mode::Cycle(_)) && orders.mode.is_none();
            if running && to_clear && !self.reader.modal.to_clear {
                self.find(Code::UnprovenState, Severity::Look, at, |word| {
                    format!(
                        "{word} comes while a cycle is running with G99. It is followed as published, back to the level of \
                         the hole before; some controls go back to the level before the whole cycle. Write it with the \
                         cycle's own line."
                    )
                });
            }
            self.reader.modal.to_clear = to_clear;
        }
        self.set_motion(orders);
    }

    /// How corners are taken moves no programmed point. Its P and Q say how far off the control may go.
    fn set_path(&mut self, path: u32, at: usize) {
        if self.reader.settings.strict {
            return;
        }
        let by = self.take(b'P').or(self.take(b'Q'));
        if path == SMOOTHING && by.is_some() && !std::mem::replace(&mut self.reader.told.smoothing, true) {
            self.find(Code::UsualReading, Severity::Note, at, |word| {
                format!(
                    "{word} lets the control round corners off by as much as its P says. The path is followed as \
                     programmed."
                )
            });
        }
    }

    fn set_motion(&mut self, orders: &Orders) {
        let mode = match orders.mode {
            Some((mode, _)) => mode,
            None if orders.stranger == Stranger::Cycle => Mode::None,
            None => return,
        };
        if orders.mode.is_some() && !orders.is_piled() {
            self.reader.piled = None;
        }
        if !matches!(mode, Mode::Cycle(_)) {
            self.reader.cycle = super::cycle::CycleState::default();
        }
        self.reader.modal.mode = mode;
    }

    pub(super) fn not_while_compensating(&mut self, at: usize) {
        self.unproven(Code::UnprovenState, at, |word| {
            format!(
                "{word} comes while cutter compensation is on, which controls refuse; what follows is not \
                 checked. Write G40 before it."
            )
        });
    }

    /// G40, G41, G42 (NISTIR 6556, 3.5.10 and appendix B).
    fn set_radius(&mut self, side: Option<Side>, at: usize) {
        let Some(side) = side else {
            self.reader.compensated = None;
            return;
        };
        if self.reader.compensated.is_some() {
            self.not_while_compensating(at);
        }
        let reader = &mut *self.reader;
        rely(reader.said.plane, &mut reader.start.plane, reader.source.line());
        if reader.modal.plane != Plane::Xy {
            self.take(b'D');
            self.unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} works in the XY plane alone, and another is in force; what follows is not \
                         checked. Write G17 before it."
                )
            });
            return;
        }
        let radius = self.compensation_radius(at);
        let programmed = self.reader.position;
        let side = if self.reader.frame.turned().flips(Plane::Xy) { side.other() } else { side };
        let state = compensation::on(side, radius);
        let state = if self.reader.settings.strict { state } else { state.looking_ahead() };
        self.reader.compensated = Some(Compensated { state, programmed, along: None });
    }

    /// Half the diameter of the D number, or of the tool in the spindle without one. When no table gives it, the
    /// path is shown as programmed.
    fn compensation_radius(&mut self, at: usize) -> f64 {
        let given = self.take(b'D');
        let number = given.and_then(|word| whole(word.value)).or(self.reader.settings.tool);
        self.reader.note(|| format!("compensation by D{}", number.unwrap_or_default()));
        if number == Some(0) {
            return 0.0;
        }
        let in_table = |number: u32| offset(&self.reader.settings.diameter_offsets, number);
        if let Some(diameter) = number.and_then(in_table) {
            let tool = self.reader.settings.tool;
            if let Some(tool) = tool.filter(|tool| number != Some(*tool) && in_table(*tool).is_some()) {
                self.tell_other_diameter(given.map_or(at, |word| word.span.from), tool);
            }
            return diameter / 2.0;
        }
        let at = given.map_or(at, |word| word.span.from);
        self.asking(Asks::DiameterOffset(number.unwrap_or(1))).unproven(Code::UnprovenState, at, |word| {
            format!(
                "{word} takes the cutter's diameter from a table of the control that the job does not give, \
                 so the path is shown without compensation and is not checked. Give it in the job, control, \
                 \"diameter_offsets\"."
            )
        });
        0.0
    }

    /// G43 and G49 (NISTIR 6556, 3.5.11).
    fn set_length(&mut self, on: bool, at: usize) {
        if !on {
            let known = self.reader.frame.height_known();
            self.reader.frame.length_off(self.reader.settings);
            if known && !self.reader.frame.height_known() {
                self.reader.stated[2] = false;
            }
            return;
        }
        let Some((number, at)) = self.take(b'H').and_then(|word| Some((whole(word.value)?, word.span.from)))
        else {
            if self.words.found.iter().any(|word| word.letter == b'H') {
                return; // its number has been told of
            }
            self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} has no H to say which tool length: {REMEDY}. Write H and the offset number.")
            });
            return;
        };
        if self.reader.frame.touched_off() && self.reader.stated[2] {
            self.tell_late_length(at);
        }
        self.reader.note(|| format!("G43 H{number}"));
        let tools =
            [self.reader.settings.tool, Some(u32::from(self.reader.modal.tool)).filter(|tool| *tool > 0)];
        let loose = !self.reader.settings.strict && self.reader.settings.length_offsets.is_empty();
        if loose && number != 0 {
            self.reader.frame.length_of_touch_off();
            if let Some(tool) = tools[0].filter(|_| !tools.contains(&Some(number))) {
                self.tell_other_length(at, tool);
            }
            return;
        }
        match self.reader.frame.length_on(number, self.reader.settings) {
            Ok(()) => {}
            Err(Unknown) => self.asking_lengths(number).unproven(Code::UnprovenState, at, |word| {
                format!(
                    "{word} is not the number of this pass's tool, and the job does not give the lengths of both: the \
                     height of the tip is not known from here on. Correct H, or give both lengths in the job, control, \
                     \"length_offsets\"."
                )
            }),
        }
    }

    /// Asks for the length of this number, and for that of the pass's tool.
    fn asking_lengths(&mut self, number: u32) -> &mut Self {
        if let Some(tool) = self.reader.settings.tool.filter(|tool| *tool != number) {
            self.asking(Asks::LengthOffset(tool));
        }
        self.asking(Asks::LengthOffset(number))
    }

    /// The program has moved in Z, and only now says which length.
    fn tell_late_length(&mut self, at: usize) {
        let rapids = || self.reader.out.motions.iter().all(|motion| motion.kind == Kind::Rapid);
        if !self.reader.settings.strict && self.reader.settings.length_offsets.is_empty() && rapids() {
            self.reader.stated[2] = false;
            self.find(Code::UnprovenState, Severity::Look, at, |word| {
                format!(
                    "Before {word} the program moves in Z without a tool length: how high the tip is then depends on what \
                     the control has in force. Normally G43 comes before the first Z."
                )
            });
            return;
        }
        self.unproven(Code::UnprovenState, at, |word| {
            format!(
                "Before {word} the program has moved in Z without a tool length, and how high the tip was then is \
                 not known. Write G43 before the first Z."
            )
        });
    }

    fn tell_other_diameter(&mut self, at: usize, tool: u32) {
        self.find(Code::OtherOffset, Severity::Look, at, |word| {
            format!(
                "{word} is not the number of this pass's tool, {tool}, for which the table has a diameter of its own. It is \
                 followed with the diameter that {word} has. Check whether that is meant."
            )
        });
    }

    fn tell_other_length(&mut self, at: usize, tool: u32) {
        self.find(Code::OtherOffset, Severity::Look, at, |word| {
            format!(
                "{word} is not the number of this pass's tool, {tool}. It is followed as the length of the tool that was \
                 touched off. Check whether that is meant."
            )
        });
    }
}
