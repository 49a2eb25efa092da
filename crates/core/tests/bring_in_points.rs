//! Edges from measured points, outlines from a pass's own path, and paths moved in and out.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::f64::consts::PI;
use std::fmt::Write as _;

use blockwright_core::bring_in::{
    MOST_SPANS, OffsetError, Probe, crossings, from_pass, from_points, offset, read,
};
use blockwright_core::geometry::{Arc, Path, Point, Span, pt};
use blockwright_core::task::Cancel;
use blockwright_core::units::Units;

fn moved(path: &Path, distance: f64, units: Units) -> Result<Path, OffsetError> {
    offset(path, distance, units, &Cancel::new())
}

#[test]
fn moving_a_path_stops_when_asked() {
    let square =
        Path::closed(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)].map(|(x, y)| (pt(x, y), 0.0)));
    let stopped = Cancel::new();
    stopped.raise();
    let asked = |cancel| offset(square.as_ref().expect("a square"), 0.5, Units::Inch, cancel);
    assert_eq!(asked(&stopped), Err(OffsetError::Stopped));
    assert!(asked(&Cancel::new()).is_ok());
}

fn area_of(text: &str) -> Result<f64, String> {
    let brought = read("edge.csv", text.as_bytes(), None, Some(Units::Inch), Units::Inch);
    brought.map(|brought| brought.path.area()).map_err(|fault| fault.to_string())
}

/// Ways in which a list of points is written.
#[test]
fn lists_of_points_are_read() {
    for text in [
        "0,0\n4,0\n4,3\n0,3\n",
        "x,y\r\n0,0\r\n4,0\r\n4,3\r\n0,3\r\n",
        "# edge, sawn\nX;Y\n0,0;0\n4,0;0\n4;3,0\n0;3\n",
        "0 0\n4\t0\n 4  3 \n0 3\n0 0",
        "n,x,y,z\n1,0,0,9\n2,4,0,9\n3,4,3,9\n4,0,3,9\n",
        "\u{feff}\"y\",\"x\"\n\"0\",\"0\"\n0,4\n3,4\n3,0\n",
        "0,0,\n4,0,\n4,3,\n0,3,\n",
    ] {
        assert!((area_of(text).expect(text) - 12.0).abs() < 1e-12, "{text}");
    }
    assert!((area_of("x,y,bulge\n0,0,1\n10,0,1\n").expect("a circle") - 25.0 * PI).abs() < 1e-9);
}

#[test]
fn lists_that_cannot_be_used_say_why_and_where() {
    for (text, said) in [
        ("0,0\n4,O\n4,3", "line 2, column 3: y must be a number, not `O`"),
        ("0,0,1\n4,0,1\n4,3,1", "line 1: 3 values where x and y must be"),
        ("0,0\n4,0\n4", "line 3: y is missing"),
        ("0,0\n4,0", "2 points make no edge"),
        ("", "0 points make no edge"),
        ("0,0\n1,1\n2,2\n", "no closed path"),
        ("0,nan\n1,1\n2,2\n", "must be a number"),
    ] {
        let fault = area_of(text).expect_err(said);
        assert!(fault.contains(said), "`{fault}` should say `{said}`");
    }
}

/// A job takes no more from a file than it may state itself.
#[test]
fn a_path_of_too_many_points_is_refused() {
    let mut text = String::from("x,y\n");
    for step in 0..=MOST_SPANS {
        let p = Point::at_angle(step as f64 / (MOST_SPANS + 1) as f64 * 2.0 * PI) * 500.0;
        writeln!(text, "{},{}", p.x, p.y).expect("a string takes all");
    }
    let said = area_of(&text).expect_err("too many");
    assert_eq!(said, "the path has 100001 lines and arcs; at most 100000 are taken");
}

fn corners(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|(x, y)| pt(*x, *y)).collect()
}

