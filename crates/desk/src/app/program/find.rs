//! Looking for a line, a word or a Z level in a program, however long, without holding the window up.

use std::ops::Range;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

use blockwright_core::program::words::{Dialect, TokenKind, tokens};
use blockwright_core::program::{Motion, Program};
use blockwright_core::task::Cancel;

use super::buffer::Buffer;
use crate::background;
use crate::worker::Wake;

/// Lines looked at between two answers.
const BATCH: usize = 16_384;
/// Two numbers this near are written differently but are the same.
const SAME: f64 = 1e-9;
/// A motion this little above a level still ends at it; far finer than any control reads.
const LEVEL: f64 = 1e-6;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Query {
    /// A line by its number, from 1.
    Line(usize),
    /// A word by its letter and, where one is given, its number.
    Word { letter: u8, number: Option<f64> },
    /// Motions that end at this Z or beyond it.
    Level { z: f64, below: bool },
}

impl Query {
    /// Reads what was typed; `None` when it is none of the three.
    pub(super) fn read(text: &str) -> Option<Self> {
        let text: String =
            text.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_ascii_uppercase();
        if let Ok(line) = text.parse() {
            return Some(Self::Line(line));
        }
        let (letter, rest) = text.split_at_checked(1)?;
        let letter = *letter.as_bytes().first().filter(|letter| letter.is_ascii_uppercase())?;
        let level = |rest: &str| number(rest.strip_prefix('=').unwrap_or(rest));
        match (letter, rest.as_bytes().first()) {
            (_, None) => Some(Self::Word { letter, number: None }),
            (b'Z', Some(b'<')) => Some(Self::Level { z: level(&rest[1..])?, below: true }),
            (b'Z', Some(b'>')) => Some(Self::Level { z: level(&rest[1..])?, below: false }),
            _ => Some(Self::Word { letter, number: Some(number(rest)?) }),
        }
    }

    /// The parts of a line, in bytes, that are what is looked for.
    pub(super) fn parts(&self, line: &[u8], dialect: Dialect) -> Vec<Range<usize>> {
        let Self::Word { letter: wanted, number: like } = *self else { return Vec::new() };
        // Most lines do not even have the letter; those are not taken apart.
        if !line.iter().any(|byte| byte.to_ascii_uppercase() == wanted) {
            return Vec::new();
        }
        let is_it = |kind: &TokenKind| match *kind {
            TokenKind::Word { letter, number, .. } => {
                letter.to_ascii_uppercase() == wanted
                    && like.is_none_or(|like| number.is_some_and(|number| (number - like).abs() < SAME))
            }
            _ => false,
        };
        let hits = tokens(line, dialect).into_iter().filter(|token| is_it(&token.kind));
        hits.map(|token| token.span.from..token.span.to).collect()
    }
}

/// A number as programs write it: no exponent, no infinity.
fn number(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.'));
    text.parse().ok().filter(|_| plain)
}

/// Text and motions to look in.
#[derive(Debug, Clone)]
pub(super) struct Place {
    pub(super) buffer: Buffer,
    pub(super) dialect: Dialect,
    /// Motions, as far as the program has been read.
    pub(super) program: Option<Arc<Program>>,
    /// Which text this is; another one is searched anew.
    pub(super) of: (usize, u64, usize),
}

/// Lines found, some of them at a time.
struct Batch {
    lines: Vec<u32>,
    last: bool,
    /// The search broke off.
    broke: bool,
}

/// What is being looked for, and what has been found.
pub(super) struct Finder {
    pub(super) text: String,
    query: Option<Query>,
    of: Option<(usize, u64, usize)>,
    found: Vec<u32>,
    broke: bool,
    searching: Option<(Receiver<Batch>, Cancel)>,
}

impl std::fmt::Debug for Finder {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Finder")
            .field("query", &self.query)
            .field("found", &self.found.len())
            .finish_non_exhaustive()
    }
}

impl Drop for Finder {
    fn drop(&mut self) {
        self.halt();
    }
}

impl Finder {
    pub(super) fn new(text: String) -> Self {
        Self { query: Query::read(&text), text, of: None, found: Vec::new(), broke: false, searching: None }
    }

    pub(super) fn query(&self) -> Option<Query> {
        self.query
    }

    /// Lines found so far, in order.
    pub(super) fn found(&self) -> &[u32] {
        &self.found
    }

