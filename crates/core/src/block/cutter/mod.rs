//! A cutter's form made ready for asking millions of columns: its underside and its roof as closed forms.

mod edge;

use std::cmp::Ordering;

use self::edge::Curve;
pub(super) use self::edge::{Edge, hypotenuse};
use crate::tool::{Form, Piece};

/// A joint of the underside counts as smooth or hollow when its slope falls by no more than this.
const SLOPE_ROUNDING: f64 = 1e-9;

/// The shapes whose sweep along a slope has a closed form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// One level underside as wide as the cutter, and no end upwards.
    Flat,
    /// Half a sphere, and no end upwards.
    Ball,
    /// Anything else.
    Other,
}

/// A part of a cutter that grows to one widest place and from there shrinks upwards: at every distance from the
/// axis it takes one height range, from the underside to the roof. Nearly every cutter is one such lobe; a
/// silhouette with a waist is several, and what it cuts is what its lobes cut.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lobe {
    radius: f64,
    /// By rising radius, without gaps.
    underside: Vec<Edge>,
    /// By falling radius.
    roof: Vec<Edge>,
    /// Within this radius the lobe has no end upwards: the neck above the cutting height.
    open: f64,
    shape: Shape,
    hollow: bool,
}

impl Lobe {
    /// The lobes of a form, from the tip up.
    pub(super) fn of(form: &Form) -> Vec<Self> {
        let profile = form.profile();
        let mut lobes: Vec<Self> = Vec::new();
        for pieces in split_at_waists(profile.pieces()) {
            let floor = pieces.first().map_or(0.0, |piece| piece.from.y);
            lobes.push(Self::new(pieces, floor));
        }
        let count = lobes.len();
        for (index, lobe) in lobes.iter_mut().enumerate() {
            if index + 1 == count {
                lobe.open = profile.top().x;
            } else if let Some(last) = split_at_waists(profile.pieces()).get(index).and_then(|p| p.last()) {
                lobe.roof.push(Edge::level(0.0, last.to.x, last.to.y));
            }
            lobe.shape = lobe.shape();
        }
        lobes.retain(|lobe| lobe.radius > 0.0);
        lobes
    }

    fn new(pieces: &[Piece], floor: f64) -> Self {
        let start = pieces.first().map_or(0.0, |piece| piece.from.x);
        let grows = |piece: &&Piece| piece.to.x > piece.from.x;
        let shrinks = |piece: &&Piece| piece.to.x < piece.from.x;
        let inner = (start > 0.0).then(|| Edge::level(0.0, start, floor));
        let underside: Vec<Edge> =
            inner.into_iter().chain(pieces.iter().filter(grows).filter_map(Edge::of)).collect();
        let roof = pieces.iter().filter(shrinks).filter_map(Edge::of).collect();
        let hollow = is_hollow(&underside);
        let radius = underside.last().map_or(0.0, |edge| edge.to);
        Self { radius, underside, roof, open: 0.0, shape: Shape::Other, hollow }
    }

    fn shape(&self) -> Shape {
        if self.has_roof() {
            return Shape::Other;
        }
        match self.underside[..] {
            [Edge { curve: Curve::Line { slope: 0.0, .. }, .. }] => Shape::Flat,
            [Edge { curve: Curve::Arc { radius, height, side, .. }, .. }]
                if radius == 0.0 && height == self.radius && side < 0.0 =>
            {
                Shape::Ball
            }
            _ => Shape::Other,
        }
    }

    /// The lobe with its radius made smaller by `less` everywhere.
    pub(super) fn narrower(&self, less: f64) -> Self {
        let shift = |edge: &Edge| {
            let curve = match edge.curve {
                Curve::Line { at, slope } => Curve::Line { at: at + slope * less, slope },
                Curve::Arc { radius, height, square, side } => {
                    Curve::Arc { radius: radius - less, height, square, side }
                }
            };
            Edge { from: (edge.from - less).max(0.0), to: edge.to - less, curve }
        };
        let within = |edge: &Edge| edge.to > 0.0;
        Self {
            radius: (self.radius - less).max(0.0),
            underside: self.underside.iter().map(shift).filter(within).collect(),
            roof: self.roof.iter().map(shift).filter(within).collect(),
            open: self.open - less,
            shape: if self.shape == Shape::Flat { Shape::Flat } else { Shape::Other },
            hollow: self.hollow,
        }
    }

    /// Largest radius.
    pub(super) fn radius(&self) -> f64 {
        self.radius
    }

    pub(super) fn kind(&self) -> Shape {
        self.shape
    }

    /// Whether some distance from the axis has an end upwards.
    pub(super) fn has_roof(&self) -> bool {
        self.open < self.radius
    }

    /// Whether the underside is a convex function of the distance, so that along a straight line the height over
    /// a column has one valley: a convex function that does not fall, of the convex distance, plus a slope.
    pub(super) fn is_hollow(&self) -> bool {
        self.hollow
    }

