//! The walk of a pass that cuts into the top: no scribed line shows where it must be, so its four ends are looked at.

use crate::geometry::{Bounds, Path, Point, Ray, Span, pt};
use crate::job::Does;
use crate::program::Kind;
use crate::proof::Proof;
use crate::track::plan_span;

/// An end of what a pass cuts inside, where the air pass is stopped and looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsideStop {
    /// Which end it is, as the block is seen from above.
    pub end: &'static str,
    /// The readout's X and Y there: those of the tool's axis in the program's own coordinates.
    pub readout: Point,
    /// Distance from the cutter's rim, where it is widest, straight out to that side to the scribed line: below 0 it stands
    /// over the line.
    pub inside: f64,
}

/// The four ends of what a pass cuts inside, each where the cutter stands farthest out that way while it is below the top of
/// the blank. Empty for any other pass, and without an outline or a blank.
pub fn inside_stops(proof: &Proof, pass: usize) -> Vec<InsideStop> {
    let found = || {
        let (stated, done) = (proof.job.passes.get(pass)?, proof.passes.get(pass)?);
        let inside = done.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Inside);
        let (outline, blank) = (proof.outline.as_deref()?, proof.job.blank.as_ref()?);
        let motions = done.track.placed().iter().map(|placed| &placed.motion);
        let below = motions.filter(|motion| {
            inside && motion.kind == Kind::Feed && motion.start.z.min(motion.end.z) < blank.top
        });
        let all: Vec<Point> = below.flat_map(|motion| ends(&plan_span(motion))).collect();
        let farthest = |way: Point| all.iter().copied().max_by(|a, b| a.dot(way).total_cmp(&b.dot(way)));
        let stop = |(end, way): (&'static str, Point)| {
            let at = farthest(way)?;
            let inside = within(outline, at, way) - done.tool_radius;
            Some(InsideStop { end, readout: stated.zero.in_plan(at), inside })
        };
        let ways = [
            ("left", pt(-1.0, 0.0)),
            ("right", pt(1.0, 0.0)),
            ("front", pt(0.0, -1.0)),
            ("back", pt(0.0, 1.0)),
        ];
        Some(ways.into_iter().filter_map(stop).collect())
    };
    found().unwrap_or_default()
}

/// How far a point lies inside the line, straight that way; below 0 outside it, by its distance from the line.
fn within(outline: &Path, p: Point, way: Point) -> f64 {
    let all = Ray { origin: p, along: way }.inside(outline);
    let own = all.into_iter().find(|(from, to)| *from <= 0.0 && 0.0 <= *to);
    own.map_or_else(|| -outline.distance(p), |(_, to)| to)
}

/// The ends of a span, and where an arc goes farthest left, right, front and back.
fn ends(span: &Span) -> Vec<Point> {
    let mut all = vec![span.at(0.0), span.at(1.0)];
    if let Span::Arc(arc) = span {
        let Bounds { low, high } = span.bounds();
        let (r, c) = (arc.radius, arc.centre);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * (1.0 + r);
        let quarters = [
            (near(low.x, c.x - r), pt(c.x - r, c.y)),
            (near(high.x, c.x + r), pt(c.x + r, c.y)),
            (near(low.y, c.y - r), pt(c.x, c.y - r)),
            (near(high.y, c.y + r), pt(c.x, c.y + r)),
        ];
        all.extend(quarters.into_iter().filter(|(there, _)| *there).map(|(_, at)| at));
    }
    all
}
