//! Least, most and stretches of a measure along the outline.

use super::outline::{OutlineMeasure, Row, Values};
use super::{Contact, Stretch};
use crate::proof::{BlankProof, Range, Short};

/// Steps of the search for an extreme between two stations.
const SEARCH_STEPS: usize = 24;

/// Least and most of a measure along the outline, refined between the stations. `None` without stations.
pub fn range_of(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    pass: usize,
    value: impl Fn(&Values) -> f64,
) -> Option<Range> {
    let of = |row: &Row| value(&row.values[pass]);
    let (least, least_at) = extreme(measure, rows, pass + 1, |row| of(row))?;
    let (most, most_at) = extreme(measure, rows, pass + 1, |row| -of(row))?;
    Some(Range { least, most: -most, least_at, most_at })
}

/// The least of a value over the outline, and its station. The value looks at the first `passes` alone.
fn extreme(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    passes: usize,
    value: impl Fn(&Row) -> f64,
) -> Option<(f64, f64)> {
    let index = (0..rows.len()).min_by(|a, b| value(&rows[*a]).total_cmp(&value(&rows[*b])))?;
    let mut best = (value(&rows[index]), rows[index].station);
    let row = &rows[index];
    let same_span = |other: usize| rows.get(other).filter(|other| other.span == row.span);
    let low = index.checked_sub(1).and_then(same_span).unwrap_or(row).station;
    let high = same_span(index + 1).unwrap_or(row).station;
    let start = measure.outline.span_starts()[row.span];
    let (mut low, mut high) = (low - start, high - start);
    for _ in 0..SEARCH_STEPS {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        let at = |along: f64| value(&measure.row_through(row.span, along, passes));
        let (at_a, at_b) = (at(a), at(b));
        for (found, along) in [(at_a, a), (at_b, b)] {
            if found < best.0 {
                best = (found, start + along);
            }
        }
        if at_a <= at_b { high = b } else { low = a }
    }
    Some(best)
}

/// Stretches of equal state along the whole outline, without gap or overlap, their ends found to the tolerance.
pub fn stretches(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    pass: usize,
    state: impl Fn(&Values) -> Contact,
) -> Vec<Stretch> {
    let borders = borders(measure, rows, pass + 1, |row| state(&row.values[pass]));
    let length = measure.outline.length();
    let starts = borders.iter().map(|(at, state)| (*at, *state));
    let ends = borders.iter().skip(1).map(|(at, _)| *at).chain([length]);
    starts
        .zip(ends)
        .filter(|((from, _), to)| to > from)
        .map(|((from, state), to)| Stretch { state, from, to })
        .collect()
}

/// Where the state changes, each with the state that starts there; the first at station 0. The state looks at the
/// first `passes` alone.
fn borders<S: PartialEq + Copy>(
    measure: &OutlineMeasure<'_>,
    rows: &[Row],
    passes: usize,
    state: impl Fn(&Row) -> S,
) -> Vec<(f64, S)> {
    let Some(first) = rows.first() else { return Vec::new() };
    let mut found = vec![(0.0, state(first))];
    for pair in rows.windows(2) {
        let (before, after) = (state(&pair[0]), state(&pair[1]));
        if before != after {
            found.push((border(measure, (&pair[0], &pair[1]), passes, &state), after));
        }
    }
    found.dedup_by(|next, kept| next.1 == kept.1);
    found
}

fn border<S: PartialEq>(
    measure: &OutlineMeasure<'_>,
    (before, after): (&Row, &Row),
    passes: usize,
    state: impl Fn(&Row) -> S,
) -> f64 {
    if before.span != after.span {
        return after.station;
    }
    let start = measure.outline.span_starts()[before.span];
    let (mut low, mut high) = (before.station - start, after.station - start);
    let first = state(before);
    while high - low > measure.tolerances.stretch_end {
        let middle = f64::midpoint(low, high);
        let middle_state = state(&measure.row_through(before.span, middle, passes));
        if middle_state == first { low = middle } else { high = middle }
    }
    start + f64::midpoint(low, high)
}

/// How the outline lies on the blank as sawn: from the leave before the first pass.
pub fn margin(measure: &OutlineMeasure<'_>, rows: &[Row]) -> Option<BlankProof> {
    let of = |row: &Row| row.values.first().map_or(f64::NAN, |values| values.before);
    let (least_margin, least_margin_at) = extreme(measure, rows, 1, of)?;
    let none = measure.tolerances.none_below;
    let borders = borders(measure, rows, 1, |row| of(row) < -none);
    let ends: Vec<f64> = borders.iter().skip(1).map(|b| b.0).chain([measure.outline.length()]).collect();
    let short = borders.iter().zip(ends).filter(|((_, short), _)| *short).map(|((from, _), to)| {
        let within = rows.iter().filter(|row| row.station >= *from && row.station <= to);
        let most = within.map(|row| -of(row)).fold(0.0, f64::max);
        let refined = least_margin_at >= *from && least_margin_at <= to;
        Short { from: *from, to, most: if refined { -least_margin } else { most } }
    });
    Some(BlankProof { least_margin, least_margin_at, short: short.collect() })
}
