//! An outline from a pass: the way of its tool, moved in by the tool's radius.

use super::join_gap;
use super::offset::offset;
use crate::geometry::{Path, Point, Span};
use crate::program::Kind;
use crate::task::Cancel;
use crate::track::{Track, plan_span};
use crate::units::{Units, digits};

/// Most starts from which a closed round is looked for: leads in are short.
const MOST_STARTS: usize = 400;
/// Most spans on one level that are looked at.
const MOST_SPANS: usize = 20_000;

/// The outline a pass was made from: its level feed motion at the deepest height at which it closes, moved in by
/// `radius`.
///
/// # Errors
/// Why the pass gives no outline, in plain words.
pub fn from_track(track: &Track, radius: f64, units: Units, cancel: &Cancel) -> Result<Path, String> {
    let level = units.pick(1e-6, 2.5e-5);
    let mut runs: Vec<(f64, Vec<Span>)> = Vec::new();
    let mut last: Option<(f64, Point)> = None;
    for placed in track.placed() {
        let motion = &placed.motion;
        let is_level = motion.kind == Kind::Feed
            && (motion.start.z - motion.end.z).abs() <= level
            && plan_span(motion).length() > 0.0;
        if !is_level {
            last = None;
            continue;
        }
        let goes_on = last.is_some_and(|(z, at)| {
            (motion.start.z - z).abs() <= level && motion.start.plan().distance(at) <= level
        });
        if !goes_on {
            runs.push((motion.start.z, Vec::new()));
        }
        if let Some((_, spans)) = runs.last_mut() {
            spans.push(plan_span(motion));
        }
        last = Some((motion.end.z, motion.end.plan()));
    }
    runs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let deepest = runs.iter().filter_map(|(z, spans)| Some((*z, closed_round(spans, units)?)));
    let mut best: Option<(f64, Path)> = None;
    for (z, path) in deepest {
        match &best {
            Some((deep, held)) if z > deep + level || path.area() <= held.area() => {}
            _ => best = Some((z, path)),
        }
    }
    let (_, path) = best.ok_or("the pass does not close at any one height: it gives no outline")?;
    moved_in(&path, radius, units, cancel)
}

/// The same from the lines and arcs of one level, in the order they are run.
///
/// # Errors
/// Why they give no outline, in plain words.
pub fn from_pass(spans: &[Span], radius: f64, units: Units) -> Result<Path, String> {
    let path = closed_round(spans, units).ok_or("the pass does not close: it gives no outline")?;
    moved_in(&path, radius, units, &Cancel::new())
}

fn moved_in(path: &Path, radius: f64, units: Units, cancel: &Cancel) -> Result<Path, String> {
    if !(radius.is_finite() && radius >= 0.0) {
        return Err(format!("the tool's radius must be 0 or more, not {}", digits(radius)));
    }
    offset(path, -radius, units, cancel).map_err(|error| error.to_string())
}

/// The round that encloses most: from the start of some span to where the way first comes back to it. Leads before
/// and after are left out, and so is what is run over twice.
fn closed_round(spans: &[Span], units: Units) -> Option<Path> {
    let spans = &spans[..spans.len().min(MOST_SPANS)];
    let gap = join_gap(units);
    let mut best: Option<Path> = None;
    for start in 0..spans.len().min(MOST_STARTS) {
        if let Some(path) = round_from(&spans[start..], gap)
            && best.as_ref().is_none_or(|held| path.area() > held.area())
        {
            best = Some(path);
        }
    }
    best
}

fn round_from(spans: &[Span], gap: f64) -> Option<Path> {
    let start = spans.first()?.at(0.0);
    let mut corners: Vec<(Point, f64)> = Vec::new();
    let mut gone = 0.0;
    for span in spans {
        let (mut part, off) = span.nearest(start);
        // Coming back counts once the way has left its start; a whole circle comes back at its own end.
        if corners.is_empty() && off <= gap && part <= 0.5 {
            part = 1.0;
        }
        let away = gone + part * span.length() > 4.0 * gap;
        if away && span.at(part).distance(start) <= gap {
            corners.extend(parts(span, part));
            return Path::closed(&corners);
        }
        corners.extend(parts(span, 1.0));
        gone += span.length();
    }
    None
}

/// The start of a span up to a part of it, as vertices with bulges; more than half a turn in two of them.
fn parts(span: &Span, part: f64) -> Vec<(Point, f64)> {
    match span {
        Span::Line { from, .. } => vec![(*from, 0.0)],
        Span::Arc(arc) => {
            let sweep = arc.sweep * part;
            let pieces = if sweep.abs() > std::f64::consts::PI { 2 } else { 1 };
            let bulge = (sweep / f64::from(pieces) / 4.0).tan();
            (0..pieces).map(|piece| (arc.at(part * f64::from(piece) / f64::from(pieces)), bulge)).collect()
        }
    }
}
