//! Programs that are called: in which order lines are run, and the copies that an air pass calls instead.
//!
//! An air pass must not call the real program, whose Z moves would stay where they are. It holds a lifted copy of each
//! under a number of its own, which no other program has.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use super::scan::Next;
use super::words::Words;
use crate::limits::{CALL_DEPTH, CALLED_LINES};
use crate::program::words::TokenKind;
use crate::program::{Settings, called, heading, held, number_and_times};
use crate::rewrite::Refusal;
use crate::rewrite::origin::{Origin, renumbered};
use crate::rewrite::text::{Edits, Line, body, lines, read, words};

/// Times that a called program is looked at in one call: what it leaves in force is the same after the second time.
const LOOKED_AT: u32 = 2;
/// Most programs that are copied.
const MOST_COPIED: usize = 256;
/// Program numbers that P has room for beside a count.
const NUMBERS: u32 = 10_000;

/// The P word of a call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct CallSite {
    /// The number of the program called.
    pub number: u32,
    /// The digits of P in the text.
    place: Range<usize>,
    /// What P counts beside the number.
    counted: u32,
    line: u32,
}

impl CallSite {
    /// The call that a line makes, and how often; `None` where it cannot be told.
    pub(super) fn of(words: &Words<'_>, settings: &Settings) -> Option<(Self, u32)> {
        let whole = |value: f64| {
            ((0.0..=f64::from(u32::MAX)).contains(&value) && value.fract() == 0.0).then_some(value as u32)
        };
        let word = words.find(b'P')?;
        let given = whole(word.number?)?;
        let times = words.value(b'L').map_or(Some(1), whole)?;
        let (number, times) = number_and_times(given, times, settings.subprograms?);
        let place = words.line.start + word.span.start + 1..words.line.start + word.span.end;
        let counted = if given == number { 0 } else { given / NUMBERS };
        Some((Self { number, place, counted, line: words.line.number }, times))
    }

    /// Has it call another number.
    pub(super) fn renumber(&self, text: &[u8], number: u32, edits: &mut Edits) -> Result<(), Refusal> {
        if self.counted > 0 && number >= NUMBERS {
            return Err(Refusal::on_line(
                self.line,
                "The called program needs a number of its own in the air pass, and P has no room for one of more than four \
                 digits beside its count. Free a lower program number.",
            ));
        }
        let width = text.get(self.place.clone()).unwrap_or_default().trim_ascii().len();
        let with = self.counted * NUMBERS + number;
        edits.put(self.place.clone(), format!("{with:0width$}"));
        Ok(())
    }
}

/// A call that has not come back.
#[derive(Debug)]
struct Call {
    back: usize,
    start: usize,
    more: u32,
}

/// Which line comes next.
#[derive(Debug)]
pub(super) struct Order {
    held: BTreeMap<u32, Vec<usize>>,
    at: usize,
    open: Vec<Call>,
    calls: Vec<CallSite>,
    main_end: Option<usize>,
    looked: usize,
}

impl Order {
    pub(super) fn new(text: &[u8], settings: &Settings) -> Self {
        let held = if called(text, settings).is_empty() { BTreeMap::new() } else { held(text, settings) };
        Self { held, at: 0, open: Vec::new(), calls: Vec::new(), main_end: None, looked: 0 }
    }

    /// Index of the next line of `count`.
    pub(super) fn next(&mut self, count: usize) -> Option<usize> {
        while self.at >= count && !self.open.is_empty() {
            self.come_back();
        }
        self.looked += 1;
        if self.main_end.is_some() || self.looked > CALLED_LINES {
            return None;
        }
        self.at += 1;
        Some(self.at - 1)
    }

    pub(super) fn is_called(&self) -> bool {
        !self.open.is_empty()
    }

    /// Goes on as the line says.
    pub(super) fn follow(&mut self, next: Next) -> Result<(), Refusal> {
        match next {
            Next::Line => {}
            Next::Back => self.come_back(),
            Next::End => self.main_end = Some(self.open.first().map_or(self.at, |call| call.back)),
            Next::Call(site, times) => {
                let start = match self.held.get(&site.number).map(Vec::as_slice) {
                    Some([one]) if self.open.len() < CALL_DEPTH => *one,
                    _ => {
                        return Err(Refusal::on_line(
                            site.line,
                            format!(
                                "Program {} is called here and was not found once, so an air pass cannot be made of it \
                                 with certainty. Put its lines in the place of the call.",
                                site.number
                            ),
                        ));
                    }
                };
                if !self.calls.contains(&site) {
                    self.calls.push(site);
                }
                if times > 0 {
                    self.open.push(Call { back: self.at, start, more: times.min(LOOKED_AT) - 1 });
                    self.at = start;
                }
            }
        }
        Ok(())
    }

