//! Damaged programs through everything that reads program text: no panic, no hang, no growth without end.
//!
//! The test run tries a fixed number of inputs. A longer run is a command, and starts anywhere:
//!
//! ```text
//! BLOCKWRIGHT_INPUTS=200000 BLOCKWRIGHT_SEED=7 cargo test --release -p blockwright-tests --test mutations -- --nocapture
//! ```
//!
//! An input that panics is printed; it belongs into `crates/core/tests/cases/found`.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "the helpers of a test may fail it"
)]

use std::panic::{AssertUnwindSafe, catch_unwind};

use blockwright_core::control::{CallCount, Control};
use blockwright_core::demo;
use blockwright_core::program::words::{Dialect, tokens};
use blockwright_core::program::{Program, Settings, TextLines, read};
use blockwright_core::rewrite::{air, diff, ready};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::Random;

/// Inputs of the plain test run.
const INPUTS: usize = 3000;

/// Motions that one short input may make: a count of repeats may be large, but not without end.
const MOST_MOTIONS: usize = blockwright_core::limits::MOTIONS;

/// Stretches that programs are made of, well and badly.
const PIECES: &[&str] = &[
    "G0",
    "G1",
    "G2",
    "G3",
    "G4 P1",
    "G10 L2 P1",
    "G17",
    "G18",
    "G19",
    "G20",
    "G21",
    "G28",
    "G30",
    "G38.2",
    "G40",
    "G41 D1",
    "G42",
    "G43 H1",
    "G49",
    "G53",
    "G54",
    "G59.3",
    "G61",
    "G73 Q.1",
    "G80",
    "G81",
    "G83 Q.1",
    "G84",
    "G86 P1",
    "G87",
    "G88",
    "G90",
    "G91",
    "G92",
    "G92.1",
    "G92.3",
    "G93",
    "G94",
    "G95",
    "G98",
    "G99",
    "M0",
    "M2",
    "M3",
    "M6",
    "M8",
    "M30",
    "M98 P1",
    "M98 P2 L3",
    "M99",
    "O1",
    "O2",
    "O",
    "X",
    "Y",
    "Z",
    "I",
    "J",
    "K",
    "R",
    "F",
    "S",
    "T1",
    "L2",
    "L9999",
    "Q",
    "#1=2",
    "#1",
    "##1",
    "[",
    "]",
    "[1+2*3]",
    "ATAN[1]/[2]",
    "SQRT[-1]",
    "**",
    "(",
    ")",
    "(x)",
    ";",
    "%",
    "/",
    "-",
    "+",
    ".",
    "..",
    "1",
    ".5",
    "-1.25",
    "999999999",
    "1e9",
    "0",
    "\n",
    "\r\n",
    "\r",
    "\t",
    " ",
    "\0",
    "A90",
    "\u{e9}",
];

fn seeds() -> Vec<Vec<u8>> {
    let samples =
        demo::files().iter().filter(|(_, text)| text.starts_with(b"%")).map(|(_, text)| text.to_vec());
    let cases = concat!(env!("CARGO_MANIFEST_DIR"), "/../crates/core/tests/cases");
    let mut seeds: Vec<Vec<u8>> = samples.collect();
    for topic in std::fs::read_dir(cases).expect("the cases are there").flatten() {
        let Ok(files) = std::fs::read_dir(topic.path()) else { continue };
        let mut files: Vec<_> = files.flatten().map(|file| file.path()).collect();
        files.sort();
        seeds.extend(files.iter().filter_map(|file| std::fs::read(file).ok()));
    }
    assert!(seeds.len() > 100, "there is something to damage");
    seeds
}

fn pick<'a, T>(random: &mut Random, from: &'a [T]) -> &'a T {
    &from[index(random, from.len())]
}

fn index(random: &mut Random, below: usize) -> usize {
    (random.between(0.0, below as f64) as usize).min(below.saturating_sub(1))
}

/// A stretch of a seed, or pieces in a row, with some damage done to it.
fn input(random: &mut Random, seeds: &[Vec<u8>]) -> Vec<u8> {
    let mut text = if random.between(0.0, 1.0) < 0.7 {
        let seed = pick(random, seeds);
        let from = index(random, seed.len());
        seed.iter().copied().skip(from).take(2000).collect()
    } else {
        Vec::new()
    };
    let changes = 1 + index(random, 30);
    for _ in 0..changes {
        let at = index(random, text.len() + 1);
        match index(random, 6) {
            0 if at < text.len() => text[at] = random.between(0.0, 256.0) as u8,
            1 if at < text.len() => drop(text.remove(at)),
            2 => drop(text.splice(at..at, std::iter::repeat_n(b'[', index(random, 60)))),
            3 if !text.is_empty() => {
                let (from, length) = (index(random, text.len()), index(random, 60));
                let again: Vec<u8> = text.iter().copied().skip(from).take(length).collect();
                drop(text.splice(at..at, again));
            }
            _ => drop(text.splice(at..at, pick(random, PIECES).bytes())),
        }
    }
    text
}

