//! Paths held against `geo`, a general-purpose library of plane geometry: the same polygons, with arcs as many short chords.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

use std::f64::consts::TAU;

use approx::assert_abs_diff_eq;
use blockwright_core::geometry::{Path, Point, Ray, Span, pt};
use geo::{
    Area, BooleanOps, Contains, Coord, Distance, Euclidean, Length, LineString, MultiLineString, Polygon,
};

/// Chords stay this close to arcs.
const CHORDS: f64 = 1e-7;
/// `geo` lays what it clips on a grid of whole numbers.
const GRID: f64 = 2e-6;

/// Numbers from 0 to 1, the same on every run (the multiplier and increment are those of D. E. Knuth's MMIX, from memory).
struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }

    fn place(&mut self) -> Point {
        pt(self.between(-3.0, 3.0), self.between(-3.0, 3.0))
    }
}

/// A star of 5 to 16 corners, every third side an arc so flat that it meets no other side.
fn outline(random: &mut Random, case: usize) -> Path {
    let corners = 5 + case % 12;
    let corner = |index: usize, random: &mut Random| {
        let angle = TAU * (index as f64 + random.between(-0.2, 0.2)) / corners as f64;
        let bulge = if index % 3 == 2 { random.between(-0.04, 0.04) } else { 0.0 };
        (Point::at_angle(angle) * random.between(1.0, 2.5), bulge)
    };
    let vertices: Vec<(Point, f64)> = (0..corners).map(|index| corner(index, random)).collect();
    Path::closed(&vertices).expect("encloses an area")
}

const fn coord(p: Point) -> Coord {
    Coord { x: p.x, y: p.y }
}

fn polygon(path: &Path) -> Polygon {
    Polygon::new(path.points(CHORDS).into_iter().map(coord).collect::<LineString>(), Vec::new())
}

#[test]
fn length_area_and_what_lies_inside() {
    let mut random = Random(3);
    for case in 0..120 {
        let path = outline(&mut random, case);
        let polygon = polygon(&path);
        assert_abs_diff_eq!(path.area().abs(), polygon.unsigned_area(), epsilon = 1e-5);
        assert_abs_diff_eq!(path.length(), Euclidean.length(polygon.exterior()), epsilon = 1e-5);
        for _ in 0..60 {
            let p = random.place();
            let distance = Euclidean.distance(&geo::Point(coord(p)), polygon.exterior());
            assert_abs_diff_eq!(path.distance(p), distance, epsilon = 2.0 * CHORDS);
            if distance > 1e-6 {
                assert_eq!(path.holds(p), polygon.contains(&coord(p)), "case {case}: {p:?}");
            }
        }
    }
}

/// A ray's parts inside a path are those that are left of a long line clipped by the polygon.
#[test]
fn where_a_ray_runs_inside() {
    let mut random = Random(4);
    let mut parts = 0;
    for case in 0..120 {
        let path = outline(&mut random, case);
        let polygon = polygon(&path);
        for _ in 0..20 {
            let ray = Ray { origin: random.place(), along: Point::at_angle(random.between(0.0, TAU)) };
            let line = LineString::from(vec![coord(ray.at(-10.0)), coord(ray.at(10.0))]);
            let clipped = polygon.clip(&MultiLineString::new(vec![line]), false);
            let along = |c: &Coord| (pt(c.x, c.y) - ray.origin).dot(ray.along);
            let mut expected: Vec<(f64, f64)> = clipped
                .iter()
                .map(|part| {
                    let ends: Vec<f64> = part.coords().map(along).collect();
                    (
                        ends.iter().copied().fold(f64::MAX, f64::min),
                        ends.iter().copied().fold(f64::MIN, f64::max),
                    )
                })
                .collect();
            expected.sort_by(|a, b| a.0.total_cmp(&b.0));
            let inside = ray.inside(&path);
            // What is cut off at a grazing angle differs by more than the grid.
            let grazes = |at: f64| {
                path.spans().iter().any(|span| {
                    let (part, _) = span.nearest(ray.at(at));
                    let off = span.distance(ray.at(at));
                    off < 1e-4 && span.tangent(part).cross(ray.along).abs() < 0.05
                })
            };
            if inside.iter().any(|(from, to)| grazes(*from) || grazes(*to)) {
                continue;
            }
            assert_eq!(inside.len(), expected.len(), "case {case}: {inside:?} {expected:?}");
            for (found, expected) in inside.iter().zip(&expected) {
                assert_abs_diff_eq!(found.0, expected.0, epsilon = GRID * 20.0);
                assert_abs_diff_eq!(found.1, expected.1, epsilon = GRID * 20.0);
            }
            parts += inside.len();
        }
    }
    assert!(parts > 1000, "{parts}");
}

/// An arc of any sweep as a path's side has the area of its chord's polygon and of its segment.
#[test]
fn arcs_of_all_sweeps() {
    for bulge in [0.1, 0.5, 1.0, 2.0] {
        let path = Path::closed(&[(pt(0.0, 0.0), bulge), (pt(2.0, 0.0), bulge)]).expect("encloses an area");
        let polygon = polygon(&path);
        assert_abs_diff_eq!(path.area().abs(), polygon.unsigned_area(), epsilon = 1e-5);
        let arcs = path.spans().iter().filter(|span| matches!(span, Span::Arc(_))).count();
        assert_eq!(arcs, 2);
    }
}
