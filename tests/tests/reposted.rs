//! The samples, posted in other styles: the same measures and the same findings come out.
//!
//! The styles are common practice, no source: a safety line with G28 retreats and G43; no spaces, lower case and no line
//! numbers; increments (G91) with G53 retreats.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::fmt::Write as _;
use std::sync::Arc;

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::geometry::Range;
use blockwright_core::proof::{Proof, Source, Verdict};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::{prove, sample};

const SAMPLES: [&str; 9] = [
    "bracket-shoe",
    "drip-tray-die",
    "hinge-leaf-die",
    "hinge-pad-die",
    "latch-plate-die",
    "round-puck",
    "shelf-angle-die",
    "signal-lamp-bezel",
    "vent-cover-die",
];

/// How far a measure may be off, for the rounding of sums of increments: in or mm.
const NEAR: f64 = 1e-6;

/// Places that increments are summed in.
const TEN_THOUSANDTHS: f64 = 10_000.0;

fn proven(source: &Source) -> Proof {
    // a coarse block for the speed of it: the same for every style
    let cell = source.job.units.per_inch() * 0.05;
    let options = Options { cell: Some(cell), ..Options::default() };
    Prover::new().prove(source, &options, Task::quiet(&Cancel::new())).expect("a sample can be proven")
}

/// The lines of a program between its first and its last, without line numbers; comments are left as they are.
fn lines(text: &str) -> Vec<String> {
    let bare = |line: &str| {
        let words = line.trim();
        match words.strip_prefix('N') {
            Some(rest) => rest.trim_start_matches(|c: char| c.is_ascii_digit()).trim().to_owned(),
            None => words.to_owned(),
        }
    };
    text.lines().map(bare).filter(|line| !line.is_empty()).collect()
}

fn is_text(line: &str) -> bool {
    line.starts_with(['%', 'O', '('])
}

fn with_retreats(text: &str) -> String {
    let (mut out, mut tool, mut length) = (String::new(), String::new(), false);
    for line in lines(text) {
        if let Some(rest) = line.strip_prefix('T') {
            rest.split_whitespace().next().unwrap_or_default().clone_into(&mut tool);
        }
        if line.starts_with("G20") || line.starts_with("G21") {
            let unit = &line[..3];
            let _ = write!(out, "G00 G17 G40 G49 G80 G90 {unit}\nG91 G28 Z0.\nG28 X0. Y0.\nG90 G54 G94\n");
        } else if !length && line.starts_with("G0 Z") {
            let _ = writeln!(out, "G0 G43 H{tool} {}", &line[3..]);
            length = true;
        } else if line.starts_with("M30") {
            out.push_str("G0 G91 G28 Z0. M5\nG28 X0. Y0.\nG90\nM30\n");
        } else {
            let _ = writeln!(out, "{line}");
        }
    }
    out
}

fn solid(text: &str) -> String {
    let mut out = String::new();
    for line in lines(text) {
        let line = if is_text(&line) { line } else { line.replace(' ', "").to_lowercase() };
        let _ = writeln!(out, "{line}");
    }
    out
}

/// From the first place on that has all three axes, every axis word becomes the way from the place before.
fn incremental(text: &str) -> String {
    let mut out = String::new();
    let mut at: [Option<i64>; 3] = [None; 3];
    let mut begun = false;
    for line in lines(text) {
        if is_text(&line) {
            let _ = writeln!(out, "{line}");
            continue;
        }
        if line.starts_with("M30") {
            out.push_str("G90 G53 G0 Z0.\nG53 X0. Y0.\nM30\n");
            continue;
        }
        if !begun && at.iter().all(Option::is_some) {
            out.push_str("G91\n");
            begun = true;
        }
        let words: Vec<String> = line.split_whitespace().map(|word| step(word, &mut at, begun)).collect();
        let _ = writeln!(out, "{}", words.join(" "));
    }
    out
}

fn step(word: &str, at: &mut [Option<i64>; 3], begun: bool) -> String {
    let Some(axis) = ["X", "Y", "Z"].iter().position(|letter| word.starts_with(letter)) else {
        return word.to_owned();
    };
    let value: f64 = word[1..].parse().expect("an axis word has a number");
    let to = (value * TEN_THOUSANDTHS).round() as i64;
    let from = at[axis].replace(to);
    match from.filter(|_| begun) {
        Some(from) => format!("{}{}", &word[..1], decimal(to - from)),
        None => word.to_owned(),
    }
}

