//! The best fit and the tool's reach in the proof: what is said, where, and when not.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::sync::Arc;

use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::fit::{Fit, Limits, best, taken_over};
use blockwright_core::job::Job;
use blockwright_core::proof::{self, Proof, Source};
use blockwright_core::prover::{Options, Prover, Stage};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_tests::sample;

/// On a coarse heightfield: nothing here looks at it.
fn prove(prover: &mut Prover, source: &Source) -> Proof {
    let coarse = Options { cell: Some(source.job.units.pick(0.05, 0.5)), ..Options::default() };
    prover.prove(source, &coarse, Task::quiet(&Cancel::new())).expect("a proof")
}

fn proof_of(folder: &str) -> Proof {
    prove(&mut Prover::new(), &sample(folder))
}

fn fit_of(proof: &Proof) -> &Fit {
    &proof.fit.as_ref().expect("a fit").fit
}

fn of_code(proof: &Proof, code: Code) -> Vec<&Finding> {
    proof.findings.iter().filter(|finding| finding.code == code).collect()
}

#[test]
fn a_short_blank_that_cleans_up_elsewhere_says_how() {
    let proof = proof_of("hinge-pad-die");
    let short = of_code(&proof, Code::BlankShort);
    assert!(!short.is_empty() && fit_of(&proof).least_margin > 1.0, "{:?}", fit_of(&proof));
    for finding in short {
        assert!(
            finding.message.contains("No metal has to be added: move the work zero by X "),
            "{}",
            finding.message
        );
        assert!(
            finding.message.contains("it then cleans up all around with a least margin of"),
            "{}",
            finding.message
        );
    }
    // Taken over, nothing is short, and the margin along the rays is at least what was named.
    let source = sample("hinge-pad-die");
    let job = taken_over(&source.job, fit_of(&proof));
    let after = prove(&mut Prover::new(), &Source { job: Arc::new(job), ..source });
    assert!(of_code(&after, Code::BlankShort).is_empty());
    let least = after.blank.as_ref().expect("measured").least_margin;
    assert!(least >= fit_of(&proof).least_margin - 1e-9, "{least} {:?}", fit_of(&proof));
    assert!(!fit_of(&after).gains(after.job.units), "{:?}", fit_of(&after));
}

/// The window asks within a few degrees and the check within none: one position, told in both with the same digits.
#[test]
fn limits_that_do_not_hold_a_position_do_not_change_it() {
    for folder in ["signal-lamp-bezel", "hinge-pad-die", "shelf-angle-die", "latch-plate-die"] {
        let proof = proof_of(folder);
        let paths = (proof.outline.as_ref().expect("an outline"), proof.edge.as_ref().expect("an edge"));
        let free = fit_of(&proof);
        let shift = free.dx.hypot(free.dy) * 1.5 + proof.job.units.pick(0.01, 0.25);
        let limits = |turn: f64, shift: Option<f64>| Limits { turn, shift, ..Limits::default() };
        for limits in [limits(3.0, None), limits(11.0, None), limits(180.0, Some(shift))] {
            let task = Cancel::new();
            let held = best(paths.0, paths.1, &limits, proof.job.units, Task::quiet(&task)).expect("a fit");
            let off = (held.dx - free.dx).hypot(held.dy - free.dy) / proof.job.units.pick(1.0, 25.0);
            assert!(off < 1e-6 && (held.turn - free.turn).abs() < 1e-5, "{folder}: {held:?}, {free:?}");
        }
    }
}

#[test]
fn a_blank_that_is_short_whatever_is_done_says_what_remains() {
    let proof = proof_of("latch-plate-die");
    let fitting = proof.fit.as_ref().expect("a fit");
    assert!(!fitting.cleans_up() && fitting.fit.gains(proof.job.units), "{fitting:?}");
    assert!(fitting.least_build_up() < fitting.before[0].most, "{fitting:?}");
    assert!((fitting.least_build_up() + fitting.fit.least_margin).abs() < 2e-4, "{fitting:?}");
    let short = of_code(&proof, Code::BlankShort);
    assert!(!short.is_empty());
    for finding in short {
        assert_eq!(finding.severity, Severity::Stop);
        assert!(finding.message.contains("Even the best position is short by"), "{}", finding.message);
        assert!(finding.message.contains("the least to add is up to"), "{}", finding.message);
    }
}

#[test]
fn the_fit_is_in_the_table_and_in_the_json() {
    let proof = proof_of("hinge-pad-die");
    let fit = fit_of(&proof);
    let json: serde_json::Value = serde_json::from_str(&proof::json(&proof)).expect("JSON");
    let written = [("dx", fit.dx), ("dy", fit.dy), ("turn", fit.turn), ("least_margin", fit.least_margin)];
    for (key, value) in written {
        assert_eq!(json["fit"][key].as_f64(), Some(value), "{key}");
    }
    let table = proof::table(&proof);
    assert!(table.contains("Best position: least margin"), "{table}");
    let bare = Job { outline: None, ..(*sample("hinge-pad-die").job).clone() };
    let none = prove(&mut Prover::new(), &Source { job: Arc::new(bare), ..sample("hinge-pad-die") });
    assert!(none.fit.is_none() && !proof::json(&none).contains("\"fit\""));
}

