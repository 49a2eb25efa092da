//! A closed path moved in or out by a distance, exactly: lines stay lines, arcs stay arcs.

use std::f64::consts::PI;
use std::fmt;

use super::cross::{crossings, each_pair, meet};
use super::heal::healed;
use super::{Curve, join, join_gap};
use crate::geometry::{Arc, Path, Point, Ray, Span, pt};
use crate::job::Vertex;
use crate::task::{Cancel, Cancelled};
use crate::units::Units;

/// Most spans of a path that is moved.
const MOST_SPANS: usize = 20_000;
/// What lies nearer than the distance by more than this part of it has been cut off by another span.
const TRIM: f64 = 1e-7;

/// Why a path cannot be moved.
#[derive(Debug, Clone, PartialEq)]
pub enum OffsetError {
    /// It has too many spans.
    TooManySpans,
    /// Nothing is left: it is nowhere wider than twice the distance.
    NothingLeft,
    /// What came out does not keep the distance; by how much it misses.
    Misses(f64),
    /// It was asked to stop.
    Stopped,
}

impl fmt::Display for OffsetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooManySpans => write!(f, "the path has more than {MOST_SPANS} lines and arcs"),
            Self::NothingLeft => {
                f.write_str("nothing is left inside: the path is narrower than the tool or probe")
            }
            Self::Misses(_) => {
                f.write_str("the path could not be moved in or out cleanly: check for places drawn twice")
            }
            Self::Stopped => write!(f, "{Cancelled}"),
        }
    }
}

impl std::error::Error for OffsetError {}

/// How near a piece may come to the path beyond the distance, and what is healed afterwards, as parts of the gap within
/// which the ends of drawings are joined. The first that gives a sound path is taken: numbers of few decimals make
/// lines and arcs that do not quite join, and then exact trimming leaves slivers or breaks the way round.
const TRIES: [(f64, f64); 4] = [(0.0, 1e-3), (1e-3, 1e-2), (1e-2, 1e-1), (1e-1, 1.0)];

/// The closed path whose points lie at `distance` from `path`, outside it when positive, inside when negative; the
/// largest where there are several.
///
/// Every span is moved square to itself, arcs are put round the corners that open, all of it is cut wherever it
/// meets, and what lies nearer than the distance to any part of the path is dropped. Slivers are healed within the
/// tolerance that joins drawings.
///
/// # Errors
/// [`OffsetError`] when nothing is left, the outcome does not keep its distance, or it was asked to stop.
pub fn offset(path: &Path, distance: f64, units: Units, cancel: &Cancel) -> Result<Path, OffsetError> {
    if distance == 0.0 {
        return Ok(path.clone());
    }
    if path.spans().len() > MOST_SPANS {
        return Err(OffsetError::TooManySpans);
    }
    let gap = join_gap(units);
    let mut first: Option<Result<Path, OffsetError>> = None;
    for (near, heal) in TRIES {
        let near = (distance.abs() * TRIM).max(near * gap);
        match moved_path(path, distance, near, (heal * gap, gap), cancel) {
            Err(OffsetError::Stopped) => return Err(OffsetError::Stopped),
            Ok(found) if crossings(&found).is_empty() => return Ok(found),
            // What touches itself is taken when no try gives anything cleaner.
            other => first = first.filter(Result::is_ok).or(Some(other)),
        }
    }
    first.unwrap_or(Err(OffsetError::NothingLeft))
}

/// One try: pieces may come nearer by `near`, slivers are healed within `heal`, ends joined within `gap`.
fn moved_path(
    path: &Path,
    distance: f64,
    near: f64,
    (heal, gap): (f64, f64),
    cancel: &Cancel,
) -> Result<Path, OffsetError> {
    let raw = moved_spans(path, distance);
    // Slivers that meet within the gap would be joined to each other instead of what goes on.
    let kept = kept_pieces(path, &raw, distance, near, cancel).map_err(|Cancelled| OffsetError::Stopped)?;
    let curves: Vec<Curve> = kept.into_iter().filter(|curve| length(curve) > heal).collect();
    let joined = join(&curves, gap);
    let all: f64 = joined.closed.iter().map(|closed| closed.path.area()).sum();
    let largest = joined
        .closed
        .into_iter()
        .reduce(|best, next| if next.path.area() > best.path.area() { next } else { best });
    let found = largest.ok_or(OffsetError::NothingLeft)?.path;
    let found = healed(&found, heal).ok_or(OffsetError::NothingLeft)?;
    let missing = least_area(path, distance) - gap * path.length() - all;
    if missing > 0.0 {
        return Err(OffsetError::Misses(missing / path.length()));
    }
    let off = worst(path, &found, distance);
    if off > gap { Err(OffsetError::Misses(off)) } else { Ok(found) }
}

/// What a path moved by a distance encloses at the least: the strip along it is no wider than the distance, so it takes
/// no more than distance times length (plane geometry); outward it encloses more than before.
fn least_area(path: &Path, distance: f64) -> f64 {
    if distance < 0.0 { path.area() + distance * path.length() } else { path.area() }
}