    /// Radii at which the silhouette changes from one line or arc to the next.
    pub(super) fn joints(&self) -> impl Iterator<Item = f64> + '_ {
        self.underside.iter().chain(&self.roof).map(|edge| edge.to).chain([self.open])
    }

    /// The lines and arcs of the underside, by rising radius and without gaps.
    pub(super) fn underside_edges(&self) -> &[Edge] {
        &self.underside
    }

    /// The lines and arcs of the roof, by falling radius.
    pub(super) fn roof_edges(&self) -> &[Edge] {
        &self.roof
    }

    /// Radius within which there is no end upwards.
    pub(super) fn open(&self) -> f64 {
        self.open
    }

    /// The line or arc of the underside at a distance from the axis.
    #[inline]
    fn edge_at(&self, distance: f64) -> Option<&Edge> {
        self.underside.iter().find(|edge| distance <= edge.to).or(self.underside.last())
    }

    /// Height of the underside above the tip at a distance from the axis of at most the radius.
    #[inline]
    pub(super) fn underside(&self, distance: f64) -> f64 {
        self.edge_at(distance).map_or(0.0, |edge| edge.height(distance.min(edge.to)))
    }

    /// Slope of the underside at a distance from the axis of at most the radius.
    #[inline]
    pub(super) fn slope(&self, distance: f64) -> f64 {
        self.edge_at(distance).map_or(0.0, |edge| edge.slope(distance.min(edge.to)))
    }

    /// Height above the tip at which the lobe ends; infinite where it does not.
    #[inline]
    pub(super) fn roof(&self, distance: f64) -> f64 {
        if distance <= self.open {
            return f64::INFINITY;
        }
        let covers = |edge: &&Edge| edge.from <= distance;
        self.roof.iter().find(covers).map_or(f64::INFINITY, |edge| edge.height(distance.min(edge.to)))
    }
}

/// Pieces from one waist to the next: a new part begins where the radius grows again after it has shrunk.
fn split_at_waists(pieces: &[Piece]) -> Vec<&[Piece]> {
    let mut parts = Vec::new();
    let (mut begin, mut shrunk) = (0, false);
    for (index, piece) in pieces.iter().enumerate() {
        match piece.to.x.total_cmp(&piece.from.x) {
            Ordering::Less => shrunk = true,
            Ordering::Greater if shrunk => {
                parts.push(&pieces[begin..index]);
                (begin, shrunk) = (index, false);
            }
            _ => {}
        }
    }
    parts.push(&pieces[begin..]);
    parts
}

fn is_hollow(underside: &[Edge]) -> bool {
    underside.iter().all(Edge::is_hollow)
        && underside.windows(2).all(|pair| {
            let at = pair[0].to;
            let step = (pair[1].height(at) - pair[0].height(at)).abs();
            step <= SLOPE_ROUNDING && pair[1].slope(at) >= pair[0].slope(at) - SLOPE_ROUNDING
        })
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// The silhouette's own intervals, straight from the profile, are what the lobes must say together.
    #[test]
    fn lobes_say_what_the_profile_says() {
        let forms = [
            Form::Flat { diameter: 0.5 },
            Form::Ball { diameter: 0.5 },
            Form::Bull { diameter: 0.5, corner_radius: 0.1 },
            Form::Undercut { diameter: 0.5, angle: 20.0, height: 0.4 },
            Form::EdgeRound { pilot_diameter: 0.2, radius: 0.125, pilot_length: 0.1 },
            Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.2 },
            Form::Drill { diameter: 0.5, point_angle: 118.0 },
            Form::Silhouette {
                points: vec![
                    [0.1, 0.0],
                    [0.3, 0.1],
                    [0.3, 0.2],
                    [0.15, 0.3],
                    [0.15, 0.35],
                    [0.25, 0.4],
                    [0.1, 0.4],
                ],
            },
        ];
        for form in forms {
            let (profile, lobes) = (form.profile(), Lobe::of(&form));
            for step in 1..400 {
                let radius = form.radius() * (f64::from(step) - 0.37) / 399.0;
                let mut found: Vec<(f64, f64)> = Vec::new();
                for lobe in lobes.iter().filter(|lobe| lobe.radius() >= radius) {
                    let next = (lobe.underside(radius), lobe.roof(radius));
                    match found.last_mut() {
                        Some(last) if next.0 <= last.1 => last.1 = next.1,
                        _ => found.push(next),
                    }
                }
                let expected = profile.heights_at(radius);
                assert_eq!(found.len(), expected.len(), "{form:?} at {radius}: {found:?}, {expected:?}");
                for (found, expected) in found.iter().zip(expected) {
                    assert_abs_diff_eq!(found.0, expected.0, epsilon = 1e-12);
                    assert!(
                        found.1 == expected.1 || (found.1 - expected.1).abs() < 1e-12,
                        "{form:?} at {radius}"
                    );
                }
            }
        }
    }

    #[test]
    fn shapes_and_hollows_are_known() {
        let kind = |form: Form| (Lobe::of(&form)[0].kind(), Lobe::of(&form)[0].is_hollow());
        assert_eq!(kind(Form::Flat { diameter: 0.5 }), (Shape::Flat, true));
        assert_eq!(kind(Form::Ball { diameter: 0.5 }), (Shape::Ball, true));
        assert_eq!(kind(Form::Bull { diameter: 0.5, corner_radius: 0.1 }), (Shape::Other, true));
        assert_eq!(kind(Form::Undercut { diameter: 0.5, angle: 5.0, height: 0.5 }), (Shape::Other, true));
        assert_eq!(
            kind(Form::EdgeRound { pilot_diameter: 0.2, radius: 0.1, pilot_length: 0.1 }),
            (Shape::Other, false)
        );
    }
}
