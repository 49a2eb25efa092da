//! From words to motions: what a control would do with a program, line by line.

use super::arc::{Fitted, about_centre, with_radius};
use super::lexer::{Fault, Problem, Span, Word, Words};
use super::lines::Lines;
use super::log::Log;
use super::modal::{GWord, MWord, Modal, Mode, Stranger, g_word, m_word, stranger};
use super::motion::{Curve, Kind, Motion, Plane};
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Point, Point3};
use crate::job::{ArcCenters, Control, PlainNumbers};
use crate::task::{Cancelled, Task};
use crate::units::Units;

/// How close to an integer the number of a G, M, T, N or O word must be (NISTIR 6556, 3.3.2.1).
const NEAR_INTEGER: f64 = 0.0001;

/// Larger lengths, feeds and speeds are no lengths, feeds or speeds of any machine.
const LARGEST: f64 = 1e9;

/// Rounding that may lie between a mismatch and its tolerance.
const ROUNDING: f64 = 1e-9;

/// Lines between two looks at the cancel flag.
const LINES_A_LOOK: usize = 4096;

/// M words a line may have (NISTIR 6556, 3.3.3).
const M_WORDS: u32 = 4;

/// What is done about a word that cannot be followed.
const REMEDY: &str = "what the tool does from here on is not proven. Take it out or write it another way";

/// How a program is to be understood where its text leaves it open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Unit of the result, and the unit in force until the first G20 or G21.
    pub units: Units,
    /// What `X1` means. Holds for X, Y, Z, I, J, K and R; F is always in units a minute.
    pub plain_numbers: PlainNumbers,
    /// What I, J and K are measured from.
    pub arc_centers: ArcCenters,
    /// By how much the radii at the two ends of an arc may differ, in `units`. `None` for what the published
    /// standard control allows: 0.0002 in while G20 is in force, 0.002 mm while G21 is.
    pub arc_tolerance: Option<f64>,
    /// Whether lines that begin with `/` are skipped, as with the control's block delete switch on. Off by default:
    /// the lines are run.
    pub block_delete: bool,
}

impl Settings {
    /// Plain numbers in units, incremental arc centres, the published tolerance, block delete off.
    pub fn new(units: Units) -> Self {
        Self {
            units,
            plain_numbers: PlainNumbers::default(),
            arc_centers: ArcCenters::default(),
            arc_tolerance: None,
            block_delete: false,
        }
    }

    /// The same, with what a job says about its control.
    pub fn for_job(units: Units, control: Option<&Control>) -> Self {
        Self {
            plain_numbers: control.and_then(|control| control.plain_numbers).unwrap_or_default(),
            arc_centers: control.and_then(|control| control.arc_centers).unwrap_or_default(),
            ..Self::new(units)
        }
    }
}

/// A program as a control would run it.
#[derive(Debug, Clone, PartialEq)]
pub struct Program {
    /// Number of its O word.
    pub number: Option<u32>,
    /// Lines of the text, run or not.
    pub lines: usize,
    /// What the tool does, in program coordinates, from (0, 0, 0).
    pub motions: Vec<Motion>,
    /// What could not be followed or does not fit, with line and column.
    pub findings: Vec<Finding>,
    /// Some of the text could not be followed, so the motions prove nothing from there on.
    pub unproven: bool,
    /// Each tool the program calls with a T word, and the line of the call, in order.
    pub tools: Vec<(u32, u32)>,
}

/// Reads a program. It never fails for its text: what cannot be followed becomes a finding, and reading goes on.
///
/// Followed are G0-G3, G17-G19, G20, G21, G90, G91, G94, G40, G49, G80, M0-M9, M30, F, S, T, N, O, comments, `%` and
/// `/`, in the order of execution of NISTIR 6556, table 8. M2, M30 and the second `%` end the program; nothing stays
/// in force after that.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn read(text: &[u8], settings: &Settings, task: Task<'_>) -> Result<Program, Cancelled> {
    let mut reader = Reader::new(settings);
    let mut words = Words::default();
    let mut lines = Lines::new(text);
    while let Some(line) = lines.next() {
        if reader.lines.is_multiple_of(LINES_A_LOOK) {
            task.cancel.check()?;
            task.tell("Reading the program", lines.part());
        }
        reader.lines += 1;
        words.read(line);
        Run { reader: &mut reader, text: line, words: &words.found, seen: [0; 26] }.line(&words);
    }
    task.cancel.check()?;
    Ok(reader.finish())
}

