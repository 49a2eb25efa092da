//! The height at which stock left is measured, chosen where the job gives none; and findings that must not come and go
//! with the outline's first vertex.
#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::sync::Arc;

use blockwright_core::finding::Code;
use blockwright_core::proof::{self, Gauge, GaugeFrom, Source};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::{prove, sample};

/// The gauge height that a sample gets when its job gives none.
fn chosen(folder: &str) -> (Gauge, String, String) {
    let given = sample(folder);
    let mut job = (*given.job).clone();
    job.gauge_height = None;
    let source = Source { job: Arc::new(job), ..given };
    let cancel = Cancel::new();
    let options = Options { cell: Some(source.job.units.pick(0.05, 1.0)), ..Options::default() };
    let proof = Prover::new().prove(&source, &options, Task::quiet(&cancel)).expect("provable");
    (proof.gauge.expect("chosen"), proof::table(&proof), proof::json(&proof))
}

/// The demo leaves a land from -.185 to -.155 (see its programs); the bracket shoe one of .1013 under -.09375, its
/// rounding; the puck is cut through, the drip tray's profile as well.
#[test]
fn the_land_comes_first_then_the_finished_wall() {
    for (folder, z, from) in [
        ("signal-lamp-bezel", -0.17, GaugeFrom::Land),
        ("bracket-shoe", -0.09375 - 0.1013 / 2.0, GaugeFrom::Land),
        ("round-puck", -0.375, GaugeFrom::Wall),
        ("drip-tray-die", -7.5, GaugeFrom::Wall),
    ] {
        let (gauge, table, json) = chosen(folder);
        assert_eq!(gauge.from, from, "{folder}");
        assert!((gauge.z - z).abs() < 0.001, "{folder}: {}", gauge.z);
        assert!(json.contains(if from == GaugeFrom::Land {
            "\"from\": \"land\""
        } else {
            "\"from\": \"wall\""
        }));
        let words = if from == GaugeFrom::Land { "on the land." } else { "on the finished wall." };
        assert!(table.contains(words), "{table}");
    }
}

