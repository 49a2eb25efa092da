//! Finding the numbers that a lift changes, and what it cannot be made of.

use std::collections::BTreeSet;
use std::ops::Range;

use super::calls::{CallSite, Order};
use super::site::Site;
use super::words::{TAKE_OUT, Words};
use crate::control::{ArcCenters, HomeAxes};
use crate::program::words::TokenKind;
use crate::program::{Plane, Settings, heading};
use crate::rewrite::text::{Line, Word, lines, read, words};
use crate::rewrite::{NotWritten, Refusal};
use crate::task::Task;
use crate::units::Units;

/// Lines between two looks at the cancel flag.
const LINES_A_LOOK: u32 = 4096;

/// What the scan found.
#[derive(Debug, Default)]
pub(super) struct Scanned {
    /// In the order of the text.
    pub sites: Vec<Site>,
    /// Lines that go to places of the machine, which a lift does not move.
    pub machine_lines: BTreeSet<u32>,
    /// The first of them whose way goes by a stated height, which is lifted.
    pub by_way: Option<u32>,
    /// The first line that writes into the control's tables.
    pub writes_offsets: Option<u32>,
    /// The programs it calls.
    pub calls: Vec<CallSite>,
    /// The first line up to which X and Y have both been stated; the highest number there is when they have not.
    pub plan_line: u32,
    /// It is sent somewhere in X and Y while nobody knows how high it stands.
    pub starts_open: bool,
    /// The first line that begins with `/`.
    pub first_slash: Option<u32>,
    /// The first line behind the end that has words and is not run.
    pub left_alone: Option<u32>,
    /// Numbers are written `.5` rather than `0.5`.
    pub bare_point: bool,
}

/// Which motion is in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mode {
    None,
    Straight,
    Arc,
    Cycle,
}

/// At which height the tool stands in the lifted program, held against the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Level {
    /// The program has not said.
    Open,
    /// Higher, by the lift.
    Lifted,
    /// The same: at a place of the machine, or where the operator has put it.
    Same,
}

/// Runs over a program that the interpreter has followed to its end, line by line as it is run.
pub(super) fn scan(text: &[u8], settings: &Settings, task: Task<'_>) -> Result<Scanned, NotWritten> {
    let all: Vec<Line<'_>> = lines(text).collect();
    let mut order = Order::new(text, settings);
    let (mut scan, heading) = (Scan::new(settings), heading(text));
    let (mut looked, mut run) = (0_u32, BTreeSet::new());
    while let Some(index) = order.next(all.len()) {
        let Some(line) = all.get(index) else { break };
        looked = looked.wrapping_add(1);
        if looked.is_multiple_of(LINES_A_LOOK) {
            task.cancel.check()?;
        }
        if order.is_called() {
            run.insert(line.number);
        }
        if line.number <= heading && !order.is_called() {
            continue;
        }
        let next = scan.line(*line, order.is_called())?;
        order.follow(next)?;
    }
    let behind = all.iter().skip(order.main_ended_before(all.len()));
    let mut left = behind.filter(|line| !run.contains(&line.number));
    scan.found.left_alone =
        left.find(|line| !words(&read(**line, settings)).is_empty()).map(|line| line.number);
    scan.found.calls = order.calls();
    scan.settle()
}

/// What comes after a line.
#[derive(Debug)]
pub(super) enum Next {
    Line,
    /// Another program is called, with this word.
    Call(CallSite, u32),
    /// Back to where it was called.
    Back,
    /// The program ends.
    End,
}

/// What is in force from line to line, as far as heights depend on it.
#[derive(Debug)]
struct Scan<'a> {
    settings: &'a Settings,
    found: Scanned,
    /// What was made of every height that was run over: a line that is run again must come out the same.
    made: Vec<(Range<usize>, Option<Site>, u32)>,
    units: Units,
    plane: Plane,
    absolute: bool,
    centres: ArcCenters,
    mode: Mode,
    level: Level,
    /// The program has said where it is in X and Y.
    stated: [bool; 2],
    begun: bool,
}

impl<'a> Scan<'a> {
    fn new(settings: &'a Settings) -> Self {
        Self {
            settings,
            found: Scanned { plan_line: u32::MAX, ..Scanned::default() },
            made: Vec::new(),
            units: settings.units,
            plane: Plane::Xy,
            absolute: true,
            centres: settings.arc_centers,
            mode: Mode::None,
            level: Level::Open,
            stated: [false; 2],
            begun: false,
        }
    }

