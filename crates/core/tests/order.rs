//! Which pass could be left out, and figures of one order held against another: on the samples and on small jobs made
//! for it, whose cuts are known. All expectations derived.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::path::Path;
use std::sync::Arc;

use blockwright_core::demo;
use blockwright_core::job;
use blockwright_core::order::{Figure, LeftOut, left_out, pass_figures, totals};
use blockwright_core::proof::{Beside, Proof, Source};
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Task};

/// Cells that are coarse, for speed; what is left standing is found all the same.
fn coarse(source: &Source) -> Options {
    Options { cell: Some(source.job.units.pick(0.03, 0.75)), ..Options::default() }
}

/// A round block of radius 1 on a sawn edge of radius 1.1, cut by a half-inch end mill going round once.
fn round_job(heavy: &str, leaves: &[f64], more: &str) -> Source {
    let passes: Vec<String> = leaves
        .iter()
        .enumerate()
        .map(|(index, leave)| {
            format!(
                r#"{{"name":"leave {leave} {index}","program":"{index}.nc","tool":1,"allowance":{leave},"zero":[0,0,0]}}"#
            )
        })
        .collect();
    let text = format!(
        r#"{{"schema":"blockwright-job/1","units":"inch",
        "outline":{{"vertices":[[-1,0,1],[1,0,1]]}},
        "blank":{{"edge":{{"vertices":[[0,-1.1,1],[0,1.1,1]]}},"top":0,"thickness":0.5,"material":"aluminum 6061-T6"}},
        {heavy} {more}
        "tools":[{{"number":1,"form":{{"kind":"flat","diameter":0.5}},"flutes":4}}],
        "passes":[{}]}}"#,
        passes.join(",")
    );
    let programs = leaves.iter().map(|leave| Arc::from(round_program(1.25 + leave).as_bytes())).collect();
    let job = Arc::new(job::read(text.as_bytes()).expect("a job"));
    Source { job, programs, beside: Beside::default() }
}

/// Once round at this radius, coming in from outside the block.
fn round_program(radius: f64) -> String {
    format!(
        "G20 G90 G17\nM3 S3000\nG0 X{0} Y0 Z.5\nG0 Z-.6\nG1 X{radius} F20\nG2 X{radius} Y0 I-{radius} J0\nG1 X{0}\n\
         G0 Z.5\nM5\nM30\n",
        radius + 0.5
    )
}

fn sample(folder: &str) -> Source {
    let path = format!("{folder}/job.json");
    let job = job::read(demo::file(&path).expect("embedded")).expect("readable");
    let text = |pass: &job::Pass| {
        let name = Path::new(folder).join(&pass.program);
        Arc::from(demo::file(&name.to_string_lossy()).expect("embedded"))
    };
    Source { programs: job.passes.iter().map(text).collect(), job: Arc::new(job), beside: Beside::default() }
}

fn judged(source: &Source) -> Vec<LeftOut> {
    let cancel = Cancel::new();
    left_out(source, &coarse(source), &mut Prover::new(), Task::quiet(&cancel)).expect("provable")
}

fn could(source: &Source) -> Vec<bool> {
    judged(source).iter().map(|left_out| left_out.could).collect()
}

fn proven(source: &Source) -> Proof {
    let cancel = Cancel::new();
    Prover::new().prove(source, &Options::default(), Task::quiet(&cancel)).expect("provable")
}

