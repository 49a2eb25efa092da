//! The jobs that are timed.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use blockwright_core::geometry::{Path, Point, pt};
use blockwright_core::proof::Source;
use blockwright_tests::{rounded, sample, source};

const DIAMETER: f64 = 0.5;
const LEFT: f64 = 0.015;

/// Passes down a wall, each in so many short moves.
pub(crate) fn short_moves(passes: usize, moves: usize) -> Source {
    round(
        &rounded([4.0, 3.0, 0.5], 0.0, [0.0; 2]),
        &rounded([4.0, 3.0, 0.5], 0.125, [0.0; 2]),
        passes,
        |deep| {
            let way = offset_rectangle([4.0, 3.0, 0.5], DIAMETER / 2.0 + LEFT);
            let points = (0..=moves).map(|step| way.place(way.length() * step as f64 / moves as f64).at);
            program(&points.collect::<Vec<_>>(), deep)
        },
    )
}

/// One pass round an outline so long that it has so many stations, in so many moves.
pub(crate) fn long_way(stations: usize, moves: usize) -> Source {
    // twice the sides, less the corners: 2 (w + h) - (8 - tau) r, with h two thirds of w and r a tenth
    let width = 0.005 * stations as f64 / (2.0 * (1.0 + 2.0 / 3.0) - (8.0 - TAU) * 0.1);
    let size = [width, width * 2.0 / 3.0, width * 0.1];
    round(&rounded(size, 0.0, [0.0; 2]), &rounded(size, 0.125, [0.0; 2]), 1, |deep| {
        let way = offset_rectangle(size, DIAMETER / 2.0 + LEFT);
        let points = (0..=moves).map(|step| way.place(way.length() * step as f64 / moves as f64).at);
        program(&points.collect::<Vec<_>>(), deep)
    })
}

/// A circle of 4 in across by so many corners, cut in one pass.
pub(crate) fn many_corners(corners: usize) -> Source {
    round(&vertices(corners, |_| 2.0), &vertices(64, |_| 2.2), 1, |deep| {
        program(&ring(720, |_| 2.0 + DIAMETER / 2.0 + LEFT), deep)
    })
}

/// A star of so many corners, every other a twentieth of an inch farther in.
pub(crate) fn star(corners: usize) -> Source {
    round(
        &vertices(corners, |corner| if corner % 2 == 0 { 2.0 } else { 1.95 }),
        &vertices(64, |_| 2.2),
        1,
        |deep| program(&ring(720, |_| 2.0 + DIAMETER / 2.0 + LEFT), deep),
    )
}

/// A blank whose edge was measured at so many places.
pub(crate) fn measured_edge(places: usize) -> Source {
    let rough = |place: usize| 2.2 + 0.002 * (place as f64 * 0.618).fract();
    round(&vertices(64, |_| 2.0), &vertices(places, rough), 1, |deep| {
        program(&ring(720, |_| 2.05 + DIAMETER / 2.0 + LEFT), deep)
    })
}