    fn line(&mut self, line: Line<'_>, called: bool) -> Result<Next, Refusal> {
        let tokens = read(line, self.settings);
        let words = Words { line, words: words(&tokens) };
        let has = |kind| tokens.iter().any(|token| token.kind == kind);
        if has(TokenKind::Slash) {
            self.found.first_slash.get_or_insert(line.number);
        }
        if has(TokenKind::Mark) && !called && self.begun {
            return Ok(Next::End);
        }
        self.begun |= tokens.iter().any(|token| !matches!(token.kind, TokenKind::Blank | TokenKind::Comment));
        words.refuse_computed_orders()?;
        words.refuse_macros()?;
        self.found.bare_point |= words.words.iter().any(|word| words.has_bare_point(word));
        if !self.set_modes(&words)? {
            self.move_axes(&words)?;
        }
        self.next(&words, called)
    }

    fn next(&self, words: &Words<'_>, called: bool) -> Result<Next, Refusal> {
        if let Some(word) = words.number_of(b'M', &[97.0]) {
            return Err(words.refuse(word, "jumps within the program", TAKE_OUT));
        }
        if words.number_of(b'M', &[98.0]).is_some() {
            let (site, times) = CallSite::of(words, self.settings).ok_or_else(|| words.refuse_call())?;
            return Ok(Next::Call(site, times));
        }
        if words.number_of(b'M', &[99.0]).is_some() {
            return Ok(if called { Next::Back } else { Next::End });
        }
        Ok(if words.number_of(b'M', &[2.0, 30.0]).is_some() { Next::End } else { Next::Line })
    }

    /// Takes the G words; tells whether one of them takes the axis words for itself.
    fn set_modes(&mut self, words: &Words<'_>) -> Result<bool, Refusal> {
        let (mut takes_axes, mut ends_motion, mut motion) = (false, false, None);
        for word in words.words.iter().filter(|word| word.letter == b'G') {
            match tenths(word) {
                0 | 10 => motion = Some(Mode::Straight),
                20 | 30 => motion = Some(Mode::Arc),
                730 | 740 | 760 | 810..=890 => motion = Some(Mode::Cycle),
                800 => ends_motion = true,
                170 => self.plane = Plane::Xy,
                180 => self.plane = Plane::Zx,
                190 => self.plane = Plane::Yz,
                200 | 700 => self.units = Units::Inch,
                210 | 710 => self.units = Units::Mm,
                900 => self.absolute = true,
                910 => self.absolute = false,
                901 => self.centres = ArcCenters::Absolute,
                911 => self.centres = ArcCenters::Incremental,
                _ => takes_axes |= self.takes_axes(words, word)?,
            }
        }
        self.mode = motion.unwrap_or(if ends_motion { Mode::None } else { self.mode });
        // What takes the axes needs to know G90 and G91 first, wherever they stand on the line.
        self.take_axes(words)?;
        Ok(takes_axes)
    }

    /// Whether a G word takes the axis words of its line for itself; refuses what no lift can be made of.
    fn takes_axes(&mut self, words: &Words<'_>, word: &Word) -> Result<bool, Refusal> {
        Ok(match tenths(word) {
            40 | 280 | 300 | 530 | 520 | 920 | 501 | 680 => true,
            511 => {
                words.refuse_z(word, "mirrors heights")?;
                true
            }
            100 => {
                let sets_origin = words.value(b'L') == Some(2.0);
                if !sets_origin {
                    let why = "writes into the control's tables what an air pass would write differently";
                    words.refuse_z(word, why)?;
                }
                self.found.writes_offsets.get_or_insert(words.line.number);
                true
            }
            _ => false,
        })
    }