/// Centres of an edge finder of radius 0.1 round a 4 x 3 blank, either way round, give the blank back (derived).
#[test]
fn the_probe_is_taken_off() {
    let centres = corners(&[(-0.1, -0.1), (2.0, -0.1), (4.1, -0.1), (4.1, 3.1), (-0.1, 3.1)]);
    for backward in [false, true] {
        let mut points = centres.clone();
        if backward {
            points.reverse();
        }
        let (edge, troubles) = from_points(&points, Probe { radius: 0.1 }, Units::Inch).expect("an edge");
        assert!((edge.area() - 12.0).abs() < 1e-9 && (edge.length() - 14.0).abs() < 1e-9, "{edge:?}");
        assert!(edge.bounds().low.distance(pt(0.0, 0.0)) < 1e-9 && troubles.is_empty());
    }
    let (edge, _) = from_points(&centres, Probe::default(), Units::Inch).expect("an edge");
    assert!((edge.area() - 4.2 * 3.2).abs() < 1e-9);
    let crossed = corners(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0), (5.0, 4.0)]);
    let said = from_points(&crossed, Probe { radius: 0.1 }, Units::Inch).expect_err("crossed");
    assert!(said.contains("not in order"), "{said}");
    assert!(
        from_points(&centres, Probe { radius: 1.6 }, Units::Inch)
            .expect_err("too wide")
            .contains("nothing is left")
    );
    assert!(from_points(&centres[..2], Probe::default(), Units::Inch).is_err());
}

/// A rounded rectangle of 4 x 3 with corners of radius `r`, counter-clockwise.
fn rounded(r: f64) -> Path {
    let b = (PI / 8.0).tan();
    let (w, h) = (4.0, 3.0);
    let vertices = [
        (pt(r, 0.0), 0.0),
        (pt(w - r, 0.0), b),
        (pt(w, r), 0.0),
        (pt(w, h - r), b),
        (pt(w - r, h), 0.0),
        (pt(r, h), b),
        (pt(0.0, h - r), 0.0),
        (pt(0.0, r), b),
    ];
    Path::closed(&vertices).expect("closed")
}

/// Area and length of a convex path moved out by d: A + L d + pi d^2 and L + 2 pi d (Steiner's formula).
#[test]
fn paths_moved_out_keep_steiners_formula() {
    let angle = Path::closed(
        &corners(&[(0.0, 0.0), (4.0, 0.0), (5.0, 2.0), (1.0, 3.0)])
            .iter()
            .map(|p| (*p, 0.0))
            .collect::<Vec<_>>(),
    );
    for path in [rounded(0.5), angle.expect("closed")] {
        for d in [0.01, 0.25, 3.0] {
            let out = moved(&path, d, Units::Inch).expect("moved out");
            assert!((out.area() - (path.area() + path.length() * d + PI * d * d)).abs() < 1e-8, "{d}");
            assert!((out.length() - (path.length() + 2.0 * PI * d)).abs() < 1e-8, "{d}");
            let back = moved(&out, -d, Units::Inch).expect("moved back");
            assert!((back.area() - path.area()).abs() < 1e-6, "{d}: {} {}", back.area(), path.area());
        }
    }
}

/// Every point of a moved path lies at the distance: random paths of lines and arcs, in and out.
#[test]
fn moved_paths_keep_their_distance() {
    let mut state = 12_u64;
    let mut next = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (state >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    };
    let mut made = 0;
    for case in 0..300 {
        let vertices: Vec<(Point, f64)> = (0..12)
            .map(|step| {
                let p = Point::at_angle(f64::from(step) / 12.0 * 2.0 * PI) * next(1.5, 3.0);
                (p, if step % 3 == 0 { next(-0.4, 0.4) } else { 0.0 })
            })
            .collect();
        let path = Path::closed(&vertices).expect("closed");
        let d = next(-0.4, 0.4);
        let Ok(moved) = moved(&path, d, Units::Inch) else { continue };
        made += 1;
        for p in moved.points(1e-4) {
            assert!((path.distance(p) - d.abs()).abs() < 1e-4, "case {case}: {d} {}", path.distance(p));
        }
    }
    assert!(made > 250, "{made} of 300");
}

fn spans(vertices: &[(Point, f64)]) -> Vec<Span> {
    vertices.windows(2).map(|pair| Span::with_bulge(pair[0].0, pair[1].0, pair[0].1)).collect()
}