/// A cutter whose silhouette has so many points, on a bulge from the tip up.
pub(crate) fn silhouette(points: usize) -> Source {
    let mut text = String::new();
    for point in 0..points {
        let part = point as f64 / (points - 1) as f64;
        let gap = if point == 0 { "" } else { ", " };
        // writing into a string cannot fail
        let _ = write!(text, "{gap}[{:.9}, {:.9}]", 0.2 + 0.05 * (part * 3.0).sin(), part * 0.8);
    }
    let form = format!(r#"{{ "kind": "silhouette", "points": [{text}] }}"#);
    job((&vertices(64, |_| 2.0), &vertices(64, |_| 2.2)), &form, 1, |deep| {
        program(&ring(180, |_| 2.0 + DIAMETER / 2.0 + LEFT), deep)
    })
}

/// The finishing pass of a sample, so many times.
pub(crate) fn again_and_again(passes: usize) -> Source {
    let mut source = sample("round-puck");
    let mut job = (*source.job).clone();
    let pass = job.passes[1].clone();
    job.passes = (0..passes)
        .map(|index| blockwright_core::job::Pass { name: format!("{index}"), ..pass.clone() })
        .collect();
    source.programs = vec![source.programs[1].clone(); passes];
    source.job = std::sync::Arc::new(job);
    source
}

/// Outline and edge of so many corners for a best fit: wavy, the edge turned a little.
pub(crate) fn to_fit(outline: usize, edge: usize) -> (Path, Path) {
    let wavy = |count: usize, radius: f64, lobes: f64| -> Path {
        let corners: Vec<(Point, f64)> = (0..count)
            .map(|corner| {
                let turn = TAU * corner as f64 / count as f64;
                let radius = radius + 0.1 * (lobes * turn).sin();
                (pt(1.5 * radius * turn.cos(), radius * turn.sin()), 0.0)
            })
            .collect();
        Path::closed(&corners).unwrap_or_else(|| unreachable!("it encloses something"))
    };
    (wavy(outline, 2.0, 5.0), wavy(edge, 2.15, 3.0).placed(pt(0.03, -0.02), 0.02))
}

fn offset_rectangle([w, h, r]: [f64; 3], by: f64) -> Path {
    let b = std::f64::consts::FRAC_PI_8.tan();
    let corners = [
        (pt(r, -by), 0.0),
        (pt(w - r, -by), b),
        (pt(w + by, r), 0.0),
        (pt(w + by, h - r), b),
        (pt(w - r, h + by), 0.0),
        (pt(r, h + by), b),
        (pt(-by, h - r), 0.0),
        (pt(-by, r), b),
    ];
    Path::closed(&corners).unwrap_or_else(|| unreachable!("it encloses something"))
}

fn ring(steps: usize, radius: impl Fn(usize) -> f64) -> Vec<Point> {
    let at = |step: usize| {
        let turn = TAU * step as f64 / steps as f64;
        pt(radius(step % steps) * turn.cos(), radius(step % steps) * turn.sin())
    };
    (0..=steps).map(at).collect()
}

fn vertices(count: usize, radius: impl Fn(usize) -> f64) -> String {
    let mut corners = ring(count, radius);
    corners.pop();
    let texts: Vec<String> = corners.iter().map(|p| format!("[{:.9}, {:.9}]", p.x, p.y)).collect();
    format!("{{ \"vertices\": [{}] }}", texts.join(", "))
}

/// Once along these points at a depth.
fn program(points: &[Point], deep: f64) -> String {
    let mut text = String::from("%\nG20 G17 G90 G94\nS2400 M3\nG0 Z1.\n");
    for (index, p) in points.iter().enumerate() {
        // writing into a string cannot fail
        let _ = match index {
            0 => write!(text, "G0 X{:.5} Y{:.5}\nG1 Z{deep:.4} F5.\nG1 F20.\n", p.x, p.y),
            _ => writeln!(text, "X{:.5} Y{:.5}", p.x, p.y),
        };
    }
    text.push_str("G0 Z1.\nM5\nM30\n%\n");
    text
}

fn round(outline: &str, edge: &str, passes: usize, text: impl Fn(f64) -> String) -> Source {
    let form = format!(r#"{{ "kind": "flat", "diameter": {DIAMETER} }}"#);
    job((outline, edge), &form, passes, text)
}

/// A job of passes each a tenth of an inch deeper.
fn job((outline, edge): (&str, &str), form: &str, passes: usize, text: impl Fn(f64) -> String) -> Source {
    let deep = |pass: usize| -0.1 * (pass + 1) as f64;
    let of_pass = |pass: usize| {
        format!(
            r#"{{ "name": "{pass}", "program": "{pass}.nc", "tool": 1, "allowance": {LEFT}, "bottom": {:.4} }}"#,
            deep(pass)
        )
    };
    let listed: Vec<String> = (0..passes).map(of_pass).collect();
    let job = format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "outline": {outline},
        "blank": {{ "edge": {edge}, "top": 0, "thickness": 1.25 }},
        "gauge_height": -0.05, "contact": {{ "light_below": 0.01, "heavy_above": 0.25 }},
        "tools": [ {{ "number": 1, "form": {form} }} ], "passes": [ {} ] }}"#,
        listed.join(", ")
    );
    let programs: Vec<String> = (0..passes).map(|pass| text(deep(pass))).collect();
    let programs: Vec<&str> = programs.iter().map(String::as_str).collect();
    source(&job, &programs)
}
