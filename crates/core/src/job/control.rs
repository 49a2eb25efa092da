//! What a job says about its control: what the control accepts, and how it understands what a program leaves open.

use std::ops::RangeInclusive;

use serde_json::Value;

use super::json::{Fault, Fields, Node};
use super::write::{Record, number, numbers, word};

/// Most rows of a table of offsets.
const MOST_OFFSETS: usize = 1000;

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
    /// Whether the published rules (NISTIR 6556) alone hold, where common practice is laxer.
    pub strict: Option<bool>,
}

const LINE_ENDS: [(&str, LineEnd); 3] = [("crlf", LineEnd::CrLf), ("lf", LineEnd::Lf), ("cr", LineEnd::Cr)];
const PLAIN_NUMBERS: [(&str, PlainNumbers); 2] =
    [("units", PlainNumbers::Units), ("increments", PlainNumbers::Increments)];
const ARC_CENTERS: [(&str, ArcCenters); 2] =
    [("incremental", ArcCenters::Incremental), ("absolute", ArcCenters::Absolute)];
const UNIT_WORDS: [(&str, UnitWords); 2] = [("g20_g21", UnitWords::G20G21), ("g70_g71", UnitWords::G70G71)];
const TOOL_CHANGES: [(&str, ToolChange); 2] = [("m6", ToolChange::M6), ("t", ToolChange::T)];
const CALL_COUNTS: [(&str, CallCount); 2] = [("count_in_l", CallCount::InL), ("count_in_p", CallCount::InP)];
const HOME_AXES: [(&str, HomeAxes); 2] = [("all", HomeAxes::All), ("named", HomeAxes::Named)];
const SWITCH: [(&str, bool); 2] = [("on", true), ("off", false)];

const KEYS: [&str; 21] = [
    "program_numbers",
    "line_end",
    "longest_line",
    "characters",
    "sequence",
    "plain_numbers",
    "arc_centers",
    "arc_tolerance",
    "block_delete",
    "semicolon_comments",
    "unit_words",
    "tool_change",
    "subprograms",
    "work_offsets",
    "home",
    "second_home",
    "home_axes",
    "length_offsets",
    "diameter_offsets",
    "peck_clearance",
    "strict",
];

pub(super) fn read(node: Node<'_>) -> Result<Control, Fault> {
    let fields = node.object(&KEYS)?;
    let place = |node: Node<'_>| node.numbers("[x, y, z]");
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
        work_offsets: fields.maybe("work_offsets", work_offsets)?.unwrap_or_default(),
        home: fields.maybe("home", place)?,
        second_home: fields.maybe("second_home", place)?,
        home_axes: fields.maybe("home_axes", |node| node.choice(&HOME_AXES))?,
        length_offsets: offsets(&fields, "length_offsets")?,
        diameter_offsets: offsets(&fields, "diameter_offsets")?,
        peck_clearance: fields.maybe("peck_clearance", Node::not_negative)?,
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

fn work_offsets(node: Node<'_>) -> Result<[Option<[f64; 3]>; 9], Fault> {
    let fields = node.object(&SYSTEMS)?;
    let mut all = [None; 9];
    for (offset, key) in all.iter_mut().zip(SYSTEMS) {
        *offset = fields.maybe(key, |node| node.numbers("[x, y, z]"))?;
    }
    Ok(all)
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
        .maybe("work_offsets", systems(&control.work_offsets))
        .maybe("home", place(&control.home))
        .maybe("second_home", place(&control.second_home))
        .maybe("home_axes", control.home_axes.and_then(|value| word(&HOME_AXES, &value)))
        .maybe("length_offsets", rows(&control.length_offsets))
        .maybe("diameter_offsets", rows(&control.diameter_offsets))
        .maybe_number("peck_clearance", control.peck_clearance)
        .maybe("strict", switch(control.strict))
        .into()
}

fn systems(offsets: &[Option<[f64; 3]>; 9]) -> Option<Value> {
    let put = |record: Record, (key, offset): (&str, &Option<[f64; 3]>)| {
        record.maybe(key, offset.as_ref().map(|place| numbers(place)))
    };
    let some = offsets.iter().any(Option::is_some);
    some.then(|| SYSTEMS.into_iter().zip(offsets).fold(Record::default(), put).into())
}

fn rows(offsets: &[Offset]) -> Option<Value> {
    let row = |(offset_number, length): &Offset| -> Value {
        vec![Value::from(*offset_number), number(*length)].into()
    };
    (!offsets.is_empty()).then(|| offsets.iter().map(row).collect())
}
