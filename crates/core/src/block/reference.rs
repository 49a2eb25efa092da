//! Paths that are hard on the laying out of strokes, against a slow plain reference: tiny steps along each motion, each
//! column asked at each step what heights the silhouette takes there.
//!
//! The path is laid out within [`LAID_WITHIN`] of a cell, so the removal must lie between the reference of a form that
//! much narrower and of one that much wider. Tiny steps take a little too little themselves: columns on the very rim may
//! lose more.

use std::f64::consts::TAU;

use super::{Field, LAID_WITHIN, Removal, blank_field};
use crate::geometry::{Path, Point, Point3, pt, pt3};
use crate::program::{Kind, Motion, Zero};
use crate::task::{Cancel, Task};
use crate::tool::Form;
use crate::track::Track;
use crate::units::Units;

const CELL: f64 = 0.05;
/// How far the path may be laid out from where it is.
const LAID: f64 = LAID_WITHIN * CELL;
/// Metal of a column that counts as a difference: the path's, up and down, and what tiny steps miss.
const TOLERANCE: f64 = LAID * 4.0;
/// Columns on the rim that tiny steps may miss.
const RIM: usize = 4;
/// Steps of the reference over the length of a cell.
const STEPS: u32 = 30;

fn plate() -> Field {
    let corners = [pt(-1.0, -1.0), pt(1.0, -1.0), pt(1.0, 1.0), pt(-1.0, 1.0)].map(|at| (at, 0.0));
    blank_field(&Path::closed(&corners).expect("a square"), 0.0, -1.0, CELL, Units::Inch).expect("fits")
}

fn forms() -> Vec<Form> {
    vec![
        Form::Flat { diameter: 0.5 },
        Form::Ball { diameter: 0.6 },
        Form::Bull { diameter: 0.7, corner_radius: 0.15 },
        Form::Undercut { diameter: 0.6, angle: 25.0, height: 0.3 },
        Form::EdgeRound { pilot_diameter: 0.3, radius: 0.15, pilot_length: 0.1 },
        Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.2 },
        Form::Drill { diameter: 0.5, point_angle: 118.0 },
        Form::Silhouette { points: vec![[0.3, 0.0], [0.3, 0.1], [0.1, 0.1]] },
    ]
}

/// Motions through some points.
fn through(points: impl IntoIterator<Item = Point3>) -> Vec<Motion> {
    let points: Vec<Point3> = points.into_iter().collect();
    let motion = |pair: &[Point3]| Motion::straight(pair[0], pair[1], Kind::Feed);
    points.windows(2).map(motion).collect()
}

/// Paths by what is hard about them.
fn paths() -> Vec<(&'static str, Vec<Motion>)> {
    let part = |index: i32, count: i32| f64::from(index) / f64::from(count);
    let round = |turn: f64, radius: f64| Point::at_angle(TAU * turn) * radius;
    let level = |p: Point| pt3(p.x, p.y, -0.4);
    let wave = |x: f64| pt3(x, 0.02, -0.4 + 0.1 * (5.0 * x).sin());
    let corner = [(-0.5, -0.5), (0.3, -0.45), (0.25, 0.3), (-0.2, 0.28), (-0.18, -0.1), (0.1, -0.12)];
    vec![
        ("a circle in 400 moves", through((0..=400).map(|i| level(round(part(i, 400), 0.6))))),
        ("a small circle, smaller than the tool", through((0..=90).map(|i| level(round(part(i, 90), 0.08))))),
        ("a helix in 150 moves", {
            let at = |i: i32| (round(1.6 * part(i, 150), 0.4), -0.2 - 0.5 * part(i, 150));
            through((0..=150).map(at).map(|(p, z)| pt3(p.x, p.y, z)))
        }),
        ("a figure of eight", {
            let at = |t: f64| pt((TAU * t).sin() * 0.6, (2.0 * TAU * t).sin() * 0.4);
            through((0..=200).map(|i| level(at(part(i, 200)))))
        }),
        ("there and back, deeper", {
            let there = (0..=60).map(|i| pt3(-0.6 + 1.2 * part(i, 60), 0.1, -0.3));
            let back = (0..=60).map(|i| pt3(0.6 - 1.2 * part(i, 60), 0.1, -0.45));
            through(there.chain(back))
        }),
        ("up and down a wave, there and back", {
            let there = (0..=100).map(|i| wave(-0.7 + 1.4 * part(i, 100)));
            let back = (0..=100).map(|i| wave(0.7 - 1.4 * part(i, 100)));
            through(there.chain(back))
        }),
        ("a straight ramp in 80 moves", {
            let at = |t: f64| pt3(-0.6 + 1.1 * t, 0.5 - 0.9 * t, -0.6 + 0.4 * t);
            through((0..=80).map(|i| at(part(i, 80))))
        }),
        ("sharp corners, level", through(corner.map(|(x, y)| level(pt(x, y))))),
        ("sharp corners, falling and rising", {
            let z = [-0.2, -0.5, -0.35, -0.6, -0.3, -0.7];
            through(corner.into_iter().zip(z).map(|((x, y), z)| pt3(x, y, z)))
        }),
    ]
}

fn run(start: &Field, motions: &[Motion], form: &Form) -> Removal {
    let cancel = Cancel::new();
    let track = Track::new(motions, &Zero::default(), None, 1e-5);
    Removal::run(start, &track, form, Task::quiet(&cancel)).expect("nobody cancels")
}

type Ranges = Vec<(f64, f64)>;

