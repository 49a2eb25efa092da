//! Least, most and stretches of a measure along the outline.

use rayon::prelude::*;

use super::extremes::least;
use super::outline::{OutlineMeasure, Row, Values};
use super::{Contact, Meant, Stretch};
use crate::geometry::{Interval, Range};
use crate::measure::{BlankProof, Shallow, Short};

/// Least and most of what a pass leaves along the outline, refined between the stations. `None` without stations.
pub fn range_of(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    pass: usize,
    value: impl Fn(&Values) -> f64,
) -> Option<Range> {
    let of = |row: &Row| value(&row.values[pass]);
    let at = |span: usize, along: f64| value(&measure.values_on(span, along, pass + 1)[pass]);
    range(measure, rows, of, at)
}

/// Least and most of the thickest cut of a pass along the outline, refined between the stations.
pub fn range_of_cut(measure: &OutlineMeasure<'_>, rows: &[Row], pass: usize) -> Option<Range> {
    let at = |span: usize, along: f64| measure.cut_on(span, along, pass).most;
    range(measure, rows, |row| row.cuts[pass].most, at)
}

/// The height of the thickest cut of a pass at a station of one of the rows or between two of them.
pub fn height_of_cut(measure: &OutlineMeasure<'_>, pass: usize, station: f64) -> Option<f64> {
    let starts = measure.wall.outline.span_starts();
    let span = starts.partition_point(|&start| start <= station).saturating_sub(1);
    measure.cut_on(span, station - starts[span], pass).z
}

fn range(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    of: impl Fn(&Row) -> f64,
    at: impl Fn(usize, f64) -> f64,
) -> Option<Range> {
    let start = |span: usize| measure.wall.outline.span_starts()[span];
    let tolerances = &measure.tolerances;
    let (lowest, least_at) = least(rows, &start, &of, &at, tolerances)?;
    let turned = |row: &Row| -of(row);
    let (most, most_at) = least(rows, &start, &turned, &|span, along| -at(span, along), tolerances)?;
    Some(Range { least: lowest, most: -most, least_at, most_at })
}

/// Stretches of equal state along the whole outline, without gap or overlap, their ends found to the tolerance.
pub fn stretches(measure: &OutlineMeasure<'_>, rows: &[Row], pass: usize, meant: &Meant) -> Vec<Stretch> {
    let tolerances = &measure.tolerances;
    let at = |span: usize, along: f64| {
        let after = || measure.values_on(span, along, pass + 1)[pass].after;
        meant.state(&measure.cut_on(span, along, pass), after, tolerances)
    };
    let state = |row: &Row| meant.state(&row.cuts[pass], || row.values[pass].after, tolerances);
    let states: Vec<Contact> = rows.iter().map(state).collect();
    let borders = borders(measure, rows, &states, at);
    let length = measure.wall.outline.length();
    let starts = borders.iter().map(|(at, state)| (*at, *state));
    let ends = borders.iter().skip(1).map(|(at, _)| *at).chain([length]);
    starts
        .zip(ends)
        .filter(|((from, _), to)| to > from)
        .map(|((from, state), to)| Stretch { state, from, to })
        .collect()
}

/// The stretches along which a pass stays above its bottom and leaves metal, with by how much at the most. `bottom` is in
/// block coordinates, `slack` how far its motions along the outline may lie apart.
pub fn shallow(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    pass: usize,
    (bottom, slack): (f64, f64),
) -> Vec<Shallow> {
    let starts = measure.wall.outline.span_starts();
    let above = |span: usize, along: f64| measure.above_bottom(span, along, pass, (bottom, slack));
    let most: Vec<f64> = rows.par_iter().map(|row| above(row.span, row.station - starts[row.span])).collect();
    let is = |above: f64| above > measure.tolerances.depth;
    let states: Vec<bool> = most.iter().map(|above| is(*above)).collect();
    let borders = borders(measure, rows, &states, |span, along| is(above(span, along)));
    let length = measure.wall.outline.length();
    let ends = borders.iter().skip(1).map(|(at, _)| *at).chain([length]);
    let found = borders.iter().zip(ends).filter(|((_, shallow), _)| *shallow);
    let stretches = round_the_start(found.map(|((from, _), to)| (*from, to)).collect(), length);
    let deepest = |(from, to): (f64, f64)| {
        let turned = |row: &Row| if row.station < from { row.station + length } else { row.station };
        let within = || rows.iter().map(turned).zip(&most).filter(|(station, _)| *station <= to);
        let by = within().map(|(_, most)| *most).fold(0.0, f64::max);
        let alike = within().filter(|(_, most)| **most >= by - measure.tolerances.depth);
        let mut alike: Vec<f64> = alike.map(|(station, _)| station).collect();
        alike.sort_by(f64::total_cmp);
        let at = alike.get(alike.len() / 2).copied().unwrap_or(from);
        Shallow { from, to, by, at: at.rem_euclid(length) }
    };
    stretches.into_iter().map(deepest).collect()
}

