//! What a job says about its control: what the control accepts, and how it understands what a program leaves open.

use std::ops::RangeInclusive;

use serde_json::Value;

use super::json::{Fault, Fields, Node};
use super::keys;
use super::write::{Record, number, numbers, word};

/// Most rows of a table of offsets.
pub(super) const MOST_OFFSETS: usize = 1000;

/// Zeros that G54.1 calls, by its P, at the most (common practice, no source).
const MOST_EXTENDED: u16 = 300;

/// Most words that are said to move nothing.
pub(super) const MOST_PASSED: usize = 200;

/// The nine coordinate systems by the words that call them (NISTIR 6556, table 4).
pub const SYSTEMS: [&str; 9] = ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"];

/// How program lines end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineEnd {
    /// Carriage return and line feed.
    CrLf,
    /// Line feed.
    Lf,
    /// Carriage return.
    Cr,
}

/// What a number without a decimal point means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PlainNumbers {
    /// `X1` is one inch or one millimetre.
    #[default]
    Units,
    /// `X1` is one least increment: 0.0001 in or 0.001 mm.
    Increments,
}

/// What I, J and K are measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ArcCenters {
    /// From the start of the arc.
    #[default]
    Incremental,
    /// From the program zero.
    Absolute,
}

/// The words that choose inch or millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitWords {
    /// G20 and G21.
    #[default]
    G20G21,
    /// G70 and G71; G20 and G21 are taken as well.
    G70G71,
}

/// The word that changes the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ToolChange {
    /// M6; a T word before it only chooses the tool.
    #[default]
    M6,
    /// The T word itself.
    T,
}

/// Where M98 says how often the called program runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CallCount {
    /// In an L word: `M98 P1002 L3`.
    InL,
    /// In the digits of P above the last four: `M98 P31002`.
    InP,
}

/// The axes that G28 and G30 send home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HomeAxes {
    /// All of them, as published (NISTIR 6556, 3.5.8).
    #[default]
    All,
    /// Those named on the line.
    Named,
}

/// The unit of a dwell that is written without a decimal point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DwellUnit {
    /// As published (NISTIR 6556, 3.5.4).
    Seconds,
    /// A thousandth of it.
    Milliseconds,
}

/// A G or M word that the control's owner knows to leave the path alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PassedWord {
    /// `G` or `M`.
    letter: u8,
    /// Its number in hundredths.
    hundredths: u32,
}

impl PassedWord {
    /// Reads `M8.1` or `G187`; nothing when it is no such word.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let letter = text.bytes().next()?.to_ascii_uppercase();
        let number = text.get(1..)?;
        let plain = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        let number: f64 = number.parse().ok().filter(|_| plain)?;
        Self::of(letter, number)
    }

    /// The word of this letter (upper case) and number; nothing when it is no G or M word.
    pub fn of(letter: u8, number: f64) -> Option<Self> {
        let is_word = matches!(letter, b'G' | b'M') && (0.0..1e6).contains(&number);
        is_word.then(|| Self { letter, hundredths: (number * 100.0).round() as u32 })
    }

    /// Whether it is the word of this letter (upper case) and number.
    pub fn is(self, letter: u8, number: f64) -> bool {
        self.letter == letter && (number * 100.0 - f64::from(self.hundredths)).abs() < 0.01
    }
}

impl std::fmt::Display for PassedWord {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", char::from(self.letter), f64::from(self.hundredths) / 100.0)
    }
}

/// One row of a table of offsets: its number, and its length.
pub type Offset = (u32, f64);