/// How far the program has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Nothing but blank lines and comments yet.
    Opening,
    Running,
    Ended,
    /// Ended, and it has been said that there is more text.
    EndedWithMore,
}

/// The state from line to line.
#[derive(Debug)]
struct Reader<'a> {
    settings: &'a Settings,
    modal: Modal,
    position: Point3,
    /// Which of X, Y and Z the program has stated outright.
    stated: [bool; 3],
    stage: Stage,
    lines: usize,
    number: Option<u32>,
    motions: Vec<Motion>,
    tools: Vec<(u32, u32)>,
    log: Log,
    unproven: bool,
}

impl<'a> Reader<'a> {
    fn new(settings: &'a Settings) -> Self {
        Self {
            settings,
            modal: Modal::new(settings.units),
            position: Point3::default(),
            stated: [false; 3],
            stage: Stage::Opening,
            lines: 0,
            number: None,
            motions: Vec::new(),
            tools: Vec::new(),
            log: Log::default(),
            unproven: false,
        }
    }

    fn finish(self) -> Program {
        Program {
            number: self.number,
            lines: self.lines,
            motions: self.motions,
            findings: self.log.finish(),
            unproven: self.unproven,
            tools: self.tools,
        }
    }

    fn line(&self) -> u32 {
        u32::try_from(self.lines).unwrap_or(u32::MAX)
    }

    /// The factor from the unit in force to the unit of the result.
    fn factor(&self) -> f64 {
        self.modal.units.to(self.settings.units)
    }
}

/// What the G and M words of one line ask for.
#[derive(Debug, Default)]
struct Orders {
    mode: Option<Mode>,
    plane: Option<Plane>,
    units: Option<(Units, Span)>,
    absolute: Option<bool>,
    /// What the G words that cannot be followed do to the axis words.
    stranger: Stranger,
    tool_change: bool,
    turn: Option<i8>,
    end: bool,
    /// Groups and count of what has been read so far.
    groups: u32,
    m_words: u32,
}

/// One line being run.
struct Run<'r, 'a> {
    reader: &'r mut Reader<'a>,
    text: &'r [u8],
    words: &'r [Word],
    /// For each letter that comes once a line: one more than the index of its word.
    seen: [u16; 26],
}

impl Run<'_, '_> {
    fn line(&mut self, read: &Words) {
        let empty = read.found.is_empty() && read.problems.is_empty();
        match self.reader.stage {
            Stage::EndedWithMore => return,
            Stage::Ended => {
                if !empty {
                    self.more_after_the_end();
                }
                return;
            }
            Stage::Opening | Stage::Running if read.deletable && self.reader.settings.block_delete => return,
            Stage::Opening | Stage::Running => {}
        }
        for problem in &read.problems {
            self.tell_problem(problem);
        }
        if read.mark {
            self.mark();
        } else if !empty {
            self.reader.stage = Stage::Running;
            self.run();
        }
    }

    /// `%` opens the program when nothing came before it, and ends it otherwise.
    fn mark(&mut self) {
        if let Some(first) = self.words.first() {
            self.unproven(Code::UnprovenWord, first.span.from, |word| {
                format!("{word} stands on a line with % and cannot be followed there: {REMEDY}.")
            });
        }
        self.reader.stage = if self.reader.stage == Stage::Opening { Stage::Running } else { Stage::Ended };
    }

    fn more_after_the_end(&mut self) {
        self.reader.stage = Stage::EndedWithMore;
        self.find(Code::UnprovenState, Severity::Note, 0, |_| {
            "The program has ended before this line; what stands from here on is not run and was not looked at."
                .to_owned()
        });
    }

    fn run(&mut self) {
        let orders = self.collect();
        self.set_speeds(&orders);
        self.set_modes(&orders);
        self.move_axes(&orders);
        if orders.end {
            self.reader.stage = Stage::Ended;
        }
    }

