//! Corners that were sawn off the blank, with their two legs: as far as the corner would go on, along X and along Y.

use super::drawing::{Anchor, Dash, Drawing, Weight};
use super::label::{Taken, Words, about, haloed, middle};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Path, Point, Span, pt};
use crate::units::Told;

/// An edge that runs nearer than this to X or Y, tangent of the angle, is a side that was not sawn quite square.
const SQUARE: f64 = 0.17;
/// Cuts that are told; an edge of more slanting spans is a rounded one.
const MOST: usize = 12;
/// A leg that is drawn shorter than this has its end where its start is, view points.
const LEAST: f64 = 4.0;
/// From a leg to the middle of its number, and how far that may stand aside.
const OFF: f32 = 8.0;
const ASIDE: [f32; 5] = [0.0, 7.0, -7.0, 14.0, -14.0];
const TEXT: f32 = 8.5;

/// A corner of the blank that was sawn off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerCut {
    /// Where the cut begins and ends, the way of the edge.
    pub ends: [Point; 2],
    /// Where the corner would be.
    pub corner: Point,
}

impl CornerCut {
    /// How far it goes along X and along Y.
    pub fn legs(&self) -> [f64; 2] {
        let [a, b] = self.ends;
        [(b.x - a.x).abs(), (b.y - a.y).abs()]
    }

    /// The end that lies beside the corner along X, and the one along Y.
    fn beside(&self) -> [Point; 2] {
        let [a, b] = self.ends;
        if a.y == self.corner.y { [a, b] } else { [b, a] }
    }
}

/// The corners that were sawn off an edge: its straight spans aslant to X and Y. None of an edge with too many of them.
pub fn corner_cuts(edge: &Path) -> Vec<CornerCut> {
    let cut = |(index, span): (usize, &Span)| {
        let Span::Line { from, to } = *span else { return None };
        let (dx, dy) = ((to.x - from.x).abs(), (to.y - from.y).abs());
        if dx.min(dy) <= dx.max(dy) * SQUARE {
            return None;
        }
        let outward = edge.place_on(index, span.length() / 2.0).outward;
        let corners = [pt(from.x, to.y), pt(to.x, from.y)];
        let corner = corners.into_iter().find(|corner| outward.dot(*corner - from) > 0.0)?;
        Some(CornerCut { ends: [from, to], corner })
    };
    let all: Vec<CornerCut> = edge.spans().iter().enumerate().filter_map(cut).collect();
    if all.len() > MOST { Vec::new() } else { all }
}

/// Draws the legs of the cuts with their sizes, where nothing else is. Gives back the cuts of which a size found no place.
pub(super) fn draw(
    drawing: &mut Drawing,
    (edge, cuts): (&Path, &[CornerCut]),
    told: Told,
    viewport: &Viewport,
    theme: &Theme,
    taken: &mut Taken,
) -> Vec<CornerCut> {
    let mut left = Vec::new();
    for cut in cuts {
        let [by_x, by_y] = cut.beside().map(|end| viewport.to_view(end));
        let corner = viewport.to_view(cut.corner);
        let texts = cut.legs().map(|leg| told.plain(leg));
        let wide = texts.clone().map(|text| text_width(&text, TEXT, Weight::Bold) + 3.0);
        // Away from the metal: across the leg, past the corner.
        let (up, right) = ((corner[1] - by_y[1]).signum(), (corner[0] - by_x[0]).signum());
        let middle_x = [f32::midpoint(corner[0], by_x[0]), corner[1] + up * OFF];
        let middle_y = [corner[0] + right * (wide[1] / 2.0 + 4.0), f32::midpoint(corner[1], by_y[1])];
        let along_x = ASIDE.map(|aside| about([middle_x[0] + aside, middle_x[1]], wide[0], TEXT + 2.0));
        let along_y = ASIDE.map(|aside| about([middle_y[0], middle_y[1] + aside], wide[1], TEXT + 2.0));
        let off_metal = |rect: &[f32; 4]| is_off(edge, rect, viewport);
        let long = cut.legs().iter().all(|leg| leg * viewport.scale >= LEAST);
        let places = |all: [[f32; 4]; 5]| all.into_iter().filter(move |rect| long && off_metal(rect));
        let mut both = taken.clone();
        let found = both.take(places(along_x), viewport).zip(both.take(places(along_y), viewport));
        let Some((x, y)) = found else {
            left.push(*cut);
            continue;
        };
        *taken = both;
        drawing.line(by_x, corner, theme.quiet, 0.5, Dash::Dashed);
        drawing.line(by_y, corner, theme.quiet, 0.5, Dash::Dashed);
        for (rect, text) in [x, y].into_iter().zip(&texts) {
            let words = Words {
                at: middle(rect),
                anchor: Anchor::Centre,
                size: TEXT,
                weight: Weight::Bold,
                ink: theme.ink,
            };
            haloed(drawing, words, theme.paper, text);
        }
    }
    left
}

