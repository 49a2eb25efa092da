//! The least of a value along the outline, found between the stations as well as at them.

use super::outline::Row;
use crate::geometry::Interval;
use crate::search::close_in_while;
use crate::tolerance::Tolerances;

/// Steps of the search for a smooth extreme between two stations: each leaves 0.62.
const SEARCH_STEPS: usize = 22;
/// Steps of the search for a jump between two stations: each leaves a half.
const JUMP_STEPS: usize = 30;
/// What differs by less than this part of no contact is the same: rounding, which differs from unit to unit.
const SAME: f64 = 0.01;
/// What is left of a search between two stations is not given up as long as it would do to fall so many times as fast as
/// beside them.
const FALLS: f64 = 3.0;
/// Within this part of that lies the bottom of a dip.
const EXACT: f64 = 1e-6;

/// A value at a place of the outline.
#[derive(Debug, Clone, Copy)]
struct Seen {
    station: f64,
    value: f64,
}

/// The least value over the stations and between them, with its station: the first of several that are as low.
///
/// Between two stations of one span it is looked for wherever it may lie lower than at all stations: the value falls
/// there no faster than beside it, and a search ends where what is left of it could not fall so low. A jump is closed in on
/// from both sides, so that the least is found whether it lies before the jump or after it. `start` gives the station where
/// a span begins; `at` measures `along` a span.
pub(super) fn least(
    rows: &[Row],
    start: &impl Fn(usize) -> f64,
    value: &impl Fn(&Row) -> f64,
    at: &impl Fn(usize, f64) -> f64,
    tolerances: &Tolerances,
) -> Option<(f64, f64)> {
    let values: Vec<f64> = rows.iter().map(value).collect();
    let same = tolerances.none_below * SAME;
    let mut seen: Vec<Seen> =
        rows.iter().zip(&values).map(|(row, value)| Seen { station: row.station, value: *value }).collect();
    let mut best = values.iter().copied().reduce(f64::min)?;
    let steep = |index: usize| match (rows.get(index), rows.get(index + 1)) {
        (Some(a), Some(b)) if a.span == b.span => (values[index + 1] - values[index]).abs(),
        _ => 0.0,
    };
    let mut pairs: Vec<(f64, usize, f64)> = (0..rows.len().saturating_sub(1))
        .filter(|&index| rows[index].span == rows[index + 1].span)
        .map(|index| {
            let beside = steep(index).max(steep(index + 1)).max(index.checked_sub(1).map_or(0.0, steep));
            (values[index].min(values[index + 1]) - beside, index, beside)
        })
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (may_be, index, beside) in pairs {
        if may_be >= best - same {
            break;
        }
        let (span, from) = (rows[index].span, start(rows[index].span));
        let ends =
            [index, index + 1].map(|index| Seen { station: rows[index].station, value: values[index] });
        let look = |station: f64| Seen { station, value: at(span, station - from) };
        let falls = FALLS * beside / (ends[1].station - ends[0].station);
        let wanted = Wanted { below: best - same, falls, same };
        for found in between(ends, look, &wanted) {
            best = best.min(found.value);
            seen.push(found);
        }
    }
    Some((best, first_lowest(seen, best + same, same * EXACT, tolerances.station_spacing)?))
}

/// The first place that is as low as `within`; of a dip there that is narrower than `narrow` its bottom: beside it a thousandth
/// of an inch changes the value by less than a millionth. What is as low as the bottom to `exact` is the bottom.
fn first_lowest(mut seen: Vec<Seen>, within: f64, exact: f64, narrow: f64) -> Option<f64> {
    seen.sort_by(|a, b| a.station.total_cmp(&b.station));
    let first = seen.iter().position(|seen| seen.value <= within)?;
    let count = seen[first..].iter().take_while(|seen| seen.value <= within).count();
    let run = &seen[first..first + count];
    let wide = run.last()?.station - run.first()?.station;
    let lowest = run.iter().map(|seen| seen.value).reduce(f64::min)?;
    let bottom = run.iter().find(|seen| wide < narrow && seen.value <= lowest + exact);
    bottom.or(run.first()).map(|seen| seen.station)
}

/// What is looked for between two stations.
struct Wanted {
    /// A value lower than this
    below: f64,
    /// of a function that falls by no more than this on its way,
    falls: f64,
    /// values being the same within this.
    same: f64,
}