    /// Looks at every word once; letters that come once a line are left in `seen`.
    fn collect(&mut self) -> Orders {
        let mut orders = Orders::default();
        for (index, word) in self.words.iter().enumerate() {
            match word.letter {
                b'G' => self.g_word(word, &mut orders),
                b'M' => self.m_word(word, &mut orders),
                b'X' | b'Y' | b'Z' | b'I' | b'J' | b'K' | b'R' | b'F' | b'S' | b'T' | b'N' | b'O' => {
                    if self.seen[usize::from(word.letter - b'A')] != 0 {
                        let letter = char::from(word.letter);
                        self.unproven(Code::UnprovenWord, word.span.from, |word| {
                            format!(
                                "{word} is the second {letter} on this line: which one holds is not proven. Leave one."
                            )
                        });
                    }
                    if self.sound(word) {
                        self.seen[usize::from(word.letter - b'A')] = index as u16 + 1;
                    }
                }
                _ => self.stranger(word),
            }
        }
        orders
    }

    /// Whether the number can be what its letter says; a finding if not.
    fn sound(&mut self, word: &Word) -> bool {
        let want = match word.letter {
            b'T' if whole(word.value).is_none_or(|n| n > u32::from(u16::MAX)) => {
                "a whole number from 0 to 65535"
            }
            b'O' if whole(word.value).is_none() => "a whole number from 0 up",
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

    fn stranger(&mut self, word: &Word) {
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!("{word} cannot be followed: {REMEDY}.")
        });
    }

    fn g_word(&mut self, word: &Word, orders: &mut Orders) {
        let tenths = whole(word.value * 10.0);
        let Some((group, asked)) = tenths.and_then(g_word) else {
            orders.stranger = orders.stranger.max(tenths.map(stranger).unwrap_or_default());
            self.stranger(word);
            return;
        };
        if orders.groups & group.bit() != 0 {
            self.conflict(word);
        }
        orders.groups |= group.bit();
        match asked {
            GWord::Motion(mode) => orders.mode = Some(mode),
            GWord::Plane(plane) => orders.plane = Some(plane),
            GWord::Units(units) => orders.units = Some((units, word.span)),
            GWord::Absolute(absolute) => orders.absolute = Some(absolute),
            GWord::Granted => {}
        }
    }

    fn m_word(&mut self, word: &Word, orders: &mut Orders) {
        orders.m_words += 1;
        let Some((groups, asked)) = whole(word.value).and_then(m_word) else {
            self.stranger(word);
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
            MWord::Pause | MWord::Coolant => {}
            MWord::End => orders.end = true,
            MWord::Turn(turning) => orders.turn = Some(turning),
            MWord::ToolChange => orders.tool_change = true,
        }
    }

