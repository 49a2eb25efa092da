//! The block in plan with one pass: what it sweeps, where it goes, and how it meets the outline.

use std::sync::Arc;

use super::clip::{clipped, thinned};
use super::drawing::{Dash, Drawing, Item};
use super::keep_clear;
use super::plan_marks as marks;
use super::relief::block_image;
use super::ribbon::Ribbon;
use super::stations;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::block::Field;
use crate::geometry::{Bounds, Path, Point, Span, pt};
use crate::measure::Contact;
use crate::program::Kind;
use crate::proof::{PassProof, Proof};
use crate::track::{Placed, plan_bounds, plan_span};

/// What the plan shows besides the job.
#[derive(Debug, Clone, Copy)]
pub struct PlanState<'a> {
    /// Index of the pass.
    pub pass: usize,
    /// The tool's place as a distance along the pass; `None` for after the pass.
    pub distance: Option<f64>,
    /// The block to show.
    pub field: Option<&'a Field>,
    /// Pixels for one view point on the screen.
    pub pixels_per_point: f32,
    /// A place in block coordinates to point out.
    pub hover: Option<Point>,
    /// Index of the finding that was picked.
    pub finding: Option<usize>,
    /// Whether the stock along the outline is drawn thicker than it is, so that it is seen.
    pub stock: bool,
}

/// How far an arc's chords may leave it, in view points.
const CHORD: f64 = 0.15;
/// Points of a path nearer than this in view points are one.
const NEAR: f32 = 0.4;

/// The box round everything worth showing: outline, sawn edge, areas kept clear, and what the passes sweep near them.
pub fn extent(proof: &Proof) -> Bounds {
    let paths = [&proof.outline, &proof.edge];
    let kept_clear = keep_clear::bounds(&proof.job);
    let core = paths.into_iter().flatten().fold(kept_clear, |all, path| all.join(path.bounds()));
    let swept = proof.passes.iter().fold(Bounds::EMPTY, |all, pass| all.join(swept(pass)));
    let all = if core.is_empty() {
        swept
    } else if swept.is_empty() {
        core
    } else {
        let near = core.grown(core.width().max(core.height()) / 2.0);
        let high = pt(swept.high.x.min(near.high.x), swept.high.y.min(near.high.y));
        let low = pt(swept.low.x.max(near.low.x), swept.low.y.max(near.low.y));
        Bounds { low: pt(low.x.min(near.high.x), low.y.min(near.high.y)), high }.join(core)
    };
    if all.is_empty() { Bounds { low: pt(-1.0, -1.0), high: pt(1.0, 1.0) } } else { all }
}

fn swept(pass: &PassProof) -> Bounds {
    let feeds = pass.track.placed().iter().filter(|placed| placed.motion.kind == Kind::Feed);
    let path = feeds.fold(Bounds::EMPTY, |all, placed| all.join(plan_bounds(&placed.motion)));
    if path.is_empty() { path } else { path.grown(pass.tool_radius) }
}

/// The block in plan with one pass.
pub fn plan(proof: &Proof, state: &PlanState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    drawing.panel([0.0, 0.0, viewport.width, viewport.height], theme.paper);
    marks::grid(&mut drawing, proof.told, viewport, theme);
    let pass = proof.passes.get(state.pass);
    let meant = proof.job.passes.get(state.pass).and_then(|pass| pass.allowance);
    let ribbon = pass
        .filter(|_| state.stock)
        .and_then(|pass| Ribbon::of(pass, meant, state.distance, proof.told, viewport));
    if let Some(pass) = pass.filter(|_| ribbon.is_none()) {
        draw_swath(&mut drawing, pass, viewport, theme);
    }
    if let Some(field) = state.field {
        let pixels = Arc::new(block_image(field, viewport, state.pixels_per_point, theme));
        drawing.items.push(Item::Image { rect: [0.0, 0.0, viewport.width, viewport.height], pixels });
    }
    if let Some(ribbon) = &ribbon {
        ribbon.draw(&mut drawing, viewport, theme);
    }
    if let Some(edge) = proof.edge.as_ref().filter(|_| ribbon.is_none()) {
        let line = closed_line(edge, viewport);
        drawing.stroke(seen(&[line], viewport, 4.0), theme.metal_edge, 1.2, Dash::Solid);
    }
    keep_clear::draw(&mut drawing, &proof.job, viewport, theme);
    if let Some(pass) = pass {
        draw_path(&mut drawing, pass, viewport, theme);
    }
    if let Some(outline) = &proof.outline {
        draw_outline(&mut drawing, outline, pass, viewport, theme);
    }
    if let Some(outline) = &proof.outline {
        stations::draw(&mut drawing, outline, proof.told, viewport, theme);
    }
    if let (Some(pass), Some(distance)) = (pass, state.distance) {
        marks::tool(&mut drawing, pass, distance, viewport, theme);
    }
    if let Some(ribbon) = ribbon.as_ref().filter(|_| state.finding.is_none()) {
        ribbon.name_worst(&mut drawing, viewport, theme);
    }
    if let Some(hover) = state.hover {
        marks::hover(&mut drawing, proof, hover, viewport, theme);
    }
    if let Some(finding) = state.finding.and_then(|index| proof.findings.get(index)) {
        marks::call_out(&mut drawing, proof, finding, viewport, theme);
    }
    marks::grid_numbers(&mut drawing, proof.told, viewport, theme);
    let measured = pass.is_some_and(|pass| pass.along_outline.is_some());
    let undercut = state.field.is_some_and(|field| field.voids() > 0);
    let approach = pass
        .and_then(|pass| pass.along_outline.as_deref())
        .is_some_and(|along| along.contact.iter().any(|stretch| stretch.state == Contact::Approach));
    let stock = ribbon.map(|ribbon| ribbon.times);
    let key = marks::Key { measured, outline: proof.outline.is_some(), undercut, approach, stock };
    let key = marks::key(&mut drawing, key, theme);
    marks::scale_bar(&mut drawing, proof.told, key, viewport, theme);
    drawing
}

