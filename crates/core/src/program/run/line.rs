//! One line being run.

use super::orders::Orders;
use super::quote::{column, shown};
use super::reader::{Reader, Stage, rely};
use super::source::Source;
use crate::control::PlainNumbers;
use crate::finding::{Asks, Code, Finding, Severity};
use crate::limits::MOTIONS;
use crate::program::result::End;
use crate::program::words::{Word, Words};

/// How close to an integer the number of a G, M, T, D, H, N or O word must be (NISTIR 6556, 3.3.2.1).
const NEAR_INTEGER: f64 = 0.0001;

/// Parameters that hold homes, zeros and G92 offsets (NISTIR 6556, table 2, from memory; 3.5.18 for G92).
const CONTROLS_OWN: std::ops::RangeInclusive<u16> = 5161..=5390;

/// Names that open loops and jumps on controls with macros (common practice, no source).
const LOOPS: [&str; 8] = ["WHILE", "IF", "GOTO", "DO", "END", "ENDIF", "ELSE", "THEN"];

/// What is done about a word that cannot be followed.
pub(super) const REMEDY: &str =
    "what the tool does from here on is not checked. Delete it or write it another way";

/// One line being run.
pub(super) struct Run<'r, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub text: &'r [u8],
    pub words: &'r Words,
    /// For each letter that comes once a line: one more than the index of its word.
    pub seen: [u16; 26],
    /// Letters that some word of the line has asked for, as a set.
    pub taken: u32,
    /// The same, but for those that are only left out.
    used: u32,
    /// Which of X, Y and Z the next motion states outright.
    pub stating: [bool; 3],
    /// What of the job the next finding asks for.
    asks: Vec<Asks>,
}

impl<'r, 'a> Run<'r, 'a> {
    pub(super) fn new(reader: &'r mut Reader<'a>, text: &'r [u8], words: &'r Words) -> Self {
        Self { reader, text, words, seen: [0; 26], taken: 0, used: 0, stating: [false; 3], asks: Vec::new() }
    }

    pub(super) fn line(&mut self) {
        let read = self.words;
        if read.deletable {
            let line = self.reader.source.line();
            self.reader.out.deletable.get_or_insert(line);
            if self.reader.settings.block_delete {
                return;
            }
        }
        if !read.problems.is_empty() && self.is_loop() {
            return;
        }
        for problem in &read.problems {
            self.tell_problem(problem);
        }
        if read.mark {
            self.mark();
        } else if !(read.found.is_empty() && read.problems.is_empty() && read.settings.is_empty()) {
            self.reader.stage = Stage::Running;
            self.run();
        }
    }

    /// Loops and jumps of macro programs: told once, and the line is not read as words.
    fn is_loop(&mut self) -> bool {
        let behind_number = |byte: &u8| !matches!(byte, b' ' | b'\t' | b'0'..=b'9' | b'N' | b'n' | b'/');
        let Some(at) = self.text.iter().position(behind_number) else { return false };
        let letters = self.text.get(at..).unwrap_or_default();
        let count = letters.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
        let name = String::from_utf8_lossy(letters.get(..count).unwrap_or_default()).to_uppercase();
        if !LOOPS.contains(&name.as_str()) {
            return false;
        }
        self.reader.stage = Stage::Running;
        self.unproven(Code::UnprovenWord, at, |_| {
            format!(
                "{name} is a loop or a jump of a macro program, which is not followed: the line is left out and {REMEDY}. \
                 Post the program without macros."
            )
        });
        true
    }

    /// `%` opens the program when nothing came before it, and ends it otherwise. In a called text it only frames it.
    fn mark(&mut self) {
        let number =
            self.words.found.first().filter(|word| word.letter == b'O' && self.words.found.len() == 1);
        if let Some(word) = number.filter(|_| self.reader.stage == Stage::Opening) {
            self.reader.number = whole(word.value);
        } else if let Some(first) = self.words.found.first() {
            self.unproven(Code::UnprovenWord, first.span.from, |word| {
                format!("{word} is on a line with % and cannot be followed there: {REMEDY}.")
            });
        }
        if let Some(setting) = self.words.settings.first() {
            self.unproven(Code::UnprovenWord, setting.span.from, |_| {
                format!("A parameter is set on a line with %, where it may not be read: {REMEDY}.")
            });
        }
        if self.reader.source.called().is_some() {
            return;
        }
        if self.reader.stage == Stage::Opening {
            self.reader.stage = Stage::Running;
            self.reader.ending.opened_by_mark = true;
        } else {
            self.reader.ending.closed_by_mark = true;
            self.end(End::Mark);
        }
    }

