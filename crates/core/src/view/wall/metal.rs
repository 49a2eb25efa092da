//! Metal, bed and tools in the section.

use super::{WallState, faces};
use crate::geometry::{Point, pt};
use crate::tool::Tool;
use crate::tool::drawing::PartKind;
use crate::view::drawing::{Dash, Drawing, Ink, Item};
use crate::view::silhouette::silhouettes;
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;
use crate::wall::{Section, ToolAt};

/// Space between the lines of the bed's hatch, view points.
const HATCH: f32 = 7.0;

fn faint(ink: Ink, alpha: u8) -> Ink {
    [ink[0], ink[1], ink[2], alpha]
}

fn ring(points: &[[f64; 2]], viewport: &Viewport) -> Vec<[f32; 2]> {
    points.iter().map(|p| viewport.to_view(pt(p[0], p[1]))).collect()
}

/// The bed, from its top to the bottom of the view.
pub(super) fn bed(
    drawing: &mut Drawing,
    state: &WallState<'_>,
    right: f32,
    viewport: &Viewport,
    theme: &Theme,
) {
    let Some(bed) = state.bed else { return };
    let top = viewport.to_view(pt(0.0, bed))[1];
    if top >= viewport.height {
        return;
    }
    let rect = [0.0, top.max(0.0), right, viewport.height];
    drawing.panel(rect, faint(theme.quiet, 24));
    drawing.items.push(Item::Hatch { rect, ink: faint(theme.quiet, 110), spacing: HATCH });
    if top > 0.0 {
        drawing.line([0.0, top], [right, top], theme.quiet, 1.4, Dash::Solid);
    }
}

/// The blank's edge and the faces of the passes before, as fine lines.
pub(super) fn faces_before(drawing: &mut Drawing, state: &WallState<'_>, viewport: &Viewport, theme: &Theme) {
    let section = state.section;
    drawing.stroke(edges(section, &section.blank, viewport), theme.metal_edge, 1.0, Dash::Dashed);
    for pass in section.passes.iter().take(state.pass) {
        drawing.stroke(edges(section, &pass.metal, viewport), faint(theme.quiet, 170), 0.8, Dash::Solid);
    }
}

/// The metal after the pass.
pub(super) fn shown(drawing: &mut Drawing, state: &WallState<'_>, viewport: &Viewport, theme: &Theme) {
    let Some(pass) = state.section.passes.get(state.pass) else { return };
    if pass.metal.is_empty() {
        return;
    }
    let outlines = pass.metal.iter().map(|polygon| ring(polygon, viewport)).collect();
    drawing.items.push(Item::Fill { outlines, ink: theme.metal });
    drawing.stroke(edges(state.section, &pass.metal, viewport), theme.ink, 1.6, Dash::Solid);
}

/// The sides of the metal: without those where the section was only cut off, and without those where one polygon goes
/// on in the next.
fn edges(section: &Section, metal: &[Vec<[f64; 2]>], viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
    let (bottom, top) = faces(section);
    let near = (top - bottom) * 1e-5;
    let cut_off = |a: &[f64; 2], b: &[f64; 2]| {
        let at = |end: f64| (a[0] - end).abs() < near && (b[0] - end).abs() < near;
        at(section.reach.0) || at(section.reach.1)
    };
    let mut lines: Vec<Vec<[f32; 2]>> = Vec::new();
    let mut level: Vec<Level> = Vec::new();
    for polygon in metal {
        let mut open = false;
        for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
            let is_level = (a[1] - b[1]).abs() < near;
            if is_level {
                level.push(Level { z: a[1], from: a[0].min(b[0]), to: a[0].max(b[0]) });
            }
            if is_level || cut_off(a, b) {
                open = false;
                continue;
            }
            let end = viewport.to_view(pt(b[0], b[1]));
            match lines.last_mut().filter(|_| open) {
                Some(line) => line.push(end),
                None => lines.push(vec![viewport.to_view(pt(a[0], a[1])), end]),
            }
            open = true;
        }
    }
    let single = alone(level, near).into_iter();
    lines.extend(single.map(|Level { z, from, to }| [from, to].map(|q| viewport.to_view(pt(q, z))).to_vec()));
    lines
}

