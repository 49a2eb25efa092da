//! One wrong move put into each sound sample, in a seeded way: a groove, a ramp, a plunge or a rapid into the block.
//! Each must be a stop on its own line; without it the sample has none.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "tests say what they stand on"
)]

use std::sync::Arc;

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::geometry::{Path, Point, pt};
use blockwright_core::job::Does;
use blockwright_core::proof::{Proof, Source};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::{Random, sample};

const SAMPLES: [&str; 9] = [
    "signal-lamp-bezel",
    "vent-cover-die",
    "round-puck",
    "bracket-shoe",
    "drip-tray-die",
    "hinge-leaf-die",
    "hinge-pad-die",
    "latch-plate-die",
    "shelf-angle-die",
];

/// Cells far too coarse to see a wrong move: stops come from exact geometry.
fn proven(prover: &mut Prover, source: &Source) -> Proof {
    let cancel = Cancel::new();
    let cell = source.job.units.pick(0.06, 1.5);
    let options = Options { cell: Some(cell), ..Options::default() };
    prover.prove(source, &options, Task::quiet(&cancel)).expect("a sample is provable")
}

/// What passes do wrong; a short blank is none of it.
fn stops(proof: &Proof) -> Vec<&Finding> {
    let of_pass = |finding: &&Finding| finding.severity == Severity::Stop && finding.pass.is_some();
    proof.findings.iter().filter(of_pass).collect()
}

#[derive(Debug, Clone, Copy)]
enum Wrong {
    Groove,
    Ramp,
    Plunge,
    Rapid,
}

/// A place well inside the outline.
fn inside(outline: &Path, random: &mut Random) -> Point {
    let bounds = outline.bounds();
    let least = 0.15 * bounds.width().min(bounds.height());
    loop {
        let p = pt(random.between(bounds.low.x, bounds.high.x), random.between(bounds.low.y, bounds.high.y));
        let mut crossings = Vec::new();
        let ray = blockwright_core::geometry::Ray { origin: p, along: pt(1.0, 0.0) };
        ray.crossings(outline, &mut crossings);
        let is_inside = crossings.iter().filter(|along| **along > 0.0).count() % 2 == 1;
        if is_inside && outline.distance(p) > least {
            return p;
        }
    }
}

/// The lines of a wrong move in the program's own coordinates. Ends lifted.
fn wrong_lines(proof: &Proof, pass: usize, wrong: Wrong, random: &mut Random) -> Vec<String> {
    let job = &proof.job;
    let outline = proof.outline.as_ref().expect("a sample has an outline");
    let blank = job.blank.as_ref().expect("and a blank");
    let zero = job.passes[pass].zero;
    assert!(zero.turn == 0.0, "no sample is turned");
    // Deep enough to be under what is faced off.
    let reach = job.units.pick(0.05, 1.2);
    let deep = random.between(blank.top - reach * 2.0, blank.top - reach * 1.2);
    let (clear, far) = (job.units.pick(0.5, 12.0), 3.0 * proof.passes[pass].tool_radius);
    let at = |p: Point| format!("X{:.4} Y{:.4}", p.x - zero.origin[0], p.y - zero.origin[1]);
    let z = |height: f64| format!("Z{:.4}", height - zero.origin[2]);
    let (a, bounds) = (inside(outline, random), outline.bounds());
    let outside = pt(bounds.low.x - far, a.y);
    let across = pt(bounds.high.x + far, a.y);
    let lift = format!("G0 {}", z(blank.top + clear));
    let lines = match wrong {
        Wrong::Groove => vec![
            lift.clone(),
            format!("G0 {}", at(outside)),
            format!("G1 {} F10.", z(deep)),
            format!("G1 {}", at(across)),
        ],
        Wrong::Ramp => vec![
            lift.clone(),
            format!("G0 {}", at(outside)),
            format!("G1 {} F10.", z(blank.top)),
            format!("G1 {} {}", at(a), z(deep)),
        ],
        Wrong::Plunge => {
            let aside = a + pt(random.between(-1e-3, 1e-3), 0.0);
            vec![
                lift.clone(),
                format!("G0 {}", at(aside)),
                format!("G1 {} F10.", z(blank.top + clear / 10.0)),
                format!("G1 {} {}", at(a), z(deep)),
            ]
        }
        Wrong::Rapid => vec![
            lift.clone(),
            format!("G0 {}", at(outside)),
            format!("G0 {}", z(deep)),
            format!("G0 {}", at(across)),
        ],
    };
    lines.into_iter().chain([lift]).collect()
}

/// The source with these lines before the end of one program, and the number of the first of them.
fn with_lines(source: &Source, pass: usize, lines: &[String]) -> (Source, usize) {
    let text = String::from_utf8(source.programs[pass].to_vec()).expect("samples are text");
    let mut old: Vec<&str> = text.lines().collect();
    let stop =
        old.iter().position(|line| line.contains("M5") || line.contains("M9")).expect("the spindle stops");
    let first = stop + 1;
    let new: Vec<&str> = lines.iter().map(String::as_str).collect();
    old.splice(stop..stop, new);
    let mut programs = source.programs.clone();
    programs[pass] = Arc::from((old.join("\r\n") + "\r\n").into_bytes());
    (Source { programs, ..source.clone() }, first)
}

#[test]
fn every_wrong_move_put_into_a_sample_is_a_stop() {
    let mut random = Random(20);
    for folder in SAMPLES {
        let source = sample(folder);
        let mut prover = Prover::new();
        let sound = proven(&mut prover, &source);
        assert!(stops(&sound).is_empty(), "{folder}: {:?}", stops(&sound));
        for wrong in [Wrong::Groove, Wrong::Ramp, Wrong::Plunge, Wrong::Rapid] {
            let passes = source.job.passes.len();
            let (pass, does) = loop {
                let pass = (random.between(0.0, passes as f64) as usize).min(passes - 1);
                let does = sound.passes[pass].purpose.as_ref().map(|purpose| purpose.does);
                // What a pocket, groove or hole may be is the pass's own to say.
                if does != Some(Does::Inside) || matches!(wrong, Wrong::Groove | Wrong::Ramp | Wrong::Rapid) {
                    break (pass, does);
                }
            };
            let lines = wrong_lines(&sound, pass, wrong, &mut random);
            let (changed, first) = with_lines(&source, pass, &lines);
            let proof = proven(&mut prover, &changed);
            let found = stops(&proof);
            let own = first..first + lines.len();
            let told = found.iter().any(|finding| {
                finding.pass == Some(pass) && finding.line.is_some_and(|line| own.contains(&(line as usize)))
            });
            assert!(told, "{folder}, pass {}, {wrong:?}: {lines:?} from line {first}: {found:?}", pass + 1);
            let grid_alone = found.iter().all(|finding| finding.code == Code::BelowDepth);
            assert!(!grid_alone || does == Some(Does::Face), "{folder}, {wrong:?}: {found:?}");
        }
    }
}
