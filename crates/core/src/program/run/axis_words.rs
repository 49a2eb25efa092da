//! The axis words of a line: what moves by them, and what they stand there for in vain.

use super::line::{REMEDY, Run, bit};
use super::modal::{Mode, Single, Stranger};
use super::orders::Orders;
use crate::finding::Code;
use crate::program::words::Word;

impl Run<'_, '_> {
    pub(super) fn move_axes(&mut self, orders: &Orders) {
        if orders.mode.is_none() && orders.stranger != Stranger::Bystander {
            self.take_all(); // the word that takes them has its finding
            return;
        }
        if orders.turns || orders.single.is_some_and(|(single, _)| single.takes_axes()) {
            return; // done with the frame
        }
        if orders.single.is_some_and(|(single, _)| single.only_shifts()) && self.first_of(b"XYZ").is_some() {
            return; // told of with the frame
        }
        if matches!(orders.single, Some((Single::Dwell, _))) && self.word(b'P').is_none() {
            return self.tell_dwell_axes(); // X may be the dwell's own
        }
        let axis = self.first_of(b"XYZ");
        if let (Some(word), None, Some(pile)) = (axis, orders.mode, self.reader.piled) {
            self.reader.piled = None;
            self.tell_pile(word.span.from, pile);
        }
        let about = self.first_of(b"IJKR");
        match (self.reader.modal.mode, axis, about) {
            (_, None, None) => {}
            (Mode::Arc { .. } | Mode::Cycle(_), _, _) if orders.is_machine() => self.tell_machine(orders),
            (Mode::None, Some(word), _) => self.tell_no_motion(word),
            (Mode::Arc { ccw }, _, _) => self.arc(ccw),
            (Mode::Cycle(kind), _, _) => self.cycle(kind),
            (mode, axis, about) => {
                if let Some(word) = about.filter(|_| axis.is_some() || mode != Mode::None) {
                    self.tell_no_arc(word);
                }
                if axis.is_some() {
                    self.straight(mode, orders);
                }
            }
        }
    }

    /// Y and Z beside a dwell whose time stands in X or U.
    fn tell_dwell_axes(&mut self) {
        let Some(word) = self.first_of(b"YZ").filter(|_| !self.reader.settings.strict) else { return };
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!(
                "{word} stands on a line with G4, whose time is not given by P: {REMEDY}. Write two lines."
            )
        });
    }

    fn tell_no_motion(&mut self, word: Word) {
        self.take_all();
        self.unproven(Code::UnprovenState, word.span.from, |word| {
            format!(
                "{word} comes where no motion is in force, so it is not run and what follows is not \
                 checked. Write G0, G1, G2 or G3 on this line."
            )
        });
    }

    /// G53 works with G0 and G1 alone (NISTIR 6556, 3.5.12).
    fn tell_machine(&mut self, orders: &Orders) {
        self.take_all();
        let at = orders.single.map_or(0, |(_, at)| at);
        self.unproven(Code::UnprovenWord, at, |word| {
            format!(
                "{word} goes straight, with G0 or G1, and another motion is in force; the line is left out \
                 and what follows is not checked. Write G0 or G1 on this line."
            )
        });
    }

    fn tell_no_arc(&mut self, word: Word) {
        for letter in *b"IJKR" {
            self.taken |= bit(letter);
        }
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!("{word} belongs to an arc, but no G2 or G3 is in force: {REMEDY}.")
        });
    }
}
