//! What the words of one line ask for together: which of them count, and which contradict each other.

use super::super::line::{REMEDY, Run};
use super::super::modal::{Mode, Single, Stranger};
use super::super::reader::Pile;
use super::Orders;
use crate::finding::{Code, Severity};
use crate::program::words::Word;

impl Run<'_, '_> {
    pub(super) fn conflict(&mut self, word: &Word) {
        self.conflict_at(word.span.from);
    }

    fn conflict_at(&mut self, at: usize) {
        self.unproven(Code::UnprovenWord, at, |word| {
            format!(
                "{word} contradicts another word on this line: which one counts is not checked. Delete \
                     one of them."
            )
        });
    }

    /// A motion word beside one that takes the axis words for itself (NISTIR 6556, 3.4): neither is run. In practice
    /// G0 and G1 beside a home word are in force from there on.
    pub(super) fn settle(&mut self, orders: &mut Orders) {
        self.settle_pile(orders);
        self.settle_scale(orders);
        self.settle_passed(orders);
        self.settle_turning(orders);
        let takes = orders.single.is_some_and(|(single, _)| single.takes_axes());
        let Some((mode, at)) = orders.mode.filter(|_| takes) else { return };
        let home = match orders.single {
            Some((Single::Home(_), _)) => true,
            Some((Single::Local, _)) => self.are_zero(b"XYZ"),
            _ => false,
        };
        if home && matches!(mode, Mode::Rapid | Mode::Line) && !self.reader.settings.strict {
            return;
        }
        if mode != Mode::None {
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} is on a line with a word that takes X, Y and Z for itself, so neither is run \
                     and what follows is not checked. Write two lines."
                )
            });
            orders.mode = None;
            orders.single = None;
            orders.stranger = Stranger::TakesAxes;
            orders.foreign = true;
        }
    }

    /// Several words of the motion group on one line. Without axis words they only set what is in force, and the last
    /// one holds (common practice, no source); with axis words it is open which of them moves.
    fn settle_pile(&mut self, orders: &mut Orders) {
        if orders.piled.is_none() && orders.beside_g80.is_none() {
            return;
        }
        let home = matches!(orders.single, Some((Single::Home(_) | Single::Local, _)));
        let moves = !home && self.first_of(b"XYZIJKR").is_some();
        let cycle = matches!(orders.mode, Some((Mode::Cycle(_), _)));
        let wrong = orders.piled.or(orders.beside_g80.filter(|_| cycle).map(|(at, _)| at));
        if let Some(at) = wrong.filter(|_| moves) {
            self.conflict_at(at);
        } else if !moves {
            let rapid = orders.piled.is_none() && matches!(orders.mode, Some((Mode::Rapid, _)));
            match orders.beside_g80 {
                Some((at, true)) if !rapid => orders.mode = Some((Mode::None, at)),
                _ => {
                    let pile = if rapid { Pile::Rapid } else { Pile::Mixed };
                    self.reader.piled = Some((self.reader.source.line(), pile));
                    return;
                }
            }
        }
        self.reader.piled = None;
    }

    /// Whether these words, as far as they are there, are all 0.
    pub(in super::super) fn are_zero(&self, letters: &[u8]) -> bool {
        letters.iter().all(|letter| self.word(*letter).is_none_or(|word| word.value == 0.0))
    }

    /// A later line goes by a motion word that stood on a line with others.
    pub(in super::super) fn tell_pile(&mut self, at: usize, (line, pile): (u32, Pile)) {
        let (severity, which) = match pile {
            Pile::Rapid => (Severity::Note, "G0 and G80 together; it is followed as a rapid"),
            Pile::Mixed => (Severity::Look, "several; the last of them is followed, and controls differ"),
        };
        self.find(Code::UsualReading, severity, at, |_| {
            format!(
                "This line has no motion word of its own, and line {line}, whose motion it continues, has {which}. \
                 Write G0 or G1 on this line."
            )
        });
    }

    /// G50 ends scaling when it stands by itself. With axis words it is something else on every control.
    fn settle_scale(&mut self, orders: &mut Orders) {
        let Some(at) = orders.unscale else { return };
        let started = orders.turn.is_some_and(|turn| turn != 0);
        let letters: &[u8] = if started { b"IJKP" } else { b"IJKPS" };
        let own_move = orders.mode.is_some_and(|(mode, _)| mode != Mode::None);
        if self.first_of(letters).is_some() || (self.first_of(b"XYZ").is_some() && !own_move) {
            orders.stranger = orders.stranger.max(Stranger::TakesAxes);
            orders.foreign = true;
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} with other words beside it scales the path, sets a zero or limits the speed, by the control: \
                     {REMEDY}. To end scaling, write it on a line of its own."
                )
            });
        }
    }
}