impl Wanted {
    /// Whether a value may be low enough within an interval in which one is known.
    fn may_be_within(&self, (from, to): Interval, known: f64) -> bool {
        known - self.falls * (to - from) < self.below
    }
}

/// Places looked at between two stations: toward the least, and on both sides of the greatest jump.
fn between([a, b]: [Seen; 2], look: impl Fn(f64) -> Seen, wanted: &Wanted) -> Vec<Seen> {
    let mut seen = Vec::new();
    let note = |station: f64| {
        let found = look(station);
        seen.push(found);
        found.value
    };
    let worth = |left: Interval, known: f64| wanted.may_be_within(left, known);
    close_in_while((a.station, b.station), (a.station, a.value), SEARCH_STEPS, note, worth);
    let (mut low, mut high) = (a, b);
    for _ in 0..JUMP_STEPS {
        let left = (low.station, high.station);
        let is_flat = (high.value - low.value).abs() <= wanted.same;
        if is_flat || !wanted.may_be_within(left, low.value.min(high.value)) {
            break;
        }
        let middle = look(f64::midpoint(low.station, high.station));
        seen.push(middle);
        let steeper_below = (middle.value - low.value).abs() >= (high.value - middle.value).abs();
        if steeper_below { high = middle } else { low = middle }
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Place, pt};
    use crate::units::Units;

    /// Rows of a function over one span from 0 to 1.
    fn least_of(steps: u32, function: &impl Fn(f64) -> f64) -> (f64, f64) {
        let place = Place { at: pt(0.0, 0.0), outward: pt(1.0, 0.0) };
        let row = |step: u32| {
            let station = f64::from(step) / f64::from(steps);
            Row { station, span: 0, place, values: Vec::new(), cuts: Vec::new() }
        };
        let rows: Vec<Row> = (0..=steps).map(row).collect();
        let tolerances = Tolerances::for_units(Units::Inch);
        least(&rows, &|_| 0.0, &|row| function(row.station), &|_, along| function(along), &tolerances)
            .expect("stations")
    }

    #[test]
    fn the_least_is_found_on_either_side_of_a_jump_and_between_stations() {
        // A slope down to a jump up; the same turned round; a jump to a slope that falls away from it; a sharp dip.
        type Case<'a> = (&'a dyn Fn(f64) -> f64, f64, f64);
        let cases: [Case<'_>; 5] = [
            (&|x| if x < 0.5031 { 1.0 - x } else { 2.0 }, 1.0 - 0.5031, 0.5031),
            (&|x| if x > 0.5031 { x } else { 2.0 }, 0.5031, 0.5031),
            (&|x| if x < 0.5031 { 1.0 } else { 0.2 + (x - 0.5031) }, 0.2, 0.5031),
            (&|x| (x - 0.777).abs(), 0.0, 0.777),
            (&|x| if x < 0.5031 { 1.0 - x } else { 1.2 - x }, 0.2, 1.0),
        ];
        for (index, (function, want, at)) in cases.iter().enumerate() {
            for steps in [40, 41, 57] {
                let (least, station) = least_of(steps, function);
                assert!((least - want).abs() < 2e-6, "case {index}, {steps}: {least}");
                assert!((station - at).abs() < 2e-6, "case {index}, {steps}: at {station}");
            }
        }
    }

    /// The bottom of a round dip of radius .5, as a straight edge across a rounded corner makes it: a millionth is the same
    /// value within .001 of it, and the place is told all the same.
    #[test]
    fn the_bottom_of_a_round_dip_is_told_and_not_the_beginning_of_what_is_as_low() {
        for steps in [40, 41, 57, 100] {
            for at in [0.5031, 0.25, 0.777_7] {
                let (_, station) = least_of(steps, &|x| (x - at).powi(2));
                assert!((station - at).abs() < 2e-5, "{steps}: {station} for {at}");
            }
        }
    }

    #[test]
    fn of_places_equally_low_the_first_is_told() {
        let (_, station) = least_of(40, &|x| if x > 0.25 { 1.0 - 1e-12 * x } else { 2.0 - x });
        assert!((station - 0.25).abs() < 1e-6, "{station}");
    }
}
