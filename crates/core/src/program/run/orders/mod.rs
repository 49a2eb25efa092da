//! What the G and M words of one line ask for, and where they contradict each other.

mod settle;

use super::compensation::Side;
use super::line::{REMEDY, Run, whole};
use super::modal::{FeedMode, GWord, Group, MWord, Mode, Single, Stranger, g_word, m_word, usual_g_word};
use super::strangers::{g_stranger, letter_stranger, m_calls, m_stranger};
use crate::control::{ArcCenters, PassedWord, UnitWords};
use crate::finding::{Asks, Code, Severity};
use crate::program::motion::Plane;
use crate::program::words::{Span, Word};
use crate::units::Units;

/// M words a line may have (NISTIR 6556, 3.3.3).
const M_WORDS: u32 = 4;

/// Larger lengths, feeds and speeds are no lengths, feeds or speeds of any machine.
const LARGEST: f64 = 1e9;

/// What the G and M words of one line ask for. Each with the byte of its word where a message may need it.
#[derive(Debug, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each says one thing that the line asks for")]
pub(super) struct Orders {
    pub mode: Option<(Mode, usize)>,
    /// G80 beside another motion word, and whether it comes last.
    beside_g80: Option<(usize, bool)>,
    /// A second motion word that asks for something else than the first.
    piled: Option<usize>,
    /// How corners are taken.
    pub path: Option<(u32, usize)>,
    pub centers: Option<ArcCenters>,
    /// A word that ends scaling.
    unscale: Option<usize>,
    pub plane: Option<(Plane, usize)>,
    pub units: Option<(Units, Span)>,
    pub absolute: Option<bool>,
    pub feed_mode: Option<FeedMode>,
    pub radius: Option<(Option<Side>, usize)>,
    pub length: Option<(bool, usize)>,
    pub to_clear: Option<(bool, usize)>,
    pub system: Option<(u16, usize)>,
    /// G54.1.
    pub extended: Option<usize>,
    /// G68 or G69, G51.1 or G50.1.
    pub rotate: Option<(bool, usize)>,
    pub mirror: Option<(bool, usize)>,
    /// A word that moves nothing on this control, and takes what belongs to no other.
    passed: Option<usize>,
    pub single: Option<(Single, usize)>,
    /// A word that rotates or mirrors has the axis words.
    pub turns: bool,
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
    /// A further motion word of the line.
    fn pile(&mut self, mode: Mode, at: usize) {
        match (self.mode, mode) {
            (Some((before, _)), mode) if before == mode => {}
            (Some((Mode::None, g80)), mode) => {
                self.beside_g80 = Some((g80, false));
                self.mode = Some((mode, at));
            }
            (_, Mode::None) => self.beside_g80 = Some((at, true)),
            (_, mode) => {
                self.piled = Some(at);
                self.beside_g80 = self.beside_g80.map(|(at, _)| (at, false));
                self.mode = Some((mode, at));
            }
        }
    }

    /// Whether several motion words stand on the line.
    pub(super) const fn is_piled(&self) -> bool {
        self.piled.is_some() || self.beside_g80.is_some()
    }

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
                b'A' | b'B' | b'C' if self.stays_at_zero(word) => {}
                b'U' if self.dwells() => self.once(index, word),
                b'E' if self.belongs_to_passed() => {}
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

    /// A rotary axis that a program only ever sends to 0 stays where the block was touched off.
    fn stays_at_zero(&mut self, word: &Word) -> bool {
        let stays = word.value == 0.0 && !self.reader.turned && !self.reader.settings.strict;
        self.reader.turned |= !stays;
        stays
    }