/// What the control accepts and how it reads. Every part may be missing. Lengths in the job's unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Control {
    /// Lowest and highest program number.
    pub program_numbers: Option<RangeInclusive<u32>>,
    /// How lines end.
    pub line_end: Option<LineEnd>,
    /// Longest line in characters.
    pub longest_line: Option<u32>,
    /// Characters it takes besides letters, digits, `+ - .` and the space.
    pub characters: Option<String>,
    /// First sequence number, and the step to the next.
    pub sequence: Option<[u32; 2]>,
    /// Numbers without a decimal point.
    pub plain_numbers: Option<PlainNumbers>,
    /// I, J, K.
    pub arc_centers: Option<ArcCenters>,
    /// By how much the two radii of an arc may differ.
    pub arc_tolerance: Option<f64>,
    /// Whether its block delete switch is on: lines that begin with `/` are skipped.
    pub block_delete: Option<bool>,
    /// Whether `;` opens a comment up to the end of the line.
    pub semicolon_comments: Option<bool>,
    /// The words for inch and millimetre.
    pub unit_words: Option<UnitWords>,
    /// What changes the tool.
    pub tool_change: Option<ToolChange>,
    /// How M98 counts; without it M98 is not followed.
    pub subprograms: Option<CallCount>,
    /// Machine coordinates of the origins of G54 to G59.3.
    pub work_offsets: [Option<[f64; 3]>; 9],
    /// The same of G54.1, by its P number.
    pub more_work_offsets: Vec<(u16, [f64; 3])>,
    /// Machine coordinates that G28 goes to.
    pub home: Option<[f64; 3]>,
    /// Machine coordinates that G30 goes to.
    pub second_home: Option<[f64; 3]>,
    /// The axes that go there.
    pub home_axes: Option<HomeAxes>,
    /// Tool lengths by H number.
    pub length_offsets: Vec<Offset>,
    /// Cutter diameters by D number.
    pub diameter_offsets: Vec<Offset>,
    /// How far above the last bottom a pecking cycle (G73, G83) goes back to feed.
    pub peck_clearance: Option<f64>,
    /// The unit of a dwell without a decimal point.
    pub dwell: Option<DwellUnit>,
    /// Words that move nothing on it.
    pub moves_nothing: Vec<PassedWord>,
    /// Whether the published rules (NISTIR 6556) alone hold, where common practice is laxer.
    pub strict: Option<bool>,
}

impl Control {
    /// Whether it gives the place of any work offset.
    pub fn has_work_offsets(&self) -> bool {
        self.work_offsets.iter().any(Option::is_some) || !self.more_work_offsets.is_empty()
    }

    /// Whether `;` opens a comment: it does in common practice (no source), by the strict reading only if the job says so.
    pub fn takes_semicolons(&self) -> bool {
        self.semicolon_comments.unwrap_or(self.strict != Some(true))
    }
}

pub(super) const LINE_ENDS: [(&str, LineEnd); 3] =
    [("crlf", LineEnd::CrLf), ("lf", LineEnd::Lf), ("cr", LineEnd::Cr)];
pub(super) const PLAIN_NUMBERS: [(&str, PlainNumbers); 2] =
    [("units", PlainNumbers::Units), ("increments", PlainNumbers::Increments)];
pub(super) const ARC_CENTERS: [(&str, ArcCenters); 2] =
    [("incremental", ArcCenters::Incremental), ("absolute", ArcCenters::Absolute)];
pub(super) const UNIT_WORDS: [(&str, UnitWords); 2] =
    [("g20_g21", UnitWords::G20G21), ("g70_g71", UnitWords::G70G71)];
pub(super) const TOOL_CHANGES: [(&str, ToolChange); 2] = [("m6", ToolChange::M6), ("t", ToolChange::T)];
pub(super) const CALL_COUNTS: [(&str, CallCount); 2] =
    [("count_in_l", CallCount::InL), ("count_in_p", CallCount::InP)];
pub(super) const HOME_AXES: [(&str, HomeAxes); 2] = [("all", HomeAxes::All), ("named", HomeAxes::Named)];
pub(super) const DWELLS: [(&str, DwellUnit); 2] =
    [("seconds", DwellUnit::Seconds), ("milliseconds", DwellUnit::Milliseconds)];
pub(super) const SWITCH: [(&str, bool); 2] = [("on", true), ("off", false)];

