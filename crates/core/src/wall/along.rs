//! The heights on the wall all along the outline, with their least and most.

use rayon::prelude::*;

use super::Wall;
use super::runs::Heights;
use crate::geometry::{Path, Span};
use crate::proof::Range;
use crate::task::{Cancelled, Task};

/// Most stations of one outline; a longer outline gets them farther apart.
const MOST_STATIONS: f64 = 4000.0;
/// Steps of the search for an extreme between two stations: each leaves two thirds, all of them a hundredth.
const SEARCH_STEPS: usize = 12;

/// The wall at one station.
#[derive(Debug, Clone, PartialEq)]
pub struct WallRow {
    /// Distance along the outline.
    pub station: f64,
    /// Index of the span it lies on.
    pub span: usize,
    /// Distance along that span.
    pub along: f64,
    /// The heights after each pass.
    pub heights: Vec<Heights>,
}

/// Least and most over all stations after one pass, each `None` where no station has it.
#[derive(Debug, Clone, PartialEq)]
pub struct PassWall {
    /// The undercut line.
    pub undercut_line: Option<Range>,
    /// The land.
    pub land: Option<Range>,
    /// The lower end of the rounding.
    pub rounding_lower: Option<Range>,
    /// The top.
    pub top: Option<Range>,
    /// Stretches of the outline, from station to station, that have no undercut while others have one.
    pub without_undercut: Vec<(f64, f64)>,
}

/// The wall all along the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Along {
    /// Stations in order, both ends of every span among them.
    pub rows: Vec<WallRow>,
    /// One for each pass.
    pub passes: Vec<PassWall>,
}

impl Wall<'_> {
    /// The heights on the wall all along the outline, after every pass.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn along(&self, task: Task<'_>) -> Result<Along, Cancelled> {
        task.tell("Measuring the wall", 0.0);
        let rows = places(self.outline, self.tolerances.spacing).into_par_iter().map(|(span, along)| {
            task.cancel.check()?;
            let station = station_of(self.outline, span, along);
            Ok(WallRow { station, span, along, heights: self.heights_on(span, along) })
        });
        let rows: Vec<WallRow> = rows.collect::<Result<_, Cancelled>>()?;
        let passes = (0..self.passes.len()).into_par_iter().map(|pass| {
            task.cancel.check()?;
            Ok(self.pass_wall(&rows, pass))
        });
        Ok(Along { passes: passes.collect::<Result<_, Cancelled>>()?, rows })
    }

    fn pass_wall(&self, rows: &[WallRow], pass: usize) -> PassWall {
        let range = |value: fn(&Heights) -> Option<f64>| {
            let stops = rows.iter().map(|row| Stop {
                span: row.span,
                along: row.along,
                value: row.heights.get(pass).and_then(value),
            });
            let at = |span, along| self.heights_on(span, along).get(pass).and_then(value);
            extremes(self.outline, &stops.collect::<Vec<_>>(), at, self.tolerances.height)
        };
        PassWall {
            undercut_line: range(|heights| heights.undercut_line),
            land: range(|heights| heights.land),
            rounding_lower: range(|heights| heights.rounding_lower),
            top: range(|heights| heights.top),
            without_undercut: self.without_undercut(rows, pass),
        }
    }

    fn without_undercut(&self, rows: &[WallRow], pass: usize) -> Vec<(f64, f64)> {
        let bare = |heights: &[Heights]| heights.get(pass).is_some_and(|h| h.undercut_line.is_none());
        if rows.iter().all(|row| bare(&row.heights)) {
            return Vec::new();
        }
        let mut found = Vec::new();
        let mut open = rows.first().filter(|row| bare(&row.heights)).map(|row| row.station);
        for pair in rows.windows(2) {
            let border = match (bare(&pair[0].heights), bare(&pair[1].heights)) {
                (true, false) | (false, true) => self.border(&pair[0], &pair[1], &bare),
                _ => continue,
            };
            match open.take() {
                Some(from) => found.push((from, border)),
                None => open = Some(border),
            }
        }
        found.extend(open.map(|from| (from, self.outline.length())));
        found.retain(|(from, to)| to - from > self.tolerances.stretch_end);
        found
    }

    fn border(&self, before: &WallRow, after: &WallRow, bare: &impl Fn(&[Heights]) -> bool) -> f64 {
        if before.span != after.span {
            return after.station;
        }
        let (mut low, mut high) = (before.along, after.along);
        let first = bare(&before.heights);
        while high - low > self.tolerances.stretch_end {
            let middle = f64::midpoint(low, high);
            if bare(&self.heights_on(before.span, middle)) == first { low = middle } else { high = middle }
        }
        station_of(self.outline, before.span, f64::midpoint(low, high))
    }
}

/// Span and distance along it of stations all round, both ends of every span among them.
fn places(outline: &Path, spacing: f64) -> Vec<(usize, f64)> {
    let spacing = spacing.max(outline.length() / MOST_STATIONS);
    let mut places = Vec::new();
    for (span, length) in outline.spans().iter().map(Span::length).enumerate() {
        let steps = (length / spacing).ceil().max(1.0) as usize;
        places.extend((0..=steps).map(|step| (span, length * step as f64 / steps as f64)));
    }
    places
}

fn station_of(outline: &Path, span: usize, along: f64) -> f64 {
    (outline.span_starts()[span] + along).min(outline.length())
}

/// A value at a place of the outline.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stop {
    pub(super) span: usize,
    pub(super) along: f64,
    pub(super) value: Option<f64>,
}

/// Least and most of a value, refined by `at` between the stops next to each, unless it is the same there within
/// `flat`.
pub(super) fn extremes(
    outline: &Path,
    stops: &[Stop],
    at: impl Fn(usize, f64) -> Option<f64>,
    flat: f64,
) -> Option<Range> {
    let least = extreme(stops, &at, flat)?;
    let turned: Vec<Stop> =
        stops.iter().map(|stop| Stop { value: stop.value.map(|value| -value), ..*stop }).collect();
    let most = extreme(&turned, &|span, along| at(span, along).map(|value| -value), flat)?;
    let station = |(_, span, along): (f64, usize, f64)| station_of(outline, span, along);
    Some(Range { least: least.0, most: -most.0, least_at: station(least), most_at: station(most) })
}

/// The least value with its span and the distance along it.
fn extreme(stops: &[Stop], at: &impl Fn(usize, f64) -> Option<f64>, flat: f64) -> Option<(f64, usize, f64)> {
    let value = |stop: &Stop| stop.value.unwrap_or(f64::INFINITY);
    let index = (0..stops.len()).min_by(|a, b| value(&stops[*a]).total_cmp(&value(&stops[*b])))?;
    let stop = stops[index];
    let mut best = (stop.value?, stop.span, stop.along);
    let same_span = |other: usize| stops.get(other).filter(|other| other.span == stop.span);
    let (before, after) = (index.checked_sub(1).and_then(same_span), same_span(index + 1));
    if [before, after].into_iter().flatten().all(|other| value(other) - best.0 <= flat) {
        return Some(best);
    }
    let (mut low, mut high) = (before.unwrap_or(&stop).along, after.unwrap_or(&stop).along);
    for _ in 0..SEARCH_STEPS {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        let [at_a, at_b] = [a, b].map(|along| at(stop.span, along).unwrap_or(f64::INFINITY));
        for (found, along) in [(at_a, a), (at_b, b)] {
            if found < best.0 {
                best = (found, stop.span, along);
            }
        }
        if at_a <= at_b { high = b } else { low = a }
    }
    Some(best)
}