fn add(gone: &mut Ranges, mut more: (f64, f64)) {
    gone.retain(|range| {
        let apart = range.1 < more.0 || range.0 > more.1;
        if !apart {
            more = (more.0.min(range.0), more.1.max(range.1));
        }
        apart
    });
    gone.push(more);
}

/// What each column has left by the reference, nothing off the plate: at least, by a form that is wider all round by
/// [`LAID`], and at most, by one that is narrower.
fn left_plainly(start: &Field, motions: &[Motion], form: &Form) -> Vec<(f64, f64)> {
    let (grid, profile) = (*start.grid(), form.profile());
    let mut gone: Vec<[Ranges; 2]> = vec![Default::default(); grid.rows * grid.columns];
    for motion in motions {
        let steps = (motion.length() / CELL * f64::from(STEPS)).ceil().clamp(2.0, 600.0);
        for step in 0..=steps as u32 {
            let tip = motion.at(f64::from(step) / steps);
            for (index, [most, sure]) in gone.iter_mut().enumerate() {
                let away = grid.centre(index % grid.columns, index / grid.columns).distance(tip.plan());
                for (gone, away) in [(most, (away - LAID).max(0.0)), (sure, away + LAID)] {
                    if away <= form.radius() {
                        let heights = profile.heights_at(away).into_iter();
                        heights.for_each(|(low, high)| add(gone, (tip.z + low, tip.z + high)));
                    }
                }
            }
        }
    }
    let left = |(index, [most, sure]): (usize, &[Ranges; 2])| {
        let stock = f64::from(start.height(index % grid.columns, index / grid.columns)) + 1.0;
        let without = |gone: &Ranges| {
            let less: f64 = gone.iter().map(|(low, high)| high.min(0.0) - low.clamp(-1.0, 0.0)).sum();
            (stock - less).max(0.0)
        };
        (without(most), without(sure))
    };
    gone.iter().enumerate().map(left).collect()
}

#[test]
fn hard_paths_agree_with_tiny_steps() {
    let start = plate();
    let grid = *start.grid();
    for (what, motions) in paths() {
        for form in forms() {
            let case = format!("{what}, {}", form.describe());
            let found = run(&start, &motions, &form);
            let mut rim = 0;
            for (index, (least, most)) in left_plainly(&start, &motions, &form).into_iter().enumerate() {
                let column = found.end().column(index % grid.columns, index / grid.columns);
                let left: f64 = column.map(|(low, high)| f64::from(high - low)).sum();
                assert!(left <= most + TOLERANCE, "{case}: cell {index} keeps {left}, not {most}");
                rim += usize::from(left < least - TOLERANCE);
            }
            assert!(rim <= RIM, "{case}: {rim} columns lost too much");
            let gone = start.volume() - found.end().volume();
            assert!((found.volume() - gone).abs() < 1e-5, "{case}: counted {}, gone {gone}", found.volume());
        }
    }
}

/// A level path counts what a column loses to the very motion that first comes over it, however it is joined; those
/// within the width of a cell together, under the first of them.
#[test]
fn moves_that_are_joined_are_counted_by_the_cell() {
    let start = plate();
    let form = Form::Flat { diameter: 0.5 };
    let motions = through((0..=120).map(|i| pt3(-0.6 + 0.01 * f64::from(i), 0.013, -0.4)));
    let found = run(&start, &motions, &form);
    let mut field = start.clone();
    let mut alone = Vec::new();
    for motion in &motions {
        let removal = run(&field, &[*motion], &form);
        alone.push(removal.volume());
        field = removal.end().clone();
    }
    let firsts = found.taken().iter().map(|taken| taken.motion);
    let ends = firsts.clone().skip(1).chain([motions.len()]);
    for (taken, (first, end)) in found.taken().iter().zip(firsts.zip(ends)) {
        assert!(
            end - first <= (CELL / 0.01).ceil() as usize + 1,
            "moves {first} to {end} are counted together"
        );
        let volume: f64 = alone[first..end].iter().sum();
        assert!((taken.volume - volume).abs() < 1e-9, "moves {first} to {end}: {} of {volume}", taken.volume);
    }
    assert!(alone[..found.taken()[0].motion].iter().all(|volume| *volume == 0.0));
    assert_eq!(field.tiles, found.end().tiles);
}

/// What a long move takes, or one at another feed, is its own, whichever way the tool goes.
#[test]
fn only_short_moves_with_one_feed_are_counted_together() {
    let start = plate();
    let form = Form::Flat { diameter: 0.5 };
    for fall in [-0.1, 0.0, 0.1] {
        let mut x = -0.6;
        let mut motions = through((0..=16).map(|step| {
            x += if step % 2 == 0 { 0.1 } else { 0.045 };
            pt3(x, 0.013, -0.4 - fall * x)
        }));
        for motion in motions.iter_mut().skip(8) {
            motion.feed = 3.0;
        }
        let found = run(&start, &motions, &form);
        let taken: Vec<usize> = found.taken().iter().map(|taken| taken.motion).collect();
        let gone = start.volume() - found.end().volume();
        assert!((found.volume() - gone).abs() < 1e-5);
        let long = (0..motions.len()).filter(|index| motions[*index].length() > CELL * 1.1);
        assert!(long.clone().all(|index| taken.contains(&index)), "falling {fall}: {taken:?}");
        if fall == 0.0 {
            let mut field = start.clone();
            for (index, motion) in motions.iter().enumerate() {
                let alone = run(&field, &[*motion], &form);
                let own = found.taken().iter().find(|taken| taken.motion == index);
                let volume = own.map_or(0.0, |own| own.volume);
                assert!((volume - alone.volume()).abs() < 1e-9, "move {index}: {volume}");
                field = alone.end().clone();
            }
        }
    }
}