/// The way of a 1/2 in cutter round a 4 x 3 outline: with mitred corners, with rounds of its own radius, and round
/// corners of 0.5; with a lead in and out, or run on past its start.
#[test]
fn an_outline_comes_back_from_a_pass() {
    let r = 0.25;
    let sharp = rounded(1e-9);
    for (name, outline, way) in [
        ("rounds of the tool", sharp.clone(), moved(&sharp, r, Units::Inch).expect("out")),
        ("rounded outline", rounded(0.5), moved(&rounded(0.5), r, Units::Inch).expect("out")),
    ] {
        let round: Vec<Span> = way.spans().to_vec();
        let start = round[0].at(0.0);
        let lead = Span::Line { from: start - round[0].tangent(0.0) * 1.0, to: start };
        let out = Span::Line { from: start, to: start + pt(0.0, -1.0) };
        let led: Vec<Span> = [lead].into_iter().chain(round.iter().copied()).chain([out]).collect();
        let on = Span::Line { from: start, to: round[0].at(0.3) };
        let over: Vec<Span> = round.iter().copied().chain([on]).collect();
        for run in [round, led, over] {
            let found = from_pass(&run, r, Units::Inch).unwrap_or_else(|said| panic!("{name}: {said}"));
            assert!(
                (found.area() - outline.area()).abs() < 1e-3,
                "{name}: {} {}",
                found.area(),
                outline.area()
            );
            for p in found.points(1e-4) {
                assert!(outline.distance(p) < 5e-4, "{name}: {p:?} {}", outline.distance(p));
            }
        }
    }
    let mitred =
        [(-r, -r), (4.0 + r, -r), (4.0 + r, 3.0 + r), (-r, 3.0 + r), (-r, -r)].map(|(x, y)| (pt(x, y), 0.0));
    let found = from_pass(&spans(&mitred), r, Units::Inch).expect("mitred");
    assert!((found.area() - 12.0).abs() < 1e-9);
    assert!(from_pass(&spans(&mitred[..3]), r, Units::Inch).is_err());
    assert!(from_pass(&spans(&mitred), 2.0, Units::Inch).expect_err("too wide").contains("nothing is left"));
}

/// The way of a cutter round an outline, with every number rounded as posts write it: ends and centers of arcs to the
/// same decimals, so that lines and arcs do not quite join. Round each vertex goes an arc of the tool's radius.
fn posted(outline: &Path, r: f64, places: i32, units: Units) -> Option<Vec<Span>> {
    let scale = 10_f64.powi(places);
    let round = |p: Point| pt((p.x * scale).round() / scale, (p.y * scale).round() / scale);
    let way = moved(outline, r, units).ok()?;
    let as_posted = |span: &Span| match span {
        Span::Line { .. } => Span::Line { from: round(span.at(0.0)), to: round(span.at(1.0)) },
        Span::Arc(arc) => {
            // What a control makes of X, Y, I and J: the radius is that of the start.
            let (from, to) = (round(span.at(0.0)), round(span.at(1.0)));
            let centre = from + round(arc.centre - from);
            let (a, b) = (from - centre, to - centre);
            let turn = a.cross(b).atan2(a.dot(b));
            let sweep =
                if turn * arc.sweep < 0.0 { turn + arc.sweep.signum() * std::f64::consts::TAU } else { turn };
            Span::Arc(Arc::new(centre, a.length(), a.angle(), sweep))
        }
    };
    Some(way.spans().iter().map(as_posted).collect())
}

/// Outlines with sharp and rounded corners, straight and bent sides.
fn random_outline(next: &mut impl FnMut(f64, f64) -> f64, scale: f64) -> Option<Path> {
    let count = next(3.0, 9.0) as usize;
    let mut corners = Vec::new();
    for corner in 0..count {
        let angle = (corner as f64 + next(-0.3, 0.3)) / count as f64 * std::f64::consts::TAU;
        let radius = next(1.5, 3.0) * scale;
        let bulge = if next(0.0, 1.0) < 0.4 { next(-0.25, 0.4) } else { 0.0 };
        corners.push((pt(angle.cos() * radius, angle.sin() * radius), bulge));
    }
    let path = Path::closed(&corners)?;
    crossings(&path).is_empty().then_some(path)
}