fn decimal(ten_thousandths: i64) -> String {
    let (sign, size) = (if ten_thousandths < 0 { "-" } else { "" }, ten_thousandths.abs());
    format!("{sign}{}.{:04}", size / 10_000, size % 10_000)
}

/// What of a finding must be the same: all but lines and figures. The figures are compared as measures.
fn told(proof: &Proof) -> Vec<(Severity, &'static str, Option<usize>, String)> {
    let words = |message: &str| message.replace(|c: char| c.is_ascii_digit(), "");
    let key =
        |finding: &Finding| (finding.severity, finding.code.text(), finding.pass, words(&finding.message));
    let mut all: Vec<_> =
        proof.findings.iter().filter(|finding| finding.code != Code::NotChecked).map(key).collect();
    all.sort();
    all
}

fn same(name: &str, a: Option<f64>, b: Option<f64>) {
    let (a, b) = (a.unwrap_or(f64::INFINITY), b.unwrap_or(f64::INFINITY));
    assert!(a == b || (a - b).abs() <= NEAR, "{name}: {a} and {b}");
}

fn same_range(name: &str, a: &Range, b: &Range) {
    same(name, Some(a.least), Some(b.least));
    same(name, Some(a.most), Some(b.most));
}

fn same_measures(what: &str, a: &Proof, b: &Proof) {
    for (index, (a, b)) in a.passes.iter().zip(&b.passes).enumerate() {
        let name = |measure: &str| format!("{what}, pass {}, {measure}", index + 1);
        same(&name("lowest"), a.lowest, b.lowest);
        same(&name("feed length"), Some(a.track.feed_length()), Some(b.track.feed_length()));
        let volume =
            |pass: &blockwright_core::proof::PassProof| pass.removal.as_ref().map(|removal| removal.volume());
        let part = volume(a).zip(volume(b)).map(|(a, b)| (a - b).abs() / a.abs().max(1.0));
        assert!(part.is_none_or(|part| part < 1e-5), "{}: {part:?}", name("volume"));
        if let (Some(a), Some(b)) = (&a.along_outline, &b.along_outline) {
            same_range(&name("leave"), &a.leave, &b.leave);
            same_range(&name("cut"), &a.cut, &b.cut);
            assert_eq!(a.contact.len(), b.contact.len(), "{}", name("contact"));
            for (a, b) in a.contact.iter().zip(&b.contact) {
                assert_eq!(a.state, b.state, "{}", name("state of contact"));
                same(&name("contact"), Some(a.to), Some(b.to));
            }
        }
        assert_eq!(a.along_outline.is_some(), b.along_outline.is_some(), "{}", name("outline"));
    }
}

#[test]
fn the_samples_in_three_styles_come_out_the_same() {
    for folder in SAMPLES {
        let as_it_is = sample(folder);
        let plain = proven(&as_it_is);
        for (style, post) in [
            ("retreats", with_retreats as fn(&str) -> String),
            ("solid", solid),
            ("incremental", incremental),
        ] {
            let again = |text: &Arc<[u8]>| {
                Arc::from(post(&String::from_utf8_lossy(text)).replace('\n', "\r\n").as_bytes())
            };
            let programs: Vec<Arc<[u8]>> = as_it_is.programs.iter().map(again).collect();
            let other = proven(&Source { programs, ..as_it_is.clone() });
            let what = format!("{folder}, {style}");
            assert_eq!(told(&plain), told(&other), "{what}");
            assert_eq!(plain.verdict, other.verdict, "{what}");
            same_measures(&what, &plain, &other);
        }
    }
}

const BLOCK: &str = r#"{ "schema": "blockwright-job/1", "units": "inch",
    "outline": { "vertices": [[0, 0], [3, 0], [3, 2], [0, 2]] },
    "blank": { "edge": { "vertices": [[-0.2, -0.2], [3.2, -0.2], [3.2, 2.2], [-0.2, 2.2]] }, "top": 0, "thickness": 1 },
    "keep_clear": [{ "name": "clamp", "area": { "vertices": [[1, -0.6], [2, -0.6], [2, 0.1], [1, 0.1]] }, "top": 0.75 }],
    "tools": [{ "number": 1, "form": { "kind": "flat", "diameter": 0.5 } }],
    "passes": [{ "name": "Run", "program": "1.nc", "tool": 1 }] }"#;