    fn come_back(&mut self) {
        let Some(call) = self.open.last_mut() else { return };
        if call.more > 0 {
            call.more -= 1;
            self.at = call.start;
        } else {
            self.at = call.back;
            self.open.pop();
        }
    }

    /// Index of the line behind the main program's last.
    pub(super) fn main_ended_before(&self, count: usize) -> usize {
        self.main_end.unwrap_or(count)
    }

    pub(super) fn calls(self) -> Vec<CallSite> {
        self.calls
    }
}

/// Writes new numbers over the called programs' own, by `numbers`.
pub(super) fn renumber_held(
    text: &[u8],
    settings: &Settings,
    numbers: &BTreeMap<u32, u32>,
    edits: &mut Edits,
) {
    let starts: BTreeMap<usize, u32> = held(text, settings)
        .into_iter()
        .flat_map(|(number, at)| at.into_iter().map(move |at| (at, number)))
        .collect();
    for (index, line) in lines(text).enumerate() {
        let Some(new) = starts.get(&index).and_then(|number| numbers.get(number)) else { continue };
        if let Some((place, _)) = Origin::number_of(line, settings) {
            let old = text.get(place.clone()).unwrap_or_default();
            edits.put(place, renumbered(old, *new));
        }
    }
}

/// The text with the programs that it calls from beside it put behind its own, so that they can be lifted as well.
pub(super) fn bundled<'t>(text: &'t [u8], settings: &Settings) -> Cow<'t, [u8]> {
    let mut whole = Cow::Borrowed(text);
    for _ in 0..MOST_COPIED {
        let there = held(&whole, settings);
        let missing = called(&whole, settings).into_iter().find_map(|number| {
            let mut of_it = settings.beside.iter().filter(|other| other.number == number);
            let one = of_it.next().filter(|_| !there.contains_key(&number))?;
            of_it.next().is_none().then_some(one)
        });
        let Some(other) = missing else { break };
        let at = end_of_programs(&whole, settings);
        let mut piece = Vec::new();
        if at > 0 && !matches!(whole.get(at - 1), Some(b'\n' | b'\r')) {
            piece.extend_from_slice(b"\n");
        }
        piece.extend(copy_of(&other.text, other.number, settings));
        let mut edits = Edits::default();
        edits.put(at..at, piece);
        whole = Cow::Owned(edits.apply(&whole));
    }
    whole
}

/// Where a program can be put behind the others: before the `%` that ends them, or at the end.
fn end_of_programs(text: &[u8], settings: &Settings) -> usize {
    let mut begun = false;
    let heading = heading(text);
    for line in lines(text).skip_while(|line| line.number <= heading) {
        let tokens = read(line, settings);
        let any = tokens.iter().any(|token| !matches!(token.kind, TokenKind::Blank | TokenKind::Comment));
        if begun && tokens.iter().any(|token| token.kind == TokenKind::Mark) {
            return line.start;
        }
        begun |= any;
    }
    body(text).0.len()
}

/// A called program as lines of a text that holds several: with its number, without `%`, and coming back at its end.
fn copy_of(text: &[u8], number: u32, settings: &Settings) -> Vec<u8> {
    let mut out = Vec::new();
    let kept = |line: &Line<'_>| !read(*line, settings).iter().any(|token| token.kind == TokenKind::Mark);
    let first = lines(text).filter(&kept).find(|line| !words(&read(*line, settings)).is_empty());
    let named =
        first.and_then(|line| Origin::number_of(line, settings)).is_some_and(|(_, own)| own == number);
    if !named {
        out.extend_from_slice(format!("O{number}\n").as_bytes());
    }
    let mut comes_back = false;
    for line in lines(text).filter(&kept) {
        let words = words(&read(line, settings));
        comes_back |= words.iter().any(|word| word.letter == b'M' && word.number == Some(99.0));
        out.extend_from_slice(line.text);
        out.extend_from_slice(if line.end.is_empty() { b"\n" } else { line.end });
    }
    if !comes_back {
        out.extend_from_slice(b"M99\n");
    }
    out
}
