//! How near two lines or arcs in plan come to each other, and a line or arc to an area.

use super::{Arc, Path, Point, Ray, Span};

/// The least distance between two spans, and the place on the first where it is.
///
/// Two spans are nearest at an end of one of them, where they cross, or where both have one normal: on a line at the
/// foot of the other's centre, on an arc in the direction of the other's centre (plane geometry). Each such place,
/// brought onto the first span, is tried; none can come out nearer than the truth.
fn apart(first: &Span, other: &Span) -> (f64, Point) {
    let mut tried = vec![first.at(0.0), first.at(1.0), other.at(0.0), other.at(1.0)];
    match (first, other) {
        (Span::Line { from, to }, Span::Line { from: start, to: end }) => {
            let (way, across) = (*to - *from, *end - *start);
            let part = (*start - *from).cross(across) / way.cross(across);
            tried.extend(part.is_finite().then(|| from.toward(*to, part)));
        }
        (Span::Line { from, to }, Span::Arc(arc)) | (Span::Arc(arc), Span::Line { from, to }) => {
            tried.extend(line_and_arc(*from, *to, arc));
        }
        (Span::Arc(arc), Span::Arc(other)) => tried.extend(two_arcs(arc, other)),
    }
    let on_first = |p: Point| {
        let place = first.at(first.nearest(p).0);
        (other.nearest(place).1, place)
    };
    tried
        .into_iter()
        .map(on_first)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap_or((f64::INFINITY, first.at(0.0)))
}

/// The foot of the arc's centre on the line, and where the line crosses the whole circle.
fn line_and_arc(from: Point, to: Point, arc: &Arc) -> Vec<Point> {
    let Some(along) = (to - from).unit() else { return Vec::new() };
    let ray = Ray { origin: from, along };
    let foot = ray.at((arc.centre - from).dot(along));
    let crossings =
        ray.in_circle(arc.centre, arc.radius).into_iter().flat_map(|(a, b)| [ray.at(a), ray.at(b)]);
    crossings.chain([foot]).collect()
}

/// The places of the first circle on the line of both centres, and where the circles cross.
fn two_arcs(arc: &Arc, other: &Arc) -> Vec<Point> {
    let apart = other.centre - arc.centre;
    let Some(along) = apart.unit() else { return Vec::new() };
    let distance = apart.length();
    let reach =
        (distance * distance + arc.radius * arc.radius - other.radius * other.radius) / (2.0 * distance);
    let off = (arc.radius * arc.radius - reach * reach).max(0.0).sqrt();
    let at = |along_it: f64, across: f64| arc.centre + along * along_it + along.left() * across;
    vec![at(arc.radius, 0.0), at(-arc.radius, 0.0), at(reach, off), at(reach, -off)]
}

