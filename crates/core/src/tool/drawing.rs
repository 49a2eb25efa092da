//! A tool to scale: half the outline of cutter, shank and holder.

use super::Tool;
use crate::geometry::{Point, Span, pt};

/// Where a length was not given, the parts are drawn with these proportions of the largest diameter.
const USUAL_FLUTES: f64 = 2.0;
const USUAL_SHANK: f64 = 1.0;
/// A holder's length is never stated: so much of its diameter is drawn, and it goes on above.
const SHOWN_HOLDER: f64 = 0.5;

/// What a part of a tool is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartKind {
    /// What cuts, up to the end of the flutes.
    Cutter,
    /// From the flutes to the holder.
    Shank,
    /// What holds the shank.
    Holder,
}

/// Half of one part's outline, from the axis round to the axis again; x is the radius, y the height above the tip.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is.
    pub kind: PartKind,
    /// Lines and arcs, each from where the one before it ended.
    pub pieces: Vec<Span>,
    /// Height of its upper end.
    pub top: f64,
    /// Whether all its lengths were given; otherwise some are the usual proportions, to be drawn as a guess.
    pub known: bool,
}

/// Cutter, shank and holder from the tip up; only the parts something is known of, but always the cutter.
pub fn outline(tool: &Tool) -> Vec<Part> {
    let cutter = cutter(tool);
    let shank = shank(tool, &cutter);
    let below = shank.as_ref().unwrap_or(&cutter);
    let holder = tool.holder_diameter.map(|diameter| {
        let from = tool.stickout.unwrap_or(below.top);
        let known = tool.stickout.is_some();
        cylinder(PartKind::Holder, diameter / 2.0, from, from + diameter * SHOWN_HOLDER, known)
    });
    std::iter::once(cutter.clone()).chain(shank).chain(holder).collect()
}

fn cutter(tool: &Tool) -> Part {
    let profile = tool.form.profile();
    let end = profile.top();
    // A cone or a rounding has a height of its own; a plain end says nothing of its flutes.
    let shaped = tool.form.has_height();
    let usual = tool.form.radius() * 2.0 * USUAL_FLUTES;
    let guessed = if shaped { end.y } else { tool.stickout.map_or(usual, |stickout| stickout.min(usual)) };
    let top = tool.flute_length.unwrap_or(guessed).max(end.y);
    let mut pieces: Vec<Span> = profile.pieces().iter().map(super::Piece::span).collect();
    line_to(&mut pieces, end, pt(end.x, top));
    line_to(&mut pieces, pt(end.x, top), pt(0.0, top));
    Part { kind: PartKind::Cutter, pieces, top, known: shaped || tool.flute_length.is_some() }
}

fn shank(tool: &Tool, cutter: &Part) -> Option<Part> {
    if tool.shank_diameter.is_none() && tool.stickout.is_none() {
        return None;
    }
    let radius = tool.shank_diameter.map_or(tool.form.profile().top().x, |diameter| diameter / 2.0);
    let top = tool.stickout.unwrap_or(cutter.top + tool.form.radius() * 2.0 * USUAL_SHANK);
    let known = cutter.known && tool.shank_diameter.is_some() && tool.stickout.is_some();
    (top > cutter.top).then(|| cylinder(PartKind::Shank, radius, cutter.top, top, known))
}

fn cylinder(kind: PartKind, radius: f64, from: f64, top: f64, known: bool) -> Part {
    let corners = [pt(0.0, from), pt(radius, from), pt(radius, top), pt(0.0, top)];
    let pieces = corners.windows(2).map(|pair| Span::Line { from: pair[0], to: pair[1] }).collect();
    Part { kind, pieces, top, known }
}

fn line_to(pieces: &mut Vec<Span>, from: Point, to: Point) {
    if from != to {
        pieces.push(Span::Line { from, to });
    }
}