    /// What the words do that take the axes for themselves.
    fn take_axes(&mut self, words: &Words<'_>) -> Result<(), Refusal> {
        for word in words.words.iter().filter(|word| word.letter == b'G') {
            match tenths(word) {
                100 if !self.absolute => {
                    let why = "adds to an offset of the control each time it is run, in G91";
                    return Err(words.refuse(word, why, TAKE_OUT));
                }
                280 | 300 => self.go_home(words)?,
                530 => {
                    self.found.machine_lines.insert(words.line.number);
                    if words.find(b'Z').is_some() {
                        self.level = Level::Same;
                    }
                }
                920 => {
                    if let Some(z) = words.find(b'Z') {
                        // A tool that stands higher must read higher there, so that the zero stays.
                        let lifted = self.level == Level::Lifted;
                        self.made(words, z, lifted)?;
                        self.level = if lifted { Level::Lifted } else { Level::Same };
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// G28 and G30: by way of the programmed point, which is lifted where it is stated; from there the way is that of
    /// the machine.
    fn go_home(&mut self, words: &Words<'_>) -> Result<(), Refusal> {
        let (line, z) = (words.line.number, words.find(b'Z'));
        self.found.machine_lines.insert(line);
        if let Some(z) = z.filter(|_| self.absolute) {
            self.made(words, z, true)?;
            self.found.by_way.get_or_insert(line);
        }
        let named = [b'X', b'Y', b'Z'].into_iter().any(|letter| words.find(letter).is_some());
        if z.is_some() || !named || self.settings.home_axes == Some(HomeAxes::All) || self.settings.strict {
            self.level = Level::Same;
        }
        Ok(())
    }

    fn move_axes(&mut self, words: &Words<'_>) -> Result<(), Refusal> {
        let has = |letter| words.find(letter).is_some();
        let centre = |letter| self.mode == Mode::Arc && has(letter);
        let moves = [b'X', b'Y', b'Z'].into_iter().any(has) || [b'I', b'J', b'K'].into_iter().any(centre);
        if self.mode == Mode::None {
            return Ok(());
        }
        if moves {
            self.state_plan(words);
            if let Some(z) = words.find(b'Z') {
                self.height(words, z)?;
            }
        }
        if self.mode == Mode::Cycle
            && self.plane == Plane::Xy
            && let Some(word) = words.find(b'R')
        {
            self.made(words, word, self.absolute)?;
        }
        if self.mode == Mode::Arc
            && self.plane != Plane::Xy
            && let Some(word) = words.find(b'K')
        {
            self.made(words, word, self.centres == ArcCenters::Absolute)?;
        }
        Ok(())
    }

    fn state_plan(&mut self, words: &Words<'_>) {
        for (axis, letter) in [b'X', b'Y'].into_iter().enumerate() {
            let sent = words.find(letter).is_some();
            self.stated[axis] |= self.absolute && sent;
            self.found.starts_open |= self.level == Level::Open && sent;
        }
        if self.stated == [true; 2] && self.found.plan_line == u32::MAX {
            self.found.plan_line = words.line.number;
        }
    }

    /// A Z word that moves.
    fn height(&mut self, words: &Words<'_>, z: &Word) -> Result<(), Refusal> {
        if self.absolute {
            self.made(words, z, true)?;
            self.level = Level::Lifted;
            return Ok(());
        }
        match self.level {
            Level::Lifted => self.made(words, z, false)?,
            // From a place that does not rise with the program the first step makes up for it.
            Level::Same => {
                self.made(words, z, true)?;
                self.level = Level::Lifted;
            }
            Level::Open if z.number.is_some_and(|by| by >= 0.0) && self.mode == Mode::Straight => {
                self.made(words, z, false)?;
            }
            Level::Open => {
                return Err(words.refuse(
                    z,
                    "goes on from a Z that the program has not stated",
                    "Write a G90 line with the Z the tool starts from before it.",
                ));
            }
        }
        Ok(())
    }

    /// Keeps what becomes of a number.
    fn made(&mut self, words: &Words<'_>, word: &Word, lifted: bool) -> Result<(), Refusal> {
        let span = word.span.start + 1..word.span.end;
        let place = words.line.start + span.start..words.line.start + span.end;
        let site = if lifted { Some(Site::of(words, word, self.units, self.settings)?) } else { None };
        self.made.push((place, site, words.line.number));
        Ok(())
    }

    /// The sites in the order of the text. One that is run again must be lifted in the same way.
    fn settle(mut self) -> Result<Scanned, NotWritten> {
        self.made.sort_by_key(|(place, ..)| place.start);
        let unlike = |a: &Option<Site>, b: &Option<Site>| {
            a.as_ref().map(|site| site.units) != b.as_ref().map(|site| site.units)
        };
        for pair in self.made.windows(2) {
            let [(place, site, line), (next, other, _)] = pair else { continue };
            if place.start == next.start && unlike(site, other) {
                return Err(Refusal::on_line(
                    *line,
                    "This line is run more than once, and its height would have to be lifted once and left the other \
                     time, so an air pass cannot be made of this program with certainty. Write the lines out.",
                )
                .into());
            }
        }
        self.made.dedup_by_key(|(place, ..)| place.start);
        self.found.sites = self.made.into_iter().filter_map(|(_, site, _)| site).collect();
        Ok(self.found)
    }
}

/// The number of a G word in tenths; none of a G word otherwise.
fn tenths(word: &Word) -> u32 {
    word.number
        .map(|number| (number * 10.0).round())
        .filter(|tenths| (0.0..10_000.0).contains(tenths))
        .map_or(u32::MAX, |tenths| tenths as u32)
}
