//! What was measured on the block, beside what the check expects there.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::sync::Arc;

use blockwright_core::job::{Measured, Quantity, read, write};
use blockwright_core::proof::{self, Measure, Proof, Source, measures};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::record::Record;
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::sample;
use serde_json::Value;

/// Asked of what is measured along the outline, in inches.
const EXACT: f64 = 1e-4;

/// A sample after whose passes this was measured, checked with cells that take no time.
fn checked(name: &str, measured: &[(usize, Measured)]) -> (Source, Proof) {
    let mut source = sample(name);
    let job = Arc::make_mut(&mut source.job);
    for (pass, one) in measured {
        job.passes[*pass].measured.push(*one);
    }
    let options = Options { cell: Some(job.units.pick(0.03, 0.8)), ..Options::default() };
    let proof = Prover::new().prove(&source, &options, Task::quiet(&Cancel::new())).expect("a sample");
    (source, proof)
}

const fn plain(what: Quantity, value: f64) -> Measured {
    Measured { what, station: None, pins: None, value }
}

const fn stock(station: f64, value: f64) -> Measured {
    Measured { what: Quantity::StockLeft, station: Some(station), pins: None, value }
}

fn of(proof: &Proof, pass: usize, what: Quantity, station: Option<f64>) -> Measure {
    let all = measures(proof);
    let found = all.into_iter().find(|one| (one.pass, one.what, one.station) == (pass, what, station));
    found.expect("it is told")
}

/// The puck is 3 by 2 in with rounded corners, and its first pass leaves .062 all round: plane geometry.
#[test]
fn what_is_expected_is_exact_and_the_difference_has_its_sign() {
    // Stations of no row: in the middle of a side, and on a corner's arc.
    let (side, corner) = (0.777_123, 2.2);
    let (_, proof) = checked(
        "round-puck",
        &[
            (0, stock(side, 0.0633)),
            (0, stock(corner, 0.06)),
            (0, plain(Quantity::OverX, 3.123)),
            (2, plain(Quantity::OverY, 2.0)),
            (2, plain(Quantity::Land, 0.03)),
        ],
    );
    for (what, station, expected, off) in [
        (Quantity::StockLeft, Some(side), 0.062, 0.0013),
        (Quantity::StockLeft, Some(corner), 0.062, -0.002),
        (Quantity::OverX, None, 3.124, -0.001),
    ] {
        let told = of(&proof, 0, what, station);
        let (least, most) = told.expected.expect("it is expected");
        assert!((least - expected).abs() < EXACT && (most - expected).abs() < EXACT, "{told:?}");
        assert!((told.off_by().expect("measured") - off).abs() < 2.0 * EXACT, "{told:?}");
    }
    let over = of(&proof, 2, Quantity::OverY, None);
    assert!(over.off_by().expect("measured").abs() < EXACT);
    assert!(!over.off_words(proof.job.units).starts_with('+'), "nothing is not above");
    // The puck has no land: what was measured stands, and nothing is said to be expected.
    let land = of(&proof, 2, Quantity::Land, None);
    assert_eq!((land.expected, land.off_by(), land.found), (None, None, Some(0.03)));
}

/// From the sample's own program: the last undercut leaves its line at Z -.185 and a land of .030 below the rounding, in
/// a blank of 1 in whose bottom face is at Z -1.
#[test]
fn a_range_is_met_within_it_and_missed_from_its_nearer_end() {
    let all = [
        (6, plain(Quantity::Undercut, 0.815)),
        (6, plain(Quantity::Land, 0.0322)),
        (6, Measured { what: Quantity::OverPins, station: Some(2.0), pins: Some(0.25), value: 3.0 }),
    ];
    let (_, proof) = checked("signal-lamp-bezel", &all);
    let line = of(&proof, 6, Quantity::Undercut, None);
    assert_eq!(line.off_by(), Some(0.0), "{line:?}");
    let land = of(&proof, 6, Quantity::Land, None);
    let (_, most) = land.expected.expect("a land");
    assert_eq!(land.off_by(), Some(0.0322 - most));
    assert!(land.off_words(proof.job.units).starts_with('+'), "{land:?}");
    // Pins are told where two walls face each other; the same pins elsewhere stay as they are.
    let pins = of(&proof, 6, Quantity::OverPins, Some(2.0));
    assert_eq!(pins.pins, Some(0.25));
    let wall = proof.wall().expect("a wall");
    assert_eq!(pins.expected.is_some(), wall.root_across(2.0).is_some());
}

#[test]
fn measured_values_stand_in_table_result_and_record() {
    let (source, proof) = checked("round-puck", &[(0, stock(0.777_123, 0.0633))]);
    let table = proof::table(&proof);
    let row = table.lines().find(|line| line.contains("Stock left outside the line")).expect("a row");
    for words in ["station .777", ".0620", ".0633", "+.0013"] {
        assert!(row.contains(words), "{words}: {row}");
    }
    let told: Value = serde_json::from_str(&proof::json(&proof)).expect("JSON");
    let one = &told["passes"][0]["measured"][0];
    assert_eq!((one["what"].as_str(), one["value"].as_f64()), (Some("stock_left"), Some(0.0633)));
    let number = |value: &Value| value.as_f64().expect("a number");
    let off = number(&one["value"]) - number(&one["expected"]["most"]);
    assert!((number(&one["off_by"]) - off).abs() < 1e-6, "{one}");
    assert!(told["passes"][1].get("measured").is_none());
    let record = Record { proof: &proof, source: &source, date: "2026-11-30", walls: &[], every_body: false };
    let files = record.files(Task::quiet(&Cancel::new())).expect("a record");
    let page = String::from_utf8_lossy(&files[0].bytes).into_owned();
    assert!(page.contains("<td class=\"box\">.0633</td><td class=\"box\">+.0013</td>"), "in its box");
    assert!(page.contains("<td class=\"box\"></td>"), "what was not measured has its box free");
}

/// Without a value nothing is said of measuring but in the record.
#[test]
fn nothing_measured_is_nothing_told() {
    let (_, proof) = checked("round-puck", &[]);
    assert!(!proof::table(&proof).contains("Measured") && !proof::json(&proof).contains("\"measured\""));
    assert!(measures(&proof).iter().all(|measure| measure.found.is_none() && measure.expected.is_some()));
}

/// What was measured where a suggestion lies takes its place.
#[test]
fn a_value_is_told_once() {
    let (_, before) = checked("round-puck", &[]);
    let suggested = measures(&before);
    let one = suggested.iter().find(|one| one.what == Quantity::StockLeft).expect("a place");
    let (_, after) = checked("round-puck", &[(one.pass, one.with(0.0621))]);
    assert_eq!(measures(&after).len(), suggested.len());
    // The job keeps the station to the last digit.
    let job = read(write(&after.job).as_bytes()).expect("it is read");
    assert_eq!(job.passes[one.pass].measured, [one.with(0.0621)]);
}

/// Where a pass leaves the same all round, three places are enough: the least of equals says nothing more. Where the blank is
/// short, the shortest place is measured besides.
#[test]
fn a_place_that_tells_nothing_new_is_not_measured() {
    let places = |name: &str, pass: usize| {
        let (_, proof) = checked(name, &[]);
        let left = |measure: &&Measure| measure.pass == pass && measure.what == Quantity::StockLeft;
        measures(&proof).iter().filter(left).count()
    };
    assert_eq!(places("drip-tray-die", 1), 3);
    assert_eq!(places("latch-plate-die", 1), 4);
}
