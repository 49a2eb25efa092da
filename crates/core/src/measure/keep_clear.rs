//! How far a tool comes into areas that are to be kept clear: clamps, screws and stops.

use crate::block::{shank_from, widest_between};
use crate::geometry::{Path, Point3, Span, apart_from_area, pt3};
use crate::job::KeepClear;
use crate::program::Motion;
use crate::tool::{Profile, Tool};
use crate::track::{Track, plan_span};

/// Where the tool's radius changes with the height, a motion up or down is looked at in so many parts.
const SHAPED_PARTS: u32 = 64;

/// What of the tool comes in, as messages call it.
const CUTTER: &str = "cutter";
const SHANK: &str = "shank";
const HOLDER: &str = "holder";

/// Where a tool first comes into an area on its track, and how far in it comes at the worst: the line of the program,
/// and the depth in plan.
pub(crate) fn touched(track: &Track, tool: &Tool, area: &KeepClear, least: f64) -> Option<(u32, f64)> {
    let entries = entries(track, &Body::of(tool), area, least);
    let worst = entries.iter().map(|entry| entry.by).reduce(f64::max)?;
    entries.first().map(|first| (first.line, worst))
}

/// Where a tool comes farthest into an area that stands up to `top`, at the least how near it comes to it: how far in
/// (negative beside it), the place and the line. `None` when the tool never comes lower than the top.
pub(crate) fn deepest(track: &Track, tool: &Tool, (area, top): (&Path, f64)) -> Option<(f64, Point3, u32)> {
    let body = Body::of(tool);
    let heights = body.heights();
    let low_enough = |motion: &Motion| motion.start.z.min(motion.end.z) < top;
    let motions = track.placed().iter().map(|placed| &placed.motion).filter(|motion| low_enough(motion));
    let entries = motions.filter_map(|motion| nearest(&body, &heights, motion, (area, top)));
    // Of motions that come in equally far the first is told.
    let worst = entries.reduce(|worst, next| if next.by > worst.by { next } else { worst })?;
    Some((worst.by, worst.at, worst.line))
}

/// How wide a tool is, counted from its tip.
pub(crate) struct Body {
    profile: Profile,
    /// Radius and height from which a part above the cutter goes on, and what it is.
    above: Vec<(f64, f64, &'static str)>,
}

impl Body {
    pub(crate) fn of(tool: &Tool) -> Self {
        let flutes = shank_from(tool);
        let shank = tool.shank_diameter.zip(flutes).map(|(diameter, from)| (diameter / 2.0, from, SHANK));
        let holder =
            tool.holder_diameter.zip(tool.stickout).map(|(diameter, from)| (diameter / 2.0, from, HOLDER));
        Self { profile: tool.form.profile(), above: shank.into_iter().chain(holder).collect() }
    }

    /// The widest of all that lies lower than `height` above the tip.
    fn widest_below(&self, height: f64) -> Option<(f64, &'static str)> {
        let cutter = widest_between(&self.profile, 0.0, height).filter(|_| height > 0.0)?;
        let parts =
            self.above.iter().filter(|(_, from, _)| height > *from).map(|(radius, _, what)| (*radius, *what));
        parts.chain([(cutter, CUTTER)]).max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Widest anywhere.
    fn widest(&self) -> f64 {
        self.above.iter().map(|(radius, ..)| *radius).fold(self.profile.widest(), f64::max)
    }

    /// Heights above the tip between which the radius changes evenly or not at all, rising from 0.
    fn heights(&self) -> Vec<f64> {
        let mut heights: Vec<f64> = self.profile.joints().collect();
        for piece in
            self.profile.pieces().iter().filter(|piece| piece.from.x != piece.to.x && !piece.is_level())
        {
            let height = |part: u32| piece.from.toward(piece.to, f64::from(part) / f64::from(SHAPED_PARTS)).y;
            heights.extend((1..SHAPED_PARTS).map(height));
        }
        heights.extend(self.above.iter().map(|(_, from, _)| *from));
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        heights
    }
}

/// How far in the tool comes on one motion.
pub(crate) struct Entry {
    /// How far, in plan.
    pub by: f64,
    /// What of the tool, as messages call it.
    pub what: &'static str,
    /// The tip's place there.
    pub at: Point3,
    /// Line of the program.
    pub line: u32,
}

/// Every motion of a track that brings the tool farther than `least` into an area.
pub(crate) fn entries(track: &Track, body: &Body, area: &KeepClear, least: f64) -> Vec<Entry> {
    entries_of(track.placed().iter().map(|placed| placed.motion), body, area, least)
}

/// Every one of these motions that brings the tool farther than `least` into an area.
pub(crate) fn entries_of(
    motions: impl Iterator<Item = Motion>,
    body: &Body,
    area: &KeepClear,
    least: f64,
) -> Vec<Entry> {
    let Some(path) = area.path() else { return Vec::new() };
    let (bounds, heights) = (path.bounds().grown(body.widest() - least.min(0.0)), body.heights());
    let low_enough = |motion: &Motion| motion.start.z.min(motion.end.z) < area.top;
    let near = motions.filter(low_enough).filter(|motion| plan_span(motion).bounds().meets(&bounds));
    near.filter_map(|motion| entry(least, body, &heights, &motion, (&path, area.top))).collect()
}

/// How far a motion brings the tool into an area, where it does at all.
fn entry(
    least: f64,
    body: &Body,
    heights: &[f64],
    motion: &Motion,
    (area, top): (&Path, f64),
) -> Option<Entry> {
    nearest(body, heights, motion, (area, top - least)).filter(|entry| entry.by > least)
}

/// How far a motion brings what is lower than `top` of the tool into an area; beside it, by how much less than nothing.
fn nearest(body: &Body, heights: &[f64], motion: &Motion, (area, top): (&Path, f64)) -> Option<Entry> {
    let span = plan_span(motion);
    let z = |part: f64| motion.start.z + (motion.end.z - motion.start.z) * part;
    let within = |parts: (f64, f64)| {
        let lowest = z(parts.0).min(z(parts.1));
        let (radius, what) = body.widest_below(top - lowest)?;
        let (distance, place) = apart_from_area(&part_of(&span, parts), area);
        let at = pt3(place.x, place.y, lowest);
        Some(Entry { by: radius - distance, what, at, line: motion.line })
    };
    parts(motion, heights, top).into_iter().filter_map(within).max_by(|a, b| a.by.total_cmp(&b.by))
}

/// A motion in parts, from each height at which the tool changes to the next one, with the area's top.
fn parts(motion: &Motion, heights: &[f64], top: f64) -> Vec<(f64, f64)> {
    let rise = motion.end.z - motion.start.z;
    let mut cuts = vec![0.0, 1.0];
    if rise != 0.0 {
        let at = |height: &f64| (top - height - motion.start.z) / rise;
        cuts.extend(heights.iter().map(at).filter(|part| *part > 0.0 && *part < 1.0));
    }
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

fn part_of(span: &Span, (from, to): (f64, f64)) -> Span {
    match *span {
        Span::Line { .. } => Span::Line { from: span.at(from), to: span.at(to) },
        Span::Arc(arc) => Span::Arc(arc.between(from, to)),
    }
}
