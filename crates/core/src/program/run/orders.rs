//! What the G and M words of one line ask for, and where they contradict each other.

use super::compensation::Side;
use super::line::{REMEDY, Run, whole};
use super::modal::{FeedMode, GWord, Group, MWord, Mode, Single, Stranger, g_word, m_word};
use super::strangers::{g_stranger, letter_stranger, m_stranger};
use crate::finding::Code;
use crate::job::UnitWords;
use crate::program::motion::Plane;
use crate::program::words::{Span, Word};
use crate::units::Units;

/// M words a line may have (NISTIR 6556, 3.3.3).
const M_WORDS: u32 = 4;

/// Larger lengths, feeds and speeds are no lengths, feeds or speeds of any machine.
const LARGEST: f64 = 1e9;

/// What the G and M words of one line ask for. Each with the byte of its word where a message may need it.
#[derive(Debug, Default)]
pub(super) struct Orders {
    pub mode: Option<(Mode, usize)>,
    pub plane: Option<(Plane, usize)>,
    pub units: Option<(Units, Span)>,
    pub absolute: Option<bool>,
    pub feed_mode: Option<FeedMode>,
    pub radius: Option<(Option<Side>, usize)>,
    pub length: Option<(bool, usize)>,
    pub to_clear: Option<(bool, usize)>,
    pub system: Option<(u8, usize)>,
    pub single: Option<(Single, usize)>,
    /// What the words that cannot be followed do to the axis words.
    pub stranger: Stranger,
    /// There is a word that cannot be followed, so that others may be meant for it.
    pub foreign: bool,
    pub tool_change: bool,
    pub turn: Option<i8>,
    pub coolant: Option<bool>,
    pub end: bool,
    pub call: Option<(MWord, usize)>,
    /// Groups and count of what has been read so far.
    groups: u32,
    m_words: u32,
}

impl Orders {
    /// Whether G53 is on the line.
    pub(super) const fn is_machine(&self) -> bool {
        matches!(self.single, Some((Single::Machine, _)))
    }
}

impl Run<'_, '_> {
    /// Looks at every word once; letters that come once a line are left in `seen`.
    pub(super) fn collect(&mut self) -> Orders {
        let mut orders = Orders::default();
        let words = self.words;
        for (index, word) in words.found.iter().enumerate() {
            match word.letter {
                b'G' => self.g_word(word, &mut orders),
                b'M' => self.m_word(word, &mut orders),
                b'A' | b'B' | b'C' | b'E' | b'U' | b'V' | b'W' => {
                    orders.foreign = true;
                    self.stranger(word, Some(letter_stranger(word.letter)));
                }
                _ => self.once(index, word),
            }
        }
        self.settle(&mut orders);
        orders
    }