#[test]
fn an_outline_comes_back_from_numbers_of_few_decimals() {
    let mut seed = 12_u64;
    let mut next = |low: f64, high: f64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (seed >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    };
    let mut made = 0;
    for case in 0..1500 {
        let (units, places) =
            [(Units::Inch, 5), (Units::Inch, 4), (Units::Mm, 5), (Units::Mm, 4), (Units::Mm, 3)][case % 5];
        let scale = units.pick(1.0, 25.4);
        let r = next(0.05, 0.4) * scale;
        let Some(sharp) = random_outline(&mut next, scale) else { continue };
        // Only what the tool can follow comes back, so the outline is what it leaves: out and in again, exactly.
        let Some(run) = posted(&sharp, r, places, units) else { continue };
        let Ok(kept) = moved(&sharp, r, units).and_then(|way| moved(&way, -r, units)) else { continue };
        made += 1;
        let found = from_pass(&run, r, units).unwrap_or_else(|said| panic!("{case} ({places}): {said}"));
        for span in found.spans() {
            assert!(
                span.length() > 1e-3 * units.pick(0.001, 0.025),
                "{case} ({places}): a span of {}",
                span.length()
            );
        }
        // Well within the tolerance that joins drawings.
        let allowed = units.pick(0.001, 0.025) / 4.0;
        let off = |a: &Path, b: &Path| {
            a.points(1e-3 * scale).into_iter().map(|p| b.distance(p)).fold(0.0, f64::max)
        };
        let both = off(&found, &kept).max(off(&kept, &found));
        assert!(both < allowed, "{case} ({places}): off by {both}");
        assert!(
            (found.length() / kept.length() - 1.0).abs() < 1e-3,
            "{case}: {} {}",
            found.length(),
            kept.length()
        );
    }
    assert!(made > 1400, "{made}");
}

/// Lists damaged in every way: an answer or one message, never a panic, never a hang.
#[test]
fn damaged_lists_never_panic() {
    let lists: [&[u8]; 4] = [
        b"0,0\n4,0\n4,3\n2,3.5\n0,3\n",
        b"# edge\r\npoint,x,y\r\n1,-3.42,-0.74\r\n2,37.90,-3.36\r\n3,40.85,1.12\r\n4,38.04,63.28\r\n5,-3.61,61.12\r\n",
        b"X;Y;Bulge\n0,0;0,0;0,4\n4,0;0;0\n4;3,0;-0,2\n0;3;0\n",
        b"\xef\xbb\xbf\"y\"\t\"x\"\n\"0\"\t\"0\"\n0\t4\n3\t4\n3\t0\n",
    ];
    let mut state = 31_u64;
    let mut below = |count: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % count
    };
    let mut used = 0;
    for round in 0..6000 {
        let mut bytes = lists[round % lists.len()].to_vec();
        for _ in 0..=below(4) {
            let at = below(bytes.len());
            match below(5) {
                0 => bytes[at] = below(256) as u8,
                1 => bytes[at] = b"0123456789-+.,;\teE#\n\"x "[below(23)],
                2 => bytes.truncate(at.max(1)),
                3 => {
                    let piece = bytes[at..(at + below(30)).min(bytes.len())].to_vec();
                    let to = below(bytes.len());
                    bytes.splice(to..to, piece);
                }
                _ => drop(bytes.drain(at..(at + below(8)).min(bytes.len()))),
            }
            if bytes.is_empty() {
                bytes.push(b'\n');
            }
        }
        let Ok(brought) = read("a.csv", &bytes, None, Some(Units::Inch), Units::Mm) else { continue };
        used += 1;
        let finite = brought.path.length().is_finite() && brought.path.area() > 0.0;
        assert!(finite, "{}", String::from_utf8_lossy(&bytes));
    }
    assert!(used > 500, "only {used} could still be read: the damage is too crude to reach anything");
}
