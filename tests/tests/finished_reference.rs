//! Where passes come into the finished block, held against a slow and plain reference: points of the cutter at many
//! places along each motion, each asked whether it lies in the block, and whether the cutter was there before.
//!
//! Seeded random programs on a small L-shaped block, with every form that cuts upright, level, sloping, straight down
//! and along arcs. Three things must hold: what the samples find is told, no sample is deeper than what is told (by
//! more than 2 %), and what is told lies where it says, was not taken before, and is as deep as it says.
#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    clippy::print_stdout,
    reason = "tests say what they stand on"
)]

use std::fmt::Write as _;

use blockwright_core::finished::How;
use blockwright_core::geometry::{Point, Point3, pt, pt3};
use blockwright_core::program::{Kind, Motion};
use blockwright_core::proof::Proof;
use blockwright_tests::{Random, prove};

const CORNERS: [[f64; 2]; 6] = [[0.0, 0.0], [1.2, 0.0], [1.2, 0.5], [0.7, 0.5], [0.7, 0.9], [0.0, 0.9]];
const THICK: f64 = 0.4;
const MARGIN: f64 = 0.1;
/// A pass may cut this deep by rounding.
const TOLERANCE: f64 = 0.001;
/// A sample this near to where an earlier motion's places were may have been taken between two of them.
const NEAR: f64 = 0.004;

/// The radius so far above the tip.
type Wide = fn(f64) -> f64;

/// The forms, and the radius of each so far above its tip.
const FORMS: [(&str, Wide); 4] = [
    (r#"{ "kind": "flat", "diameter": 0.25 }"#, |_| 0.125),
    (r#"{ "kind": "ball", "diameter": 0.3 }"#, |h| {
        if h < 0.15 { (0.0225 - (0.15 - h) * (0.15 - h)).sqrt() } else { 0.15 }
    }),
    (r#"{ "kind": "bull", "diameter": 0.3, "corner_radius": 0.06 }"#, |h| {
        if h < 0.06 { 0.09 + (0.0036 - (0.06 - h) * (0.06 - h)).sqrt() } else { 0.15 }
    }),
    (r#"{ "kind": "drill", "diameter": 0.2, "point_angle": 90 }"#, |h| h.min(0.1)),
];

fn edges() -> impl Iterator<Item = (Point, Point)> {
    let at = |index: usize| pt(CORNERS[index % 6][0], CORNERS[index % 6][1]);
    (0..6).map(move |index| (at(index), at(index + 1)))
}

/// The least distance of a place to any surface of the finished block; below 0 outside.
fn depth(p: Point3) -> f64 {
    let q = p.plan();
    let inside = edges()
        .filter(|(a, b)| (a.y > q.y) != (b.y > q.y) && a.x + (q.y - a.y) / (b.y - a.y) * (b.x - a.x) > q.x);
    if inside.count() % 2 == 0 {
        return -1.0;
    }
    let off = |(a, b): (Point, Point)| {
        let along = b - a;
        let part = ((q - a).dot(along) / along.dot(along)).clamp(0.0, 1.0);
        q.distance(a.toward(b, part))
    };
    edges().map(off).fold((-p.z).min(p.z + THICK), f64::min)
}

/// How far a place lies outside the cutter, sideways, at the nearest of many places along a motion.
fn off(motion: &Motion, radius: Wide, p: Point3, places: u32) -> f64 {
    (0..=places)
        .map(|place| motion.at(f64::from(place) / f64::from(places)))
        .filter(|tip| p.z >= tip.z - 1e-9)
        .map(|tip| p.plan().distance(tip.plan()) - radius((p.z - tip.z).max(0.0)))
        .fold(f64::INFINITY, f64::min)
}

/// A motion with the cutter that makes it.
type Made = (Motion, Wide);

/// Places of a cutter close together along a motion, with the box in plan that the whole cutter stays in.
struct Swept {
    tips: Vec<Point3>,
    radius: Wide,
    low: Point,
    high: Point,
}

impl Swept {
    fn of((motion, radius): &Made) -> Self {
        let tips: Vec<Point3> = (0..=300).map(|place| motion.at(f64::from(place) / 300.0)).collect();
        let wide = radius(10.0);
        let of = |x: fn(&Point3) -> f64, pick: fn(f64, f64) -> f64| {
            tips.iter().map(x).reduce(pick).expect("places")
        };
        let low = pt(of(|p| p.x, f64::min) - wide, of(|p| p.y, f64::min) - wide);
        let high = pt(of(|p| p.x, f64::max) + wide, of(|p| p.y, f64::max) + wide);
        Self { tips, radius: *radius, low, high }
    }

    /// Whether a sample lies in the cutter at one of the places, or so near that it may between two of them.
    fn took(&self, p: Point3) -> bool {
        let is_near = p.x > self.low.x - NEAR
            && p.y > self.low.y - NEAR
            && p.x < self.high.x + NEAR
            && p.y < self.high.y + NEAR;
        is_near
            && self.tips.iter().any(|tip| {
                p.z >= tip.z - 1e-9
                    && p.plan().distance(tip.plan()) - (self.radius)((p.z - tip.z).max(0.0)) <= NEAR
            })
    }
}

/// The deepest sample of one motion that no earlier one took.
fn sampled(made: &Made, earlier: &[Swept]) -> f64 {
    let mut samples: Vec<(f64, Point3)> = samples(made);
    samples.sort_by(|a, b| b.0.total_cmp(&a.0));
    samples
        .into_iter()
        .find(|(_, p)| !earlier.iter().any(|swept| swept.took(*p)))
        .map_or(0.0, |(deep, _)| deep)
}