    pub(super) fn end(&mut self, end: End) {
        self.reader.stage = Stage::Ended;
        self.reader.ending.end = end;
        self.reader.ending.line = self.reader.source.line();
    }

    /// The order of execution of NISTIR 6556, table 8.
    fn run(&mut self) {
        if self.words.unset.is_some() {
            self.tell_unset();
        }
        let before = self.reader.out.motions.len();
        let orders = self.collect();
        self.set_speeds(&orders);
        self.set_modes(&orders);
        self.set_frame(&orders);
        self.move_axes(&orders);
        if orders.call.is_some() && orders.end {
            self.tell_call_and_end(&orders);
        } else if orders.call.is_some() {
            self.call(&orders);
        }
        if !orders.foreign {
            self.tell_unasked();
        }
        if self.reader.unproven {
            // Also what the line had moved before the word was met that cannot be followed.
            for motion in self.reader.out.motions.iter_mut().skip(before) {
                motion.proven = false;
            }
        }
        self.set_parameters();
        self.reader.begun |= self.words.found.iter().any(|word| !matches!(word.letter, b'O' | b'N'));
        if orders.end {
            self.end(End::Word);
        } else if self.reader.is_full() {
            self.tell_full();
        }
    }

    fn tell_call_and_end(&mut self, orders: &Orders) {
        self.take_all();
        let at = orders.call.map_or(0, |(_, at)| at);
        self.unproven(Code::UnprovenWord, at, |word| {
            format!(
                "{word} is on a line with the end of the program, and controls differ in which comes first; \
                 it is left out and nothing is checked. Write two lines."
            )
        });
    }

    fn tell_full(&mut self) {
        self.unproven(Code::UnprovenState, 0, |_| {
            format!(
                "The program has made {MOTIONS} motions and dwells, or more steps than any block \
                 takes; the rest is left out and not checked. Split it, or check whether the count of \
                 repeats is meant."
            )
        });
        self.end(End::Text);
    }

    /// Parameters take their new values after everything else on the line (NISTIR 6556, 3.3.3).
    fn set_parameters(&mut self) {
        for setting in &self.words.settings {
            self.reader.parameters.set(setting.index, setting.value);
            if CONTROLS_OWN.contains(&setting.index) {
                self.unproven(Code::UnprovenState, setting.span.from, |_| {
                    format!(
                        "Parameter #{} is where the control keeps its homes and zeros; what changing it \
                         does from here is not followed and not checked. Use G10 L2, or set it at the \
                         control.",
                        setting.index
                    )
                });
            }
        }
    }

    /// The text of a called program ends without M99.
    pub(super) fn tell_unreturned(&mut self) {
        let number = self.reader.source.called().unwrap_or_default();
        self.unproven(Code::UnprovenState, 0, |_| {
            format!(
                "Program {number} ends without M99; it is taken as if it came back there, which is not \
                     checked. End it with M99."
            )
        });
        self.reader.source.come_back_unreturned();
    }

    pub(super) fn tell_endless(&mut self) {
        self.unproven(Code::UnprovenState, 0, |_| {
            "Calls have made the program longer than 20 million lines; the rest is left out and not \
             checked. Check whether the count is meant."
                .to_owned()
        });
        self.end(End::Text);
    }