    fn once(&mut self, index: usize, word: &Word) {
        let place = usize::from(word.letter - b'A');
        if self.seen[place] != 0 {
            let letter = char::from(word.letter);
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!(
                    "{word} is the second {letter} on this line: which one holds is not proven. Leave one."
                )
            });
        }
        if self.sound(word) {
            self.seen[place] = index as u16 + 1;
        }
    }

    /// Whether the number can be what its letter says; a finding if not.
    fn sound(&mut self, word: &Word) -> bool {
        let want = match word.letter {
            b'T' if whole(word.value).is_none_or(|n| n > u32::from(u16::MAX)) => {
                "a whole number from 0 to 65535"
            }
            b'O' | b'D' | b'H' if whole(word.value).is_none() => "a whole number from 0 up",
            b'N' if word.value < 0.0 || word.value.fract() != 0.0 => "a whole number from 0 up",
            b'N' => return true,
            b'F' | b'S' if word.value < 0.0 => "0 or more",
            _ if word.value.abs() > LARGEST => "a number that a machine can reach",
            _ => return true,
        };
        self.unproven(Code::BadNumber, word.span.from, |word| {
            format!(
                "{word} needs {want}, so it is left out and what follows is not proven. Correct the number."
            )
        });
        false
    }

    fn stranger(&mut self, word: &Word, why: Option<&'static str>) {
        self.unproven(Code::UnprovenWord, word.span.from, |word| match why {
            Some(why) => format!("{word} cannot be followed. It {why}; {REMEDY}."),
            None => format!("{word} cannot be followed: {REMEDY}."),
        });
    }

    fn g_word(&mut self, word: &Word, orders: &mut Orders) {
        let tenths = whole(word.value * 10.0);
        let g70 = self.reader.settings.unit_words == UnitWords::G70G71;
        let known = match tenths {
            Some(700) if g70 => Some((Group::Units, GWord::Units(Units::Inch))),
            Some(710) if g70 => Some((Group::Units, GWord::Units(Units::Mm))),
            _ => tenths.and_then(g_word),
        };
        let Some((group, asked)) = known else {
            let (stranger, why) = g_stranger(tenths);
            orders.stranger = orders.stranger.max(stranger);
            orders.foreign = true;
            self.stranger(word, why);
            return;
        };
        if orders.groups & group.bit() != 0 {
            self.conflict(word);
        }
        orders.groups |= group.bit();
        let at = word.span.from;
        match asked {
            GWord::Motion(mode) => orders.mode = Some((mode, at)),
            GWord::Plane(plane) => orders.plane = Some((plane, at)),
            GWord::Units(units) => orders.units = Some((units, word.span)),
            GWord::Absolute(absolute) => orders.absolute = Some(absolute),
            GWord::FeedMode(mode) => orders.feed_mode = Some(mode),
            GWord::Radius(side) => orders.radius = Some((side, at)),
            GWord::Length(on) => orders.length = Some((on, at)),
            GWord::ToClear(to_clear) => orders.to_clear = Some((to_clear, at)),
            GWord::System(system) => orders.system = Some((system, at)),
            GWord::Single(single) => orders.single = Some((single, at)),
            GWord::Granted => {
                let path = f64::from(tenths.unwrap_or_default()) / 10.0;
                self.reader.note(|| format!("G{path}"));
            }
        }
    }

    fn m_word(&mut self, word: &Word, orders: &mut Orders) {
        orders.m_words += 1;
        let number = whole(word.value);
        let Some((groups, asked)) = number.and_then(m_word) else {
            orders.foreign = true;
            self.stranger(word, m_stranger(number));
            return;
        };
        if orders.groups & groups != 0 {
            self.conflict(word);
        } else if orders.m_words > M_WORDS {
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!("{word} is the fifth M word on this line; controls take four. Move it to a line of its own.")
            });
        }
        orders.groups |= groups;
        match asked {
            MWord::Granted => self.reader.note(|| format!("M{}", number.unwrap_or_default())),
            MWord::End => orders.end = true,
            MWord::Turn(turning) => orders.turn = Some(turning),
            MWord::ToolChange => orders.tool_change = true,
            MWord::Coolant(on) => orders.coolant = Some(on),
            MWord::Call | MWord::Return => orders.call = Some((asked, word.span.from)),
        }
    }

    fn conflict(&mut self, word: &Word) {
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!("{word} contradicts another word on this line: which one holds is not proven. Leave one.")
        });
    }

    /// A motion word beside one that takes the axis words for itself (NISTIR 6556, 3.4): neither is run.
    fn settle(&mut self, orders: &mut Orders) {
        let takes = orders.single.is_some_and(|(single, _)| single.takes_axes());
        let Some((mode, at)) = orders.mode.filter(|_| takes) else { return };
        if mode != Mode::None {
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} stands on a line with a word that takes X, Y and Z for itself, so neither is run and what \
                     follows is not proven. Write two lines."
                )
            });
            orders.mode = None;
            orders.single = None;
            orders.stranger = Stranger::TakesAxes;
            orders.foreign = true;
        }
    }
}
