//! Where lines and arcs meet each other.

use std::f64::consts::TAU;

use super::Trouble;
use crate::geometry::{Arc, Bounds, Path, Point, Span};

/// Most troubles of one kind that are told; a drawing with more needs redrawing, not reading.
const MOST_TOLD: usize = 20;
/// Most pairs of spans that are held against each other.
const MOST_PAIRS: usize = 20_000_000;
/// Two spans that meet this near to a corner they share meet at that corner, as a part of the path's length.
const SAME_CORNER: f64 = 1e-7;

/// Where a closed path crosses or runs along itself, at most twenty places.
pub fn crossings(path: &Path) -> Vec<Trouble> {
    crossings_of(path.spans())
}

/// Where spans in a row cross or run along each other, at most twenty places; what meets end to end does not count.
pub fn crossings_of(spans: &[Span]) -> Vec<Trouble> {
    let near = spans.iter().map(Span::length).sum::<f64>() * SAME_CORNER;
    let mut found: Vec<Trouble> = Vec::new();
    let mut meets = Vec::new();
    each_pair(spans, |first, second| {
        meets.clear();
        let (a, b) = (&spans[first], &spans[second]);
        meet(a, b, near, &mut meets);
        let next = (first + 1) % spans.len() == second;
        let before = (second + 1) % spans.len() == first;
        let shared = |p: Point| {
            (next && p.distance(b.at(0.0)) <= 4.0 * near) || (before && p.distance(a.at(0.0)) <= 4.0 * near)
        };
        let places: Vec<Point> = meets.iter().map(|(t, _)| a.at(*t)).filter(|p| !shared(*p)).collect();
        let along = runs_along(a, b, &meets, near);
        for at in places {
            let told = if along { Trouble::RunsBack { at } } else { Trouble::SelfCrossing { at } };
            let near = |known: &Trouble| known.at().is_some_and(|p| p.distance(at) <= 4.0 * near);
            match found.iter_mut().find(|known| near(known)) {
                None => found.push(told),
                // What runs back is met by the next span as well.
                Some(known) if along => *known = told,
                Some(_) => {}
            }
        }
        found.len() < MOST_TOLD
    });
    found.truncate(MOST_TOLD);
    found
}

/// Whether two spans coincide between their first meeting and their last.
fn runs_along(a: &Span, b: &Span, meets: &[(f64, f64)], near: f64) -> bool {
    let first = meets.iter().map(|(t, _)| *t).fold(1.0, f64::min);
    let last = meets.iter().map(|(t, _)| *t).fold(0.0, f64::max);
    (last - first) * a.length() > 4.0 * near && b.distance(a.at(f64::midpoint(first, last))) <= near
}

/// Calls for every pair of spans whose boxes meet, lower index first, until told to stop.
pub(super) fn each_pair(spans: &[Span], mut call: impl FnMut(usize, usize) -> bool) {
    let bounds: Vec<Bounds> = spans.iter().map(Span::bounds).collect();
    let mut order: Vec<usize> = (0..spans.len()).collect();
    order.sort_by(|a, b| bounds[*a].low.x.total_cmp(&bounds[*b].low.x));
    let mut looked = 0;
    for (place, first) in order.iter().enumerate() {
        for second in &order[place + 1..] {
            looked += 1;
            if bounds[*second].low.x > bounds[*first].high.x || looked > MOST_PAIRS {
                break;
            }
            let pair = (*first.min(second), *first.max(second));
            if bounds[*first].meets(&bounds[*second]) && !call(pair.0, pair.1) {
                return;
            }
        }
    }
}

/// Adds where two spans meet, as parts of the way along each; where they coincide, the ends of the common stretch.
/// Ends count when they come within `near` of the other span.
pub(super) fn meet(a: &Span, b: &Span, near: f64, found: &mut Vec<(f64, f64)>) {
    match (a, b) {
        (Span::Line { from, to }, Span::Line { from: start, to: end }) => {
            lines(*from, *to, *start, *end, found);
        }
        (Span::Line { from, to }, Span::Arc(arc)) => line_arc(*from, *to, arc, near, found),
        (Span::Arc(arc), Span::Line { from, to }) => {
            let mut swapped = Vec::new();
            line_arc(*from, *to, arc, near, &mut swapped);
            found.extend(swapped.into_iter().map(|(t, u)| (u, t)));
        }
        (Span::Arc(first), Span::Arc(second)) => arcs(first, second, near, found),
    }
    for t in [0.0, 1.0] {
        let (u, off) = b.nearest(a.at(t));
        if off <= near {
            found.push((t, u));
        }
        let (u, off) = a.nearest(b.at(t));
        if off <= near {
            found.push((u, t));
        }
    }
}

/// Where two lines cross; along each other only their ends count.
fn lines(from: Point, to: Point, start: Point, end: Point, found: &mut Vec<(f64, f64)>) {
    const PARALLEL: f64 = 1e-12;
    let (d, e, apart) = (to - from, end - start, start - from);
    let across = d.cross(e);
    if across.abs() <= PARALLEL * d.length() * e.length() {
        return;
    }
    let (t, u) = (apart.cross(e) / across, apart.cross(d) / across);
    if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
        found.push((t, u));
    }
}

fn line_arc(from: Point, to: Point, arc: &Arc, near: f64, found: &mut Vec<(f64, f64)>) {
    let along = to - from;
    let length = along.length();
    let Some(unit) = along.unit() else { return };
    let middle = (arc.centre - from).dot(unit);
    let off = unit.cross(arc.centre - from).abs();
    if off > arc.radius + near {
        return;
    }
    // A line that just misses the circle touches it.
    let half = (arc.radius * arc.radius - off * off).max(0.0).sqrt();
    for place in [middle - half, middle + half] {
        let t = place / length;
        if (0.0..=1.0).contains(&t)
            && let Some(u) = part_of(arc, from.toward(to, t))
        {
            found.push((t, u));
        }
    }
}

fn arcs(a: &Arc, b: &Arc, near: f64, found: &mut Vec<(f64, f64)>) {
    let apart = b.centre - a.centre;
    let distance = apart.length();
    if distance <= near && (a.radius - b.radius).abs() <= near {
        return;
    }
    if distance > a.radius + b.radius + near || distance < (a.radius - b.radius).abs() - near {
        return;
    }
    let Some(unit) = apart.unit() else { return };
    let along = (distance * distance + a.radius * a.radius - b.radius * b.radius) / (2.0 * distance);
    let up = (a.radius * a.radius - along * along).max(0.0).sqrt();
    for side in [up, -up] {
        let p = a.centre + unit * along + unit.left() * side;
        if let (Some(t), Some(u)) = (part_of(a, p), part_of(b, p)) {
            found.push((t, u));
        }
    }
}

/// How far along the arc the direction of `p` lies; a hair beyond an end counts as that end.
fn part_of(arc: &Arc, p: Point) -> Option<f64> {
    const HAIR: f64 = 1e-12;
    let angle = (p - arc.centre).angle();
    let turn = if arc.sweep >= 0.0 { angle - arc.from } else { arc.from - angle }.rem_euclid(TAU);
    let sweep = arc.sweep.abs();
    if turn <= sweep + HAIR {
        Some((turn / sweep).min(1.0))
    } else if turn >= TAU - HAIR {
        Some(0.0)
    } else {
        None
    }
}