    fn conflict(&mut self, word: &Word) {
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!("{word} contradicts another word on this line: which one holds is not proven. Leave one.")
        });
    }

    /// Program number, feed, speed, tool and spindle: steps 3 to 7 of the order of execution.
    fn set_speeds(&mut self, orders: &Orders) {
        if let Some(word) = self.word(b'O') {
            self.program_number(word);
        }
        if let Some(word) = self.word(b'F') {
            self.reader.modal.feed = word.value * self.reader.factor();
            if let Some((units, span)) = orders.units.filter(|(units, _)| *units != self.reader.modal.units) {
                let old = self.reader.modal.units.short();
                self.find(Code::UnprovenState, Severity::Look, span.from, |word| {
                    format!(
                        "{word} stands on the line of an F word: F is taken in {old}/min as published, but some \
                         controls take it in {}/min. Put {word} on a line before.",
                        units.short()
                    )
                });
            }
        }
        if let Some(word) = self.word(b'S') {
            self.reader.modal.speed = word.value;
        }
        if let Some(number) = self.word(b'T').and_then(|word| whole(word.value)) {
            self.reader.modal.tool = u16::try_from(number).unwrap_or(u16::MAX);
            let line = self.reader.line();
            self.reader.tools.push((number, line));
        }
        if orders.tool_change {
            self.reader.modal.turning = 0;
        }
        if let Some(turning) = orders.turn {
            self.reader.modal.turning = turning;
        }
    }

    fn program_number(&mut self, word: Word) {
        if self.reader.number.is_none() && self.reader.motions.is_empty() {
            self.reader.number = whole(word.value);
            return;
        }
        self.unproven(Code::UnprovenWord, word.span.from, |word| {
            format!(
                "{word} opens another program within this one, which cannot be followed: what the tool does from here \
                 on is not proven. Keep one program in a file."
            )
        });
    }

    /// Steps 11 to 17, and the motion word.
    fn set_modes(&mut self, orders: &Orders) {
        let modal = &mut self.reader.modal;
        modal.plane = orders.plane.unwrap_or(modal.plane);
        modal.units = orders.units.map_or(modal.units, |(units, _)| units);
        modal.absolute = orders.absolute.unwrap_or(modal.absolute);
        modal.mode = match orders.mode {
            Some(mode) => mode,
            None if orders.stranger == Stranger::Cycle => Mode::None,
            None => modal.mode,
        };
    }

    fn move_axes(&mut self, orders: &Orders) {
        if orders.mode.is_none() && orders.stranger != Stranger::Bystander {
            return; // the word that takes them has its finding
        }
        let axis = [b'X', b'Y', b'Z'].into_iter().find_map(|letter| self.word(letter));
        let about = [b'I', b'J', b'K', b'R'].into_iter().find_map(|letter| self.word(letter));
        match (self.reader.modal.mode, axis, about) {
            (_, None, None) => {}
            (Mode::None, Some(word), _) => self.unproven(Code::UnprovenState, word.span.from, |word| {
                format!(
                    "{word} stands where no motion is in force, so it is not run and what follows is not proven. Write \
                     G0, G1, G2 or G3 on this line."
                )
            }),
            (Mode::Arc { ccw }, _, _) => self.arc(ccw),
            (mode, axis, about) => {
                if let Some(word) = about {
                    self.unproven(Code::UnprovenWord, word.span.from, |word| {
                        format!("{word} belongs to an arc, but no G2 or G3 is in force: {REMEDY}.")
                    });
                }
                if axis.is_some() {
                    let kind = if mode == Mode::Rapid { Kind::Rapid } else { Kind::Feed };
                    let end = self.target();
                    self.push(kind, end, Curve::Straight);
                }
            }
        }
    }

    fn arc(&mut self, ccw: bool) {
        let end = self.target();
        let curve = match self.fitted(end, ccw) {
            Some(arc) => {
                let plane = self.reader.modal.plane;
                Curve::Arc { plane, centre: arc.centre, sweep: arc.sweep }
            }
            None => Curve::Straight,
        };
        self.push(Kind::Feed, end, curve);
    }

    /// The arc that the words ask for. `None`, with its finding, when they ask for none.
    fn fitted(&mut self, end: Point3, ccw: bool) -> Option<Fitted> {
        let plane = self.reader.modal.plane;
        let (from, _) = plane.split(self.reader.position);
        let (to, _) = plane.split(end);
        let offsets = self.offsets();
        let Some(word) = self.word(b'R') else {
            let (centre, at) = self.centre(from, offsets)?;
            let arc = about_centre(from, to, centre, ccw);
            if arc.is_none() {
                self.no_arc(
                    at,
                    "puts the centre on both ends of the arc, so there is no arc. Correct I, J or K",
                );
            }
            return arc.inspect(|arc| self.check_radii(arc, at));
        };
        if let Some(offset) = offsets.into_iter().flatten().next() {
            self.unproven(Code::UnprovenWord, offset.span.from, |word| {
                format!("{word} gives the centre of an arc that has an R as well: which one holds is not proven. Leave one.")
            });
        }
        let radius = self.length(word);
        let arc = with_radius(from, to, radius, ccw);
        if arc.is_none() {
            self.no_arc(
                word.span.from,
                "is the radius of an arc that ends where it starts, so its centre is open. Write a full circle with I, \
                 J or K",
            );
        }
        arc.inspect(|arc| self.check_radius(arc, word, radius))
    }

    /// The two words that give the centre in the plane in force; a finding for one that lies outside it.
    fn offsets(&mut self) -> [Option<Word>; 2] {
        let [first, second, outside] = match self.reader.modal.plane {
            Plane::Xy => [b'I', b'J', b'K'],
            Plane::Zx => [b'K', b'I', b'J'],
            Plane::Yz => [b'J', b'K', b'I'],
        };
        if let Some(word) = self.word(outside).filter(|word| word.value != 0.0) {
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!("{word} lies outside the plane of the arc: {REMEDY}. Look whether G17, G18 or G19 is meant.")
            });
        }
        [self.word(first), self.word(second)]
    }

    /// The centre, and the column to name if it does not fit.
    fn centre(&mut self, from: Point, offsets: [Option<Word>; 2]) -> Option<(Point, usize)> {
        let given = offsets.into_iter().flatten().next();
        let Some(given) = given else {
            let at = self.words.first().map_or(0, |word| word.span.from);
            self.unproven(Code::UnprovenState, at, |_| {
                "This arc has neither a centre nor an R, so it is shown as a straight line and what follows is not \
                 proven. Write I, J, K or R, or G1 for a line."
                    .to_owned()
            });
            return None;
        };
        let [first, second] = offsets.map(|word| word.map(|word| self.length(word)));
        match (self.reader.settings.arc_centers, first, second) {
            (ArcCenters::Incremental, _, _) => {
                let offset = Point { x: first.unwrap_or(0.0), y: second.unwrap_or(0.0) };
                Some((from + offset, given.span.from))
            }
            (ArcCenters::Absolute, Some(x), Some(y)) => Some((Point { x, y }, given.span.from)),
            (ArcCenters::Absolute, _, _) => {
                self.unproven(Code::UnprovenState, given.span.from, |word| {
                    format!(
                        "{word} alone does not give a centre measured from the program zero, so the arc is shown as a \
                         straight line and what follows is not proven. Write both centre words."
                    )
                });
                None
            }
        }
    }

    fn no_arc(&mut self, at: usize, why: &str) {
        self.unproven(Code::ArcMismatch, at, |word| format!("{word} {why}; what follows is not proven."));
    }

    fn tolerance(&self) -> f64 {
        let units = self.reader.modal.units;
        self.reader
            .settings
            .arc_tolerance
            .unwrap_or_else(|| units.pick(0.0002, 0.002) * units.to(self.reader.settings.units))
    }

    fn check_radii(&mut self, arc: &Fitted, at: usize) {
        let tolerance = self.tolerance();
        if arc.mismatch <= tolerance + ROUNDING {
            return;
        }
        let units = self.reader.settings.units;
        self.find(Code::ArcMismatch, Severity::Stop, at, |_| {
            format!(
                "The radius at the end of this arc differs from the one at its start by {}; {} is allowed. \
                 Correct the end point or the centre.",
                exact(units, arc.mismatch),
                exact(units, tolerance)
            )
        });
    }

    fn check_radius(&mut self, arc: &Fitted, word: Word, radius: f64) {
        let tolerance = self.tolerance();
        if arc.mismatch <= tolerance + ROUNDING {
            return;
        }
        let units = self.reader.settings.units;
        self.find(Code::ArcMismatch, Severity::Stop, word.span.from, |word| {
            format!(
                "{word} is too small to reach from start to end of this arc: {} is short by {}; \
                 {} is allowed. Correct the radius or the end point.",
                exact(units, radius.abs()),
                exact(units, arc.mismatch),
                exact(units, tolerance)
            )
        });
    }

    /// Where the axis words say the tool goes.
    fn target(&self) -> Point3 {
        let from = self.reader.position;
        let absolute = self.reader.modal.absolute;
        let axis = |letter, now| match self.word(letter) {
            None => now,
            Some(word) if absolute => self.length(word),
            Some(word) => now + self.length(word),
        };
        Point3 { x: axis(b'X', from.x), y: axis(b'Y', from.y), z: axis(b'Z', from.z) }
    }

    fn push(&mut self, kind: Kind, end: Point3, curve: Curve) {
        let line = self.reader.line();
        let given = [b'X', b'Y', b'Z'].map(|letter| self.word(letter).is_some());
        let reader = &mut *self.reader;
        let start_known = reader.stated == [true; 3];
        if reader.modal.absolute {
            for (stated, given) in reader.stated.iter_mut().zip(given) {
                *stated |= given;
            }
        }
        reader.motions.push(Motion {
            start: reader.position,
            end,
            curve,
            feed: if kind == Kind::Feed { reader.modal.feed } else { 0.0 },
            spindle: reader.modal.spindle(),
            line,
            tool: reader.modal.tool,
            kind,
            proven: !reader.unproven,
            start_known,
        });
        reader.position = end;
    }

    /// The word of a letter that comes once a line.
    fn word(&self, letter: u8) -> Option<Word> {
        let index = self.seen[usize::from(letter - b'A')].checked_sub(1)?;
        self.words.get(usize::from(index)).copied()
    }

    /// A word's number as a length in the unit of the result.
    fn length(&self, word: Word) -> f64 {
        let increments = self.reader.settings.plain_numbers == PlainNumbers::Increments && !word.point;
        let value = if increments {
            // dividing keeps 0.1234 the nearest number to .1234, as multiplying by 0.0001 would not
            word.value / self.reader.modal.units.pick(10_000.0, 1_000.0)
        } else {
            word.value
        };
        value * self.reader.factor()
    }

    fn tell_problem(&mut self, problem: &Problem) {
        let at = problem.span.from;
        let shown = shown(self.text, problem.span);
        let (code, message) = match problem.fault {
            Fault::Number => (Code::BadNumber, format!("{shown} is not a number that can be read: {REMEDY}.")),
            Fault::NoNumber => (Code::BadNumber, format!("{shown} has no number: {REMEDY}.")),
            Fault::NoLetter => (Code::BadNumber, format!("{shown} has no letter before it: {REMEDY}.")),
            Fault::Expression => (
                Code::UnprovenWord,
                format!("{shown} has a variable or an expression, which cannot be followed: {REMEDY}."),
            ),
            Fault::Stray => {
                (Code::UnprovenWord, format!("{shown} belongs to no word, and the line is not read further: {REMEDY}."))
            }
            Fault::NotText => (
                Code::UnprovenWord,
                format!("This line has characters that no control reads: {REMEDY}. Look whether the file is damaged."),
            ),
            Fault::OpenComment => (
                Code::UnprovenWord,
                "This comment does not end on its line, so the rest of the line is not read and what follows is not \
                 proven. Close it with )."
                    .to_owned(),
            ),
            Fault::NestedComment => (
                Code::UnprovenWord,
                "This comment starts within another, and controls differ in where the outer one ends: what follows is \
                 not proven. Take the inner brackets out."
                    .to_owned(),
            ),
            Fault::LongLine => (
                Code::UnprovenWord,
                "This line has more than 4096 characters and is not read, so what follows is not proven. Look whether \
                 the file is damaged."
                    .to_owned(),
            ),
        };
        self.unproven(code, at, |_| message);
    }

    /// A finding after which nothing is proven.
    fn unproven(&mut self, code: Code, at: usize, message: impl FnOnce(&str) -> String) {
        self.reader.unproven = true;
        self.find(code, Severity::Stop, at, message);
    }

    /// A finding at a byte of this line; `message` is given the word that starts there.
    fn find(&mut self, code: Code, severity: Severity, at: usize, message: impl FnOnce(&str) -> String) {
        let (text, words, line) = (self.text, self.words, self.reader.line());
        self.reader.log.add(code, || {
            let word = words.iter().find(|word| word.span.from == at).map(|word| shown(text, word.span));
            Finding::new(code, severity, message(word.as_deref().unwrap_or_default()))
                .on_line(line)
                .in_column(column(text, at))
        });
    }
}