const JOB: &str = r#"{ "schema": "blockwright-job/1", "units": "inch",
  "outline": { "vertices": [[0,0],[2,0],[2,1],[0,1]] },
  "blank": { "edge": { "vertices": [[-0.1,-0.1],[2.1,-0.1],[2.1,1.1],[-0.1,1.1]] }, "top": 0, "thickness": 0.5 },
  "tools": [ { "number": 1, "form": { "kind": "flat", "diameter": 0.5 } } ],
  "passes": [ { "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0.01 } ] }"#;

const PROGRAM: &str = "G20 G17 G90\nT1 M6\nS1000 M3\nG0 Z1.\nG0 X-.8 Y.5\nG0 Z.1\nG1 Z-.5 F5.\nG1 X-.26 F10.\n\
    G1 Y1.\nG2 X0. Y1.26 I.26 J0.\nG1 X2.\nG2 X2.26 Y1. I0. J-.26\nG1 Y0.\nG2 X2. Y-.26 I-.26 J0.\nG1 X0.\n\
    G2 X-.26 Y0. I0. J.26\nG1 Y.6\nG1 X-.8\nG0 Z1.\nM5\nM30\n";

fn gauge(job: &str, program: &str) -> Gauge {
    prove(job, &[program], Some(0.02)).gauge.expect("a blank")
}

#[test]
fn a_profile_of_half_the_depth_is_measured_on_the_wall_that_it_leaves() {
    let half = PROGRAM.replace("Z-.5", "Z-.3");
    assert_eq!(gauge(JOB, &half), Gauge { z: -0.15, from: GaugeFrom::Wall });
    // A groove right across to a depth of .2 does not decide.
    let groove = half.replace("G0 Z1.\nM5", "G0 Z1.\nG0 X1. Y-.6\nG0 Z.1\nG1 Z-.2\nG1 Y1.6\nG0 Z1.\nM5");
    assert_eq!(gauge(JOB, &groove), Gauge { z: -0.15, from: GaugeFrom::Wall });
    // A faced top is the wall's upper end.
    let faced = half
        .replace("G1 Z-.3 F5.", "G1 Z-.1 F5.\nX2.8\nX-.8 Y0.\nX2.8\nX-.8 Y1.\nX2.8 Y1.\nX-.8 Y.5\nG1 Z-.3");
    assert_eq!(gauge(JOB, &faced), Gauge { z: -0.2, from: GaugeFrom::Wall });
}

#[test]
fn a_height_that_is_given_stays_and_without_a_profile_it_is_the_middle_of_the_blank() {
    let given = JOB.replace("\"tools\"", "\"gauge_height\": -0.4, \"tools\"");
    assert_eq!(gauge(&given, PROGRAM), Gauge { z: -0.4, from: GaugeFrom::Given });
    let half = PROGRAM.replace("Z-.5", "Z-.3");
    let any = JOB.replace(", \"allowance\": 0.01", "");
    assert_eq!(gauge(&any, &half), Gauge { z: -0.25, from: GaugeFrom::Blank });
    let said = JOB.replace("\"allowance\": 0.01", "\"does\": \"profile\"");
    assert_eq!(gauge(&said, &half), Gauge { z: -0.15, from: GaugeFrom::Wall });
}

/// The tool dips in by .00104 at X1: more than .001 too little along 2 sqrt(2 * .25 * .00004) = .0089 (sagitta of a
/// circle), half of that on either side of X1. Told as one stretch wherever the outline begins.
#[test]
fn a_stretch_off_its_allowance_does_not_hang_on_the_first_vertex() {
    let dip = PROGRAM.replace("J0.\nG1 X2.\n", "J0.\nG1 X1.\nG1 Y1.25896\nG1 Y1.26\nG1 X2.\n");
    for first in ["[0,0],[2,0],[2,1],[0,1]", "[1,1],[0,1],[0,0],[2,0],[2,1]", "[1,1],[2,1],[2,0],[0,0],[0,1]"]
    {
        let job = JOB.replace("[0,0],[2,0],[2,1],[0,1]", first);
        let proof = prove(&job, &[&dip], Some(0.02));
        let found: Vec<_> = proof.findings.iter().filter(|f| f.code == Code::LeaveOffAllowance).collect();
        assert_eq!(found.len(), 1, "{first}: {:?}", proof.findings);
        assert!(found[0].message.contains("leaves .0090"), "{}", found[0].message);
        let at = found[0].at.expect("a place");
        assert!((at.x - 1.0).abs() < 1e-3, "{at:?}");
    }
}

/// Cut in two depths, the first half way down: at -.25 itself the first could be said to cut or not to. Its axis runs .31
/// outside the outline with a radius of .25, so .06 is left above that level.
#[test]
fn a_height_that_is_chosen_keeps_off_the_levels_of_passes() {
    let rough = PROGRAM.replace("Z-.5", "Z-.25").replace(".26", ".31");
    let passes =
        "\"passes\": [ { \"name\": \"Rough\", \"program\": \"1.nc\", \"tool\": 1, \"allowance\": 0.06 }, ";
    let job = JOB.replace("\"passes\": [ ", passes).replacen(
        "\"Finish\", \"program\": \"1.nc\"",
        "\"Finish\", \"program\": \"2.nc\"",
        1,
    );
    let proof = prove(&job, &[&rough, PROGRAM], Some(0.02));
    assert_eq!(proof.gauge, Some(Gauge { z: -0.245, from: GaugeFrom::Wall }));
    let left = proof.passes[0].along_outline.as_ref().expect("measured").leave;
    assert!((left.least - 0.06).abs() < 1e-9 && (left.most - 0.06).abs() < 1e-9, "{left:?}");
}
