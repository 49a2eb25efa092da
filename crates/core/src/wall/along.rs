//! The heights on the wall all along the outline, with their least and most.

use rayon::prelude::*;

use super::Wall;
use super::runs::Heights;
use crate::geometry::{Path, Range, Span};
use crate::search::close_in;
use crate::task::{Cancelled, Task};

/// Most stations of one outline; a longer outline gets them farther apart.
const MOST_STATIONS: f64 = 4000.0;
/// Steps of the search for an extreme between two stations: each leaves 0.62, all of them a hundredth.
const SEARCH_STEPS: usize = 10;
/// Steps of closing in on a jump between two stations: each leaves a half.
const JUMP_STEPS: usize = 16;
/// Most pairs of stations between which an extreme is looked for: a limit on work.
const MOST_PAIRS: usize = 4;

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
            let at = |span, along| self.heights_after(span, along, pass).as_ref().and_then(value);
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
///
/// It is looked for between any two stops where it may lie lower than at all of them, the value falling there no faster
/// than beside it; a jump is closed in on, since the least may lie right before or behind it.
fn extreme(stops: &[Stop], at: &impl Fn(usize, f64) -> Option<f64>, flat: f64) -> Option<(f64, usize, f64)> {
    let value = |stop: &Stop| stop.value.unwrap_or(f64::INFINITY);
    let first = stops.iter().min_by(|a, b| value(a).total_cmp(&value(b)))?;
    let mut best = (first.value?, first.span, first.along);
    let steep = |index: usize| match (stops.get(index), stops.get(index + 1)) {
        (Some(a), Some(b)) if a.span == b.span => a.value.zip(b.value).map_or(0.0, |(a, b)| (a - b).abs()),
        _ => 0.0,
    };
    let may_be = |index: usize| {
        let beside = steep(index).max(steep(index + 1)).max(index.checked_sub(1).map_or(0.0, steep));
        let jump = stops[index].value.is_some() != stops[index + 1].value.is_some();
        // Next to where there is no value nothing says how steep it runs: what lies lowest comes first.
        value(&stops[index]).min(value(&stops[index + 1])) - beside - if jump { flat * 2.0 } else { 0.0 }
    };
    let same_span = |index: &usize| stops[*index].span == stops[index + 1].span;
    let pairs = (0..stops.len().saturating_sub(1)).filter(same_span).map(|index| (may_be(index), index));
    let mut pairs: Vec<(f64, usize)> = pairs.filter(|(lowest, _)| *lowest < best.0 - flat).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, index) in pairs.into_iter().take(MOST_PAIRS) {
        let span = stops[index].span;
        let mut look = |along: f64| {
            let found = at(span, along).unwrap_or(f64::INFINITY);
            if found < best.0 {
                best = (found, span, along);
            }
            found
        };
        let ends = [index, index + 1].map(|index| (stops[index].along, value(&stops[index])));
        toward_least(ends, &mut look);
        toward_jump(ends, &mut look, flat);
    }
    Some(best)
}

fn toward_least([low, high]: [(f64, f64); 2], look: &mut impl FnMut(f64) -> f64) {
    close_in((low.0, high.0), low, SEARCH_STEPS, look);
}

/// Looks at both sides of the greatest jump between two places, ever nearer to it.
fn toward_jump([mut low, mut high]: [(f64, f64); 2], look: &mut impl FnMut(f64) -> f64, flat: f64) {
    // Where both are without a value, there is no jump between them.
    let gap = |a: f64, b: f64| if a == b { 0.0 } else { (a - b).abs() };
    for _ in 0..JUMP_STEPS {
        if gap(low.1, high.1) <= flat {
            return;
        }
        let middle = f64::midpoint(low.0, high.0);
        let middle = (middle, look(middle));
        if gap(low.1, middle.1) >= gap(middle.1, high.1) { high = middle } else { low = middle }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    /// The range of a function over a side from 0 to 1 that is looked at in so many steps.
    fn range_of(steps: u32, function: &impl Fn(f64) -> Option<f64>) -> Range {
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let square = Path::closed(&corners.map(|(x, y)| (pt(x, y), 0.0))).expect("a square");
        let stop = |step: u32| {
            let along = f64::from(step) / f64::from(steps);
            Stop { span: 0, along, value: function(along) }
        };
        let stops: Vec<Stop> = (0..=steps).map(stop).collect();
        extremes(&square, &stops, |_, along| function(along), 1e-6).expect("a range")
    }

    #[test]
    fn least_and_most_are_found_on_either_side_of_a_jump_and_between_stations() {
        // Down to a jump up; up from a jump; past where there is nothing; a ridge, with another nearly as high.
        type Case<'a> = (&'a dyn Fn(f64) -> Option<f64>, f64, f64);
        let cases: [Case<'_>; 5] = [
            (&|x| Some(if x < 0.5031 { -x } else { 1.0 }), -0.5031, 1.0),
            (&|x| Some(if x > 0.5031 { x } else { 2.0 }), 0.5031, 2.0),
            (&|x| Some(if x < 0.5031 { 1.0 } else { 1.2 - x }), 0.2, 1.0),
            (&|x| (x > 0.5031).then_some(x), 0.5031, 1.0),
            (&|x| Some(-(x - 0.3).abs().min((x - 0.777).abs() + 0.002)), -0.3, 0.0),
        ];
        for (index, (function, least, most)) in cases.iter().enumerate() {
            for steps in [40, 41, 57] {
                let found = range_of(steps, function);
                let what = format!("case {index} in {steps} steps: {found:?}");
                assert!((found.least - least).abs() < 3e-4, "{what}");
                assert!((found.most - most).abs() < 3e-4, "{what}");
            }
        }
    }
}
