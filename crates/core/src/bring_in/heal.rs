//! A moved path without the slivers that numbers of few decimals leave where lines and arcs do not quite join.

use crate::geometry::{Path, Point, Span};

/// Spans among which a way that comes back to its own start is looked for.
const LOOP_SPANS: usize = 6;
/// A way there and back longer than this many times the tolerance is no sliver.
const LOOP_LENGTH: f64 = 8.0;

/// The path without spans shorter than `tolerance`, and without ways that go nowhere within it; `None` when nothing
/// that encloses an area is left.
pub(super) fn healed(path: &Path, tolerance: f64) -> Option<Path> {
    let mut corners: Vec<(Point, f64)> =
        path.spans().iter().map(|span| (span.at(0.0), bulge(span))).collect();
    loop {
        let count = corners.len();
        drop_short(&mut corners, tolerance);
        drop_loops(&mut corners, tolerance);
        if corners.len() == count {
            break;
        }
    }
    if corners.len() < 2 { None } else { Path::closed(&corners) }
}

/// A span of more than half a turn is never among those of a moved path that are dropped, and keeps its bulge.
fn bulge(span: &Span) -> f64 {
    match span {
        Span::Line { .. } => 0.0,
        Span::Arc(arc) => (arc.sweep / 4.0).tan(),
    }
}

fn span(corners: &[(Point, f64)], index: usize) -> Span {
    let ((from, bulge), (to, _)) = (corners[index], corners[(index + 1) % corners.len()]);
    Span::with_bulge(from, to, bulge)
}

/// Takes short spans out; the span before them then runs to where they ended.
fn drop_short(corners: &mut Vec<(Point, f64)>, tolerance: f64) {
    let mut index = 0;
    while index < corners.len() && corners.len() > 2 {
        if span(corners, index).length() <= tolerance {
            corners.remove(index);
        } else {
            index += 1;
        }
    }
}

/// Takes out what comes back to where it left the way, within the tolerance.
fn drop_loops(corners: &mut Vec<(Point, f64)>, tolerance: f64) {
    let mut from = 0;
    while from < corners.len() {
        let count = corners.len();
        let most = LOOP_SPANS.min(count.saturating_sub(3));
        let (mut length, mut dropped) = (0.0, 0);
        for gone in 1..=most {
            length += span(corners, (from + gone - 1) % count).length();
            let back = corners[(from + gone) % count].0.distance(corners[from].0) <= tolerance;
            if length > LOOP_LENGTH * tolerance {
                break;
            }
            if back {
                dropped = gone;
            }
        }
        if dropped == 0 || from + dropped >= count {
            from += 1;
            continue;
        }
        corners.drain(from..from + dropped);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    fn path(points: &[(f64, f64)]) -> Path {
        let corners: Vec<_> = points.iter().map(|(x, y)| (pt(*x, *y), 0.0)).collect();
        Path::closed(&corners).expect("a path")
    }

    #[test]
    fn slivers_go_and_the_rest_stays() {
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)];
        for (extra, at) in [
            (&[(4.0, 1e-8)][..], 2),
            (&[(4.0 + 1e-4, 1.0), (4.0, 1.0 + 1e-6)], 2),
            (&[(2.0, 0.0), (2.0, -2e-4), (2.0 + 1e-5, 0.0)], 1),
            (&[(1e-7, 1e-7), (2e-7, 0.0), (1e-7, 0.0)], 1),
        ] {
            let mut points = square.to_vec();
            points.splice(at..at, extra.iter().copied());
            let found = healed(&path(&points), 1e-4).expect("a path");
            assert!((found.area() - 12.0).abs() < 1e-3, "{extra:?}");
            assert!(found.spans().iter().all(|span| span.length() > 1e-4), "{extra:?}: {:?}", found.spans());
            assert!((found.length() - 14.0).abs() < 3e-4, "{extra:?}: {}", found.length());
        }
        assert_eq!(healed(&path(&square), 1e-4).map(|found| found.spans().len()), Some(4));
    }
}