/// The whole number that this is, if it is one.
fn whole(value: f64) -> Option<u32> {
    let round = value.round();
    let fits = (value - round).abs() <= NEAR_INTEGER && (0.0..=f64::from(u32::MAX)).contains(&round);
    fits.then_some(round as u32)
}

/// Column of a byte, from 1, in characters.
fn column(text: &[u8], at: usize) -> u32 {
    let before = text.get(..at).unwrap_or(text);
    u32::try_from(String::from_utf8_lossy(before).chars().count() + 1).unwrap_or(u32::MAX)
}

/// A stretch of a line as messages quote it: without blanks, upper case, not too long.
fn shown(text: &[u8], span: Span) -> String {
    const MOST: usize = 24;
    let all = text.get(span.from..span.to).unwrap_or_default();
    let solid = || all.iter().filter(|b| !b.is_ascii_whitespace());
    let mut quoted: String = solid()
        .take(MOST)
        .map(|&b| if b.is_ascii_graphic() { char::from(b.to_ascii_uppercase()) } else { '\u{fffd}' })
        .collect();
    if solid().nth(MOST).is_some() {
        quoted.push('\u{2026}');
    }
    quoted
}

/// A length for a message; with more places where those of [`Units::fine`] would hide what it is.
fn exact(units: Units, length: f64) -> String {
    if length * units.pick(1e4, 1e3) >= 10.0 {
        return units.fine_with_unit(length);
    }
    let places = units.pick(6.0, 5.0) as usize;
    let text = format!("{length:.places$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let text = if units == Units::Inch {
        text.strip_prefix('0').filter(|t| !t.is_empty()).unwrap_or(text)
    } else {
        text
    };
    format!("{text} {}", units.short())
}
