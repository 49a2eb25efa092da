//! Heightfield volumes against closed forms and lattice counts.
//!
//! Closed forms: a slot of a turned form is its half profile times two along the way, and the whole form about its
//! axis at the ends: `L * section + solid` (Pappus, Guldin; elementary geometry, derived). The flat's and the ball's
//! are those of references 4 (derived). Lattice points in a circle: OEIS A000328 (references 6, published).
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::f64::consts::PI;

use approx::assert_relative_eq;
use blockwright_core::block::{Field, Removal, blank_field, default_cell};
use blockwright_core::geometry::{Path, Point, pt};
use blockwright_core::program::Motion;
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use blockwright_tests::Random;
use blockwright_tests::motions::{arc, line, track};

fn plate(low: Point, high: Point, thickness: f64, cell: Option<f64>) -> Field {
    let corners = [(low, 0.0), (pt(high.x, low.y), 0.0), (high, 0.0), (pt(low.x, high.y), 0.0)];
    let edge = Path::closed(&corners).expect("a rectangle");
    let cell = cell.unwrap_or_else(|| default_cell(&edge.bounds()));
    blank_field(&edge, 0.0, -thickness, cell, Units::Inch).expect("fits")
}

fn cut(start: &Field, motions: &[Motion], form: &Form) -> Removal {
    let cancel = Cancel::new();
    Removal::run(start, &track(motions), form, Task::quiet(&cancel)).expect("nobody cancels")
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

/// Area of the section of a form over its depth, and its volume.
struct Solid {
    section: f64,
    volume: f64,
}

/// A frustum of end radii a and b: section (a + b) h, volume pi h (a^2 + ab + b^2) / 3.
fn frustum(a: f64, b: f64, h: f64) -> Solid {
    Solid { section: (a + b) * h, volume: PI * h * (a * a + a * b + b * b) / 3.0 }
}

fn stacked(parts: &[Solid]) -> Solid {
    Solid {
        section: parts.iter().map(|part| part.section).sum(),
        volume: parts.iter().map(|part| part.volume).sum(),
    }
}

/// A bull's rounded bottom of flat radius b and corner c: section 2 b c + pi c^2 / 2, volume
/// pi (b^2 c + pi b c^2 / 2 + 2 c^3 / 3).
fn bull(b: f64, c: f64) -> Solid {
    Solid {
        section: 2.0 * b * c + PI * c * c / 2.0,
        volume: PI * (b * b * c + PI * b * c * c / 2.0 + 2.0 * c * c * c / 3.0),
    }
}

/// A concave quarter r on a pilot p: the square of side r beyond the pilot less the quarter circle, turned about the
/// axis; with s = p + r, section 2 (s r - pi r^2 / 4), volume pi (s^2 r - pi s r^2 / 2 + 2 r^3 / 3).
fn concave(p: f64, r: f64) -> Solid {
    let s = p + r;
    Solid {
        section: 2.0 * (s * r - PI * r * r / 4.0),
        volume: PI * (s * s * r - PI * s * r * r / 2.0 + 2.0 * r * r * r / 3.0),
    }
}

#[test]
fn a_slot_of_every_form_has_its_volume_within_a_fifth_of_a_percent() {
    let start = plate(pt(-1.0, -1.0), pt(3.0, 1.0), 0.8, None);
    let tan = |degrees: f64| degrees.to_radians().tan();
    let neck = 0.3 - 0.2 * tan(25.0);
    // Each goes as deep as its shape is high, the undercut's and the two discs' also under what they leave.
    let cases = [
        (Form::Flat { diameter: 0.5 }, 0.2, frustum(0.25, 0.25, 0.2)),
        (Form::Ball { diameter: 0.5 }, 0.25, bull(0.0, 0.25)),
        (Form::Bull { diameter: 0.5, corner_radius: 0.1 }, 0.1, bull(0.15, 0.1)),
        (Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.2 }, 0.2, frustum(0.05, 0.25, 0.2)),
        (
            Form::Drill { diameter: 0.5, point_angle: 118.0 },
            0.25 / tan(59.0),
            frustum(0.0, 0.25, 0.25 / tan(59.0)),
        ),
        (
            Form::EdgeRound { pilot_diameter: 0.2, radius: 0.15, pilot_length: 0.1 },
            0.25,
            stacked(&[frustum(0.1, 0.1, 0.1), concave(0.1, 0.15)]),
        ),
        (
            Form::Undercut { diameter: 0.6, angle: 25.0, height: 0.2 },
            0.5,
            stacked(&[frustum(0.3, neck, 0.2), frustum(neck, neck, 0.3)]),
        ),
        (
            Form::Silhouette {
                points: vec![
                    [0.3, 0.0],
                    [0.3, 0.1],
                    [0.1, 0.1],
                    [0.1, 0.3],
                    [0.25, 0.3],
                    [0.25, 0.4],
                    [0.1, 0.4],
                ],
            },
            0.5,
            stacked(&[
                frustum(0.3, 0.3, 0.1),
                frustum(0.1, 0.1, 0.2),
                frustum(0.25, 0.25, 0.1),
                frustum(0.1, 0.1, 0.1),
            ]),
        ),
    ];
    for (form, depth, solid) in cases {
        let slot = [line([0.0, 0.0, -depth], [2.0, 0.0, -depth])];
        let removal = cut(&start, &slot, &form);
        println!("{}", form.describe());
        assert_relative_eq!(removal.volume(), 2.0 * solid.section + solid.volume, max_relative = 0.002);
        assert_relative_eq!(
            start.volume() - removal.end().volume(),
            removal.volume(),
            max_relative = 1e-4,
            epsilon = 1e-6
        );
    }
}

