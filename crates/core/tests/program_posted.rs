//! Programs as they are posted: every file of the folder `posted` is followed, or refused, as its index says.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use blockwright_core::finding::Severity;
use blockwright_core::job;
use blockwright_core::program::{Curve, Kind, Motion, Plane, Program, Settings, read};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;

/// How far a length or a place may be off, for rounding.
const NEAR: f64 = 1e-6;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/posted")
}

#[expect(clippy::disallowed_methods, reason = "the programs are files; the core itself is given bytes")]
fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(folder().join(name)).unwrap_or_else(|error| unreachable!("{name}: {error}"))
}

fn index() -> Vec<String> {
    let text = String::from_utf8(bytes("index.txt")).expect("the index is text");
    text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()).map(str::to_owned).collect()
}

fn followed(name: &str, units: Units, control: &str) -> Program {
    let job = format!(
        r#"{{"schema": "blockwright-job/1", "units": "{}", "control": {control}, "tools": [], "passes": []}}"#,
        units.name()
    );
    let job = job::read(job.as_bytes()).expect("the control of the index is one");
    let settings = Settings::for_job(units, job.control.as_ref()).with_tool(1);
    read(&bytes(name), &settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

/// Lowest and highest of what is fed, axis by axis.
fn extents(program: &Program) -> [f64; 6] {
    let mut all = [
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
    ];
    for point in fed(program).flat_map(points) {
        for (axis, value) in point.into_iter().enumerate() {
            all[2 * axis] = all[2 * axis].min(value);
            all[2 * axis + 1] = all[2 * axis + 1].max(value);
        }
    }
    all
}

fn fed(program: &Program) -> impl Iterator<Item = &Motion> {
    program.motions.iter().filter(|motion| motion.kind == Kind::Feed)
}

/// The ends of a motion, and what of its circle lies farther out in plan.
fn points(motion: &Motion) -> Vec<[f64; 3]> {
    let mut points: Vec<[f64; 3]> = [motion.start, motion.end].map(|p| [p.x, p.y, p.z]).to_vec();
    if let Curve::Arc { plane: Plane::Xy, sweep, .. } = motion.curve {
        // quarters of a circle that begins on an axis end on axes
        let quarters = (sweep.abs() / std::f64::consts::FRAC_PI_2).round() as u32;
        points.extend(
            (1..quarters)
                .map(|part| motion.at(f64::from(part) / f64::from(quarters)))
                .map(|p| [p.x, p.y, p.z]),
        );
    }
    points
}

fn number(words: &[&str], at: usize) -> f64 {
    words.get(at).and_then(|word| word.trim_start_matches(['F', 'S', 'T']).parse().ok()).unwrap_or(f64::NAN)
}

/// What of a line of the index does not hold.
fn faults(line: &str) -> Vec<String> {
    let (line, control) = line.split_once(" control ").unwrap_or((line, "{}"));
    let words: Vec<&str> = line.split_whitespace().collect();
    let [name, second, ..] = words[..] else { return vec!["no such line".to_owned()] };
    let units = if second == "mm" { Units::Mm } else { Units::Inch };
    let program = followed(name, units, control);
    if second == "refused" {
        refused(&program, words.get(2).copied().unwrap_or_default(), number(&words, 3))
    } else {
        as_posted(&program, &words)
    }
}

fn refused(program: &Program, code: &str, line: f64) -> Vec<String> {
    let stops: Vec<(&str, u32)> = program
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Stop)
        .map(|finding| (finding.code.text(), finding.line.unwrap_or(0)))
        .collect();
    let told = stops.first().is_some_and(|(text, at)| *text == code && f64::from(*at) == line);
    if program.unproven && told { Vec::new() } else { vec![format!("{code} on line {line}: {stops:?}")] }
}

fn as_posted(program: &Program, words: &[&str]) -> Vec<String> {
    let mut faults = Vec::new();
    let stops = program.findings.iter().filter(|finding| finding.severity == Severity::Stop);
    faults.extend(stops.map(|finding| format!("{:?} {}", finding.line, finding.message)));
    if program.unproven || program.motions.iter().any(|motion| !motion.proven) {
        faults.push("not proven".to_owned());
    }
    let mut near = |what: &str, got: f64, want: f64| {
        if (got - want).abs() > NEAR || want.is_nan() {
            faults.push(format!("{what}: {got}, not {want}"));
        }
    };
    for (got, at) in extents(program).into_iter().zip([3, 4, 6, 7, 9, 10]) {
        near("extent", got, number(words, at));
    }
    near("length fed", fed(program).map(Motion::length).sum(), number(words, 12));
    let last = fed(program).last();
    near("feed", last.map_or(0.0, |motion| motion.feed), number(words, 13));
    near("spindle", last.map_or(0.0, |motion| f64::from(motion.spindle)), number(words, 14));
    near("tool", last.map_or(0.0, |motion| f64::from(motion.tool)), number(words, 15));
    if last.is_some_and(|_| !fed(program).all(|motion| motion.start_known.is_place())) {
        let place = |motion: &&Motion| !motion.start_known.is_place();
        faults.extend(
            fed(program).find(place).map(|motion| format!("line {} feeds from nowhere", motion.line)),
        );
    }
    faults
}

#[test]
fn every_posted_program_is_followed_or_refused_as_the_index_says() {
    let mut report = String::new();
    for line in index() {
        let faults = faults(&line);
        if !faults.is_empty() {
            let _ = writeln!(report, "{line}\n    {}", faults.join("\n    "));
        }
    }
    assert!(report.is_empty(), "{report}");
}

#[test]
fn the_index_names_every_file_and_enough_of_them() {
    let index = index();
    let (refused, followed): (Vec<&String>, Vec<&String>) =
        index.iter().partition(|line| line.contains(" refused "));
    assert!(followed.len() >= 60 && refused.len() >= 20, "{} {}", followed.len(), refused.len());
    let mut named: Vec<&str> = index.iter().filter_map(|line| line.split_whitespace().next()).collect();
    let mut there: Vec<String> = std::fs::read_dir(folder())
        .expect("the folder can be read")
        .map(|entry| entry.expect("its entries can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| name != "index.txt")
        .collect();
    named.sort_unstable();
    there.sort_unstable();
    assert_eq!(named, there);
}

#[test]
fn the_strict_reading_refuses_what_only_practice_follows() {
    let strict = r#"{"strict": "on"}"#;
    let refused = |name: &str| followed(name, Units::Inch, strict).unproven;
    for name in [
        "safety-line.nc",
        "retreat-first.nc",
        "machine-zero.nc",
        "rotated.nc",
        "mirrored.nc",
        "semicolons.nc",
    ] {
        assert!(refused(name), "{name}");
    }
    for name in ["tabs.nc", "circle-ij.nc", "circle-quarters.nc"] {
        assert!(!refused(name), "{name}");
    }
}