/// Signed distance from a span to an area, and the place on the span where it comes nearest or goes in deepest:
/// negative by the distance to the area's border where an end of the span lies inside, 0 where it only crosses it.
pub(crate) fn apart_from_area(span: &Span, area: &Path) -> (f64, Point) {
    let inside = |p: &Point| area.holds(*p);
    let ends = [span.at(0.0), span.at(1.0)].into_iter().filter(inside).map(|end| (-area.distance(end), end));
    // What lies farther off than the middle of the span can't be nearest.
    let reach = span.bounds().grown(area.distance(span.at(0.5)) * (1.0 + 1e-9));
    let near =
        area.spans().iter().filter(|other| other.bounds().meets(&reach)).map(|other| apart(span, other));
    ends.chain(near).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, span.at(0.0)))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::geometry::pt;

    fn line(from: (f64, f64), to: (f64, f64)) -> Span {
        Span::Line { from: pt(from.0, from.1), to: pt(to.0, to.1) }
    }

    fn arc(centre: (f64, f64), radius: f64, from: f64, sweep: f64) -> Span {
        Span::Arc(Arc::new(pt(centre.0, centre.1), radius, from * PI, sweep * PI))
    }

    /// Distances that follow from right triangles and circles on paper; derived.
    #[test]
    fn known_distances() {
        let along = line((0.0, 0.0), (4.0, 0.0));
        for (other, want) in [
            (line((1.0, 3.0), (2.0, 1.0)), 1.0),
            (line((1.0, -1.0), (2.0, 1.0)), 0.0),
            (line((7.0, 4.0), (7.0, 9.0)), 5.0),
            (line((4.0, 0.0), (9.0, 1.0)), 0.0),
            (arc((2.0, 3.0), 1.0, 0.0, 2.0), 2.0),
            (arc((2.0, 3.0), 1.0, 0.0, 1.0), 3.0),
            (arc((2.0, 0.5), 1.0, 0.0, 2.0), 0.0),
            (arc((7.0, 4.0), 2.0, 0.0, 2.0), 3.0),
        ] {
            assert!((apart(&along, &other).0 - want).abs() < 1e-12, "{other:?}: {:?}", apart(&along, &other));
            assert!((apart(&other, &along).0 - want).abs() < 1e-12, "{other:?} the other way");
        }
        let round = arc((0.0, 0.0), 2.0, 0.0, 2.0);
        for (other, want) in [
            (arc((5.0, 0.0), 1.0, 0.0, 2.0), 2.0),
            (arc((0.5, 0.0), 1.0, 0.0, 2.0), 0.5),
            (arc((2.0, 0.0), 1.0, 0.0, 2.0), 0.0),
            (arc((5.0, 0.0), 1.0, -0.5, 1.0), 26.0_f64.sqrt() - 2.0),
        ] {
            assert!((apart(&round, &other).0 - want).abs() < 1e-12, "{other:?}: {:?}", apart(&round, &other));
            assert!((apart(&other, &round).0 - want).abs() < 1e-12, "{other:?} the other way");
        }
    }

    /// Against the slow way: both spans walked in small steps.
    #[test]
    fn random_spans_are_as_far_apart_as_their_points() {
        const STEPS: u32 = 400;
        let mut seed = 7_u64;
        let mut next = |low: f64, high: f64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            low + (seed >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
        };
        for _ in 0..300 {
            let mut span = || {
                let (x, y) = (next(-2.0, 2.0), next(-2.0, 2.0));
                if next(0.0, 1.0) < 0.5 {
                    line((x, y), (next(-2.0, 2.0), next(-2.0, 2.0)))
                } else {
                    arc((x, y), next(0.1, 1.5), next(-1.0, 1.0), next(-2.0, 2.0))
                }
            };
            let (a, b) = (span(), span());
            let part = |step: u32| f64::from(step) / f64::from(STEPS);
            let walked = (0..=STEPS).map(|step| b.nearest(a.at(part(step))).1).fold(f64::INFINITY, f64::min);
            let (found, place) = apart(&a, &b);
            assert!(found <= walked + 1e-12, "{a:?} {b:?}: {found}, {walked}");
            assert!(found >= walked - a.length() / f64::from(STEPS), "{a:?} {b:?}: {found}, {walked}");
            assert!((b.nearest(place).1 - found).abs() < 1e-12 && a.nearest(place).1 < 1e-12);
        }
    }

    #[test]
    fn an_area_is_near_crossed_or_entered() {
        let square: Vec<(Point, f64)> =
            [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(|(x, y)| (pt(x, y), 0.0)).to_vec();
        let area = Path::closed(&square).expect("a square");
        for (span, want) in [
            (line((3.0, 0.0), (3.0, 1.0)), 1.0),
            (line((-1.0, 1.0), (3.0, 1.0)), 0.0),
            (line((-1.0, 1.0), (0.5, 1.0)), -0.5),
            (line((1.0, 1.0), (1.0, 1.0)), -1.0),
            (arc((3.0, 3.0), 1.0, -1.0, 0.5), 2.0_f64.sqrt() - 1.0),
        ] {
            assert!(
                (apart_from_area(&span, &area).0 - want).abs() < 1e-12,
                "{span:?}: {:?}",
                apart_from_area(&span, &area)
            );
        }
    }
}
