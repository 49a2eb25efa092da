//! Heightfield volumes against closed forms, lattice counts and a slow plain reference.
//!
//! Closed forms: straight slots and circles are elementary geometry; the ball's are those of the sphere and its
//! cap (references 4, derived). Lattice points in a circle: OEIS A000328 (references 6, published).
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::f64::consts::PI;

use approx::assert_relative_eq;
use blockwright_core::block::{Field, Removal, blank_field, default_cell};
use blockwright_core::geometry::{Path, Point, pt, pt3};
use blockwright_core::job::Zero;
use blockwright_core::program::{Curve, Kind, Motion, Plane};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::track::Track;
use blockwright_core::units::Units;
use blockwright_tests::Random;

fn plate(low: Point, high: Point, thickness: f64, cell: Option<f64>) -> Field {
    let corners = [(low, 0.0), (pt(high.x, low.y), 0.0), (high, 0.0), (pt(low.x, high.y), 0.0)];
    let edge = Path::closed(&corners).expect("a rectangle");
    let cell = cell.unwrap_or_else(|| default_cell(&edge.bounds()));
    blank_field(&edge, 0.0, -thickness, cell, Units::Inch).expect("fits")
}

fn feed(from: [f64; 3], to: [f64; 3], curve: Curve) -> Motion {
    Motion {
        start: pt3(from[0], from[1], from[2]),
        end: pt3(to[0], to[1], to[2]),
        curve,
        feed: 10.0,
        spindle: 1000.0,
        line: 1,
        tool: 1,
        kind: Kind::Feed,
        proven: true,
        start_known: true,
    }
}

fn line(from: [f64; 3], to: [f64; 3]) -> Motion {
    feed(from, to, Curve::Straight)
}

fn arc(from: [f64; 3], to: [f64; 3], centre: Point, sweep: f64) -> Motion {
    feed(from, to, Curve::Arc { plane: Plane::Xy, centre, sweep })
}

fn cut(start: &Field, motions: &[Motion], form: &Form) -> Removal {
    let cancel = Cancel::new();
    let track = Track::new(motions, &Zero::default(), None, 1e-5);
    Removal::run(start, &track, form, Task::quiet(&cancel)).expect("nobody cancels")
}

#[test]
fn slots_have_their_volume_within_a_fifth_of_a_percent() {
    let start = plate(pt(-1.0, -1.0), pt(3.0, 1.0), 0.5, None);
    let slot = |z: f64| [line([0.0, 0.0, z], [2.0, 0.0, z])];
    let ball = Form::Ball { diameter: 0.5 };
    let cases = [
        ("flat 0.5 x 2 x 0.1", Form::Flat { diameter: 0.5 }, -0.1, 0.119_634_95),
        ("ball to its radius", ball.clone(), -0.25, 0.229_074_46),
        ("ball 0.1 deep", ball, -0.1, 0.062_718_69),
    ];
    for (name, form, z, volume) in cases {
        println!("{name}");
        assert_relative_eq!(cut(&start, &slot(z), &form).volume(), volume, max_relative = 0.002);
    }
}

#[test]
fn slanted_slots_circles_and_profiles_have_their_volume() {
    let start = plate(pt(-2.0, -2.0), pt(2.0, 2.0), 0.5, None);
    let flat = Form::Flat { diameter: 0.5 };
    let (sin, cos) = 0.7_f64.sin_cos();
    let slanted = [line([0.0, 0.0, -0.2], [cos, sin, -0.2])];
    assert_relative_eq!(cut(&start, &slanted, &flat).volume(), 0.2 * (0.5 + PI / 16.0), max_relative = 0.002);
    // A full circle of radius 1 leaves a ring: 2 pi R times the width.
    let ring = [arc([1.0, 0.0, -0.2], [1.0, 0.0, -0.2], pt(0.0, 0.0), -2.0 * PI)];
    assert_relative_eq!(cut(&start, &ring, &flat).volume(), 0.2 * 2.0 * PI * 0.5, max_relative = 0.002);
    // Round a 1 x 1 square with rounded corners: outside offset by the tool's diameter minus the square (Steiner:
    // P d + pi d^2 with the square's perimeter P = 4).
    let r = 0.25;
    let z = -0.3;
    let profile = [
        line([-0.5, -0.5 - r, z], [0.5, -0.5 - r, z]),
        arc([0.5, -0.5 - r, z], [0.5 + r, -0.5, z], pt(0.5, -0.5), PI / 2.0),
        line([0.5 + r, -0.5, z], [0.5 + r, 0.5, z]),
        arc([0.5 + r, 0.5, z], [0.5, 0.5 + r, z], pt(0.5, 0.5), PI / 2.0),
        line([0.5, 0.5 + r, z], [-0.5, 0.5 + r, z]),
        arc([-0.5, 0.5 + r, z], [-0.5 - r, 0.5, z], pt(-0.5, 0.5), PI / 2.0),
        line([-0.5 - r, 0.5, z], [-0.5 - r, -0.5, z]),
        arc([-0.5 - r, -0.5, z], [-0.5, -0.5 - r, z], pt(-0.5, -0.5), PI / 2.0),
    ];
    assert_relative_eq!(
        cut(&start, &profile, &flat).volume(),
        0.3 * (4.0 * 0.5 + PI * 0.25),
        max_relative = 0.002
    );
}

