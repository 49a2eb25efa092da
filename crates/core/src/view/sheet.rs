//! The sheet on which an outline or an edge is drawn, and the picture of a drawing that is brought in.

use super::drawing::{Anchor, Dash, Drawing, Ink, Weight, circle, corners};
use super::label::{Words, haloed};
use super::plan::{seen, steps};
use super::plan_marks::{grid, grid_numbers, scale_bar};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::bring_in::{Offer, Trouble};
use crate::geometry::{Path, Point, Span};
use crate::sketch::{Chain, Hit, Mark, Snapped};
use crate::units::Told;

const TEXT: f32 = 11.5;
const SMALL: f32 = 10.5;
/// Half the side of the square that marks a vertex, view points.
const VERTEX: f32 = 3.0;
/// Vertices are marked only while there are few enough to be told apart.
const MOST_MARKED: usize = 2_000;
/// Troubles are marked all at once only while there are few; else the one that is pointed out.
const MOST_TROUBLES: usize = 40;
/// Most pieces of a drawing that are drawn in one view; those of the chosen path always are.
const MOST_DRAWN: usize = 60_000;

/// What is on the sheet.
#[derive(Debug, Clone, Copy)]
pub struct SheetState<'a> {
    /// The path being drawn.
    pub chain: &'a Chain,
    /// The other path, and what it is called.
    pub other: Option<(&'a Path, &'static str)>,
    /// Spans under the pointer that are not part of the path yet.
    pub started: &'a [Span],
    /// What is picked.
    pub picked: Option<Hit>,
    /// What lies under the pointer.
    pub under: Option<Hit>,
    /// Where the pointer caught on something.
    pub snapped: Option<Snapped>,
    /// What is wrong.
    pub troubles: &'a [Trouble],
    /// Measured points, and the radius of what they were measured with.
    pub measured: (&'a [Point], f64),
    /// The length unit.
    pub units: Told,
}

/// The sheet with everything on it, on a paper that whoever draws it has laid down.
pub fn sheet(state: &SheetState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    grid(&mut drawing, state.units, viewport, theme);
    axes(&mut drawing, viewport, theme);
    if let Some((path, name)) = state.other {
        let lines: Vec<_> = path.spans().iter().map(|span| line(span, viewport)).collect();
        drawing.stroke(seen(&lines, viewport, 4.0), theme.metal_edge, 1.4, Dash::Dashed);
        name_path(&mut drawing, path, name, viewport, theme);
    }
    measured(&mut drawing, state.measured, viewport, theme);
    let lines: Vec<_> = state.chain.spans().map(|span| line(&span, viewport)).collect();
    drawing.stroke(seen(&lines, viewport, 4.0), theme.accent, 2.0, Dash::Solid);
    for (hit, width) in [(state.under, 3.4), (state.picked, 4.6)] {
        if let Some(Hit::Span { span, .. }) = hit
            && let Some(span) = state.chain.span(span)
        {
            drawing.stroke(seen(&[line(&span, viewport)], viewport, 6.0), theme.accent, width, Dash::Solid);
        }
    }
    let started: Vec<_> = state.started.iter().map(|span| line(span, viewport)).collect();
    drawing.stroke(seen(&started, viewport, 4.0), theme.accent, 1.6, Dash::Dashed);
    vertices(&mut drawing, state, viewport, theme);
    trouble_marks(&mut drawing, state.troubles.iter().enumerate(), viewport, theme);
    grid_numbers(&mut drawing, state.units, viewport, theme);
    scale_bar(&mut drawing, state.units, [0.0; 2], viewport, theme);
    if let Some(snapped) = state.snapped {
        caught(&mut drawing, &snapped, viewport, theme);
    }
    drawing
}

/// What is shown of a drawing that is brought in.
#[derive(Debug, Clone, Copy)]
pub struct OfferState<'a> {
    /// The drawing and its closed paths.
    pub offer: &'a Offer,
    /// The path that is chosen.
    pub chosen: Option<usize>,
    /// The path under the pointer.
    pub under: Option<usize>,
    /// The trouble that is pointed out.
    pub trouble: Option<usize>,
    /// The length unit.
    pub units: Told,
}