/// Samples of the cutter inside the block along one motion, with how deep each is.
fn samples((motion, radius): &Made) -> Vec<(f64, Point3)> {
    let mut found = Vec::new();
    for place in 0..=60 {
        let tip = motion.at(f64::from(place) / 60.0);
        for level in 0..=16 {
            let z = tip.z + (0.0 - tip.z) * f64::from(level) / 16.0;
            for way in 0..36 {
                let out = Point::at_angle(f64::from(way) * std::f64::consts::TAU / 36.0);
                for part in [1.0, 0.5] {
                    let at = tip.plan() + out * (radius(z - tip.z) * part);
                    let p = pt3(at.x, at.y, z);
                    let deep = depth(p);
                    if deep > 0.0 {
                        found.push((deep, p));
                    }
                }
            }
        }
    }
    found
}

fn program(random: &mut Random) -> String {
    let mut text = String::from("G20 G17 G90\nS1000 M3\nG0 Z1.\nG0 X-.5 Y-.5\n");
    let mut at = pt3(-0.5, -0.5, 1.0);
    for _ in 0..5 {
        let to = pt3(random.between(-0.3, 1.4), random.between(-0.3, 1.1), random.between(-0.35, 0.02));
        match random.between(0.0, 5.0) as u32 {
            0 => {
                let _ = write!(text, "G0 Z.5\nG0 X{:.5} Y{:.5}\nG1 Z{:.5} F10.\n", to.x, to.y, to.z);
                at = to;
            }
            1 if at.z < 0.1 => {
                let _ = writeln!(text, "G1 X{:.5} Y{:.5} F10.", to.x, to.y);
                at = pt3(to.x, to.y, at.z);
            }
            2 if at.z < 0.1 => {
                // Half a turn, climbing or not.
                let z = if to.x > 0.5 { to.z } else { at.z };
                let (i, j) = ((to.x - at.x) / 2.0, (to.y - at.y) / 2.0);
                let _ = writeln!(text, "G3 X{:.5} Y{:.5} Z{z:.5} I{i:.5} J{j:.5} F10.", to.x, to.y);
                at = pt3(to.x, to.y, z);
            }
            _ => {
                let _ = writeln!(text, "G1 X{:.5} Y{:.5} Z{:.5} F10.", to.x, to.y, to.z);
                at = to;
            }
        }
    }
    text + "G0 Z1.\nM5\nM30\n"
}

fn random_job(random: &mut Random) -> (Proof, Vec<Wide>) {
    let forms: Vec<usize> = (0..2).map(|_| (random.between(0.0, 4.0) as usize).min(3)).collect();
    let vertices = CORNERS.map(|[x, y]| format!("[{x}, {y}]")).join(", ");
    let (low, right, high) = (-MARGIN, 1.2 + MARGIN, 0.9 + MARGIN);
    let tools = forms
        .iter()
        .enumerate()
        .map(|(index, form)| format!(r#"{{ "number": {}, "form": {} }}"#, index + 1, FORMS[*form].0));
    let passes = (1..=2).map(|index| {
        format!(r#"{{ "name": "{index}", "program": "{index}.nc", "tool": {index}, "does": "profile" }}"#)
    });
    let job = format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "outline": {{ "vertices": [{vertices}] }},
        "blank": {{ "edge": {{ "vertices": [[{low}, {low}], [{right}, {low}], [{right}, {high}], [{low}, {high}]] }},
        "top": 0, "thickness": {THICK} }}, "tools": [{}], "passes": [{}] }}"#,
        tools.collect::<Vec<_>>().join(", "),
        passes.collect::<Vec<_>>().join(", ")
    );
    let programs = [program(random), program(random)];
    let proof = prove(&job, &[&programs[0], &programs[1]], Some(0.05));
    (proof, forms.into_iter().map(|form| FORMS[form].1).collect())
}

#[test]
fn the_fast_search_finds_what_plain_samples_find() {
    let (mut told, mut compared) = (0, 0);
    let mut worst = 0.0_f64;
    for seed in 6..14 {
        let mut random = Random(seed * 7919 + 5);
        let (proof, radii) = random_job(&mut random);
        let mut earlier: Vec<Made> = Vec::new();
        let mut swept: Vec<Swept> = Vec::new();
        for (pass, radius) in proof.passes.iter().zip(radii) {
            for (index, placed) in pass.track.placed().iter().enumerate() {
                let made = (placed.motion, radius);
                let found = pass.entered.iter().find(|entered| entered.motion == index);
                let what = format!("seed {seed}, line {}: {found:?}", placed.motion.line);
                if placed.motion.kind == Kind::Feed {
                    let reference = sampled(&made, &swept);
                    let depth_told = found.map_or(0.0, |entered| entered.depth);
                    assert!(
                        reference <= depth_told.max(TOLERANCE) * 1.02 + 1e-4,
                        "{what}: a sample is {reference} deep"
                    );
                    if let Some(entered) = found {
                        assert!(entered.how != How::Rapid, "{what}");
                        assert!(
                            (depth(entered.at) - entered.depth).abs() < 1e-5,
                            "{what}: it is {}",
                            depth(entered.at)
                        );
                        assert!(
                            off(&placed.motion, radius, entered.at, 4000) < 1e-3,
                            "{what}: the cutter is not there"
                        );
                        let before =
                            earlier.iter().map(|(motion, wide)| off(motion, *wide, entered.at, 1000));
                        assert!(before.fold(f64::INFINITY, f64::min) > 0.0, "{what}: it was taken before");
                        told += 1;
                        worst = worst.max(depth_told - reference);
                    }
                    compared += 1;
                }
                swept.push(Swept::of(&made));
                earlier.push(made);
            }
        }
    }
    println!("{told} of {compared} motions come in; samples miss at most {worst:.4} of the depth");
    assert!(told > 30 && told < compared, "{told} of {compared}");
}