pub(super) fn read(node: Node<'_>) -> Result<Control, Fault> {
    let fields = node.object(keys::CONTROL)?;
    let place = |node: Node<'_>| node.numbers("[x, y, z]");
    let (work_offsets, more_work_offsets) = fields.maybe("work_offsets", work_offsets)?.unwrap_or_default();
    Ok(Control {
        program_numbers: fields.maybe("program_numbers", program_numbers)?,
        line_end: fields.maybe("line_end", |node| node.choice(&LINE_ENDS))?,
        longest_line: fields.maybe("longest_line", |node| node.whole(1))?,
        characters: fields.maybe("characters", Node::text)?,
        sequence: fields.maybe("sequence", sequence)?,
        plain_numbers: fields.maybe("plain_numbers", |node| node.choice(&PLAIN_NUMBERS))?,
        arc_centers: fields.maybe("arc_centers", |node| node.choice(&ARC_CENTERS))?,
        arc_tolerance: fields.maybe("arc_tolerance", Node::not_negative)?,
        block_delete: fields.maybe("block_delete", |node| node.choice(&SWITCH))?,
        semicolon_comments: fields.maybe("semicolon_comments", |node| node.choice(&SWITCH))?,
        unit_words: fields.maybe("unit_words", |node| node.choice(&UNIT_WORDS))?,
        tool_change: fields.maybe("tool_change", |node| node.choice(&TOOL_CHANGES))?,
        subprograms: fields.maybe("subprograms", |node| node.choice(&CALL_COUNTS))?,
        work_offsets,
        more_work_offsets,
        home: fields.maybe("home", place)?,
        second_home: fields.maybe("second_home", place)?,
        home_axes: fields.maybe("home_axes", |node| node.choice(&HOME_AXES))?,
        length_offsets: offsets(&fields, "length_offsets")?,
        diameter_offsets: offsets(&fields, "diameter_offsets")?,
        peck_clearance: fields.maybe("peck_clearance", Node::not_negative)?,
        dwell: fields.maybe("dwell", |node| node.choice(&DWELLS))?,
        moves_nothing: fields.maybe("moves_nothing", moves_nothing)?.unwrap_or_default(),
        strict: fields.maybe("strict", |node| node.choice(&SWITCH))?,
    })
}

fn program_numbers(node: Node<'_>) -> Result<RangeInclusive<u32>, Fault> {
    let ends = node.short_list(&[2], "2 numbers [lowest, highest]")?;
    let ends = ends.into_iter().map(|end| end.whole(0)).collect::<Result<Vec<_>, _>>()?;
    let (low, high) = (ends[0], ends[1]);
    if low > high {
        return Err(node.fault(format!("the lowest, {low}, must not be above the highest, {high}")));
    }
    Ok(low..=high)
}

fn sequence(node: Node<'_>) -> Result<[u32; 2], Fault> {
    let both = node.short_list(&[2], "2 whole numbers [first, step]")?;
    Ok([both[0].whole(0)?, both[1].whole(1)?])
}

type WorkOffsets = ([Option<[f64; 3]>; 9], Vec<(u16, [f64; 3])>);

fn work_offsets(node: Node<'_>) -> Result<WorkOffsets, Fault> {
    let fields = node.fields()?;
    let more_keys: Vec<(u16, &str)> =
        fields.keys().filter_map(|key| Some((extended_number(key)?, key))).collect();
    let keys: Vec<&str> =
        SYSTEMS.into_iter().chain(["G54.1 P1"]).chain(more_keys.iter().map(|(_, key)| *key)).collect();
    fields.only(&keys)?;
    let place = |node: Node<'_>| node.numbers("[x, y, z]");
    let mut all = [None; 9];
    for (offset, key) in all.iter_mut().zip(SYSTEMS) {
        *offset = fields.maybe(key, place)?;
    }
    let mut more = Vec::new();
    for (number, key) in &more_keys {
        more.extend(fields.maybe(key, place)?.map(|offset| (*number, offset)));
    }
    more.sort_by_key(|(number, _)| *number);
    Ok((all, more))
}

fn extended_key(number: u16) -> String {
    format!("G54.1 P{number}")
}

fn extended_number(key: &str) -> Option<u16> {
    let number = key.strip_prefix("G54.1 P")?.parse().ok()?;
    (1..=MOST_EXTENDED).contains(&number).then_some(number).filter(|number| extended_key(*number) == key)
}

/// The keys that [`extended_number`] takes, as a pattern.
pub(super) fn extended_pattern() -> &'static str {
    const { assert!(MOST_EXTENDED == 300, "the pattern goes up to it") }
    r"^G54\.1 P([1-9][0-9]?|[12][0-9]{2}|300)$"
}