/// A drawing that is brought in, with the chosen path over it.
pub fn offer(state: &OfferState<'_>, viewport: &Viewport, theme: &Theme) -> Drawing {
    let mut drawing = Drawing::new(viewport.width, viewport.height);
    grid(&mut drawing, state.units, viewport, theme);
    axes(&mut drawing, viewport, theme);
    let Offer { drawing: all, layer, paths, troubles, .. } = state.offer;
    let (on, off): (Vec<_>, Vec<_>) =
        all.curves.iter().partition(|curve| layer.is_none_or(|layer| curve.layer == layer));
    for (curves, ink, width) in [(off, theme.line, 1.0), (on, theme.quiet, 1.0)] {
        let spans = curves.iter().flat_map(|curve| {
            curve.vertices.windows(2).map(|pair| Span::with_bulge(pair[0].at, pair[1].at, pair[0].bulge))
        });
        let lines: Vec<_> = spans.take(MOST_DRAWN).map(|span| line(&span, viewport)).collect();
        drawing.stroke(seen(&lines, viewport, 4.0), ink, width, Dash::Solid);
    }
    for (index, width, dash) in [(state.under, 2.0, Dash::Dashed), (state.chosen, 3.0, Dash::Solid)] {
        if let Some(offered) = index.and_then(|index| paths.get(index)) {
            let lines: Vec<_> = offered.closed.path.spans().iter().map(|span| line(span, viewport)).collect();
            drawing.stroke(seen(&lines, viewport, 6.0), theme.accent, width, dash);
        }
    }
    let told = |index: &usize| state.trouble == Some(*index) || troubles.len() <= MOST_TROUBLES;
    let told = troubles.iter().enumerate().filter(|(index, _)| told(index));
    trouble_marks(&mut drawing, told, viewport, theme);
    grid_numbers(&mut drawing, state.units, viewport, theme);
    scale_bar(&mut drawing, state.units, [0.0; 2], viewport, theme);
    drawing
}

fn line(span: &Span, viewport: &Viewport) -> Vec<[f32; 2]> {
    let steps = steps(span, viewport);
    (0..=steps).map(|step| viewport.to_view(span.at(step as f64 / steps as f64))).collect()
}

/// The two lines through the origin, a little stronger than the grid.
fn axes(drawing: &mut Drawing, viewport: &Viewport, theme: &Theme) {
    let [x, y] = viewport.to_view(Point::default());
    let ink = faint(theme.quiet, 150);
    if (0.0..=viewport.width).contains(&x) {
        drawing.line([x, 0.0], [x, viewport.height], ink, 1.0, Dash::Solid);
    }
    if (0.0..=viewport.height).contains(&y) {
        drawing.line([0.0, y], [viewport.width, y], ink, 1.0, Dash::Solid);
    }
}

fn faint(ink: Ink, alpha: u8) -> Ink {
    [ink[0], ink[1], ink[2], alpha]
}

fn say(drawing: &mut Drawing, at: [f32; 2], anchor: Anchor, size: f32, ink: Ink, text: &str, theme: &Theme) {
    haloed(drawing, Words { at, anchor, size, weight: Weight::Plain, ink }, theme.paper, text);
}

/// Writes what a path is called above its highest vertex.
fn name_path(drawing: &mut Drawing, path: &Path, name: &str, viewport: &Viewport, theme: &Theme) {
    let highest = path.vertices().iter().max_by(|a, b| a.y.total_cmp(&b.y).then(b.x.total_cmp(&a.x)));
    if let Some(at) = highest {
        let [x, y] = viewport.to_view(*at);
        say(drawing, [x + 4.0, y - 10.0], Anchor::Left, TEXT, theme.quiet, name, theme);
    }
}

fn measured(drawing: &mut Drawing, (points, radius): (&[Point], f64), viewport: &Viewport, theme: &Theme) {
    const ARM: f32 = 5.0;
    let wide = (radius * viewport.scale) as f32;
    for (index, at) in points.iter().take(MOST_MARKED).enumerate() {
        let [x, y] = viewport.to_view(*at);
        let cross = vec![vec![[x - ARM, y], [x + ARM, y]], vec![[x, y - ARM], [x, y + ARM]]];
        drawing.stroke(cross, theme.none, 1.4, Dash::Solid);
        if wide > 2.0 {
            drawing.ring(circle([x, y], wide), faint(theme.none, 170), 1.0);
        }
        let words = (index + 1).to_string();
        say(drawing, [x + 6.0, y - 8.0], Anchor::Left, SMALL, theme.ink, &words, theme);
    }
}

fn vertices(drawing: &mut Drawing, state: &SheetState<'_>, viewport: &Viewport, theme: &Theme) {
    let all = state.chain.vertices();
    let is = |hit: Option<Hit>, index: usize| hit == Some(Hit::Vertex(index));
    for (index, vertex) in all.iter().enumerate() {
        let picked = is(state.picked, index);
        if all.len() > MOST_MARKED && !picked {
            continue;
        }
        let [x, y] = viewport.to_view(vertex.at);
        if !(-9.0..=viewport.width + 9.0).contains(&x) || !(-9.0..=viewport.height + 9.0).contains(&y) {
            continue;
        }
        let half = if picked || is(state.under, index) { VERTEX + 2.0 } else { VERTEX };
        let square = corners([x - half, y - half, x + half, y + half]);
        drawing.fill(square.clone(), if picked { theme.accent } else { theme.panel });
        drawing.ring(square, theme.accent, 1.4);
        if index == 0 {
            // Stations begin here.
            drawing.ring(circle([x, y], half + 4.5), theme.accent, 1.0);
        }
    }
}

