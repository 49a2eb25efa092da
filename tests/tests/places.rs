//! What is told of one place: the worst place of a finding pass by pass, the enlarged view of it, and where the tool is.
//!
//! The demo is made so (the table of samples in DEVELOPERS.md): its blank has 0.0199 in at station 11.219 where pass 1 is
//! meant to leave 0.062; pass 1 has no contact there, pass 2 takes 0.0049 in at the thinnest and leaves 0.015, and pass 3
//! takes that 0.015. What it meets elsewhere follows from its allowances.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use blockwright_core::finding::{Code, Finding};
use blockwright_core::measure::Contact;
use blockwright_core::proof::{Moment, Proof, steps, tool_at};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::record::walk;
use blockwright_core::task::{Cancel, Task};
use blockwright_core::view::{Item, Theme, magnifier, magnifier_name};
use blockwright_tests::sample;

fn proof(name: &str) -> Proof {
    let cancel = Cancel::new();
    let options = Options { cell: Some(0.02), ..Options::default() };
    Prover::new().prove(&sample(name), &options, Task::quiet(&cancel)).expect("the sample can be proven")
}

fn found(proof: &Proof, code: Code) -> (usize, &Finding) {
    proof.findings.iter().enumerate().find(|(_, finding)| finding.code == code).expect("the sample shows it")
}

#[test]
fn the_worst_place_is_told_before_and_after() {
    let demo = proof("signal-lamp-bezel");
    let told = steps(&demo, found(&demo, Code::NoContact).1).expect("along the outline");
    assert!((told.station - 11.219).abs() < 0.01, "{}", told.station);
    let words: Vec<String> = told.steps.iter().map(|step| step.words(demo.job.units)).collect();
    assert_eq!(words, ["sawn .020", "pass 1 none", "pass 2 .005"]);
    assert_eq!(told.steps[1].taken.map(|taken| taken.1), Some(Contact::None));
    assert!((told.steps[2].left - 0.015).abs() < 1e-3);
    let light = steps(&demo, found(&demo, Code::LightCut).1).expect("along the outline");
    let words: Vec<String> = light.steps.iter().map(|step| step.words(demo.job.units)).collect();
    assert_eq!(words, ["before .020", "pass 2 .005", "pass 3 .015"]);
    assert_eq!(light.pass, 1);
}

#[test]
fn a_short_blank_is_told_as_short_and_other_findings_have_no_walls() {
    let latch = proof("latch-plate-die");
    let told = steps(&latch, found(&latch, Code::BlankShort).1).expect("along the outline");
    // The table of samples: least margin -0.1539 in at station 6.390.
    assert!((told.steps[0].left + 0.1539).abs() < 5e-4, "{}", told.steps[0].left);
    assert!(told.steps[0].words(latch.job.units).starts_with("short .154"));
    let of_job = Finding::new(Code::NotChecked, blockwright_core::finding::Severity::Note, "no bed");
    assert_eq!(steps(&latch, &of_job), None);
}

/// Of one place there is one station: margin, findings and the walk round tell the same, and it is the one of the geometry.
/// The corner of radius .5 about (3.5, 2) begins at station 3 + 1.5 + pi / 2 and is farthest outside the sawn edge from
/// (4.08, 1.8) to (3.5, 2.58) where its normal is the edge's.
#[test]
fn the_worst_place_has_one_station_wherever_it_is_told() {
    let latch = proof("latch-plate-die");
    let exact = 4.5 + std::f64::consts::FRAC_PI_2 + 0.5 * 0.58_f64.atan2(0.78);
    let margin = latch.blank.as_ref().expect("a blank").least_margin_at;
    assert!((margin - exact).abs() < 1e-4, "{margin} for {exact}");
    let about = |code| latch.findings.iter().filter(move |finding: &&Finding| finding.code == code);
    let told: Vec<Option<f64>> =
        about(Code::BlankShort).chain(about(Code::NoContact)).map(|finding| finding.station).collect();
    assert_eq!(told, [Some(margin); 3], "short, and no contact in two passes");
    for pass in [0, 1] {
        let stops = walk(&latch, pass);
        let thin: Vec<f64> = stops.iter().filter(|stop| stop.thin).map(|stop| stop.station).collect();
        assert_eq!(thin, [margin], "pass {}", pass + 1);
        assert!((stops[0].stock + 0.1539).abs() < 5e-5, "{}", stops[0].stock);
    }
}

