//! A tool to scale, with what is known of its lengths.

use super::drawing::{Anchor, Dash, Drawing, Ink, Weight};
use super::label::{centre_line, spread};
use super::silhouette::{Silhouette, silhouettes};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Bounds, pt};
use crate::tool::Tool;
use crate::tool::drawing::PartKind;
use crate::units::Told;

const SMALL: f32 = 10.5;
const ROW: f32 = 14.0;
/// A drawing narrower than this has no room for words.
const WORDS: f32 = 130.0;
/// Height kept for the diameter under the tip.
const FOOT: f32 = 30.0;
/// The most width kept for the column of heights.
const COLUMN: f32 = 104.0;

/// Room on every side of a tool.
const ROOM: f32 = 6.0;

/// View points for one unit of length, the same for several tools, so that the longest of them fits this height.
pub fn tools_scale<'a>(tools: impl IntoIterator<Item = &'a Tool>, height: f32) -> f64 {
    let longest = tools.into_iter().map(|tool| reach_and_top(&silhouettes(tool)).1).fold(0.0, f64::max);
    let free = f64::from((height - FOOT - 2.0 * ROOM).max(1.0));
    if longest > 0.0 { free / longest } else { 1.0 }
}

/// Width and height of the drawing in which a tool is drawn at this many view points for one unit of length, with
/// room for its words.
pub fn tool_size(tool: &Tool, scale: f64) -> [f32; 2] {
    let (reach, top) = reach_and_top(&silhouettes(tool));
    let wide = (2.0 * reach * scale) as f32 + 2.0 * ROOM;
    // The column of words takes half of the width at the most.
    let width = (2.0 * wide).min(wide + COLUMN).max(WORDS);
    [width.ceil(), (top * scale) as f32 + 2.0 * ROOM + FOOT]
}

/// Largest radius and height of a tool's parts.
fn reach_and_top(parts: &[Silhouette]) -> (f64, f64) {
    let reach = parts.iter().map(Silhouette::radius).fold(0.0, f64::max);
    (reach, parts.iter().map(|part| part.top).fold(0.0, f64::max))
}

/// Cutter, shank and holder to scale; what was not given is dashed. A drawing wide enough has the diameter under the
/// tip and the heights in a column.
pub fn tool(tool: &Tool, units: impl Into<Told>, theme: &Theme, width: f32, height: f32) -> Drawing {
    let units = units.into();
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let parts = silhouettes(tool);
    let (reach, top) = reach_and_top(&parts);
    let bounds = Bounds { low: pt(-reach, 0.0), high: pt(reach, top) };
    let (column, foot) = if width >= WORDS { ((width * 0.5).min(COLUMN), FOOT) } else { (0.0, 0.0) };
    let shown = Viewport::fit(bounds, width - column, height - foot, ROOM);
    for part in &parts {
        draw(&mut drawing, part, &shown, theme);
    }
    let [axis, tip] = shown.to_view(pt(0.0, 0.0));
    centre_line(&mut drawing, [axis, tip + 5.0], [axis, 2.0], theme.quiet, 0.8);
    if column > 0.0 {
        diameter(&mut drawing, tool, units, &shown, theme);
        heights(&mut drawing, &parts, units, &shown, theme);
    }
    drawing
}

fn draw(drawing: &mut Drawing, part: &Silhouette, shown: &Viewport, theme: &Theme) {
    let line: Vec<[f32; 2]> = part.points.iter().map(|p| shown.to_view(*p)).collect();
    let faint = |ink: Ink, alpha| [ink[0], ink[1], ink[2], alpha];
    let (fill, ink) = match part.kind {
        PartKind::Cutter => (faint(theme.accent, 46), theme.accent),
        PartKind::Shank => (theme.metal, theme.metal_edge),
        PartKind::Holder => (theme.metal_low, theme.metal_edge),
    };
    drawing.fill(line.clone(), fill);
    let dash = if part.known { Dash::Solid } else { Dash::Dashed };
    let closed = true;
    drawing.items.push(super::drawing::Item::Stroke { lines: vec![line], ink, width: 1.3, dash, closed });
}