#[test]
fn a_ball_on_a_ramp_follows_its_envelope() {
    // Lower envelope of a ball on a ramp of angle theta: sqrt(R^2 - d^2) / cos(theta) below the centre's line;
    // R .25, d .1, 30 degrees gives .264575 (references 6, derived).
    let start = plate(pt(-1.0, -1.0), pt(1.0, 1.0), 2.0, Some(0.004));
    let rise = 30_f64.to_radians().tan();
    let tip = |x: f64| -1.0 + rise * x;
    let ramp = [line([-0.9, 0.0, tip(-0.9)], [0.9, 0.0, tip(0.9)])];
    let removal = cut(&start, &ramp, &Form::Ball { diameter: 0.5 });
    let field = removal.end();
    let (column, row) = field.grid().cell_at(pt(0.001, 0.099)).expect("on the grid");
    let at = field.grid().centre(column, row);
    let below = (0.0625 - at.y * at.y).sqrt() / 30_f64.to_radians().cos();
    let expected = tip(at.x) + 0.25 - below;
    assert!((f64::from(field.height(column, row)) - expected).abs() < 1e-6, "{}", field.height(column, row));
}

#[test]
fn a_plunge_covers_as_many_columns_as_the_circle_has_lattice_points() {
    let counts = [
        (1, 5),
        (2, 13),
        (3, 29),
        (4, 49),
        (5, 81),
        (6, 113),
        (7, 149),
        (10, 317),
        (20, 1257),
        (100, 31_417),
    ];
    for (radius, expected) in counts {
        let side = f64::from(radius) + 2.5;
        let start = plate(pt(-side, -side), pt(side, side), 1.0, Some(1.0));
        // The plate's cells have their centres on the whole numbers.
        assert!((start.grid().x(0) - start.grid().x(0).round()).abs() < 1e-9);
        let form = Form::Flat { diameter: 2.0 * f64::from(radius) * (1.0 + 1e-12) };
        let removal = cut(&start, &[line([0.0, 0.0, 1.0], [0.0, 0.0, -0.5])], &form);
        assert_eq!(removal.taken()[0].cells, expected, "radius {radius}");
    }
}

/// The slow plain reference: tiny steps along the motion, every column of the field each time.
fn plainly_cut(start: &Field, motions: &[Motion], form: &Form) -> Vec<f64> {
    let grid = *start.grid();
    let mut heights: Vec<f64> = (0..grid.rows)
        .flat_map(|row| (0..grid.columns).map(move |column| (row, column)))
        .map(|(row, column)| f64::from(start.height(column, row)))
        .collect();
    for motion in motions {
        for step in 0..=4000 {
            let tip = motion.at(f64::from(step) / 4000.0);
            for (index, height) in heights.iter_mut().enumerate() {
                let at = grid.centre(index % grid.columns, index / grid.columns);
                if let Some(profile) = form.height_at(at.distance(tip.plan())) {
                    *height = height.min((tip.z + profile).max(f64::from(start.bottom())));
                }
            }
        }
    }
    heights
}

#[test]
fn removal_agrees_with_tiny_steps_column_by_column() {
    let start = plate(pt(-1.0, -1.0), pt(1.0, 1.0), 1.0, Some(0.1));
    let mut random = Random(3);
    let forms = [
        Form::Flat { diameter: 0.5 },
        Form::Ball { diameter: 0.6 },
        Form::Bull { diameter: 0.7, corner_radius: 0.15 },
    ];
    for case in 0..18 {
        let form = &forms[case % 3];
        let mut p = |low: f64, high: f64| {
            [random.between(-0.9, 0.9), random.between(-0.9, 0.9), random.between(low, high)]
        };
        let (from, to) = (p(-0.8, 0.1), p(-0.8, 0.1));
        let motion = if case % 2 == 0 {
            line(from, to)
        } else {
            let centre = pt(random.between(-0.5, 0.5), random.between(-0.5, 0.5));
            let sweep = random.between(-6.2, 6.2);
            let end = centre + (pt(from[0], from[1]) - centre).turned(sweep);
            arc(from, [end.x, end.y, to[2]], centre, sweep)
        };
        let removal = cut(&start, &[motion], form);
        let plain = plainly_cut(&start, &[motion], form);
        let grid = *start.grid();
        let mut off = 0;
        for (index, expected) in plain.iter().enumerate() {
            let found = f64::from(removal.end().height(index % grid.columns, index / grid.columns));
            assert!(found <= expected + 1e-5, "case {case}: metal left that tiny steps take");
            off += usize::from(expected - found > 0.004);
        }
        // Tiny steps only just miss columns on the very border of the sweep.
        assert!(off <= 2, "case {case}: {off} columns differ");
    }
}

#[test]
fn scrubbing_back_gives_the_same_block_as_running_there() {
    let start = plate(pt(-1.0, -1.0), pt(1.0, 1.0), 0.5, Some(0.004));
    let mut random = Random(5);
    let mut at = [-0.9, -0.9, -0.1];
    let motions: Vec<Motion> = (0..400)
        .map(|_| {
            let to = [random.between(-1.0, 1.0), random.between(-1.0, 1.0), random.between(-0.3, 0.05)];
            let motion = line(at, to);
            at = to;
            motion
        })
        .collect();
    let form = Form::Ball { diameter: 0.2 };
    let track = Track::new(&motions, &Zero::default(), None, 1e-5);
    let removal = cut(&start, &motions, &form);
    for part in [0.0, 0.13, 0.5, 0.77, 1.0] {
        let distance = track.length() * part;
        let index = track.index_at(distance);
        let placed = track.placed()[index];
        let mut so_far = motions[..index].to_vec();
        so_far.push(motions[index].first_part((distance - placed.from) / placed.length));
        let run = cut(&start, &so_far, &form);
        assert_eq!(removal.field_at(&track, distance).volume(), run.end().volume(), "at {part}");
    }
}