/// Passes at leaves of 0.06 and 0: without the first, the second takes 0.1 all round. Without the last, 0.06 stands.
#[test]
fn a_pass_could_be_left_out_just_inside_the_heavy_limit_and_not_just_outside() {
    for (heavy, first) in [("0.1005", true), ("0.0995", false)] {
        let contact = format!(r#""contact":{{"light_below":0.01,"heavy_above":{heavy}}},"#);
        assert_eq!(could(&round_job(&contact, &[0.06, 0.0], "")), [first, false], "{heavy}");
    }
}

#[test]
fn it_says_what_takes_the_metal_or_why_the_pass_is_needed() {
    let contact = |heavy: &str| format!(r#""contact":{{"heavy_above":{heavy}}},"#);
    let words = |source: &Source, pass: usize| judged(source)[pass].words.clone();
    let inside = words(&round_job(&contact("0.2"), &[0.06, 0.0], ""), 0);
    assert_eq!(inside, "Pass 1 alone could be left out: pass 2 then takes .1000 in, inside its limits.");
    let light =
        words(&round_job(r#""contact":{"light_below":0.15,"heavy_above":0.2},"#, &[0.06, 0.0], ""), 0);
    assert!(light.ends_with("pass 2 then takes .1000 in, not over its limit of .2000 in."), "{light}");
    let outside = words(&round_job(&contact("0.07"), &[0.06, 0.0], ""), 0);
    assert_eq!(outside, "Pass 1 is needed: without it pass 2 takes up to .1000, over the limit of .0700 in.");
    let last = words(&round_job(&contact("0.2"), &[0.06, 0.0], ""), 1);
    assert!(
        last.starts_with("Pass 2 is needed: without it ") && last.contains("up to .0600 in of it"),
        "{last}"
    );
    let no_limit = words(&round_job("", &[0.06, 0.0], ""), 0);
    assert!(no_limit.contains("has no heavy-cut limit"), "{no_limit}");
    let twice = words(&round_job(&contact("0.2"), &[0.0, 0.0], ""), 1);
    assert_eq!(twice, "Pass 2 alone could be left out: nothing is missed without it.");
}

/// A pass of three could be left out alone; that says nothing of two at once.
#[test]
fn each_pass_is_left_out_alone() {
    let source = round_job(r#""contact":{"heavy_above":0.065},"#, &[0.06, 0.03, 0.0], "");
    // Without the first the second takes 0.07; without the second the third takes 0.06.
    assert_eq!(could(&source), [false, true, false]);
}

/// A spindle that is strong enough for 0.04 and not for 0.1: power at F20 and half an inch deep, by the shop formula.
#[test]
fn a_later_pass_must_not_come_over_the_spindles_power() {
    let contact = r#""contact":{"heavy_above":0.2},"#;
    let at = |power: f64| round_job(contact, &[0.06, 0.0], &format!(r#""machine":{{"power":{power}}},"#));
    let most = |leaves: &[f64]| {
        let proof = proven(&round_job(contact, leaves, ""));
        proof.passes.last().and_then(|pass| pass.power_most).expect("a known material")
    };
    let (with, without) = (most(&[0.06, 0.0]), most(&[0.0]));
    assert!(without > with * 1.2, "{with} {without}");
    assert!(judged(&at(without * 1.1))[0].could);
    let refused = &judged(&at(f64::midpoint(with, without)))[0];
    assert!(!refused.could && refused.words.contains("pass 2"), "{refused:?}");
}

/// The bezel's first rough pass keeps the second under its limit; without the finish the pilot of the edge rounding
/// cutter would take the wall; the first undercut only goes half the way of the last.
#[test]
fn the_samples_keep_the_passes_they_need() {
    for (folder, expected) in [
        ("round-puck", vec![true, true, false]),
        ("signal-lamp-bezel", vec![false, true, false, false, true, false, false]),
        ("vent-cover-die", vec![true, true, false]),
    ] {
        let judged = judged(&sample(folder));
        let could: Vec<bool> = judged.iter().map(|left_out| left_out.could).collect();
        assert_eq!(could, expected, "{folder}: {judged:#?}");
    }
}

#[test]
fn without_a_blank_nothing_is_said_and_stopping_stops() {
    let mut source = round_job("", &[0.06, 0.0], "");
    Arc::make_mut(&mut source.job).blank = None;
    assert!(judged(&source).iter().all(|left_out| !left_out.could && left_out.words.contains("no blank")));
    let cancel = Cancel::new();
    cancel.raise();
    let stopped = left_out(&source, &Options::default(), &mut Prover::new(), Task::quiet(&cancel));
    assert_eq!(stopped, Err(ProveError::Cancelled));
}

#[test]
fn a_variant_comes_out_as_if_it_were_proven_alone() {
    let source = sample("signal-lamp-bezel");
    let mut job = (*source.job).clone();
    job.passes.swap(0, 1);
    let mut programs = source.programs.clone();
    programs.swap(0, 1);
    let swapped = Source { job: Arc::new(job), programs, beside: Beside::default() };
    let (cancel, mut prover) = (Cancel::new(), Prover::new());
    prover.prove(&source, &coarse(&source), Task::quiet(&cancel)).expect("provable");
    let aside = prover.prove_aside(&swapped, &coarse(&source), Task::quiet(&cancel)).expect("provable");
    let alone = Prover::new().prove(&swapped, &coarse(&swapped), Task::quiet(&cancel)).expect("provable");
    assert_eq!(blockwright_core::proof::json(&aside), blockwright_core::proof::json(&alone));
}

#[test]
fn figures_say_what_they_were_where_they_differ() {
    let contact = r#""contact":{"heavy_above":0.2},"#;
    let (present, other) =
        (proven(&round_job(contact, &[0.06, 0.0], "")), proven(&round_job(contact, &[0.0], "")));
    let was = |rows: &[Figure], name: &str| {
        rows.iter()
            .find(|row| row.name == name)
            .map(|row| (row.value.clone(), row.was.clone()))
            .expect("a figure")
    };
    let rows = pass_figures(&other, 0, Some((&present, 1)));
    assert_eq!(was(&rows, "cut"), (".1000".to_owned(), Some(".0600".to_owned())));
    assert_eq!(was(&rows, "stock left"), (".0000".to_owned(), None));
    assert!(was(&rows, "peak rate, power").1.is_some());
    let all = totals(&other, Some(&present));
    assert!(was(&all, "time").1.is_some() && was(&all, "metal left").1.is_none(), "{all:?}");
    assert!(pass_figures(&other, 0, None).iter().all(|row| row.was.is_none()));
}

#[test]
fn a_stand_in_has_every_pass_in_its_new_place() {
    let proof = proven(&sample("vent-cover-die"));
    let mut job = (*proof.job).clone();
    job.passes.swap(0, 2);
    job.passes.remove(1);
    let passes = vec![proof.passes[2].clone(), proof.passes[0].clone()];
    let stand_in = proof.rearranged(Arc::new(job), passes, &[Some(1), None, Some(0)]);
    assert_eq!(stand_in.passes.len(), stand_in.job.passes.len());
    assert!(Arc::ptr_eq(&stand_in.passes[1].track, &proof.passes[0].track));
    for finding in &stand_in.findings {
        let old = finding.pass.map(|pass| [2, 0][pass]);
        assert!(proof.findings.iter().any(|other| other.pass == old && other.message == finding.message));
    }
    assert!(stand_in.findings.len() < proof.findings.len());
}