/// The largest diameter of the cutter, under its tip.
fn diameter(drawing: &mut Drawing, tool: &Tool, units: Told, shown: &Viewport, theme: &Theme) {
    let radius = tool.form.radius();
    let [left, tip] = shown.to_view(pt(-radius, 0.0));
    let right = shown.to_view(pt(radius, 0.0))[0];
    let y = tip + 8.0;
    let lines = vec![
        vec![[left, y], [right, y]],
        vec![[left, y - 4.0], [left, y + 4.0]],
        vec![[right, y - 4.0], [right, y + 4.0]],
    ];
    drawing.stroke(lines, theme.ink, 1.0, Dash::Solid);
    let text = units.plain(radius * 2.0);
    let half = text_width(&text, SMALL, Weight::Plain) / 2.0;
    let middle = f32::midpoint(left, right).max(half + 2.0);
    drawing.text([middle, y + 12.0], Anchor::Centre, SMALL, theme.ink, text);
}

/// The heights of the parts' upper ends above the tip; a holder goes on above, so it has none.
fn heights(drawing: &mut Drawing, parts: &[Silhouette], units: Told, shown: &Viewport, theme: &Theme) {
    let left = shown.width;
    let ends = parts.iter().rev().filter(|part| part.kind != PartKind::Holder).map(|part| {
        let name = if part.kind == PartKind::Cutter { "flutes" } else { "out" };
        let about = if part.known { "" } else { "about " };
        (shown.to_view(pt(part.radius(), part.top)), format!("{name} {about}{}", units.plain(part.top)))
    });
    let ends: Vec<_> = ends.collect();
    let wanted: Vec<f32> = ends.iter().map(|(at, _)| at[1]).collect();
    let places = spread(&wanted, ROW, (ROW / 2.0 + 2.0, shown.height));
    for ((at, text), y) in ends.into_iter().zip(places) {
        let line = vec![vec![[at[0] + 3.0, at[1]], [left - 10.0, at[1]], [left - 2.0, y]]];
        drawing.stroke(line, theme.quiet, 0.8, Dash::Solid);
        drawing.text([left + 2.0, y], Anchor::Left, SMALL, theme.quiet, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tool::Form;
    use crate::units::Units;

    /// Height of the cutter's fill, for a tool with nothing but flutes.
    fn drawn(tool_: &Tool, scale: f64) -> f32 {
        let [width, height] = tool_size(tool_, scale);
        let drawing = tool(tool_, Units::Inch, &Theme::light(), width, height);
        let ink = [Theme::light().accent[0], Theme::light().accent[1], Theme::light().accent[2], 46];
        let fills = drawing.items.iter().filter_map(|item| match item {
            super::super::drawing::Item::Fill { outlines, ink: found } if *found == ink => Some(outlines),
            _ => None,
        });
        let heights = fills.flatten().flatten().map(|p| p[1]);
        let (low, high) = heights.fold((f32::INFINITY, 0.0_f32), |(a, b), y| (a.min(y), b.max(y)));
        high - low
    }

    #[test]
    fn tools_side_by_side_have_one_scale() {
        let of = |diameter: f64, flutes: f64| Tool {
            number: 1,
            name: None,
            form: Form::Flat { diameter },
            flutes: None,
            flute_length: Some(flutes),
            shank_diameter: None,
            stickout: None,
            holder_diameter: None,
        };
        let tools = [of(0.125, 0.5), of(0.5, 1.25), of(2.0, 0.4)];
        let scale = tools_scale(&tools, 120.0);
        for (tool, flutes) in tools.iter().zip([0.5, 1.25, 0.4]) {
            assert!((f64::from(drawn(tool, scale)) - flutes * scale).abs() < 0.1, "{flutes}");
        }
    }
}