/// Whether a box lies beside the metal.
fn is_off(edge: &Path, rect: &[f32; 4], viewport: &Viewport) -> bool {
    let corners =
        [[rect[0], rect[1]], [rect[2], rect[1]], [rect[2], rect[3]], [rect[0], rect[3]], middle(*rect)];
    corners.into_iter().all(|at| !edge.holds(viewport.to_block(at)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Path;

    fn edge(vertices: &[(f64, f64)]) -> Path {
        let points: Vec<(Point, f64)> = vertices.iter().map(|(x, y)| (pt(*x, *y), 0.0)).collect();
        Path::closed(&points).expect("a closed path")
    }

    /// Legs of a blank of 4 by 3 with its upper right corner sawn off .5 along X and .8 along Y, whichever way round.
    #[test]
    fn a_sawn_off_corner_has_its_legs_whichever_way_the_edge_goes() {
        let mut vertices = vec![(0.0, 0.0), (4.0, 0.0), (4.0, 2.2), (3.5, 3.0), (0.0, 3.0)];
        for _ in 0..2 {
            let cuts = corner_cuts(&edge(&vertices));
            assert_eq!(cuts.len(), 1);
            let [x, y] = cuts[0].legs();
            assert!((x - 0.5).abs() < 1e-12 && (y - 0.8).abs() < 1e-12, "{x} {y}");
            assert_eq!(cuts[0].corner, pt(4.0, 3.0));
            vertices.reverse();
        }
    }

    #[test]
    fn a_side_that_is_not_quite_square_is_no_cut_and_a_rounded_edge_has_none() {
        assert!(corner_cuts(&edge(&[(0.0, 0.0), (4.0, 0.1), (3.9, 3.0), (0.0, 3.0)])).is_empty());
        let round: Vec<(f64, f64)> = (0..40).map(|i| (f64::from(i) * 0.157).sin_cos()).collect();
        assert!(corner_cuts(&edge(&round)).is_empty());
    }

    /// Places for the sizes of a blank of four cut corners, beside what is written there already.
    #[test]
    fn sizes_are_written_beside_the_metal_or_told_to_be_left() {
        let all = [
            (1.0, 0.0),
            (9.0, 0.0),
            (10.0, 1.0),
            (10.0, 6.0),
            (9.0, 7.0),
            (1.0, 7.0),
            (0.0, 6.0),
            (0.0, 1.0),
        ];
        let edge = edge(&all);
        let viewport = Viewport::fit(edge.bounds(), 400.0, 300.0, 60.0);
        let (cuts, theme) = (corner_cuts(&edge), Theme::print());
        let told = crate::units::Units::Inch.into();
        let mut drawing = Drawing::new(400.0, 300.0);
        let left = draw(&mut drawing, (&edge, &cuts), told, &viewport, &theme, &mut Taken::default());
        assert_eq!((cuts.len(), left.len()), (4, 0));
        let mut full = Taken::default();
        full.add([0.0, 0.0, 400.0, 300.0]);
        let left = draw(&mut drawing, (&edge, &cuts), told, &viewport, &theme, &mut full);
        assert_eq!(left, cuts);
    }
}