/// The parts of lines that are seen, with `room` view points over on every side.
pub(super) fn seen(lines: &[Vec<[f32; 2]>], viewport: &Viewport, room: f32) -> Vec<Vec<[f32; 2]>> {
    clipped(lines, [-room, -room, viewport.width + room, viewport.height + room])
}

/// The tool's path in plan as unbroken lines of one kind of motion, as far as it can be told apart.
fn lines_of(pass: &PassProof, kind: Kind, viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
    lines_where(pass, viewport, |placed| placed.motion.kind == kind)
}

/// The same for the motions that are asked for.
pub(super) fn lines_where(
    pass: &PassProof,
    viewport: &Viewport,
    wanted: impl Fn(&Placed) -> bool,
) -> Vec<Vec<[f32; 2]>> {
    let mut lines: Vec<Vec<[f32; 2]>> = Vec::new();
    let mut unbroken = false;
    for placed in pass.track.placed() {
        if !wanted(placed) {
            unbroken = false;
            continue;
        }
        let span = plan_span(&placed.motion);
        let steps = steps(&span, viewport);
        if !unbroken || lines.is_empty() {
            lines.push(vec![viewport.to_view(span.at(0.0))]);
        }
        if let Some(line) = lines.last_mut() {
            for step in 1..=steps {
                line.push(viewport.to_view(span.at(step as f64 / steps as f64)));
            }
        }
        unbroken = true;
    }
    lines.iter().map(|line| thinned(line, NEAR)).collect()
}

pub(super) fn steps(span: &Span, viewport: &Viewport) -> usize {
    match span {
        Span::Line { .. } => 1,
        Span::Arc(arc) => arc.steps(CHORD / viewport.scale).min(2_000),
    }
}

fn draw_swath(drawing: &mut Drawing, pass: &PassProof, viewport: &Viewport, theme: &Theme) {
    let width = (pass.tool_radius * 2.0 * viewport.scale) as f32;
    if width < 0.5 {
        return;
    }
    let lines = seen(&lines_of(pass, Kind::Feed, viewport), viewport, width);
    drawing.stroke(lines, theme.accent_soft, width, Dash::Solid);
}

fn draw_path(drawing: &mut Drawing, pass: &PassProof, viewport: &Viewport, theme: &Theme) {
    let rapids = seen(&lines_of(pass, Kind::Rapid, viewport), viewport, 4.0);
    drawing.stroke(rapids, theme.quiet, 0.8, Dash::Dashed);
    let feeds = seen(&lines_of(pass, Kind::Feed, viewport), viewport, 4.0);
    drawing.stroke(feeds, theme.quiet, 0.9, Dash::Solid);
}

pub(super) fn closed_line(path: &Path, viewport: &Viewport) -> Vec<[f32; 2]> {
    stretch(path, 0.0, path.length(), viewport)
}

/// The line along a path from one station to another.
pub(super) fn stretch(path: &Path, from: f64, to: f64, viewport: &Viewport) -> Vec<[f32; 2]> {
    if to < from {
        let mut line = stretch(path, from, path.length(), viewport);
        line.extend(stretch(path, 0.0, to, viewport));
        return line;
    }
    let mut line = Vec::new();
    for (span, &start) in path.spans().iter().zip(path.span_starts()) {
        let length = span.length();
        let (first, last) = ((from - start).max(0.0), (to - start).min(length));
        if length <= 0.0 || last < first {
            continue;
        }
        let (first, last) = (first / length, last / length);
        let steps = ((steps(span, viewport) as f64 * (last - first)).ceil() as usize).max(1);
        let points = (0..=steps).map(|step| span.at(first + (last - first) * step as f64 / steps as f64));
        line.extend(points.map(|p| viewport.to_view(p)));
    }
    line.dedup();
    if let (1, Some(&only)) = (line.len(), line.first()) {
        line.push(only);
    }
    line
}

fn draw_outline(
    drawing: &mut Drawing,
    outline: &Path,
    pass: Option<&PassProof>,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(along) = pass.and_then(|pass| pass.along_outline.as_ref()) else {
        let line = closed_line(outline, viewport);
        drawing.stroke(seen(&[line], viewport, 4.0), theme.ink, 1.6, Dash::Solid);
        return;
    };
    // What needs a look comes last, on top.
    for state in [Contact::Approach, Contact::Full, Contact::Heavy, Contact::Light, Contact::None] {
        let stretches = along.contact.iter().filter(|stretch| stretch.state == state);
        let lines: Vec<_> = stretches.map(|part| stretch(outline, part.from, part.to, viewport)).collect();
        let lines = seen(&lines, viewport, 8.0);
        let (ink, dash, width) = theme.contact(state);
        if let Some(casing) = theme.casing(state) {
            drawing.stroke(lines.clone(), casing, width + 1.6, dash);
        }
        drawing.stroke(lines, ink, width, dash);
    }
}