    /// Whether there may be more to come.
    pub(super) fn is_searching(&self) -> bool {
        self.searching.is_some()
    }

    fn halt(&mut self) {
        if let Some((_, cancel)) = self.searching.take() {
            cancel.raise();
        }
    }

    /// Takes what has been found; starts over when the query or the text is another.
    pub(super) fn follow(&mut self, place: &Place, wake: &Wake) {
        let query = Query::read(&self.text);
        if query != self.query || self.of != Some(place.of) {
            self.halt();
            self.query = query;
            self.of = Some(place.of);
            self.found.clear();
            self.broke = false;
            match query {
                Some(Query::Line(line)) if (1..=place.buffer.len()).contains(&line) => {
                    self.found.push(line as u32);
                }
                Some(query @ (Query::Word { .. } | Query::Level { .. })) => {
                    self.searching = start(query, place.clone(), Arc::clone(wake));
                }
                // No such line, or nothing that can be looked for.
                Some(Query::Line(_)) | None => {}
            }
        }
        self.take();
    }

    fn take(&mut self) {
        let Some((batches, _)) = &self.searching else { return };
        let mut over = false;
        for batch in batches.try_iter() {
            self.found.extend(batch.lines);
            over |= batch.last;
            self.broke |= batch.broke;
        }
        if over {
            self.searching = None;
        }
    }

    /// The line found next after this one, or before it; round again at the ends.
    pub(super) fn step(&self, from: u32, on: bool) -> Option<u32> {
        let after = self.found.partition_point(|line| *line <= from);
        let before = self.found.partition_point(|line| *line < from);
        let next = if on {
            self.found.get(after).or_else(|| self.found.first())
        } else {
            before.checked_sub(1).and_then(|at| self.found.get(at)).or_else(|| self.found.last())
        };
        next.copied()
    }

    /// How far it is, in words, with this line picked.
    pub(super) fn words(&self, picked: Option<u32>) -> String {
        let all = self.found.len();
        match (self.text.trim().is_empty(), self.query) {
            (true, _) => String::new(),
            _ if self.broke => "the search broke off".to_owned(),
            (_, None) => "try 120, X1.25 or Z<-0.5".to_owned(),
            (_, Some(Query::Line(_))) if all == 0 => "no such line".to_owned(),
            (_, Some(Query::Line(_))) => String::new(),
            _ if all == 0 => if self.is_searching() { "searching…" } else { "not found" }.to_owned(),
            _ => {
                let more = if self.is_searching() { " or more" } else { "" };
                let place = picked.and_then(|line| self.found.binary_search(&line).ok());
                place.map_or_else(
                    || format!("{all}{more} found"),
                    |place| format!("{} of {all}{more}", place + 1),
                )
            }
        }
    }
}

fn start(query: Query, place: Place, wake: Wake) -> Option<(Receiver<Batch>, Cancel)> {
    let (answer, answers) = channel();
    let cancel = Cancel::new();
    let asked = cancel.clone();
    let (end, woken) = (answer.clone(), Arc::clone(&wake));
    let work = move || {
        let say = |lines: Vec<u32>, last: bool| {
            let gone = answer.send(Batch { lines, last, broke: false }).is_err() || asked.is_raised();
            wake();
            !gone
        };
        match query {
            Query::Level { z, below } => {
                let lines = place.program.map(|program| at_level(&program, z, below));
                say(lines.unwrap_or_default(), true);
            }
            Query::Line(_) | Query::Word { .. } => with_word(&query, &place, say),
        }
    };
    let done = move |searched: Result<(), _>| {
        if searched.is_err() {
            let _ = end.send(Batch { lines: Vec::new(), last: true, broke: true });
            woken();
        }
    };
    background::start("find", "the search", work, done)?;
    Some((answers, cancel))
}

fn with_word(query: &Query, place: &Place, say: impl Fn(Vec<u32>, bool) -> bool) {
    let Place { buffer, dialect, .. } = place;
    for first in (0..buffer.len()).step_by(BATCH) {
        let lines = buffer.from(first).take(BATCH).enumerate();
        let hits = lines.filter(|(_, line)| !query.parts(line, *dialect).is_empty());
        let hits: Vec<u32> = hits.map(|(index, _)| (first + index) as u32 + 1).collect();
        if !say(hits, false) {
            return;
        }
    }
    say(Vec::new(), true);
}