/// The solid spans of the column that holds a point.
fn spans(field: &Field, at: Point) -> Vec<(f32, f32)> {
    let (column, row) = field.grid().cell_at(at).expect("on the grid");
    field.column(column, row).collect()
}

#[test]
fn an_undercut_leaves_what_is_above_it_until_something_cuts_down_to_it() {
    let start = plate(pt(-1.0, -1.0), pt(1.0, 1.0), 0.8, Some(0.005));
    // A disc 0.1 thick on a neck of 0.1 in: under the plate's top from -0.6 to -0.5 beyond the neck.
    let disc = Form::Silhouette { points: vec![[0.3, 0.0], [0.3, 0.1], [0.1, 0.1]] };
    let slot = cut(&start, &[line([-0.5, 0.0, -0.6], [0.5, 0.0, -0.6])], &disc);
    let (under, open, beside) = (pt(0.0, 0.2), pt(0.0, 0.05), pt(0.0, 0.35));
    assert_eq!(spans(slot.end(), under), [(-0.8, -0.6), (-0.5, 0.0)]);
    assert_eq!(spans(slot.end(), open), [(-0.8, -0.6)]);
    assert_eq!(spans(slot.end(), beside), [(-0.8, 0.0)]);
    assert!(slot.end().voids() > 0);

    // Not down to the void: the roof over it gets thinner. Into it: the roof is gone. Below it: so is its floor.
    let flat = Form::Flat { diameter: 1.0 };
    let face = |z: f64| cut(slot.end(), &[line([-1.0, 0.0, z], [1.0, 0.0, z])], &flat);
    assert_eq!(spans(face(-0.2).end(), under), [(-0.8, -0.6), (-0.5, -0.2)]);
    assert_eq!(spans(face(-0.55).end(), under), [(-0.8, -0.6)]);
    assert_eq!(face(-0.55).end().voids(), 0);
    assert_eq!(spans(face(-0.7).end(), under), [(-0.8, -0.7)]);

    // A drill through both spans leaves nothing, and counts only metal as taken.
    let drill = Form::Drill { diameter: 0.2, point_angle: 180.0 };
    let through = cut(slot.end(), &[line([0.0, 0.2, 0.1], [0.0, 0.2, -0.9])], &drill);
    assert_eq!(spans(through.end(), under), []);
    assert_relative_eq!(through.taken()[0].deepest, 0.7, epsilon = 1e-6);
    let gone = slot.end().volume() - through.end().volume();
    assert_relative_eq!(through.volume(), gone, epsilon = 1e-6);
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

/// Cells along a wall fall to either side of it in turn, wherever it lies.
#[test]
fn walls_along_the_axes_are_not_off_by_part_of_a_cell() {
    let cell = 0.01;
    let start = plate(pt(-1.0, -1.0), pt(1.0, 1.0), 0.5, Some(cell));
    for part in [0.0, 0.25, 0.5, 0.75] {
        for diameter in [0.5, 0.505] {
            let (form, off, z) = (Form::Flat { diameter }, part * cell, -0.25);
            for slot in [line([-2.0, off, z], [2.0, off, z]), line([off, -2.0, z], [off, 2.0, z])] {
                let (found, exact) = (cut(&start, &[slot], &form).volume(), 2.0 * diameter * 0.25);
                let cells_off = (found - exact).abs() / (2.0 * 0.25 * cell);
                assert!(cells_off < 0.1, "diameter {diameter}, {part} of a cell: {cells_off} cells");
            }
        }
    }
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
        let side = f64::from(radius) + 3.5;
        let start = plate(pt(-side, -side), pt(side, side), 1.0, Some(1.0));
        // Cells of 1 round the middle of one of them are the whole numbers, however the lattice lies.
        let grid = start.grid();
        let (column, row) = grid.cell_at(pt(0.0, 0.0)).expect("on the grid");
        let middle = grid.centre(column, row);
        let form = Form::Flat { diameter: 2.0 * f64::from(radius) * (1.0 + 1e-12) };
        let removal = cut(&start, &[line([middle.x, middle.y, 1.0], [middle.x, middle.y, -0.5])], &form);
        let columns = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |column| (column, row)));
        let height = |field: &Field, (column, row): (usize, usize)| field.height(column, row);
        let cut = columns.filter(|cell| height(removal.end(), *cell) < height(&start, *cell)).count();
        assert_eq!(cut, expected, "radius {radius}");
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
    let track = track(&motions);
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
