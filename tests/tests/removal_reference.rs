//! Every form on every kind of motion, against a slow plain reference: tiny steps along the motion, each column asked
//! at each step what heights the silhouette takes there.
//!
//! The reference takes a little too little (it only sees the steps), so the removal must take at least as much
//! everywhere, but for what it may lie beside the path, and more than a tolerance more nowhere but in columns on the
//! very rim, which steps just miss.
#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::f64::consts::TAU;

use blockwright_core::block::{Field, LAID_WITHIN, Removal, blank_field};
use blockwright_core::geometry::{Path, Point, Point3, pt, pt3};
use blockwright_core::program::{Curve, Motion, Plane};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use blockwright_tests::Random;
use blockwright_tests::motions::{feed, track};

const CELL: f64 = 0.05;
/// Metal that the reference leaves and the removal takes from a column that counts as a difference.
const TOLERANCE: f64 = 0.003;
/// The path is followed this near, sideways.
const LAID: f64 = LAID_WITHIN * CELL;

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
        // A ball on a neck, a disc on a neck, and two discs with a waist between them.
        Form::Silhouette { points: vec![[0.1, 0.0], [0.25, 0.1], [0.25, 0.15], [0.1, 0.25]] },
        Form::Silhouette { points: vec![[0.3, 0.0], [0.3, 0.1], [0.1, 0.1]] },
        Form::Silhouette {
            points: vec![
                [0.3, 0.0],
                [0.3, 0.1],
                [0.1, 0.15],
                [0.1, 0.3],
                [0.25, 0.35],
                [0.25, 0.45],
                [0.12, 0.45],
            ],
        },
    ]
}

fn cut(start: &Field, motions: &[Motion], form: &Form) -> Removal {
    let cancel = Cancel::new();
    Removal::run(start, &track(motions), form, Task::quiet(&cancel)).expect("nobody cancels")
}

/// Height ranges taken from each column, apart and rising.
type Columns = Vec<Vec<(f64, f64)>>;

/// What goes from each column by tiny steps: surely, from a form that is narrower all round by [`LAID`], and at most, from
/// one that is wider.
fn plainly(start: &Field, motions: &[Motion], form: &Form, steps: u32) -> (Columns, Columns) {
    let grid = *start.grid();
    let profile = form.profile();
    let centres: Vec<Point> = (0..grid.rows * grid.columns)
        .map(|index| grid.centre(index % grid.columns, index / grid.columns))
        .collect();
    let (mut sure, mut most): (Columns, Columns) =
        (vec![Vec::new(); centres.len()], vec![Vec::new(); centres.len()]);
    let reach = form.radius() + LAID;
    for motion in motions {
        for step in 0..=steps {
            let tip = motion.at(f64::from(step) / f64::from(steps));
            for ((centre, sure), most) in centres.iter().zip(&mut sure).zip(&mut most) {
                let from = *centre - tip.plan();
                if from.dot(from) > reach * reach {
                    continue;
                }
                let away = from.length();
                for (gone, away) in [(sure, away + LAID), (most, (away - LAID).max(0.0))] {
                    if away <= form.radius() {
                        profile
                            .heights_at(away)
                            .into_iter()
                            .for_each(|(low, high)| add(gone, (tip.z + low, tip.z + high)));
                    }
                }
            }
        }
    }
    (sure, most)
}

fn add(gone: &mut Vec<(f64, f64)>, mut more: (f64, f64)) {
    gone.retain(|range| {
        let apart = range.1 < more.0 || range.0 > more.1;
        if !apart {
            more = (more.0.min(range.0), more.1.max(range.1));
        }
        apart
    });
    gone.push(more);
    gone.sort_by(|a, b| a.0.total_cmp(&b.0));
}

/// Length of `spans` that lies within none of the `gone` ranges.
fn without(spans: &[(f64, f64)], gone: &[(f64, f64)]) -> f64 {
    let within = |span: (f64, f64)| -> f64 {
        gone.iter().map(|gone| (gone.1.min(span.1) - gone.0.max(span.0)).max(0.0)).sum()
    };
    spans.iter().map(|span| span.1 - span.0 - within(*span)).sum()
}

/// Columns from which more went than tiny steps take; none may keep what surely goes.
fn rim_columns(
    case: &str,
    start: &Field,
    motions: &[Motion],
    form: &Form,
    steps: u32,
) -> (usize, Field, f64) {
    let found = cut(start, motions, form);
    let (sure, most) = plainly(start, motions, form, steps);
    let grid = *start.grid();
    let mut off = 0;
    for (index, (most, sure)) in most.iter().zip(&sure).enumerate() {
        let (column, row) = (index % grid.columns, index / grid.columns);
        let wide = |(low, high): (f32, f32)| (f64::from(low), f64::from(high));
        let before: Vec<_> = start.column(column, row).map(wide).collect();
        let after: Vec<_> = found.end().column(column, row).map(wide).collect();
        let solid: f64 = after.iter().map(|span| span.1 - span.0).sum();
        let (left, remains) = (without(&before, most), solid - without(&after, sure));
        assert!(
            remains <= TOLERANCE,
            "{case}: column {column}, {row} keeps {remains} that must go: {after:?} of {sure:?}",
        );
        off += usize::from(left - solid > TOLERANCE);
    }
    let counted = found.taken().iter().map(|taken| taken.volume).sum();
    (off, found.end().clone(), counted)
}

