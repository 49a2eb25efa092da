//! Jobs whose outline or edge is drawn elsewhere: in a file beside the job, or by a pass itself.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "tests say what they stand on"
)]

use std::fmt::Write as _;
use std::sync::Arc;

use approx::assert_abs_diff_eq;
use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::proof::{Proof, Source, Verdict};
use blockwright_core::prover::{Options, ProveError, Prover, Stage};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::source_with;

/// A profile of the 4 x 3 square with a 1/2 in cutter, round corners and a lead in and out, at the wanted depth.
const PROFILE: &str = "G20 G17 G90\nS2000 M3\nG0 Z1.\nX-1. Y1.\nG1 Z-1.02 F10.\nX-.25\nY3.\nG2 X0. Y3.25 I.25 J0.\n\
    G1 X4.\nG2 X4.25 Y3. I0. J-.25\nG1 Y0.\nG2 X4. Y-.25 I-.25 J0.\nG1 X0.\nG2 X-.25 Y0. I0. J.25\nG1 Y1.2\nX-1.\n\
    G0 Z1.\nM30\n";

/// A drawing in inches of lines: layer, from, to.
fn dxf(lines: &[(&str, [f64; 2], [f64; 2])], more: &str) -> String {
    let mut text =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n".to_owned();
    for (layer, from, to) in lines {
        let [[a, b], [c, d]] = [from, to];
        let _ = write!(text, "0\nLINE\n8\n{layer}\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n");
    }
    format!("{text}{more}0\nENDSEC\n0\nEOF\n")
}

const SQUARE: [(&str, [f64; 2], [f64; 2]); 4] = [
    ("S", [0.0, 0.0], [4.0, 0.0]),
    ("S", [4.0, 3.0], [4.0, 0.0]),
    ("S", [4.0, 3.0], [0.0, 3.0]),
    ("S", [0.0, 0.0], [0.0, 3.0]),
];

fn square_and(more: &[(&'static str, [f64; 2], [f64; 2])]) -> Vec<(&'static str, [f64; 2], [f64; 2])> {
    [&SQUARE[..], more].concat()
}

const EDGE: &str = r#"{ "vertices": [[-0.2, -0.2], [4.2, -0.2], [4.2, 3.2], [-0.2, 3.2]] }"#;

fn job(outline: &str, edge: &str, lie: &str) -> String {
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "outline": {outline},
        "blank": {{ "edge": {edge}, "top": 0, "thickness": 1, "at": {lie} }}, "bed": {{ "top": -1.04 }},
        "tools": [{{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }} }}],
        "passes": [{{ "name": "Profile", "program": "1.nc", "tool": 1, "allowance": 0, "zero": [0, 0, 0] }}] }}"#
    )
}

fn run(source: &Source) -> Result<Proof, ProveError> {
    let cancel = Cancel::new();
    Prover::new().prove(source, &Options { cell: Some(0.02), ..Options::default() }, Task::quiet(&cancel))
}