/// A level side of a polygon.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Level {
    z: f64,
    from: f64,
    to: f64,
}

/// The parts of level sides that lie on no other one: there metal meets air.
fn alone(mut all: Vec<Level>, near: f64) -> Vec<Level> {
    all.sort_by(|a, b| a.z.total_cmp(&b.z));
    let mut kept: Vec<Level> = Vec::new();
    for group in all.chunk_by(|a, b| b.z - a.z < near) {
        let mut ends: Vec<f64> = group.iter().flat_map(|level| [level.from, level.to]).collect();
        ends.sort_by(f64::total_cmp);
        for pair in ends.windows(2).filter(|pair| pair[1] - pair[0] > near) {
            let middle = f64::midpoint(pair[0], pair[1]);
            let over = group.iter().filter(|level| level.from < middle && middle < level.to).count();
            if over == 1 {
                kept.push(Level { z: group[0].z, from: pair[0], to: pair[1] });
            }
        }
    }
    kept
}

/// The pass's tool where its path crosses the section; of the passes before the cutters alone, if asked for.
pub(super) fn tools(drawing: &mut Drawing, state: &WallState<'_>, viewport: &Viewport, theme: &Theme) {
    let tool = |pass: usize| {
        let at = state.section.passes.get(pass)?.tool?;
        Some((state.tools.get(pass).copied().flatten()?, at))
    };
    for (tool, at) in (0..state.pass).filter_map(tool).filter(|_| state.every_tool) {
        let Some(cutter) = silhouettes(tool).into_iter().next() else { continue };
        let line = placed(&cutter.points, at, viewport);
        drawing.items.push(Item::Stroke {
            lines: vec![line],
            ink: theme.quiet,
            width: 0.9,
            dash: Dash::Dotted,
            closed: true,
        });
    }
    if let Some((tool, at)) = tool(state.pass) {
        shown_tool(drawing, tool, at, viewport, theme);
    }
}

fn shown_tool(drawing: &mut Drawing, tool: &Tool, at: ToolAt, viewport: &Viewport, theme: &Theme) {
    for part in silhouettes(tool).iter().rev() {
        let line = placed(&part.points, at, viewport);
        let (fill, ink) = match part.kind {
            PartKind::Cutter => (faint(theme.accent, 46), theme.accent),
            PartKind::Shank => (faint(theme.quiet, 36), theme.quiet),
            PartKind::Holder => (faint(theme.quiet, 70), theme.quiet),
        };
        drawing.fill(line.clone(), fill);
        let dash = if part.known { Dash::Solid } else { Dash::Dashed };
        drawing.items.push(Item::Stroke { lines: vec![line], ink, width: 1.3, dash, closed: true });
    }
    let tip = viewport.to_view(pt(at.q, at.tip));
    let (from, to) = ([tip[0], (tip[1] + 8.0).min(viewport.height)], [tip[0], 0.0]);
    crate::view::label::centre_line(drawing, from, to, theme.accent, 0.8);
}

fn placed(points: &[Point], at: ToolAt, viewport: &Viewport) -> Vec<[f32; 2]> {
    points.iter().map(|p| viewport.to_view(*p + pt(at.q, at.tip))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_between_two_polygons_is_no_side_of_the_metal() {
        let side = |z: f64, from: f64, to: f64| Level { z, from, to };
        let stacked =
            vec![side(0.0, -1.0, 1.0), side(0.0, -1.0, 0.5), side(1.0, -1.0, 0.5), side(-1.0, -1.0, 1.0)];
        let kept = alone(stacked, 1e-9);
        assert_eq!(kept, [side(-1.0, -1.0, 1.0), side(0.0, 0.5, 1.0), side(1.0, -1.0, 0.5)]);
    }
}