fn settings(random: &mut Random) -> Settings {
    let units = *pick(random, &[Units::Inch, Units::Mm]);
    let control = Control {
        subprograms: *pick(random, &[None, Some(CallCount::InL), Some(CallCount::InP)]),
        semicolon_comments: Some(random.between(0.0, 1.0) < 0.5),
        block_delete: Some(random.between(0.0, 1.0) < 0.5),
        work_offsets: std::array::from_fn(|index| Some([index as f64, 0.0, 0.0])),
        home: Some([0.0, 0.0, 5.0]),
        length_offsets: vec![(1, 2.0)],
        diameter_offsets: vec![(1, 0.25)],
        longest_line: Some(40),
        characters: Some("%()/".to_owned()),
        sequence: Some([10, 10]),
        ..Control::default()
    };
    Settings::for_job(units, Some(&control).filter(|_| random.between(0.0, 1.0) < 0.7)).with_tool(1)
}

fn program(text: &[u8], settings: &Settings) -> Program {
    read(text, settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

/// Everything that takes program text.
fn drive(text: &[u8], other: &[u8], settings: &Settings) {
    let read = program(text, settings);
    assert!(read.motions.len() <= MOST_MOTIONS, "{} motions", read.motions.len());
    for motion in &read.motions {
        let finite =
            [motion.end.x, motion.end.y, motion.end.z, motion.length()].iter().all(|v| v.is_finite());
        assert!(finite, "{motion:?}");
    }
    assert_eq!(read.unproven, read.unproven || read.motions.iter().any(|motion| !motion.proven));
    let lines = TextLines::new(text.into());
    assert_eq!(lines.len(), read.lines, "both count the same lines");
    for line in text.split(|byte| *byte == b'\n') {
        let whole: usize = tokens(line, Dialect::default()).iter().map(|t| t.span.to - t.span.from).sum();
        assert_eq!(whole, line.len());
    }
    drop(air::mark(text));
    lift(text, &read, settings);
    make_ready(text, &read, settings);
    let other_read = program(other, settings);
    let sides = (diff::Side { text, program: &read }, diff::Side { text: other, program: &other_read });
    diff::compare(sides.0, sides.1, settings.units, Task::quiet(&Cancel::new())).expect("nobody cancels");
    let _ = diff::lifted_by(&read, &other_read, settings.units);
}

/// An air pass is refused, or is the program moved in Z.
fn lift(text: &[u8], before: &Program, settings: &Settings) {
    let options =
        air::AirOptions { top: Some(1.0), above: 0.5, longest_line: Some(40), ..Default::default() };
    let cancel = Cancel::new();
    let Ok(lifted) = air::lift(text, "A.NC", &options, settings, Task::quiet(&cancel)) else { return };
    let after = program(&lifted.text, settings);
    assert_eq!(after.motions.len(), before.motions.len());
    assert!(!after.unproven);
    for (low, high) in before.motions.iter().zip(&after.motions) {
        assert_eq!(low.end.plan(), high.end.plan());
        assert_eq!(low.end_known, high.end_known, "{low:?} {high:?}");
        // Before the first stated Z nothing is known to rise; the operator is told where the tool must stand.
        if high.end_known.axis(2) {
            let rise = high.end.z - low.end.z;
            let stays = rise.abs() < 1e-6 && goes_by_the_machine(text, low.line);
            assert!(stays || (rise - lifted.by).abs() < 1e-6, "{low:?} {high:?}");
            assert!(high.end.z > 1.499, "{high:?}");
        }
    }
}

/// Home and other places of the machine stay where they are, however high the program is lifted.
fn goes_by_the_machine(text: &[u8], line: u32) -> bool {
    let lines = TextLines::new(text.into());
    let line: String = lines.line(line as usize).chars().filter(|c| !c.is_whitespace()).collect();
    ["G28", "G30", "G53"].iter().any(|word| line.to_uppercase().contains(word))
}

/// A program made ready is refused, or moves as before.
fn make_ready(text: &[u8], before: &Program, settings: &Settings) {
    let options = ready::ReadyOptions {
        number: Some(77),
        longest_line: Some(40),
        characters: Some("%()/".to_owned()),
        sequence: Some([10, 10]),
        ..Default::default()
    };
    let cancel = Cancel::new();
    let Ok(ready) = ready::make(text, &options, settings, Task::quiet(&cancel)) else { return };
    let after = program(&ready.text, settings);
    assert!(!after.unproven);
    assert_eq!(after.motions.len(), before.motions.len());
    for (old, new) in before.motions.iter().zip(&after.motions) {
        assert_eq!((old.start, old.end, old.curve, old.feed), (new.start, new.end, new.curve, new.feed));
    }
    let longest = ready.text.split(|byte| matches!(byte, b'\r' | b'\n')).map(<[u8]>::len).max();
    assert!(longest <= Some(40), "{longest:?}");
}

fn number(name: &str, otherwise: usize) -> usize {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

#[test]
fn damaged_programs_are_read_and_rewritten_without_a_panic() {
    let (count, seed) = (number("BLOCKWRIGHT_INPUTS", INPUTS), number("BLOCKWRIGHT_SEED", 1));
    let (seeds, mut random) = (seeds(), Random(seed as u64));
    for done in 0..count {
        let (text, other) = (input(&mut random, &seeds), input(&mut random, &seeds));
        let settings = settings(&mut random);
        let sound = catch_unwind(AssertUnwindSafe(|| drive(&text, &other, &settings))).is_ok();
        assert!(sound, "input {done} of seed {seed}:\n{}", text.escape_ascii());
    }
    println!("{count} inputs from seed {seed}");
}
