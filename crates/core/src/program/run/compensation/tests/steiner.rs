//! Contours at random against Steiner's formula.

use super::*;

/// Corners of a convex polygon, clockwise: points of an ellipse.
fn convex(random: &mut Random) -> Vec<Point> {
    let corners = random.between(3.0, 9.0) as usize;
    let (a, b) = (random.between(1.0, 4.0), random.between(1.0, 4.0));
    let from = random.between(0.0, TAU);
    let step = TAU / corners as f64;
    let corner = |k: usize, part: f64| {
        let angle = from - step * (k as f64 + 0.6 * part);
        pt(a * angle.cos() + 1.0, b * angle.sin() - 2.0)
    };
    (0..corners).map(|k| corner(k, random.between(0.0, 1.0))).collect()
}

/// A little over twice round the polygon with its corners rounded by `round`. The way in ends with its first side, so
/// that the first lap begins askew.
fn rounded(corners: &[Point], round: f64) -> (Point, Vec<Go>) {
    let count = corners.len();
    let corner = |k: usize| corners[k % count];
    let outward = |k: usize| (corner(k + 1) - corner(k)).unit().expect("a side").left() * round;
    let mut path = Vec::new();
    for k in 0..=2 * count + 1 {
        let end = corner(k + 1) + outward(k);
        path.push(Line(end.x, end.y));
        if round > 0.0 {
            let (next, offset) = (corner(k + 1) + outward(k + 1), -outward(k));
            path.push(Clockwise(next.x, next.y, offset.x, offset.y));
        }
    }
    let first = corner(1) - corner(0);
    (corner(0) + outward(0) - first * 3.0, path)
}

/// Steiner: a convex contour of perimeter P and area A moved out by r has P + 2 pi r and A + P r + pi r^2 (derived).
#[test]
fn convex_contours_grow_as_steiner_says() {
    let mut random = Random(41);
    for _ in 0..300 {
        let corners = convex(&mut random);
        let next = |k: usize| corners[(k + 1) % corners.len()];
        let perimeter: f64 = corners.iter().enumerate().map(|(k, p)| p.distance(next(k))).sum();
        let surface: f64 = corners.iter().enumerate().map(|(k, p)| next(k).cross(*p)).sum::<f64>() / 2.0;
        let radius = random.between(0.05, 1.5);
        let round = random.between(radius + 0.01, 3.0);
        // outside of sharp and of rounded corners, then inside of rounded ones
        for (round, offset) in [(0.0, radius), (round, radius), (round, -radius)] {
            let (from, path) = rounded(&corners, round);
            let walked = walk(Side::Left, offset, from, &path);
            assert_eq!(walked.result, Ok(()), "{corners:?} {round} {offset}");
            // the second lap
            let lap = corners.len() * if round > 0.0 { 2 } else { 1 };
            let (first, last) = (walked.starts[1 + lap], walked.starts[1 + 2 * lap]);
            let r = round + offset;
            assert_contour(
                &walked.motions[first..last],
                perimeter + TAU * r,
                surface + perimeter * r + PI * r * r,
            );
        }
    }
}
