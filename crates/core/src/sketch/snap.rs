//! What the pointer catches on.

use super::Chain;
use crate::geometry::{Path, Point, Span, pt};

/// What the pointer may catch on.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a box that can be ticked by itself")]
pub struct Snapping {
    /// Ends of spans, of this path and of the other.
    pub ends: bool,
    /// Their middles.
    pub middles: bool,
    /// The centres of arcs.
    pub centres: bool,
    /// The foot of the square from the last vertex, and places level with a guide or straight above it.
    pub square: bool,
    /// The nearest place on the other path.
    pub other: bool,
    /// Round coordinates, multiples of this step.
    pub grid: Option<f64>,
}

/// What is around the pointer.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a> {
    /// The path being drawn.
    pub chain: &'a Chain,
    /// The other path: the edge while the outline is drawn, and the other way round.
    pub other: Option<&'a Path>,
    /// Where the span being drawn starts.
    pub from: Option<Point>,
    /// The vertex being moved; neither it nor its spans are caught on.
    pub moved: Option<usize>,
    /// Points with which a place may be level or upright.
    pub guides: &'a [Point],
    /// How far the pointer reaches.
    pub reach: f64,
}

/// What was caught on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The end of a span.
    End,
    /// The middle of a span.
    Middle,
    /// The centre of an arc.
    Centre,
    /// The foot of the square from the last vertex.
    Square,
    /// The nearest place on the other path.
    Other,
    /// Level with one guide and straight above or below another.
    Corner,
    /// Level with a guide: the same Y.
    Level,
    /// Straight above or below a guide: the same X.
    Upright,
    /// A round place.
    Grid,
    /// Nothing.
    Free,
}

impl Mark {
    /// Its name.
    pub const fn words(self) -> &'static str {
        match self {
            Self::End => "end",
            Self::Middle => "middle",
            Self::Centre => "center",
            Self::Square => "square to it",
            Self::Other => "on the other path",
            Self::Corner => "horizontal and vertical",
            Self::Level => "level",
            Self::Upright => "upright",
            Self::Grid => "grid",
            Self::Free => "",
        }
    }
}

/// Where the pointer ends up, and by what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snapped {
    /// The place.
    pub at: Point,
    /// By what.
    pub mark: Mark,
}

/// Where the pointer at `p` ends up. Sharp points go first (ends, then middles and centres, then the foot of a
/// square), then the other path, then lines along the axes, then the grid.
pub fn snap(p: Point, by: &Snapping, around: &Around<'_>) -> Snapped {
    let points = ends(p, by, around)
        .or_else(|| inner_points(p, by, around))
        .or_else(|| squares(p, by, around))
        .or_else(|| on_other(p, by, around));
    points
        .or_else(|| along_axes(p, by, around))
        .or_else(|| on_grid(p, by, around.reach))
        .unwrap_or(Snapped { at: p, mark: Mark::Free })
}

/// The nearest of some points within reach.
fn nearest(p: Point, reach: f64, points: impl Iterator<Item = (Point, Mark)>) -> Option<Snapped> {
    let near = points.map(|(at, mark)| (at.distance(p), Snapped { at, mark }));
    near.filter(|(distance, _)| *distance <= reach)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, snapped)| snapped)
}

/// Spans that may be caught on: all of the other path, and of the chain those that stay where they are.
fn spans<'a>(around: &'a Around<'_>) -> impl Iterator<Item = Span> + 'a {
    let chain = around.chain;
    let stays = move |index: &usize| {
        around.moved.is_none_or(|vertex| *index != vertex && chain.end_of(*index) != vertex)
    };
    let own = (0..chain.span_count()).filter(stays).filter_map(|index| chain.span(index));
    own.chain(around.other.into_iter().flat_map(|path| path.spans().iter().copied()))
}