fn of_drawing(text: &str) -> Result<Proof, ProveError> {
    let job = job(r#"{ "file": "a.dxf", "layer": "S" }"#, EDGE, "[0, 0, 0]");
    run(&source_with(&job, &[PROFILE], &[("a.dxf", text)]))
}

fn told(proof: &Proof, code: Code) -> Vec<&Finding> {
    proof.findings.iter().filter(|finding| finding.code == code).collect()
}

#[test]
fn an_outline_from_a_drawing_is_measured_like_any_other() {
    let proof = of_drawing(&dxf(&SQUARE, "")).expect("drawn well");
    assert_eq!(proof.verdict, Verdict::Clear, "{:?}", proof.findings);
    assert!(!proof.findings.iter().any(|finding| finding.code.text().starts_with("drawing")));
    assert_abs_diff_eq!(proof.outline.as_ref().expect("an outline").length(), 14.0);
    let along = proof.passes[0].along_outline.as_ref().expect("held against it");
    assert_abs_diff_eq!(along.cut.least, 0.2, epsilon = 1e-4);
    assert_abs_diff_eq!(along.leave.most, 0.0, epsilon = 1e-4);
}

/// What is wrong with a drawing becomes one finding with its place, by its weight.
#[test]
fn what_is_wrong_with_a_drawing_is_told_where_it_is() {
    let gap = dxf(&[&[("S", [0.0005, 0.0], [4.0, 0.0])], &SQUARE[1..]].concat(), "");
    let hair = dxf(&[&[("S", [0.000_05, 0.0], [4.0, 0.0])], &SQUARE[1..]].concat(), "");
    let mark = dxf(&square_and(&[("S", [1.0, 1.0], [1.0, 2.0])]), "");
    let beyond = dxf(&square_and(&[("S", [5.0, 1.0], [5.0, 2.0])]), "");
    let branch = dxf(&square_and(&[("S", [4.0, 3.0], [3.0, 2.0])]), "");
    let twice = dxf(&square_and(&[("S", [4.0, 0.0], [4.0, 3.0])]), "");
    let writing = |layer: &str| dxf(&SQUARE, &format!("0\nTEXT\n8\n{layer}\n1\nbend line\n"));
    let hole = dxf(&SQUARE, "0\nCIRCLE\n8\nS\n10\n2\n20\n1\n40\n0.5\n");
    let (note, look) = (Some(Severity::Note), Some(Severity::Look));
    for (text, code, severity, at) in [
        (gap, Code::DrawingGap, note, Some([0.000_25, 0.0])),
        (hair, Code::DrawingGap, None, None),
        (mark, Code::DrawingOpen, note, Some([1.0, 1.0])),
        (beyond, Code::DrawingOpen, look, Some([5.0, 1.0])),
        (branch, Code::DrawingBranch, look, Some([4.0, 3.0])),
        (twice, Code::DrawingTwice, note, Some([4.0, 1.5])),
        (writing("S"), Code::DrawingLeftOut, note, None),
        (writing("NOTES"), Code::DrawingLeftOut, None, None),
        (hole, Code::DrawingSeveral, note, None),
    ] {
        let proof = of_drawing(&text).expect("usable");
        let found = told(&proof, code);
        let first = found.first();
        assert_eq!(first.map(|finding| finding.severity), severity, "{code:?}: {:?}", proof.findings);
        if let Some(finding) = first {
            assert!(finding.message.starts_with("The outline from a.dxf: "), "{}", finding.message);
            assert_eq!(finding.at.is_some(), at.is_some(), "{finding:?}");
        }
        if let (Some([x, y]), Some(place)) = (at, first.and_then(|finding| finding.at)) {
            assert_abs_diff_eq!(place.x, x, epsilon = 1e-9);
            assert_abs_diff_eq!(place.y, y, epsilon = 1e-9);
            assert_abs_diff_eq!(place.z, -0.5);
        }
        let expected = if severity == look { Verdict::Look } else { Verdict::Clear };
        assert_eq!(proof.verdict, expected, "{code:?}: {:?}", proof.findings);
    }
}

#[test]
fn a_path_that_crosses_itself_or_runs_back_is_looked_at() {
    // y = 3 - 3/4 x meets y = 6/5 x at x = 20/13.
    let bow = "x,y\n0,0\n4,0\n0,3\n5,6\n";
    // A spur out to (5, 0), and most of the way back.
    let spur = "x,y\n0,0\n4,0\n5,0\n4.25,0\n4,3\n0,3\n";
    for (text, words, at) in
        [(bow, "crosses itself", [20.0 / 13.0, 24.0 / 13.0]), (spur, "runs back along itself", [4.25, 0.0])]
    {
        let job = job(r#"{ "file": "a.csv", "units": "inch" }"#, EDGE, "[0, 0, 0]");
        let proof = run(&source_with(&job, &[PROFILE], &[("a.csv", text)])).expect("usable");
        let found = told(&proof, Code::DrawingCrosses);
        let there = |finding: &&&Finding| {
            finding.at.is_some_and(|p| (p.x - at[0]).abs() < 1e-6 && (p.y - at[1]).abs() < 1e-6)
        };
        let finding = found.iter().find(there).unwrap_or_else(|| panic!("{found:?}"));
        assert!(finding.severity == Severity::Look && finding.message.contains(words), "{}", finding.message);
    }
}

/// An edge measured in coordinates of its own is laid where the job says, and so is what is wrong with it.
#[test]
fn an_edge_from_a_file_lies_where_the_job_says() {
    // A quarter turn about the origin, then 4 along X: (x, y) goes to (4 - y, x).
    let edge = [
        ("E", [-0.2, -0.2], [3.2, -0.2]),
        ("E", [3.2, -0.2], [3.2, 4.2]),
        ("E", [3.2, 4.2], [-0.2, 4.2]),
        ("E", [-0.2, 4.2], [-0.2, -0.1995]),
    ];
    let outline = r#"{ "vertices": [[0, 0], [4, 0], [4, 3], [0, 3]] }"#;
    let job = job(outline, r#"{ "file": "edge.dxf" }"#, "[4, 0, 90]");
    let proof = run(&source_with(&job, &[PROFILE], &[("edge.dxf", &dxf(&edge, ""))])).expect("usable");
    let bounds = proof.edge.as_ref().expect("an edge").bounds();
    for (found, right) in
        [(bounds.low.x, -0.2), (bounds.low.y, -0.2), (bounds.high.x, 4.2), (bounds.high.y, 3.2)]
    {
        assert_abs_diff_eq!(found, right, epsilon = 3e-4);
    }
    let gap = told(&proof, Code::DrawingGap)[0];
    assert!(gap.message.starts_with("The blank's edge from edge.dxf: a gap of .0005 in"), "{}", gap.message);
    let at = gap.at.expect("a place");
    assert_abs_diff_eq!(at.x, 4.0 + 0.199_75, epsilon = 1e-9);
    assert_abs_diff_eq!(at.y, -0.2, epsilon = 1e-9);
    assert_eq!(proof.verdict, Verdict::Clear);
}

/// A whole circle of radius 2 as two half turns, `bulge` 1 (the published DXF convention).
#[test]
fn a_list_in_another_unit_is_turned_into_the_job_s() {
    let job = job(r#"{ "file": "round.csv", "units": "mm" }"#, EDGE, "[0, 0, 0]");
    let proof = run(&source_with(&job, &[PROFILE], &[("round.csv", "x,y,bulge\n0,0,1\n50.8,0,1\n")]));
    let outline = proof.expect("usable").outline.expect("an outline");
    assert_abs_diff_eq!(outline.length(), std::f64::consts::TAU, epsilon = 1e-9);
    assert_abs_diff_eq!(outline.bounds().high.x, 2.0, epsilon = 1e-9);
}

#[test]
fn the_drawing_s_own_unit_counts_and_the_difference_is_told() {
    let job = job(r#"{ "file": "a.dxf", "layer": "S", "units": "mm" }"#, EDGE, "[0, 0, 0]");
    let proof = run(&source_with(&job, &[PROFILE], &[("a.dxf", &dxf(&SQUARE, ""))])).expect("usable");
    assert_abs_diff_eq!(proof.outline.as_ref().expect("an outline").length(), 14.0);
    assert_eq!(told(&proof, Code::DrawingUnits)[0].severity, Severity::Look);
}

#[test]
fn a_drawing_that_cannot_be_used_is_named_with_its_place_and_a_remedy() {
    let open = dxf(&SQUARE[..3], "");
    let bad = dxf(&SQUARE, "0\nCIRCLE\n8\nS\n10\n0\n20\n0\n40\nx\n");
    for (text, said) in [
        (
            open.as_str(),
            "outline: a.dxf: no closed path: a line ends at X.0000 Y.0000, 3.0000 in from the nearest",
        ),
        (&bad, "outline: a.dxf, line 72: CIRCLE: group 40 must be a number, not `x`"),
        (&open.replace("\nS\n", "\nT\n"), "there is no layer `S`; drawn on are `T`"),
        ("", "outline: a.dxf, line 1: the file ends before its EOF"),
    ] {
        let Err(ProveError::Unusable(message)) = of_drawing(text) else { panic!("{said}") };
        assert!(message.contains(said), "{message}");
        assert!(
            message.ends_with("Correct the drawing, or name another file or layer in the job."),
            "{message}"
        );
    }
    let job = job(r#"{ "file": "b.dxf" }"#, EDGE, "[0, 0, 0]");
    let Err(ProveError::Unusable(message)) = run(&source_with(&job, &[PROFILE], &[])) else {
        panic!("nobody read it")
    };
    assert!(message.contains("outline: b.dxf was not read"), "{message}");
}

#[test]
fn an_outline_is_taken_from_a_pass() {
    let taken = job(r#"{ "from_pass": "Profile" }"#, EDGE, "[0, 0, 0]");
    let proof = run(&source_with(&taken, &[PROFILE], &[])).expect("provable");
    assert_eq!(proof.verdict, Verdict::Clear, "{:?}", proof.findings);
    let outline = proof.outline.as_ref().expect("an outline");
    assert_abs_diff_eq!(outline.length(), 14.0, epsilon = 1e-6);
    assert_abs_diff_eq!(outline.area(), 12.0, epsilon = 1e-6);
    let along = proof.passes[0].along_outline.as_ref().expect("held against it");
    assert_abs_diff_eq!(along.cut.least, 0.2, epsilon = 1e-4);
    assert_abs_diff_eq!(along.leave.most, 0.0, epsilon = 1e-4);
    // A program that does not come round gives none; the rest of the proof stands.
    let astray = PROFILE.replace("G1 Y1.2\nX-1.", "G1 X-1.");
    let proof = run(&source_with(&taken, &[&astray], &[])).expect("provable");
    assert!(proof.outline.is_none() && proof.verdict == Verdict::Look, "{:?}", proof.findings);
    let told = told(&proof, Code::NotChecked);
    let why = told.iter().find(|finding| finding.severity == Severity::Look).expect("told");
    assert!(
        why.message.starts_with("The outline could not be taken from pass \"Profile\": "),
        "{}",
        why.message
    );
    assert_eq!(why.pass, Some(0));
}

/// The same bytes are the same drawing, whoever read them anew; other bytes are another.
#[test]
fn an_edit_reads_a_drawing_again_only_when_its_bytes_differ() {
    let first = source_with(
        &job(r#"{ "file": "a.dxf", "layer": "S" }"#, EDGE, "[0, 0, 0]"),
        &[PROFILE],
        &[("a.dxf", &dxf(&SQUARE, ""))],
    );
    let (mut prover, cancel) = (Prover::new(), Cancel::new());
    let mut worked = |text: &str, layer: &str| {
        let mut source = first.clone();
        source.beside.drawings.insert("a.dxf".to_owned(), Arc::from(text.as_bytes()));
        let mut job = (*source.job).clone();
        if let Some(blockwright_core::job::PathSource::File { layer: named, .. }) = &mut job.outline {
            *named = Some(layer.to_owned());
        }
        source.job = Arc::new(job);
        prover
            .prove(&source, &Options { cell: Some(0.02), ..Options::default() }, Task::quiet(&cancel))
            .expect("provable");
        prover.worked().to_vec()
    };
    assert!(worked(&dxf(&SQUARE, ""), "S").contains(&Stage::Outline));
    assert_eq!(worked(&dxf(&SQUARE, ""), "S"), []);
    let inner = "0\nCIRCLE\n8\nT\n10\n2\n20\n1\n40\n0.5\n";
    let redrawn = worked(&dxf(&SQUARE, inner), "S");
    assert!(redrawn.contains(&Stage::Outline) && !redrawn.contains(&Stage::Removal(0)), "{redrawn:?}");
    assert!(worked(&dxf(&SQUARE, inner), "T").contains(&Stage::Outline), "so does another layer");
}