#[test]
fn every_form_on_single_motions_agrees_with_tiny_steps() {
    let start = plate();
    let mut random = Random(11);
    for (number, form) in forms().iter().enumerate() {
        for kind in 0..6 {
            let mut p = |low: f64, high: f64| {
                pt3(random.between(-0.8, 0.8), random.between(-0.8, 0.8), random.between(low, high))
            };
            let (from, to) = (p(-0.9, -0.2), p(-0.9, -0.2));
            let centre = p(0.0, 0.1).plan() * 0.6;
            let turn = from.plan() - centre;
            let arc = |sweep: f64, z: f64| {
                let end = centre + turn.turned(sweep);
                feed(from, pt3(end.x, end.y, z), Curve::Arc { plane: Plane::Xy, centre, sweep })
            };
            let motion = match kind {
                0 => feed(from, pt3(to.x, to.y, from.z), Curve::Straight),
                1 => feed(from, to, Curve::Straight),
                2 => feed(from, pt3(from.x, from.y, to.z), Curve::Straight),
                3 => arc(2.5, from.z),
                4 => arc(-4.0, to.z),
                _ => arc(TAU, to.z),
            };
            let case = format!("form {number}, motion {kind}");
            let (off, end, volume) = rim_columns(&case, &start, &[motion], form, 1500);
            assert!(off <= 3, "{case}: {off} columns");
            let gone = start.volume() - end.volume();
            assert!((volume - gone).abs() < 1e-5, "{case}: counted {volume}, gone {gone}");
        }
    }
}

/// A path of short steps that turns and, when asked, climbs and falls.
fn wandering(random: &mut Random, steps: usize, step: f64, slope: f64) -> Vec<Motion> {
    let (mut at, mut heading, mut climb) = (pt3(-0.5, -0.4, -0.5), random.between(0.0, 1.0), 0.0_f64);
    (0..steps)
        .map(|_| {
            heading += random.between(-0.25, 0.35);
            climb = (climb + random.between(-0.3, 0.3) * slope).clamp(-slope, slope);
            let next = at.plan() + Point::at_angle(heading) * (step * random.between(0.2, 1.0));
            let z = (at.z + climb * step).clamp(-0.9, -0.1);
            let to = pt3(next.x.clamp(-0.9, 0.9), next.y.clamp(-0.9, 0.9), z);
            let motion = feed(at, to, Curve::Straight);
            at = to;
            motion
        })
        .collect()
}

#[test]
fn runs_of_short_motions_agree_with_tiny_steps() {
    let start = plate();
    let mut random = Random(17);
    for (number, form) in forms().iter().enumerate() {
        for (step, slope) in [(0.05, 0.0), (0.01, 0.0), (0.04, 0.5), (0.04, 3.0)] {
            let motions = wandering(&mut random, 60, step, slope);
            let case = format!("form {number}, steps {step}, slopes up to {slope}");
            let (off, ..) = rim_columns(&case, &start, &motions, form, 150);
            assert!(off <= 3, "{case}: {off} columns");
        }
    }
}

/// Largest volume difference, as a part of what was taken, between a path and the same path split into pieces.
const SPLIT: f64 = 1e-5;

#[test]
fn a_path_cut_into_pieces_leaves_the_same_block() {
    let start = plate();
    let ramp = |from: Point3, to: Point3| feed(from, to, Curve::Straight);
    let whole = [
        ramp(pt3(-0.7, -0.6, -0.3), pt3(0.1, -0.5, -0.3)),
        ramp(pt3(0.1, -0.5, -0.3), pt3(0.6, 0.2, -0.6)),
        ramp(pt3(0.6, 0.2, -0.6), pt3(-0.3, 0.6, -0.4)),
    ];
    for (number, form) in forms().iter().enumerate() {
        let expected = cut(&start, &whole, form);
        for pieces in [7_u32, 100] {
            let split = |motion: &Motion| {
                let at = |piece: u32| motion.start.toward(motion.end, f64::from(piece) / f64::from(pieces));
                (0..pieces).map(|piece| ramp(at(piece), at(piece + 1))).collect::<Vec<_>>()
            };
            let parts: Vec<Motion> = whole.iter().flat_map(split).collect();
            let found = cut(&start, &parts, form);
            let change = (found.end().volume() - expected.end().volume()).abs() / expected.volume();
            assert!(change <= SPLIT, "form {number} in {pieces} pieces: {change}");
        }
    }
}
