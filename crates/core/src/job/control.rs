//! What a job file says about the control.

use std::ops::RangeInclusive;

use serde_json::Value;

use super::json::{Fault, Fields, Node};
use super::keys;
use super::write::{Record, number, numbers, word};
use crate::control::{
    ArcCenters, CallCount, Control, DwellUnit, HomeAxes, LineEnd, Offset, PassedWord, PlainNumbers, SYSTEMS,
    ToolChange, UnitWords,
};

/// Most rows of a table of offsets.
pub(super) const MOST_OFFSETS: usize = 1000;

/// Zeros that G54.1 calls, by its P, at the most (common practice, no source).
const MOST_EXTENDED: u16 = 300;

/// Most words that are said to move nothing.
pub(super) const MOST_PASSED: usize = 200;

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
        word.ok_or_else(|| node.fault("a G or M word such as \"M8.1\" or \"M31\" belongs here".to_owned()))
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
