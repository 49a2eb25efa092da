//! One line or arc of a silhouette, by itself and carried up a slope.

use crate::search::crossing;
use crate::tool::Piece;

/// Looks for the place where a hump of the underside begins.
const LOOKS: usize = 8;

/// One line or arc of a silhouette as a height over the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Edge {
    /// Radii between which it counts.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) curve: Curve,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Curve {
    /// `at` on the axis, rising by `slope` a radius.
    Line { at: f64, slope: f64 },
    /// The half of a circle above (`side` 1) or below (-1) its centre.
    Arc { radius: f64, height: f64, square: f64, side: f64 },
}

/// A height and how far the column lies ahead of the axis when it is taken.
pub(crate) type Dip = (f64, f64);

impl Edge {
    /// `None` for an upright piece, which is no height over a radius.
    pub(super) fn of(piece: &Piece) -> Option<Self> {
        let (from, to) = (piece.from.x.min(piece.to.x), piece.from.x.max(piece.to.x));
        let curve = match piece.centre {
            None => {
                let slope = (piece.to.y - piece.from.y) / (piece.to.x - piece.from.x);
                Curve::Line { at: piece.from.y - slope * piece.from.x, slope }
            }
            Some(centre) => Curve::Arc {
                radius: centre.x,
                height: centre.y,
                square: piece.from.distance(centre).powi(2),
                side: if piece.from.y + piece.to.y >= 2.0 * centre.y { 1.0 } else { -1.0 },
            },
        };
        (from < to).then_some(Self { from, to, curve })
    }

    pub(super) fn level(from: f64, to: f64, height: f64) -> Self {
        Self { from, to, curve: Curve::Line { at: height, slope: 0.0 } }
    }

    #[inline]
    pub(super) fn height(&self, radius: f64) -> f64 {
        match self.curve {
            Curve::Line { at, slope } => at + slope * radius,
            Curve::Arc { radius: middle, height, square, side } => {
                height + side * (square - (radius - middle) * (radius - middle)).max(0.0).sqrt()
            }
        }
    }

    pub(super) fn slope(&self, at: f64) -> f64 {
        match self.curve {
            Curve::Line { slope, .. } => slope,
            Curve::Arc { radius, square, side, .. } => {
                let leg = at - radius;
                -side * leg / (square - leg * leg).max(0.0).sqrt().max(f64::MIN_POSITIVE)
            }
        }
    }

    pub(super) fn is_hollow(&self) -> bool {
        !matches!(self.curve, Curve::Arc { side, .. } if side > 0.0)
    }

    /// The least of `height(hypot(off, w)) - climb * w` for the `w` of a range, none below 0, at which the edge is
    /// over a column `off` the line of the path: what the edge does to it on a slope. `None` when it is over it at
    /// no such place.
    pub(crate) fn lowest(&self, climb: f64, off: f64, range: (f64, f64)) -> Option<Dip> {
        let (low, high) = common(range, self.reach(off)?)?;
        let dip = |w: f64| (self.height(hypotenuse(off, w).clamp(self.from, self.to)) - climb * w, w);
        let ends = || [low, high].map(dip).into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a });
        // The slope along the path, times what keeps it from becoming infinite.
        let slope = |w: f64| self.slope_ahead(climb, off, w);
        match self.curve {
            Curve::Line { slope, .. } => Some(dip(level_at(slope, climb, off).clamp(low, high))),
            Curve::Arc { side, .. } if side < 0.0 => Some(dip(crossing(slope, (low, high)))),
            Curve::Arc { .. } if slope(low) >= 0.0 => ends(),
            // The hump may fall once more before it rises.
            Curve::Arc { .. } => {
                let at = |look: usize| low + (high - low) * look as f64 / LOOKS as f64;
                let rising = (1..=LOOKS).find(|look| slope(at(*look)) > 0.0);
                let valley = rising.map(|look| dip(crossing(slope, (at(look - 1), at(look)))));
                ends().into_iter().chain(valley).reduce(|a, b| if b.0 < a.0 { b } else { a })
            }
        }
    }

    /// The greatest of `height(hypot(off, w)) - climb * w` for the `w` of a range at which the edge, a line that
    /// does not rise outwards, is over a column.
    pub(crate) fn highest(&self, climb: f64, off: f64, range: (f64, f64)) -> Option<f64> {
        let (near, far) = self.reach(off)?;
        let slope = if let Curve::Line { slope, .. } = self.curve { slope } else { 0.0 };
        let best = -level_at(-slope, climb, off);
        let sides = [(-far, -near), (near, far)].into_iter().filter_map(|side| common(range, side));
        let height = |w: f64| self.height(hypotenuse(off, w).clamp(self.from, self.to)) - climb * w;
        sides.map(|(low, high)| height(best.clamp(low, high))).reduce(f64::max)
    }

    /// How far ahead of the axis a column at `off` lies at least and at most while the edge is over it.
    fn reach(&self, off: f64) -> Option<(f64, f64)> {
        let ahead = |radius: f64| (radius * radius - off * off).max(0.0).sqrt();
        (off <= self.to).then(|| (ahead(self.from), ahead(self.to)))
    }

    /// Of an arc: the sign of the slope of `height(hypot(off, w)) - climb * w`, free of jumps.
    fn slope_ahead(&self, climb: f64, off: f64, w: f64) -> f64 {
        let Curve::Arc { radius, square, side, .. } = self.curve else { return 0.0 };
        let away = hypotenuse(off, w);
        let leg = away - radius;
        let part = if away > 0.0 { w / away } else { 1.0 };
        -side * leg * part - climb * (square - leg * leg).max(0.0).sqrt()
    }
}

/// Where `slope * hypot(off, w) - climb * w` stops falling; infinite where it never does.
fn level_at(slope: f64, climb: f64, off: f64) -> f64 {
    if slope > climb { off * climb / (slope * slope - climb * climb).sqrt() } else { f64::INFINITY }
}

/// Lengths here are far from where squares overflow, so there is no need for the library's slower way.
pub(in crate::block) fn hypotenuse(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

fn common(a: (f64, f64), b: (f64, f64)) -> Option<(f64, f64)> {
    let (low, high) = (a.0.max(b.0), a.1.min(b.1));
    (low <= high).then_some((low, high))
}