/// Makes one of a stretch that goes on past the first vertex: it ends beyond the outline's length.
fn round_the_start(mut stretches: Vec<Interval>, length: f64) -> Vec<Interval> {
    if let [first, .., last] = stretches[..]
        && first.0 == 0.0
        && last.1 == length
    {
        stretches.remove(0);
        stretches.pop();
        stretches.push((last.0, length + first.1));
    }
    stretches
}

/// Where the state changes, each with the state that starts there; the first at station 0. `states` are those of the
/// rows, `at` finds one between them.
fn borders<S: PartialEq + Copy>(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    states: &[S],
    at: impl Fn(usize, f64) -> S,
) -> Vec<(f64, S)> {
    let Some(first) = states.first() else { return Vec::new() };
    let mut found = vec![(0.0, *first)];
    for (pair, state) in rows.windows(2).zip(states.windows(2)) {
        if state[0] != state[1] {
            found.push((border(measure, (&pair[0], &pair[1]), &state[0], &at), state[1]));
        }
    }
    found.dedup_by(|next, kept| next.1 == kept.1);
    found
}

fn border<S: PartialEq>(
    measure: &OutlineMeasure<'_>,
    (before, after): (&Row, &Row),
    first: &S,
    at: impl Fn(usize, f64) -> S,
) -> f64 {
    if before.span != after.span {
        return after.station;
    }
    let start = measure.wall.outline.span_starts()[before.span];
    let (mut low, mut high) = (before.station - start, after.station - start);
    while high - low > measure.tolerances.stretch_end {
        let middle = f64::midpoint(low, high);
        if at(before.span, middle) == *first { low = middle } else { high = middle }
    }
    start + f64::midpoint(low, high)
}

/// How the outline lies on the blank as sawn: from the leave before the first pass.
pub(super) fn margin(measure: &OutlineMeasure<'_>, rows: &[Row]) -> Option<BlankProof> {
    let of = |row: &Row| row.values.first().map_or(f64::NAN, |values| values.before);
    let at = |span: usize, along: f64| {
        measure.values_on(span, along, 1).first().map_or(f64::NAN, |values| values.before)
    };
    let start = |span: usize| measure.wall.outline.span_starts()[span];
    let lowest = |rows: &[Row]| least(rows, &start, &of, &at, &measure.tolerances);
    let (least_margin, least_margin_at) = lowest(rows)?;
    let none = measure.tolerances.none_below;
    let states: Vec<bool> = rows.iter().map(|row| of(row) < -none).collect();
    let borders = borders(measure, rows, &states, |span, along| at(span, along) < -none);
    let ends: Vec<f64> = borders.iter().skip(1).map(|b| b.0).chain([measure.wall.outline.length()]).collect();
    let short = borders.iter().zip(ends).filter(|((_, short), _)| *short).map(|((from, _), to)| {
        let within = stations_within(rows, *from, to);
        let most = lowest(within).map_or(0.0, |(least, _)| -least);
        Short { from: *from, to, most: most.max(0.0) }
    });
    let short = joined(short.collect(), measure.wall.outline.length());
    Some(BlankProof { least_margin, least_margin_at, short })
}

/// The same with one of what ends at the last station and what begins at the first.
fn joined(mut all: Vec<Short>, length: f64) -> Vec<Short> {
    if let [first, .., last] = all[..]
        && first.from <= 0.0
        && last.to >= length
    {
        all.remove(0);
        if let Some(one) = all.last_mut() {
            *one = Short { from: last.from, to: first.to, most: last.most.max(first.most) };
        }
    }
    all
}

/// The rows from one station to another.
fn stations_within(rows: &[Row], from: f64, to: f64) -> &[Row] {
    let first = rows.partition_point(|row| row.station < from);
    let after = rows.partition_point(|row| row.station <= to);
    rows.get(first..after).unwrap_or_default()
}