fn ends(p: Point, by: &Snapping, around: &Around<'_>) -> Option<Snapped> {
    if !by.ends {
        return None;
    }
    let own = around.chain.vertices().iter().enumerate();
    let own = own.filter(|(index, _)| around.moved != Some(*index)).map(|(_, vertex)| vertex.at);
    let others = around.other.into_iter().flat_map(|path| path.vertices().iter().copied());
    let ends = own.chain(others).filter(|at| around.from != Some(*at));
    nearest(p, around.reach, ends.map(|at| (at, Mark::End)))
}

fn inner_points(p: Point, by: &Snapping, around: &Around<'_>) -> Option<Snapped> {
    let inner = spans(around).flat_map(|span| {
        let middle = by.middles.then(|| (span.at(0.5), Mark::Middle));
        let centre = match span {
            Span::Arc(arc) if by.centres => Some((arc.centre, Mark::Centre)),
            _ => None,
        };
        middle.into_iter().chain(centre)
    });
    nearest(p, around.reach, inner)
}

fn squares(p: Point, by: &Snapping, around: &Around<'_>) -> Option<Snapped> {
    let from = around.from.filter(|_| by.square)?;
    let feet = spans(around).filter_map(|span| foot(&span, from, p)).filter(|foot| *foot != from);
    nearest(p, around.reach, feet.map(|at| (at, Mark::Square)))
}

/// Where the line through `from` square to a span meets it; of the two on an arc, the one nearer to `p`.
fn foot(span: &Span, from: Point, p: Point) -> Option<Point> {
    match span {
        Span::Line { from: start, to } => {
            let along = *to - *start;
            let part = (from - *start).dot(along) / along.dot(along);
            (0.0..=1.0).contains(&part).then(|| start.toward(*to, part))
        }
        Span::Arc(arc) => {
            let spoke = (from - arc.centre).unit()?;
            let both = [spoke, -spoke].into_iter().filter(|way| arc.covers(arc.centre + *way));
            let feet = both.map(|way| arc.centre + way * arc.radius);
            feet.min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)))
        }
    }
}

fn on_other(p: Point, by: &Snapping, around: &Around<'_>) -> Option<Snapped> {
    let path = around.other.filter(|_| by.other)?;
    let places = path.spans().iter().map(|span| span.at(span.nearest(p).0));
    nearest(p, around.reach, places.map(|at| (at, Mark::Other)))
}

fn along_axes(p: Point, by: &Snapping, around: &Around<'_>) -> Option<Snapped> {
    if !by.square {
        return None;
    }
    let close = |value: f64, guide: fn(Point) -> f64| {
        let guides = around.guides.iter().map(|at| guide(*at));
        guides
            .filter(|at| (at - value).abs() <= around.reach)
            .min_by(|a, b| (a - value).abs().total_cmp(&(b - value).abs()))
    };
    let on_step = |value: f64| match by.grid {
        Some(step) => round_to(value, step).filter(|at| (at - value).abs() <= around.reach).unwrap_or(value),
        None => value,
    };
    match (close(p.x, |at| at.x), close(p.y, |at| at.y)) {
        (Some(x), Some(y)) if !around.guides.contains(&pt(x, y)) => {
            Some(Snapped { at: pt(x, y), mark: Mark::Corner })
        }
        (Some(x), None) => Some(Snapped { at: pt(x, on_step(p.y)), mark: Mark::Upright }),
        (None, Some(y)) => Some(Snapped { at: pt(on_step(p.x), y), mark: Mark::Level }),
        _ => None,
    }
}

fn on_grid(p: Point, by: &Snapping, reach: f64) -> Option<Snapped> {
    let step = by.grid?;
    let at = pt(round_to(p.x, step)?, round_to(p.y, step)?);
    (at.distance(p) <= reach).then_some(Snapped { at, mark: Mark::Grid })
}

fn round_to(value: f64, step: f64) -> Option<f64> {
    let place = (value / step).round() * step;
    place.is_finite().then_some(place)
}
