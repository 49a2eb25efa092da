//! Metal, bed and tools in the section.

use super::WallState;
use crate::geometry::{Point, pt};
use crate::tool::Tool;
use crate::tool::drawing::PartKind;
use crate::view::drawing::{Dash, Drawing, Ink, Item};
use crate::view::keep_clear::hatch;
use crate::view::silhouette::silhouettes;
use crate::view::theme::Theme;
use crate::view::viewport::Viewport;
use crate::wall::{Section, ToolAt};

/// Space between the lines of the bed's hatch, and of the cutter's, which leans the other way: metal, cutter and bed are
/// told apart without color too. View points.
const HATCH: f32 = 7.0;
const CUTTER_HATCH: f32 = 5.0;

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

/// The sides of the metal.
fn edges(section: &Section, metal: &[Vec<[f64; 2]>], viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
    let line = |line: Vec<[f64; 2]>| line.into_iter().map(|p| viewport.to_view(pt(p[0], p[1]))).collect();
    section.sides(metal).into_iter().map(line).collect()
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
        if part.kind == PartKind::Cutter {
            drawing.stroke(leaning_back(&line, viewport), faint(ink, 190), 0.8, Dash::Solid);
        }
        let dash = if part.known { Dash::Solid } else { Dash::Dashed };
        drawing.items.push(Item::Stroke { lines: vec![line], ink, width: 1.3, dash, closed: true });
    }
    let tip = viewport.to_view(pt(at.q, at.tip));
    let (from, to) = ([tip[0], (tip[1] + 8.0).min(viewport.height)], [tip[0], 0.0]);
    crate::view::label::centre_line(drawing, from, to, theme.accent, 0.8);
}

/// A hatch that leans the other way than those of areas and bed.
fn leaning_back(rim: &[[f32; 2]], viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
    let mirrored = |p: &[f32; 2]| [viewport.width - p[0], p[1]];
    let rim: Vec<[f32; 2]> = rim.iter().map(mirrored).collect();
    let lines = hatch(&rim, CUTTER_HATCH, viewport);
    lines.iter().map(|line| line.iter().map(mirrored).collect()).collect()
}

fn placed(points: &[Point], at: ToolAt, viewport: &Viewport) -> Vec<[f32; 2]> {
    points.iter().map(|p| viewport.to_view(*p + pt(at.q, at.tip))).collect()
}