    fn once(&mut self, index: usize, word: &Word) {
        let place = usize::from(word.letter - b'A');
        if self.seen[place] != 0 {
            let letter = char::from(word.letter);
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!(
                    "{word} is the second {letter} on this line: which one counts is not checked. Delete \
                     one of them."
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
                "{word} needs {want}, so it is left out and what follows is not checked. Correct the number."
            )
        });
        false
    }

    /// A word that cannot be followed. Where nothing is known of it, or only that it does something beside the path, the
    /// shop may know that it moves nothing.
    fn stranger(&mut self, word: &Word, why: Option<&'static str>) {
        let beside_path = why.is_none() || (word.letter == b'M' && !m_calls(whole(word.value)));
        if let Some(passed) = PassedWord::of(word.letter, word.value).filter(|_| beside_path) {
            self.asking(Asks::MovesNothing(passed));
        }
        self.unproven(Code::UnprovenWord, word.span.from, |word| match why {
            Some(why) => format!("{word} cannot be followed. It {why}; {REMEDY}."),
            None => format!("{word} cannot be followed: {REMEDY}."),
        });
    }

    fn g_word(&mut self, word: &Word, orders: &mut Orders) {
        let tenths = whole(word.value * 10.0);
        let usual = |tenths| Some(tenths).filter(|_| !self.reader.settings.strict).and_then(usual_g_word);
        let known = match tenths {
            Some(700) if self.is_unit_word(Units::Inch) => Some((Group::Units, GWord::Units(Units::Inch))),
            Some(710) if self.is_unit_word(Units::Mm) => Some((Group::Units, GWord::Units(Units::Mm))),
            _ => tenths.and_then(|tenths| g_word(tenths).or_else(|| usual(tenths))),
        };
        let Some((group, asked)) = known else {
            if self.is_passed(word) {
                self.pass_over(word, orders);
                return;
            }
            let (stranger, why) = g_stranger(tenths);
            orders.stranger = orders.stranger.max(stranger);
            orders.foreign = true;
            self.stranger(word, why);
            return;
        };
        let again = orders.groups & group.bit() != 0;
        orders.groups |= group.bit();
        let at = word.span.from;
        if again && group == Group::Motion && !self.reader.settings.strict {
            if let GWord::Motion(mode) = asked {
                orders.pile(mode, at);
            }
            return;
        }
        if again && asked != GWord::Off && !self.is_repeated(word) {
            self.conflict(word);
        }
        match asked {
            GWord::Motion(mode) => orders.mode = Some((mode, at)),
            GWord::Plane(plane) => orders.plane = Some((plane, at)),
            GWord::Units(units) => {
                orders.units = Some((units, word.span));
                if matches!(tenths, Some(700 | 710)) {
                    self.tell_old_unit(units, at);
                }
            }
            GWord::Absolute(absolute) => orders.absolute = Some(absolute),
            GWord::FeedMode(mode) => orders.feed_mode = Some(mode),
            GWord::Radius(side) => orders.radius = Some((side, at)),
            GWord::Length(on) => orders.length = Some((on, at)),
            GWord::ToClear(to_clear) => orders.to_clear = Some((to_clear, at)),
            GWord::System(system) => orders.system = Some((system, at)),
            GWord::Extended => orders.extended = Some(at),
            GWord::Rotate(on) => orders.rotate = Some((on, at)),
            GWord::Mirror(on) => orders.mirror = Some((on, at)),
            GWord::Single(single) => orders.single = Some((single, at)),
            GWord::Path(path) => {
                orders.path = Some((path, at));
                self.reader.note(|| format!("G{}", f64::from(path) / 10.0));
            }
            GWord::Centers(centers) => orders.centers = Some(centers),
            GWord::Off if group == Group::Scale => orders.unscale = Some(at),
            GWord::Off => {}
        }
    }

    /// Whether the job says of a word that cannot be followed that it moves nothing.
    fn is_passed(&self, word: &Word) -> bool {
        self.reader.settings.moves_nothing.iter().any(|passed| passed.is(word.letter, word.value))
    }

    fn belongs_to_passed(&self) -> bool {
        self.words.found.iter().any(|word| matches!(word.letter, b'G' | b'M') && self.is_passed(word))
    }

    fn pass_over(&mut self, word: &Word, orders: &mut Orders) {
        orders.foreign = true; // P, Q and their like are its own
        if word.letter == b'G' {
            orders.passed = Some(word.span.from);
        }
        self.reader.note(|| format!("{}{}", char::from(word.letter), word.value));
        let key = (word.letter, word.value.to_bits());
        if self.reader.told.passed.contains(&key) {
            return;
        }
        self.reader.told.passed.push(key);
        self.find(Code::UsualReading, Severity::Note, word.span.from, |word| {
            format!(
                "{word} is skipped: the job's control says, under \"moves_nothing\", that it moves nothing."
            )
        });
    }

    /// With axis words and no motion word beside it, a word that moves nothing may take them.
    fn settle_passed(&mut self, orders: &mut Orders) {
        let Some(at) = orders.passed.filter(|_| orders.mode.is_none() && orders.single.is_none()) else {
            return;
        };
        if self.first_of(b"XYZ").is_some() {
            orders.stranger = Stranger::TakesAxes;
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} is on a line with X, Y or Z and no motion word, and may take them for itself: {REMEDY}."
                )
            });
        }
    }

    /// M48 and M49 change nothing that is cut, but what the operator can do about it.
    fn overrides(&mut self, on: bool, word: &Word) {
        self.reader.note(|| if on { "M48" } else { "M49" }.to_owned());
        if !on && !std::mem::replace(&mut self.reader.told.overrides, true) {
            self.find(Code::OverridesOff, Severity::Look, word.span.from, |word| {
                format!(
                    "From {word} on the operator's feed and speed override knobs do nothing, until M48. Make sure that this \
                     is meant, and keep a hand on feed hold."
                )
            });
        }
    }

    /// Whether G4 stands on the line, whose time some posts write as U.
    fn dwells(&self) -> bool {
        let dwell = |word: &Word| word.letter == b'G' && word.value == 4.0;
        !self.reader.settings.strict && self.words.found.iter().any(dwell)
    }

    /// Whether G70 or G71 chooses a unit: the job says so, or it says nothing and the word can hardly ask for anything
    /// else (common practice, no source).
    fn is_unit_word(&self, units: Units) -> bool {
        if let Some(words) = self.reader.settings.unit_words {
            return words == UnitWords::G70G71;
        }
        let contradicts = self.reader.said.units && self.reader.modal.units != units;
        let alone = || !self.words.found.iter().any(|word| b"XYZIJKLPQRDHE".contains(&word.letter));
        !self.reader.settings.strict && !contradicts && alone()
    }

    /// A guess that changes the unit is one to look at.
    fn tell_old_unit(&mut self, units: Units, at: usize) {
        if self.reader.settings.unit_words.is_some() || self.reader.modal.units == units {
            return;
        }
        self.asking(Asks::UnitWords).find(Code::UsualReading, Severity::Look, at, |word| {
            format!(
                "{word} is read as the word for {}. Say so in the job, control, \"unit_words\": \"g70_g71\", or check \
                 what your control does with it.",
                if units == Units::Inch { "inch" } else { "millimeter" }
            )
        });
    }

    /// Whether the same word stands on the line before.
    fn is_repeated(&self, word: &Word) -> bool {
        let before = self.words.found.iter().take_while(|other| other.span.from < word.span.from);
        let same = |other: &Word| (other.letter, other.value) == (word.letter, word.value);
        !self.reader.settings.strict && before.copied().any(|other| same(&other))
    }

    fn m_word(&mut self, word: &Word, orders: &mut Orders) {
        orders.m_words += 1;
        let number = whole(word.value);
        let Some((groups, asked)) = number.and_then(m_word) else {
            if self.is_passed(word) {
                self.pass_over(word, orders);
                return;
            }
            orders.foreign = true;
            self.stranger(word, m_stranger(number));
            return;
        };
        if orders.groups & groups != 0 {
            if self.is_repeated(word) {
                return;
            }
            self.conflict(word);
        } else if orders.m_words > M_WORDS {
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!("{word} is the fifth M word on this line; controls take four. Move it to a line of its own.")
            });
        }
        orders.groups |= groups;
        match asked {
            MWord::Granted => self.reader.note(|| format!("M{}", number.unwrap_or_default())),
            MWord::Overrides(on) => self.overrides(on, word),
            MWord::End => orders.end = true,
            MWord::Turn(turning) => orders.turn = Some(turning),
            MWord::ToolChange => orders.tool_change = true,
            MWord::Coolant(on) => orders.coolant = Some(on),
            MWord::Call | MWord::Return => orders.call = Some((asked, word.span.from)),
        }
    }
}