/// The codes of the stops of a program that is run on the block of this file.
fn stops(body: &str) -> Vec<&'static str> {
    let text = format!("G20 G17 G90 G94 G54\nT1 M6\nS2000 M3\n{body}\nM30\n");
    let proof = prove(BLOCK, &[&text], Some(0.05));
    let stop = |finding: &&Finding| finding.severity == Severity::Stop;
    proof.findings.iter().filter(stop).map(|finding| finding.code.text()).collect()
}

#[test]
fn a_retreat_is_above_the_clamps_and_what_comes_down_from_it_is_checked() {
    let begin = "G0 X-.75 Y1.\nZ.1\nG1 Z-.5 F10.\nX-.3";
    // over the clamp from home, at whatever height the program itself states
    for home in ["G91 G28 Z0.\nG90", "G53 G0 Z0.", "G91 G30 Z0. M5\nG90"] {
        assert_eq!(stops(&format!("{begin}\n{home}\nG0 X1.5 Y-1.\nG0 Z.1\nZ1.")), [] as [&str; 0], "{home}");
        assert_eq!(stops(&format!("{begin}\n{home}\nG0 X1.5 Y-.3\nG0 Z.1\nZ1.")), ["keep-clear"], "{home}");
        let through = stops(&format!("{begin}\n{home}\nG0 X1.5 Y1.\nG0 Z-.4\nZ1."));
        assert!(through.contains(&"rapid-through-block"), "{home}: {through:?}");
    }
    // the same way without the retreat runs through the clamp, and a way up through metal is one
    assert!(stops(&format!("{begin}\nG0 Z.1\nX1.5 Y-.3\nY-1.\nZ1.")).contains(&"keep-clear"));
    // by way of a point in the block
    let by_way = stops(&format!("{begin}\nG0 Z.1\nG0 X1.5 Y1.\nG90 G28 Z-.4"));
    assert!(by_way.contains(&"rapid-through-block"), "{by_way:?}");
}

#[test]
fn what_is_refused_does_not_silence_the_rest() {
    let begin = "G0 X-.75 Y1.\nZ.1\nG1 Z-.5 F10.";
    let found = stops(&format!("G187 P1\n{begin}\nG0 X1.5"));
    assert!(found.contains(&"unproven-word") && found.contains(&"rapid-through-block"), "{found:?}");
    let found = stops(&format!("{begin}\nG0 X1.5\nG0 Z1.\nG65 P9000"));
    assert!(found.contains(&"unproven-word") && found.contains(&"rapid-through-block"), "{found:?}");
}

fn proof_of(body: &str) -> Proof {
    let text = format!("G20 G17 G90 G94 G54\nT1 M6\nS2000 M3\nM8\n{body}\nM9\nM30\n");
    prove(BLOCK, &[&text], Some(0.05))
}

#[test]
fn deletable_lines_are_told_where_they_make_a_difference() {
    let begin = "G0 X-.75 Y1.\nZ.1\nG1 Z-.5 F10.\nX-.3";
    let slash = |proof: &Proof| proof.findings.iter().filter(|finding| finding.message.contains('/')).count();
    // no motion hangs on these
    let idle = proof_of(&format!("/M1\n{begin}\n/M8\n/(LOOK)\nG0 Z1.\nX-.75"));
    assert_eq!((slash(&idle), idle.verdict), (0, Verdict::Clear), "{:?}", idle.findings);
    // left out, the way up is missing and the next rapid goes through the block
    let missing = proof_of(&format!("{begin}\n/G0 Z1.\nG0 X4.\nZ1."));
    assert_eq!(missing.verdict, Verdict::Stop, "{:?}", missing.findings);
    let through =
        missing.findings.iter().find(|finding| finding.code == Code::RapidThroughBlock).expect("told");
    assert!(through.message.contains("left out"), "{}", through.message);
    assert!(
        missing.findings.iter().any(|finding| finding.code == Code::StartState && finding.line == Some(9))
    );
    // run, it is the line itself that does it
    let run = proof_of(&format!("{begin}\n/G0 X1.5\nG0 Z1."));
    assert!(
        run.findings
            .iter()
            .any(|finding| finding.code == Code::RapidThroughBlock && !finding.message.contains("left out"))
    );
}
