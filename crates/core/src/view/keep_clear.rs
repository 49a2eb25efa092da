//! Areas kept clear, on the plan: hatched, with a rim and their name.

use super::drawing::{Anchor, Dash, Drawing, Ink, Weight};
use super::label::{Words, haloed};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::Bounds;
use crate::job::{Job, KeepClear};

/// Distance between the lines of the hatch, view points.
const HATCH: f32 = 7.0;
/// How far a chord may leave an arc, view points.
const CHORD: f64 = 0.2;
/// An area that is seen larger than this many view points is hatched no denser than can be drawn quickly.
const WIDE: f32 = 20_000.0;
const TEXT: f32 = 11.0;

/// The boxes round the areas of a job.
pub(super) fn boxes(job: &Job) -> Vec<Bounds> {
    job.keep_clear.iter().filter_map(KeepClear::path).map(|path| path.bounds()).collect()
}

/// The box round all areas of a job.
pub(super) fn bounds(job: &Job) -> Bounds {
    boxes(job).into_iter().fold(Bounds::EMPTY, Bounds::join)
}

/// Draws the areas of a job that are seen.
pub(super) fn draw(drawing: &mut Drawing, job: &Job, viewport: &Viewport, theme: &Theme) {
    for area in &job.keep_clear {
        let Some(path) = area.path().filter(|path| path.bounds().meets(&viewport.seen())) else { continue };
        let rim: Vec<[f32; 2]> =
            path.points(CHORD / viewport.scale).iter().map(|p| viewport.to_view(*p)).collect();
        drawing.stroke(hatch(&rim, HATCH, viewport), faint(theme.none, 150), 1.0, Dash::Solid);
        drawing.ring(rim, theme.none, 1.6);
        let at = viewport.to_view(path.bounds().centre());
        let words = Words { at, anchor: Anchor::Centre, size: TEXT, weight: Weight::Bold, ink: theme.ink };
        haloed(drawing, words, theme.paper, &area.name);
    }
}

fn faint(ink: Ink, alpha: u8) -> Ink {
    [ink[0], ink[1], ink[2], alpha]
}

/// Lines at 45 degrees inside a polygon, so far apart, as far as they are seen.
pub(super) fn hatch(rim: &[[f32; 2]], apart: f32, viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
    // Along such a line the sum of x and y is the same; the difference tells the place on it.
    let sums = rim.iter().map(|p| p[0] + p[1]);
    let (low, high) = sums.fold((f32::INFINITY, f32::NEG_INFINITY), |(a, b), sum| (a.min(sum), b.max(sum)));
    let (low, high) = (low.max(0.0), high.min(viewport.width + viewport.height).min(WIDE));
    let step = apart * std::f32::consts::SQRT_2;
    let mut lines = Vec::new();
    let mut index = (low / step).ceil();
    while index * step <= high {
        let sum = index * step;
        for pair in crossings(rim, sum).chunks_exact(2) {
            let place = |difference: f32| [f32::midpoint(sum, difference), f32::midpoint(sum, -difference)];
            let seen = |difference: f32| {
                let far = viewport.width + viewport.height;
                difference.clamp(-far, far)
            };
            lines.push(vec![place(seen(pair[0])), place(seen(pair[1]))]);
        }
        index += 1.0;
    }
    lines
}

/// Differences of x and y where a polygon crosses the line with this sum, sorted.
fn crossings(rim: &[[f32; 2]], sum: f32) -> Vec<f32> {
    let mut found = Vec::new();
    for (index, a) in rim.iter().enumerate() {
        let b = rim[(index + 1) % rim.len()];
        let (from, to) = (a[0] + a[1], b[0] + b[1]);
        if (from > sum) != (to > sum) {
            let part = (sum - from) / (to - from);
            let difference = |p: [f32; 2]| p[0] - p[1];
            found.push(difference(*a) + (difference(b) - difference(*a)) * part);
        }
    }
    found.sort_by(f32::total_cmp);
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    #[test]
    fn a_hatch_stays_inside_its_rim() {
        let viewport = Viewport::fit(Bounds { low: pt(0.0, 0.0), high: pt(4.0, 3.0) }, 400.0, 300.0, 0.0);
        let rim = [[50.0, 40.0], [150.0, 40.0], [150.0, 120.0], [50.0, 120.0]];
        let lines = hatch(&rim, HATCH, &viewport);
        assert!(lines.len() > 10);
        for [x, y] in lines.iter().flatten() {
            assert!((49.9..=150.1).contains(x) && (39.9..=120.1).contains(y), "{x} {y}");
        }
    }
}