/// Lines with a motion that ends at this Z of the program, or beyond it; each once, in the order of the text. Before the
/// program has stated a Z, nobody knows how high the tool is; one that was sent home is above everything.
fn at_level(program: &Program, z: f64, below: bool) -> Vec<u32> {
    let beyond = |motion: &&Motion| {
        let (known, end) = (motion.end_known, motion.end.z);
        if below {
            known.axis(2) && end <= z + LEVEL
        } else {
            known.is_up() || known.axis(2) && end >= z - LEVEL
        }
    };
    let motions = program.motions.iter().filter(beyond);
    let mut lines: Vec<u32> = motions.map(|motion| motion.line).collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    use blockwright_core::program::{Settings, read};
    use blockwright_core::task::Task;
    use blockwright_core::units::Units;

    #[test]
    fn what_is_typed_is_a_line_a_word_or_a_level() {
        let word = |letter, number| Some(Query::Word { letter, number });
        for (typed, meant) in [
            ("120", Some(Query::Line(120))),
            (" g2 ", word(b'G', Some(2.0))),
            ("x 1.250", word(b'X', Some(1.25))),
            ("M", word(b'M', None)),
            ("Z-.5", word(b'Z', Some(-0.5))),
            ("z<-0.5", Some(Query::Level { z: -0.5, below: true })),
            ("Z <= -.5", Some(Query::Level { z: -0.5, below: true })),
            ("Z>0.1", Some(Query::Level { z: 0.1, below: false })),
            ("", None),
            ("-3", None),
            ("X1E5", None),
            ("Xinf", None),
            ("Z<", None),
            ("\u{e9}1", None),
        ] {
            assert_eq!(Query::read(typed), meant, "{typed}");
        }
    }

    #[test]
    fn a_word_is_found_by_its_number_however_it_is_written() {
        let query = Query::read("X1.25").expect("a word");
        assert_eq!(query.parts(b"G1 X1.250 Y2", Dialect::default()), vec![3..9; 1]);
        assert_eq!(query.parts(b"g1x+1.25", Dialect::default()), vec![2..8; 1]);
        assert!(query.parts(b"G1 X1.2501 Y1.25 (X1.25)", Dialect::default()).is_empty());
    }

    #[test]
    fn a_level_is_found_only_where_the_program_has_stated_z() {
        let text = "G90 G20\nG0 X1. Y1.\nX2.\nZ.5\nG1 Z-.2 F5.\nX1.\nG0 Z.5\nG91 G28 Z0.\nG90 G0 X0.\nM30\n";
        let settings = Settings::new(Units::Inch);
        let program = read(text.as_bytes(), &settings, Task::quiet(&Cancel::new())).expect("nobody cancels");
        assert_eq!(at_level(&program, 0.0, true), [5, 6]);
        assert_eq!(at_level(&program, 0.0, false), [4, 7, 8, 9]);
    }

    fn found(text: &str, query: &str) -> Finder {
        let buffer = Buffer::new(text.as_bytes().into());
        let place = Place { buffer, dialect: Dialect::default(), program: None, of: (0, 0, 0) };
        let wake: Wake = Arc::new(|| {});
        let mut finder = Finder::new(query.to_owned());
        let start = Instant::now();
        finder.follow(&place, &wake);
        while finder.is_searching() && start.elapsed() < Duration::from_mins(1) {
            std::thread::yield_now();
            finder.follow(&place, &wake);
        }
        finder
    }

    #[test]
    fn every_line_with_the_word_is_found_once_over_all_batches() {
        let text: String =
            (1..=40_000).map(|line| format!("G1 X{}\n", line % 1000)).collect::<Vec<_>>().concat();
        let finder = found(&text, "X7");
        let plain: Vec<u32> = (1..=40_000).filter(|line| line % 1000 == 7).collect();
        assert_eq!(finder.found(), plain);
        assert_eq!(finder.step(7, true), Some(1007));
        assert_eq!(finder.step(1007, false), Some(7));
        assert_eq!(finder.step(1, false), Some(39_007), "round again");
        assert_eq!(finder.step(39_007, true), Some(7));
        assert_eq!(finder.words(Some(2007)), "3 of 40");
        assert_eq!(finder.words(Some(1)), "40 found");
        assert_eq!(found(&text, "40001").words(None), "no such line");
        assert_eq!(found(&text, "M9").words(None), "not found");
    }
}