/// Rings with the troubles' numbers in the list; of those that would lie on each other only the first is numbered.
fn trouble_marks<'a>(
    drawing: &mut Drawing,
    troubles: impl Iterator<Item = (usize, &'a Trouble)>,
    viewport: &Viewport,
    theme: &Theme,
) {
    const APART: f32 = 16.0;
    let mut numbered: Vec<[f32; 2]> = Vec::new();
    for (index, trouble) in troubles {
        let Some([x, y]) = trouble.at().map(|at| viewport.to_view(at)) else { continue };
        drawing.ring(circle([x, y], 10.0), theme.none, 2.0);
        if numbered.iter().all(|[a, b]| (x - a).hypot(y - b) > APART) {
            numbered.push([x, y]);
            let words = (index + 1).to_string();
            say(drawing, [x + 13.0, y + 11.0], Anchor::Left, TEXT, theme.ink, &words, theme);
        }
    }
}

/// A sign where the pointer caught, and by what: sharp points are filled, lines are open.
fn caught(drawing: &mut Drawing, snapped: &Snapped, viewport: &Viewport, theme: &Theme) {
    let [x, y] = viewport.to_view(snapped.at);
    match snapped.mark {
        Mark::Free => return,
        Mark::Grid => drawing.fill(circle([x, y], 2.0), theme.ink),
        Mark::End | Mark::Middle | Mark::Centre | Mark::Square => {
            drawing.ring(circle([x, y], 6.5), theme.ink, 1.6);
        }
        Mark::Other | Mark::Corner | Mark::Level | Mark::Upright => {
            drawing.ring(circle([x, y], 4.5), theme.ink, 1.2);
        }
    }
    if snapped.mark != Mark::Grid {
        say(drawing, [x + 11.0, y + 15.0], Anchor::Left, TEXT, theme.ink, snapped.mark.words(), theme);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Bounds, pt};
    use crate::job::Vertex;
    use crate::view::{Item, rasterise};

    fn state(chain: &Chain) -> SheetState<'_> {
        SheetState {
            chain,
            other: None,
            started: &[],
            picked: None,
            under: None,
            snapped: None,
            troubles: &[],
            measured: (&[], 0.0),
            units: crate::units::Units::Inch.into(),
        }
    }

    fn words(drawing: &Drawing) -> Vec<&str> {
        let mut words = Vec::new();
        for item in &drawing.items {
            if let Item::Text { text, .. } = item {
                words.push(text.as_str());
            }
        }
        words
    }

    /// A half circle over a line: its ink reaches where the arc is highest.
    #[test]
    fn arcs_are_drawn_as_arcs() {
        let vertex = |x, y, bulge| Vertex { at: pt(x, y), bulge };
        let chain = Chain::new(vec![vertex(-1.0, 0.0, 0.0), vertex(1.0, 0.0, 1.0)], true);
        let viewport = Viewport::fit(Bounds::of([pt(-1.5, -0.5), pt(1.5, 1.5)]), 300.0, 200.0, 0.0);
        let theme = Theme::light();
        let pixels = rasterise(&sheet(&state(&chain), &viewport, &theme), 1.0, theme.paper).expect("drawn");
        let [x, y] = viewport.to_view(pt(0.0, 1.0));
        let ink = pixels.at(x as usize, y as usize).expect("inside");
        assert!(ink[2] > 120 && ink[0] < 120, "blue at the top of the arc: {ink:?}");
    }

    #[test]
    fn what_was_caught_and_what_is_wrong_is_said() {
        let chain = Chain::default();
        let viewport = Viewport::fit(Bounds::of([pt(0.0, 0.0), pt(4.0, 3.0)]), 400.0, 300.0, 10.0);
        let troubles = [Trouble::SelfCrossing { at: pt(1.0, 1.0) }];
        let snapped = Snapped { at: pt(2.0, 1.0), mark: Mark::Middle };
        let state = SheetState { troubles: &troubles, snapped: Some(snapped), ..state(&chain) };
        let drawn = sheet(&state, &viewport, &Theme::dark());
        assert!(words(&drawn).contains(&"middle"));
        assert!(words(&drawn).contains(&"1"));
    }
}