/// An edit of a pass does not move outline or edge.
#[test]
fn the_fit_is_looked_for_once() {
    let (mut prover, source) = (Prover::new(), sample("latch-plate-die"));
    prove(&mut prover, &source);
    assert!(prover.worked().contains(&Stage::Fit));
    let mut job = (*source.job).clone();
    job.passes[0].allowance = Some(0.031);
    prove(&mut prover, &Source { job: Arc::new(job), ..source });
    assert!(!prover.worked().contains(&Stage::Fit), "{:?}", prover.worked());
}

#[test]
fn a_tool_too_wide_for_a_corner_is_told_for_each_pass() {
    let proof = proof_of("shelf-angle-die");
    let wide = of_code(&proof, Code::ToolTooWide);
    assert_eq!(wide.iter().map(|finding| finding.pass).collect::<Vec<_>>(), [Some(0), Some(1)]);
    for finding in &wide {
        assert_eq!(finding.severity, Severity::Look);
        let at = finding.at.expect("a place");
        assert!((at.x - 51.2).abs() < 0.2 && (at.y - 41.2).abs() < 0.2, "in the corner: {at:?}");
    }
    // (6 - 4)(sqrt 2 - 1) is left between two sides (derived).
    assert!(wide[1].message.contains("0.828 mm"), "{}", wide[1].message);
    // What stays in the corner is off the allowance as well: that is explained, and no diameter is to be looked after.
    let off = of_code(&proof, Code::LeaveOffAllowance);
    assert_eq!(off.len(), 2);
    assert!(
        off.iter().all(|finding| finding.message.ends_with("Its tool is too wide for the corner there."))
    );
}

/// A tool stated wider than it is leaves too little or too much all along: nothing else explains that.
#[test]
fn stock_left_that_nothing_explains_asks_for_diameter_zero_and_program() {
    let source = sample("round-puck");
    let mut job = (*source.job).clone();
    let tool = job.passes[0].tool;
    let stated = job.tools.iter_mut().find(|other| other.number == tool).expect("a tool");
    stated.form = Form::Flat { diameter: stated.form.radius() * 2.0 - 0.01 };
    let proof = prove(&mut Prover::new(), &Source { job: Arc::new(job), ..source });
    let off = of_code(&proof, Code::LeaveOffAllowance);
    assert!(off.iter().any(|finding| finding.pass == Some(0)), "{:?}", proof.findings);
    let asks = "Check the tool's diameter, the zero and the program.";
    assert!(off.iter().all(|finding| finding.message.ends_with(asks)), "{off:?}");
}

/// The corner's radius is 4: a tool of 4 goes in, one of 4.05 leaves 0.05 (sqrt 2 - 1), under the tolerance of 0.025.
#[test]
fn a_tool_that_goes_in_is_not_told() {
    for (diameter, told) in [(7.9, false), (8.0, false), (8.1, false), (8.2, true)] {
        let source = sample("shelf-angle-die");
        let mut job = (*source.job).clone();
        job.tools[1].form = Form::Flat { diameter };
        let proof = prove(&mut Prover::new(), &Source { job: Arc::new(job), ..source });
        let found = of_code(&proof, Code::ToolTooWide).iter().any(|finding| finding.pass == Some(1));
        assert_eq!(found, told, "{diameter}");
    }
}

#[test]
fn no_other_sample_has_a_tool_too_wide() {
    for folder in ["signal-lamp-bezel", "vent-cover-die", "round-puck", "bracket-shoe", "drip-tray-die"] {
        let proof = proof_of(folder);
        assert!(of_code(&proof, Code::ToolTooWide).is_empty(), "{folder}");
        assert!(fit_of(&proof).is_proven(proof.job.units), "{folder}");
    }
}

/// A slot of this width, open at the top, with a full radius at its end, and a cutter of 1/2 in up and down its middle: one as
/// wide as the cutter is not too narrow for it, whatever the last digits say.
#[test]
fn a_slot_as_wide_as_the_cutter_is_not_too_narrow() {
    let told = |width: f64| {
        let (left, right) = (1.5 - width / 2.0, 1.5 + width / 2.0);
        let job = format!(
            r#"{{ "schema": "blockwright-job/1", "units": "inch", "gauge_height": -0.375,
              "outline": {{ "vertices": [[0,0],[3,0],[3,2],[{right},2],[{right},0.8,-1.0],[{left},0.8],[{left},2],[0,2]] }},
              "blank": {{ "edge": {{ "vertices": [[-0.1,-0.1],[3.1,-0.1],[3.1,2.1],[-0.1,2.1]] }}, "top": 0, "thickness": 0.75 }},
              "tools": [ {{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }} }} ],
              "passes": [ {{ "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0 }} ] }}"#
        );
        let program = "G20 G90 G17\nS2000 M3\nG0 Z1.\nX1.5 Y3.\nG1 Z-.77 F10.\nY.8\nY3.\nG0 Z1.\nM30\n";
        of_code(&blockwright_tests::prove(&job, &[program], Some(0.05)), Code::ToolTooWide).len()
    };
    assert_eq!([0.5, 0.5002, 0.501].map(told), [0; 3]);
    assert_eq!([0.498, 0.45].map(told), [1; 2]);
}
