//! What can be measured after each pass: what is expected, and room for what was found.

use super::say::Say;
use super::{Part, Section, Table, number, words, write_in};
use crate::geometry::Bounds;
use crate::proof::{AlongOutline, PassProof, Range, StationRow};
use crate::record::Record;
use crate::tool::Form;
use crate::wall::PassWall;
use crate::wall::pins::Pins;

/// Places all round at which stock left is measured besides the thinnest.
const PLACES: usize = 3;

/// All measures; `None` where nothing is expected.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let mut rows = Vec::new();
    for (index, done) in record.proof.passes.iter().enumerate() {
        rows.extend(of_pass(record, index, done));
    }
    rows.extend(over_pins(record));
    if rows.is_empty() {
        return None;
    }
    let mut table = Table::new(vec![
        number("After pass", 1.0),
        words("What", 4.6),
        words("Where", 4.2),
        number("Expected", 1.6),
        write_in("Measured", 2.0),
        write_in("Off by", 1.6),
    ]);
    table.rows = rows;
    let say = Say::of(record);
    let height = record.proof.gauge.map_or_else(String::new, |gauge| format!(" {}", gauge.words(say.units)));
    let words = format!("Stock left and sizes are{height}. Spindle stopped, chips cleared.");
    Some(Section::new("Measurements", vec![Part::Words(words), Part::Table(table)]))
}

fn of_pass(record: &Record<'_>, index: usize, done: &PassProof) -> Vec<Vec<String>> {
    let say = Say::of(record);
    let mut rows = Vec::new();
    let mut add = |what: &str, place: String, expected: String| {
        let free = String::new;
        rows.push(vec![(index + 1).to_string(), what.to_owned(), place, expected, free(), free()]);
    };
    let stated = record.proof.job.passes.get(index);
    if let Some(along) = done.along_outline.as_deref()
        && stated.is_some_and(|pass| pass.allowance.is_some())
    {
        let bounds = standing(along);
        add("Over all along X", "at the gauge height".to_owned(), say.fine(bounds.width()));
        add("Over all along Y", "at the gauge height".to_owned(), say.fine(bounds.height()));
        for row in places(along) {
            let place = format!(
                "station {}, X {}, Y {}",
                say.plain(row.station),
                say.plain(row.at.x),
                say.plain(row.at.y)
            );
            add("Stock left outside the line", place, say.fine(row.after));
        }
    }
    let Some(blank) = &record.proof.job.blank else { return rows };
    let before = index.checked_sub(1).and_then(|before| record.proof.passes.get(before)?.wall.as_deref());
    if let Some(wall) = done.wall.as_deref() {
        let above = |range: &Range| say.between(range.least - blank.bottom(), range.most - blank.bottom());
        let changed = |of: fn(&PassWall) -> Option<Range>| {
            let (now, earlier) = (of(wall)?, before.and_then(of));
            // What is written the same has not changed.
            (earlier.is_none_or(|earlier| say.range(&earlier) != say.range(&now))).then_some(now)
        };
        if let Some(line) = changed(|wall| wall.undercut_line) {
            add("Top of undercut", "above the bottom face".to_owned(), above(&line));
        }
        if let Some(land) = changed(|wall| wall.land).filter(|land| land.most > 0.0) {
            add("Land", "between undercut and edge".to_owned(), say.range(&land));
        }
        let top = changed(|wall| wall.top)
            .filter(|top| before.is_some() || say.fine(top.most) != say.fine(blank.top));
        if let Some(top) = top {
            add("Height of the block", "at its edge".to_owned(), above(&top));
        }
    }
    rows
}

/// The box round what stands at the gauge height.
fn standing(along: &AlongOutline) -> Bounds {
    Bounds::of(along.rows.iter().map(|row| row.at + row.outward * row.face))
}

/// The place with the least stock left, and some more all round.
fn places(along: &AlongOutline) -> Vec<&StationRow> {
    let least = along.rows.iter().min_by(|a, b| a.after.total_cmp(&b.after));
    let even =
        (0..PLACES).filter_map(|place| along.rows.get(along.rows.len() * (2 * place + 1) / (2 * PLACES)));
    let mut all: Vec<&StationRow> = least.into_iter().chain(even).collect();
    all.dedup_by(|a, b| a.station == b.station);
    all
}

/// What is read over two pins across the block, where two walls are parallel.
fn over_pins(record: &Record<'_>) -> Option<Vec<String>> {
    let (proof, say) = (record.proof, Say::of(record));
    let (wall, outline) = (proof.wall()?, proof.outline.as_deref()?);
    let tool = |pass: &crate::job::Pass| proof.job.tool(pass.tool).map(|tool| &tool.form);
    let angle = proof.job.passes.iter().rev().find_map(|pass| match tool(pass)? {
        Form::Undercut { angle, .. } => Some(*angle),
        _ => None,
    })?;
    let line = proof.wall.as_ref()?.passes.last()?.undercut_line?;
    let pins = Pins { diameter: say.units.pick(0.25, 6.0), undercut: angle };
    let bottom = proof.job.blank.as_ref()?.bottom();
    if !pins.touch_below(line.least - bottom) {
        return None;
    }
    // The middles of the straight sides, the longest first: there a pin lies best.
    let mut sides: Vec<(f64, f64)> = outline
        .spans()
        .iter()
        .zip(outline.span_starts())
        .filter(|(span, _)| matches!(span, crate::geometry::Span::Line { .. }))
        .map(|(span, start)| (span.length(), start + span.length() / 2.0))
        .collect();
    sides.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (station, root) =
        sides.into_iter().find_map(|(_, station)| Some((station, wall.root_across(station)?)))?;
    Some(vec![
        "all".to_owned(),
        format!("Over two pins of {} in the undercut", say.fine(pins.diameter)),
        format!("straight across from station {}", say.plain(station)),
        say.fine(pins.over(root)),
        String::new(),
        String::new(),
    ])
}
