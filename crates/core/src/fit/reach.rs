//! Where a round tool cannot follow the outline: inner corners tighter than its radius.

use super::follow;
use crate::bring_in::{OffsetError, offset};
use crate::geometry::{Path, Span};
use crate::task::{Cancel, Cancelled};
use crate::units::Units;

/// Stations between those at which a stretch may begin; a narrower one is found only by chance.
const MOST_STATIONS: f64 = 20_000.0;
/// Sine of the turn from which two spans meet in a corner rather than roughly drawn in one line.
const SHARP: f64 = 1e-3;
/// Halvings in which the end of a stretch, or the most of it, is found.
const HALVINGS: usize = 40;

/// The most of what is left between two stations, and where.
fn peak(left: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> (f64, f64) {
    for _ in 0..HALVINGS {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if left(a) >= left(b) { high = b } else { low = a }
    }
    let middle = f64::midpoint(low, high);
    (left(middle), middle)
}

/// A stretch that the tool cannot touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends; less than `from` where it goes on past the first vertex.
    pub to: f64,
    /// How far from the outline the nearest place is that the tool reaches, at the most.
    pub most: f64,
    /// The station where that is.
    pub at: f64,
}

/// An inner corner of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inner {
    /// Its radius; 0 where it is sharp.
    pub radius: f64,
    /// Station of its middle.
    pub station: f64,
}

/// The tightest of the outline's inner corners: those that a tool outside it goes into. `None` when there is none.
pub fn tightest_inner(outline: &Path) -> Option<Inner> {
    let spans = outline.spans();
    // Seen in the order of the vertices, an inner corner turns away from what the path encloses.
    let outward = outline.place_on(0, 0.0).outward;
    let sense = if spans.first()?.tangent(0.0).right().dot(outward) > 0.0 { 1.0 } else { -1.0 };
    let mut found = Vec::new();
    for (index, (span, start)) in spans.iter().zip(outline.span_starts()).enumerate() {
        if let Span::Arc(arc) = span
            && arc.sweep * sense < 0.0
        {
            found.push(Inner { radius: arc.radius, station: start + span.length() / 2.0 });
        }
        let before = &spans[(index + spans.len() - 1) % spans.len()];
        if before.tangent(1.0).cross(span.tangent(0.0)) * sense < -SHARP {
            found.push(Inner { radius: 0.0, station: *start });
        }
    }
    found.into_iter().min_by(|a, b| a.radius.total_cmp(&b.radius))
}

/// The stretches of the outline that a tool of this radius, rolling round it outside without cutting it, cannot
/// touch, and how much it leaves there.
///
/// The tool's centre can go wherever it is a radius away from the outline; what lies farther than a radius from all
/// such places is left.
///
/// # Errors
/// [`OffsetError`] when the way of the tool's centre cannot be made.
///
/// [`Cancelled`] outside of that, when the work was asked to stop.
pub fn reach(
    outline: &Path,
    radius: f64,
    units: Units,
    cancel: &Cancel,
) -> Result<Result<Vec<Reach>, OffsetError>, Cancelled> {
    // Where nothing turns inward a tool of any radius goes all round.
    if radius <= 0.0 || tightest_inner(outline).is_none() {
        return Ok(Ok(Vec::new()));
    }
    let way = offset(outline, radius, units, cancel);
    cancel.check()?;
    let way = match way {
        Ok(way) => way,
        Err(error) => return Ok(Err(error)),
    };
    let length = outline.length();
    let left = |station: f64| way.distance(outline.place(station.rem_euclid(length)).at) - radius;
    let steps = (length / units.pick(0.005, 0.125)).clamp(64.0, MOST_STATIONS) as usize;
    let mut stations: Vec<f64> = (0..steps).map(|step| length * step as f64 / steps as f64).collect();
    stations.extend(outline.span_starts());
    stations.sort_by(f64::total_cmp);
    let none = 4.0 * follow(units);
    let mut values: Vec<f64> = Vec::with_capacity(stations.len());
    for station in &stations {
        cancel.check()?;
        values.push(left(*station));
    }
    let Some(first) = values.iter().position(|value| *value <= none) else {
        let seen = values.iter().copied().zip(stations.iter().copied());
        let (most, at) = seen.fold((0.0, 0.0), |best, next| if next.0 > best.0 { next } else { best });
        return Ok(Ok(vec![Reach { from: 0.0, to: length, most, at }]));
    };
    let mut found = Vec::new();
    let mut open: Option<Reach> = None;
    let count = stations.len();
    for step in 1..=count {
        cancel.check()?;
        let (before, here) = ((first + step - 1) % count, (first + step) % count);
        let turns = |index: usize| stations[index] + if index < first { length } else { 0.0 };
        let (mut low, mut high) = (turns(before), turns(here));
        if high < low {
            high += length;
        }
        let was = values[before] > none;
        let is = values[here] > none;
        if was != is {
            for _ in 0..HALVINGS {
                let middle = f64::midpoint(low, high);
                if (left(middle) > none) == was { low = middle } else { high = middle }
            }
        }
        if is {
            let begun = low.rem_euclid(length);
            let reach = open.get_or_insert(Reach { from: begun, to: 0.0, most: 0.0, at: begun });
            let (from, to) = (turns(before).min(low), high + length / steps as f64);
            for (most, at) in [(values[here], stations[here]), peak(&left, from, to)] {
                if most > reach.most {
                    (reach.most, reach.at) = (most, at.rem_euclid(length));
                }
            }
        } else if let Some(reach) = open.take() {
            found.push(Reach { to: low.rem_euclid(length), ..reach });
        }
    }
    found.sort_by(|a, b| a.from.total_cmp(&b.from));
    Ok(Ok(found))
}