#[test]
fn the_enlarged_place_is_dimensioned_from_figures() {
    let demo = proof("signal-lamp-bezel");
    let (index, _) = found(&demo, Code::NoContact);
    // What is meant less what stands is the gap beside the cutter: .0620 - .0199.
    let name = magnifier_name(&demo, index).expect("along the outline");
    for words in [".0199 left", ".0620 meant", "cutter misses the metal by .0421"] {
        assert!(name.contains(words), "{words} in {name}");
    }
    let size = [280.0, 196.0];
    let drawn = |plan| magnifier(&demo, index, size, plan, &Theme::light()).expect("along the outline");
    let texts = |drawing: &blockwright_core::view::Drawing| -> Vec<String> {
        let text = |item: &Item| match item {
            Item::Text { text, .. } => Some(text.clone()),
            _ => None,
        };
        drawing.items.iter().filter_map(text).collect()
    };
    let (near, far) = (texts(&drawn(200.0)), texts(&drawn(100.0)));
    let times = |texts: &[String]| -> f64 {
        let told = texts.iter().find_map(|text| text.strip_suffix(" of the plan")).expect("told");
        told.trim_start_matches('x').parse().expect("a number")
    };
    assert!((times(&far) / times(&near) - 2.0).abs() < 0.1, "{near:?} {far:?}");
    // Nothing is written outside, and no line of it over another.
    for item in &drawn(200.0).items {
        if let Item::Text { at: [x, y], .. } = item {
            assert!((0.0..=size[0]).contains(x) && (4.0..=size[1] - 4.0).contains(y), "{item:?}");
        }
    }
    // Where the next pass cuts, the cutter is told to take that much.
    let (light, _) = found(&demo, Code::LightCut);
    assert!(magnifier_name(&demo, light).expect("along the outline").contains("cutter takes .0049"));
}

#[test]
fn the_tool_is_told_where_it_is_and_what_it_meets() {
    let demo = proof("signal-lamp-bezel");
    let at = Moment::at_station(&demo, 0, 11.219).expect("measured");
    assert!((at.left.expect("left") - 0.0199).abs() < 1e-4 && at.cut.expect("cut") < 1e-4);
    assert_eq!(at.line, 18, "the arc round the corner");
    assert_eq!(at.feed, Some(18.0), "F18. in line N90");
    // F18., S2400, three flutes: 18 / (2400 * 3).
    assert!((at.chip_load.expect("known") - 18.0 / 7_200.0).abs() < 1e-9);
    let there = tool_at(&demo, 0, 11.219).expect("reached");
    let on_path = Moment::on_path(&demo, 0, there).expect("there");
    assert_eq!((on_path.tip, on_path.line), (at.tip, at.line));
    assert!((on_path.station.expect("beside the outline") - 11.219).abs() < 0.02);
    let first = Moment::on_path(&demo, 0, 0.0).expect("the start");
    assert_eq!(
        (first.station, first.left, first.cut, first.feed),
        (None, None, None, None),
        "a rapid far off"
    );
    // Pass 3 leaves nothing and takes .015 all round.
    for station in [1.0, 5.0, 9.0, 13.0] {
        let at = Moment::at_station(&demo, 2, station).expect("measured");
        assert!(at.left.expect("left").abs() < 2e-4 && (at.cut.expect("cut") - 0.015).abs() < 2e-4, "{at:?}");
    }
    assert_eq!(Moment::at_station(&demo, 3, 1.0), None, "the face cut is not along the outline");
}