/// 1 for counter-clockwise paths, -1 for others.
fn sense(path: &Path) -> f64 {
    let doubled: f64 = path
        .spans()
        .iter()
        .map(|span| {
            let chord = span.at(0.0).cross(span.at(1.0));
            match span {
                Span::Line { .. } => chord,
                Span::Arc(arc) => chord + arc.radius * arc.radius * (arc.sweep - arc.sweep.sin()),
            }
        })
        .sum();
    doubled.signum()
}

fn moved_spans(path: &Path, distance: f64) -> Vec<Span> {
    // Square to the right of the way round, so that it points out of a counter-clockwise path.
    let side = distance * sense(path);
    let spans = path.spans();
    let mut raw = Vec::with_capacity(2 * spans.len());
    for (index, span) in spans.iter().enumerate() {
        let next = &spans[(index + 1) % spans.len()];
        raw.extend(moved(span, side));
        raw.extend(corner(span, next, side));
    }
    raw
}

/// The span moved to its right by `side`; `None` for an arc that has shrunk to nothing.
fn moved(span: &Span, side: f64) -> Option<Span> {
    match span {
        Span::Line { .. } => {
            let by = span.tangent(0.0).right() * side;
            Some(Span::Line { from: span.at(0.0) + by, to: span.at(1.0) + by })
        }
        Span::Arc(arc) => {
            let radius = arc.radius + side * arc.sweep.signum();
            (radius > 0.0).then_some(Span::Arc(arc.of_radius(radius)))
        }
    }
}

/// The arc round a corner where the two moved spans come apart.
fn corner(span: &Span, next: &Span, side: f64) -> Option<Span> {
    let (before, after) = (span.tangent(1.0), next.tangent(0.0));
    let turn = before.cross(after).atan2(before.dot(after));
    // Turning away from the side on which the path is moved opens the corner.
    if turn * side <= 0.0 {
        return None;
    }
    let spoke = before.right() * side;
    Some(Span::Arc(Arc::new(next.at(0.0), side.abs(), spoke.angle(), turn.clamp(-PI, PI))))
}

/// The parts of the moved spans that keep the distance, cut wherever spans meet.
fn kept_pieces(
    path: &Path,
    raw: &[Span],
    distance: f64,
    near: f64,
    cancel: &Cancel,
) -> Result<Vec<Curve>, Cancelled> {
    let trim = distance.abs() * TRIM;
    let mut cuts: Vec<Vec<f64>> = raw.iter().map(|_| vec![0.0, 1.0]).collect();
    let mut meets = Vec::new();
    each_pair(raw, |first, second| {
        meets.clear();
        meet(&raw[first], &raw[second], trim * 1e-2, &mut meets);
        for (t, u) in &meets {
            cuts[first].push(*t);
            cuts[second].push(*u);
        }
        !cancel.is_raised()
    });
    let mut kept = Vec::new();
    for (span, cuts) in raw.iter().zip(&mut cuts) {
        cancel.check()?;
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            if (to - from) * span.length() <= trim * 1e-3 {
                continue;
            }
            let holds = |part: f64| {
                let p = span.at(from + (to - from) * part);
                path.distance(p) >= distance.abs() - near && is_inside(path, p) == (distance < 0.0)
            };
            if [0.5, 0.25, 0.75].into_iter().all(holds) {
                kept.push(piece(span, from, to));
            }
        }
    }
    Ok(kept)
}

fn piece(span: &Span, from: f64, to: f64) -> Curve {
    let bulge = match span {
        Span::Line { .. } => 0.0,
        Span::Arc(arc) => (arc.sweep * (to - from) / 4.0).tan(),
    };
    let vertices = vec![Vertex { at: span.at(from), bulge }, Vertex { at: span.at(to), bulge: 0.0 }];
    Curve { layer: 0, vertices, closed: false }
}

fn length(curve: &Curve) -> f64 {
    let spans = curve.vertices.windows(2).map(|pair| Span::with_bulge(pair[0].at, pair[1].at, pair[0].bulge));
    spans.map(|span| span.length()).sum()
}

/// Whether a point lies inside a closed path: an odd number of crossings ahead of it.
pub(super) fn is_inside(path: &Path, p: Point) -> bool {
    let mut crossings = Vec::new();
    Ray { origin: p, along: pt(1.0, 0.0) }.crossings(path, &mut crossings);
    crossings.iter().filter(|t| **t > 0.0).count() % 2 == 1
}

/// By how much the distance is missed at the worst, looked at on both ends and in the middle of every span.
fn worst(path: &Path, found: &Path, distance: f64) -> f64 {
    let places = found.spans().iter().flat_map(|span| [0.0, 0.5].map(|t| span.at(t)));
    places.map(|p| (path.distance(p) - distance.abs()).abs()).fold(0.0, f64::max)
}
