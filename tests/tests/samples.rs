//! The sample jobs, proven whole.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use approx::assert_abs_diff_eq;
use blockwright_core::proof::{self, Options, Proof, Prover, Verdict};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::{codes, sample};

fn proof_of(folder: &str) -> Proof {
    let cancel = Cancel::new();
    Prover::new()
        .prove(&sample(folder), &Options::default(), Task::quiet(&cancel))
        .expect("a sample can be proven")
}

fn show(proof: &Proof) -> String {
    proof::table(proof)
}

#[test]
fn the_sound_job_has_no_finding_and_its_cuts_are_the_differences_of_its_allowances() {
    let proof = proof_of("round-puck");
    println!("{}", show(&proof));
    assert_eq!(codes(&proof), Vec::<&str>::new(), "{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Clear);
    assert_eq!(proof::status(&proof), 0);
    // Pass 2 takes what pass 1 left: .062 - .015 = .047 all round (common practice, no source).
    for (pass, leave, cut) in [(0, 0.062, 0.063), (1, 0.015, 0.047), (2, 0.0, 0.015)] {
        let along = proof.passes[pass].along_outline.as_ref().expect("held against the outline");
        for value in [along.leave.least, along.leave.most] {
            assert_abs_diff_eq!(value, leave, epsilon = 0.000_1);
        }
        for value in [along.cut.least, along.cut.most] {
            assert_abs_diff_eq!(value, cut, epsilon = 0.000_1);
        }
        assert_eq!(along.contact.len(), 1, "one stretch all round");
    }
}

#[test]
fn the_demo_loses_contact_and_regains_it() {
    let proof = proof_of("signal-lamp-bezel");
    println!("{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Look, "{}", show(&proof));
    let found = codes(&proof);
    assert!(found.iter().all(|code| ["no-contact", "light-cut"].contains(code)), "{found:?}");
    let none = |pass: usize| proof.passes[pass].contact_length(blockwright_core::measure::Contact::None);
    assert!(none(0).expect("measured") > none(1).expect("measured"), "pass 2 regains some");
    assert_eq!(none(2), Some(0.0), "the finish has contact all round");
    assert!(proof.blank.as_ref().expect("a blank").least_margin > 0.0);
}

#[test]
fn the_second_job_never_cleans_up_at_one_corner() {
    let proof = proof_of("vent-cover-die");
    println!("{}", show(&proof));
    assert_eq!(proof.verdict, Verdict::Stop, "{}", show(&proof));
    assert!(codes(&proof).contains(&"blank-short"));
    let blank = proof.blank.as_ref().expect("a blank");
    assert_eq!(blank.short.len(), 1);
    assert_abs_diff_eq!(blank.short[0].most, -blank.least_margin, epsilon = 0.002_5);
}
