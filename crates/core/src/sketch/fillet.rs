//! A corner between lines and arcs rounded with a radius.
//!
//! The centre of the round lies at its radius from both spans, so on both spans moved square to themselves by the
//! radius, towards the inside of the corner; it touches each where the square through the centre meets it.

use std::f64::consts::{PI, TAU};

use super::edit::bulge_of_part;
use super::{Chain, Refused};
use crate::geometry::{Arc, Point, Rail, Span};
use crate::job::Vertex;

/// Angles nearer to nothing or to a half turn than this are no corner.
const STRAIGHT: f64 = 1e-6;
/// How far beyond the end of a span a touching point may seem to lie by rounding, as a part of the span.
const HAIR: f64 = 1e-9;

/// The chain with the corner at a vertex rounded.
pub(super) fn fillet(chain: &Chain, vertex: usize, radius: f64) -> Result<Chain, Refused> {
    let (before, after) = chain.round(vertex).ok_or(Refused::NoCorner)?;
    let (first, second) = chain.span(before).zip(chain.span(after)).ok_or(Refused::NoSuch)?;
    if !(radius.is_finite() && radius > 0.0) {
        return Err(Refused::NoNumber);
    }
    let turn = angle(first.tangent(1.0), second.tangent(0.0));
    if turn.abs() < STRAIGHT || turn.abs() > PI - STRAIGHT {
        return Err(Refused::NoCorner);
    }
    let side = turn.signum();
    let too_large = Refused::TooLarge { most: most(&first, &second, turn) };
    let rails = rail(&first, side * radius).zip(rail(&second, side * radius)).ok_or(too_large)?;
    let corner = first.at(1.0);
    let touching = rails
        .0
        .meet(&rails.1)
        .filter_map(|centre| Some((centre, foot(&first, centre)?, foot(&second, centre)?)));
    let nearest = touching.min_by(|a, b| a.0.distance(corner).total_cmp(&b.0.distance(corner)));
    let (_, end, start) = nearest.ok_or(too_large)?;
    let sweep = angle(first.tangent(end), second.tangent(start));
    let sweep = if sweep * side < 0.0 { sweep + TAU * side } else { sweep };
    let mut rounded = chain.clone();
    if let Some(vertex) = rounded.vertices.get_mut(before) {
        vertex.bulge = bulge_of_part(&first, end);
    }
    let into = Vertex { at: first.at(end), bulge: (sweep / 4.0).tan() };
    let out = Vertex { at: second.at(start), bulge: bulge_of_part(&second, 1.0 - start) };
    rounded.vertices.splice(vertex..=vertex, [into, out]);
    Ok(without_specks(rounded))
}

/// Angle from one direction to another, positive to the left.
fn angle(a: Point, b: Point) -> f64 {
    a.cross(b).atan2(a.dot(b))
}

/// The largest radius that fits between two lines: the round takes radius * tan(turn / 2) of each.
fn most(first: &Span, second: &Span, turn: f64) -> Option<f64> {
    let lines = matches!((first, second), (Span::Line { .. }, Span::Line { .. }));
    lines.then(|| first.length().min(second.length()) / (turn.abs() / 2.0).tan())
}

/// The span moved to its left by `by`; `None` for an arc that has shrunk to nothing.
fn rail(span: &Span, by: f64) -> Option<Rail> {
    match span {
        Span::Line { from, .. } => {
            let along = span.tangent(0.0);
            Some(Rail::Line { origin: *from + along.left() * by, along })
        }
        Span::Arc(arc) => {
            let radius = arc.radius - by * arc.sweep.signum();
            (radius > 0.0).then_some(Rail::Circle { centre: arc.centre, radius })
        }
    }
}

/// How far along a span the round about `centre` touches it; `None` beyond its ends.
fn foot(span: &Span, centre: Point) -> Option<f64> {
    let part = match span {
        Span::Line { from, to } => {
            let along = *to - *from;
            (centre - *from).dot(along) / along.dot(along)
        }
        Span::Arc(arc) => part_of(arc, centre),
    };
    (-HAIR..=1.0 + HAIR).contains(&part).then(|| part.clamp(0.0, 1.0))
}

fn part_of(arc: &Arc, p: Point) -> f64 {
    let angle = (p - arc.centre).angle();
    let turn = if arc.sweep >= 0.0 { angle - arc.from } else { arc.from - angle }.rem_euclid(TAU);
    // A hair before the start is not nearly a full turn after it.
    let turn = if turn > TAU - HAIR { turn - TAU } else { turn };
    turn / arc.sweep.abs()
}

/// The chain without spans that have been used up by a round.
fn without_specks(mut chain: Chain) -> Chain {
    let speck = chain.length() * HAIR;
    let mut index = 0;
    while index < chain.span_count() && chain.vertices.len() > 2 {
        match chain.span(index) {
            Some(span) if span.length() <= speck => {
                chain.vertices.remove(index);
            }
            _ => index += 1,
        }
    }
    chain
}