fn moves_nothing(node: Node<'_>) -> Result<Vec<PassedWord>, Fault> {
    let word = |node: Node<'_>| {
        let text = node.text()?;
        let word = PassedWord::parse(&text);
        word.ok_or_else(|| node.fault("a G or M word such as \"M8.1\" or \"G187\" belongs here".to_owned()))
    };
    node.list(MOST_PASSED, "words")?.into_iter().map(word).collect()
}

fn offsets(fields: &Fields<'_>, key: &str) -> Result<Vec<Offset>, Fault> {
    let Some(node) = fields.get(key) else { return Ok(Vec::new()) };
    let mut rows: Vec<Offset> = Vec::new();
    for row in node.list(MOST_OFFSETS, "offsets")? {
        let pair = row.short_list(&[2], "2 numbers [number, length]")?;
        let (offset_number, length) = (pair[0].whole(0)?, pair[1].number()?);
        if rows.iter().any(|(earlier, _)| *earlier == offset_number) {
            return Err(row.fault(format!("offset {offset_number} is given twice")));
        }
        rows.push((offset_number, length));
    }
    Ok(rows)
}

pub(super) fn write(control: &Control) -> Value {
    let range = control.program_numbers.as_ref().map(|range| vec![*range.start(), *range.end()]);
    let place = |place: &Option<[f64; 3]>| place.as_ref().map(|place| numbers(place));
    let switch = |switch: Option<bool>| switch.and_then(|value| word(&SWITCH, &value));
    Record::default()
        .maybe("program_numbers", range)
        .maybe("line_end", control.line_end.and_then(|value| word(&LINE_ENDS, &value)))
        .maybe("longest_line", control.longest_line)
        .maybe("characters", control.characters.clone())
        .maybe("sequence", control.sequence.map(Vec::from))
        .maybe("plain_numbers", control.plain_numbers.and_then(|value| word(&PLAIN_NUMBERS, &value)))
        .maybe("arc_centers", control.arc_centers.and_then(|value| word(&ARC_CENTERS, &value)))
        .maybe_number("arc_tolerance", control.arc_tolerance)
        .maybe("block_delete", switch(control.block_delete))
        .maybe("semicolon_comments", switch(control.semicolon_comments))
        .maybe("unit_words", control.unit_words.and_then(|value| word(&UNIT_WORDS, &value)))
        .maybe("tool_change", control.tool_change.and_then(|value| word(&TOOL_CHANGES, &value)))
        .maybe("subprograms", control.subprograms.and_then(|value| word(&CALL_COUNTS, &value)))
        .maybe("work_offsets", systems(control))
        .maybe("home", place(&control.home))
        .maybe("second_home", place(&control.second_home))
        .maybe("home_axes", control.home_axes.and_then(|value| word(&HOME_AXES, &value)))
        .maybe("length_offsets", rows(&control.length_offsets))
        .maybe("diameter_offsets", rows(&control.diameter_offsets))
        .maybe_number("peck_clearance", control.peck_clearance)
        .maybe("dwell", control.dwell.and_then(|value| word(&DWELLS, &value)))
        .maybe("moves_nothing", passed(&control.moves_nothing))
        .maybe("strict", switch(control.strict))
        .into()
}

fn systems(control: &Control) -> Option<Value> {
    let standard = SYSTEMS.into_iter().map(str::to_owned).zip(control.work_offsets);
    let more =
        control.more_work_offsets.iter().map(|(number, offset)| (extended_key(*number), Some(*offset)));
    let put = |record: Record, (key, offset): (String, Option<[f64; 3]>)| {
        record.maybe(&key, offset.as_ref().map(|place| numbers(place)))
    };
    control.has_work_offsets().then(|| standard.chain(more).fold(Record::default(), put).into())
}

fn passed(words: &[PassedWord]) -> Option<Value> {
    (!words.is_empty()).then(|| words.iter().map(|word| Value::from(word.to_string())).collect())
}

fn rows(offsets: &[Offset]) -> Option<Value> {
    let row = |(offset_number, length): &Offset| -> Value {
        vec![Value::from(*offset_number), number(*length)].into()
    };
    (!offsets.is_empty()).then(|| offsets.iter().map(row).collect())
}