    /// Letters that no word of the line has asked for.
    fn tell_unasked(&mut self) {
        for letter in *b"DHLPQIJKR" {
            let Some(word) = self.word(letter).filter(|_| self.taken & bit(letter) == 0) else { continue };
            if matches!(letter, b'D' | b'H') && word.value == 0.0 && !self.reader.settings.strict {
                continue; // asks for no offset, and none was asked for
            }
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!("{word} belongs to no other word on this line: {REMEDY}.")
            });
        }
    }

    /// The word of a letter that comes once a line.
    pub(super) fn word(&self, letter: u8) -> Option<Word> {
        let index = self.seen[usize::from(letter - b'A')].checked_sub(1)?;
        self.words.found.get(usize::from(index)).copied()
    }

    /// The same, and it is not left over. Two words that both want it make it doubtful.
    pub(super) fn take(&mut self, letter: u8) -> Option<Word> {
        let twice = self.used & bit(letter) != 0;
        self.taken |= bit(letter);
        self.used |= bit(letter);
        let word = self.word(letter)?;
        if twice {
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!(
                    "{word} may belong to two words of this line: which one takes it is not checked. Write \
                     two lines."
                )
            });
        }
        Some(word)
    }

    pub(super) fn take_all(&mut self) {
        self.taken = u32::MAX;
    }

    pub(super) fn first_of(&self, letters: &[u8]) -> Option<Word> {
        letters.iter().find_map(|letter| self.word(*letter))
    }

    /// A word's number as a length in the unit of the result.
    pub(super) fn length(&mut self, word: Word) -> f64 {
        let reader = &mut *self.reader;
        // nothing is nothing in every unit
        if word.value != 0.0 {
            rely(reader.said.units, &mut reader.start.units, reader.source.line());
        }
        let increments = reader.settings.plain_numbers == PlainNumbers::Increments && !word.point;
        let value = if increments {
            // dividing keeps 0.1234 the nearest number to .1234, as multiplying by 0.0001 would not
            word.value / reader.modal.units.pick(10_000.0, 1_000.0)
        } else {
            word.value
        };
        value * reader.factor()
    }

    /// Lets the next finding ask for this of the job.
    pub(super) fn asking(&mut self, asks: Asks) -> &mut Self {
        self.asks.push(asks);
        self
    }

    /// A finding after which nothing is proven.
    pub(super) fn unproven(&mut self, code: Code, at: usize, message: impl FnOnce(&str) -> String) {
        self.reader.unproven = true;
        self.find(code, Severity::Stop, at, message);
    }

    /// A finding at a byte of this line; `message` is given the word that starts there.
    pub(super) fn find(
        &mut self,
        code: Code,
        severity: Severity,
        at: usize,
        message: impl FnOnce(&str) -> String,
    ) {
        let (text, words, source) = (self.text, self.words, &self.reader.source);
        let asks = std::mem::take(&mut self.asks);
        self.reader.log.add(code, severity, || {
            let finding = in_line((text, words, source), (code, severity, at), message);
            Finding { asks, ..finding }
        });
    }

    /// A finding at a byte of this line, to be told later.
    pub(super) fn found_here(
        &self,
        code: Code,
        severity: Severity,
        at: usize,
        message: impl FnOnce(&str) -> String,
    ) -> Finding {
        in_line((self.text, self.words, &self.reader.source), (code, severity, at), message)
    }
}

/// A finding at a byte of a line; `message` is given the word that starts there.
fn in_line(
    (text, words, source): (&[u8], &Words, &Source<'_>),
    (code, severity, at): (Code, Severity, usize),
    message: impl FnOnce(&str) -> String,
) -> Finding {
    let word = words.found.iter().find(|word| word.span.from == at);
    let message = message(word.map(|word| shown(text, word.span)).as_deref().unwrap_or_default());
    let finding = match source.elsewhere() {
        None => Finding::new(code, severity, message).in_column(column(text, at)),
        Some((file, line)) => {
            Finding::new(code, severity, format!("In {file}, called here, line {line}: {message}"))
        }
    };
    finding.on_line(source.line())
}

/// A letter's place in a set of letters.
pub(super) const fn bit(letter: u8) -> u32 {
    1 << (letter - b'A')
}

/// The whole number that this is, if it is one.
pub(super) fn whole(value: f64) -> Option<u32> {
    let round = value.round();
    let fits = (value - round).abs() <= NEAR_INTEGER && (0.0..=f64::from(u32::MAX)).contains(&round);
    fits.then_some(round as u32)
}
