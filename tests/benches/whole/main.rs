//! Speed of the whole check, each beside the removal of the same job's metal alone, and of what follows an edit.
//!
//!     cargo bench --workspace --locked --bench whole
//!
//! Ratios are of the quickest samples, in processor time of one core. `DEVELOPERS.md` keeps them.

#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "a benchmark, not a face of the crate"
)]

mod edits;
mod jobs;
#[path = "../timing/mod.rs"]
mod timing;

use std::sync::{Mutex, OnceLock};
use std::time::Duration;

use blockwright_core::block::Removal;
use blockwright_core::fit;
use blockwright_core::proof::{Proof, Source};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::sample;
use criterion::{Criterion, criterion_group, criterion_main};
use timing::Quickest;

fn check(prover: &mut Prover, source: &Source) -> Proof {
    let cancel = Cancel::new();
    prover.prove(source, &Options::default(), Task::quiet(&cancel)).expect("the job can be checked")
}

/// The metal of every pass, each from what the one before left.
fn remove(proof: &Proof) -> usize {
    let cancel = Cancel::new();
    let mut field = proof.start.clone().expect("the job has a blank");
    for (of, pass) in proof.job.passes.iter().zip(&proof.passes) {
        let tool = proof.job.tool(of.tool).expect("the pass has a tool");
        let done = Removal::run(&field, &pass.track, &tool.form, Task::quiet(&cancel));
        field = done.expect("nobody cancels").end().clone();
    }
    field.cells()
}

/// Whole checks against the removal of the same metal.
fn whole(c: &mut Criterion, quickest: &Quickest) {
    let jobs: [(&str, &str, Source); 3] = [
        ("demo, whole check", "demo, removal alone", sample("signal-lamp-bezel")),
        ("drip-tray-die, whole check", "drip-tray-die, removal alone", sample("drip-tray-die")),
        (
            "12 passes of 5,000 moves, whole check",
            "12 passes of 5,000 moves, removal alone",
            jobs::short_moves(12, 5000),
        ),
    ];
    for (name, alone, source) in &jobs {
        quickest.bench(c, name, Prover::new, |prover| check(prover, source));
        // made when its row is asked for, not for every other
        let proof = OnceLock::new();
        let checked = || proof.get_or_init(|| check(&mut Prover::new(), source));
        quickest.bench(
            c,
            alone,
            || {
                checked();
            },
            |()| remove(checked()),
        );
    }
    for (name, alone, _) in &jobs {
        quickest.ratio(name, alone, "at most 4");
    }
}

/// What follows an edit, against checking all anew.
fn after_edits(c: &mut Criterion, quickest: &Quickest) {
    let demo = sample("signal-lamp-bezel");
    let asked = [(&edits::OF_WORDS, "at most 0.01"), (&edits::OF_METAL, "at most 0.333")];
    for (edits, asked) in asked {
        for (name, edit) in edits {
            // to and fro, so that every sample is one edit away from what is kept
            let mut known = Prover::new();
            let _ = check(&mut known, &edit(&demo, false));
            let kept = Mutex::new((known, false));
            quickest.bench(
                c,
                name,
                || (),
                |()| {
                    let (prover, on) = &mut *kept.lock().expect("no sample panics");
                    *on = !*on;
                    check(prover, &edit(&demo, *on))
                },
            );
            quickest.ratio(name, "demo, whole check", asked);
        }
    }
}

/// How times grow with what jobs are made of.
fn growth(c: &mut Criterion, quickest: &Quickest) {
    type Sizes = [(&'static str, fn() -> Source); 2];
    let rows: [(Sizes, &str); 7] = [
        (
            [
                ("outline of 100 corners", || jobs::many_corners(100)),
                ("outline of 10,000", || jobs::many_corners(10_000)),
            ],
            "at most 2",
        ),
        (
            [
                ("1,000 stations, 20,000 moves", || jobs::long_way(1000, 20_000)),
                ("10,000 stations, 20,000 moves", || jobs::long_way(10_000, 20_000)),
            ],
            "at most 10",
        ),
        (
            [
                ("10,000 stations, 2,000 moves", || jobs::long_way(10_000, 2000)),
                ("10,000 stations, 20,000 moves", || jobs::long_way(10_000, 20_000)),
            ],
            "at most 10",
        ),
        (
            [("star of 500 corners", || jobs::star(500)), ("star of 2,000", || jobs::star(2000))],
            "at most 5; 2 s",
        ),
        (
            [("50 passes", || jobs::again_and_again(50)), ("200 passes", || jobs::again_and_again(200))],
            "at most 5; 4 s",
        ),
        (
            [
                ("edge of 12,500 corners", || jobs::measured_edge(12_500)),
                ("edge of 50,000", || jobs::measured_edge(50_000)),
            ],
            "at most 5; 2 s",
        ),
        (
            [
                ("silhouette of 50 points", || jobs::silhouette(50)),
                ("silhouette of 200", || jobs::silhouette(200)),
            ],
            "at most 5; 2 s",
        ),
    ];
    for (sizes, asked) in rows {
        for (name, job) in sizes {
            if quickest.of(name).is_nan() {
                let source = job();
                quickest.bench(c, name, Prover::new, |prover| check(prover, &source));
            }
        }
        quickest.ratio(sizes[1].0, sizes[0].0, asked);
    }
}

fn best_fit(c: &mut Criterion, quickest: &Quickest) {
    let (outline, edge) = jobs::to_fit(600, 400);
    let name = "best fit, 600 corners on 400";
    let cancel = Cancel::new();
    quickest.bench(
        c,
        name,
        || (),
        |()| {
            fit::best(&outline, &edge, &fit::Limits::default(), Units::Inch, Task::quiet(&cancel))
                .expect("nobody cancels")
        },
    );
    quickest.ratio(name, "demo, whole check", "at most 100 ms");
}

fn all(c: &mut Criterion) {
    let quickest = Quickest::default();
    whole(c, &quickest);
    after_edits(c, &quickest);
    best_fit(c, &quickest);
    growth(c, &quickest);
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).warm_up_time(Duration::from_millis(100)).measurement_time(Duration::from_secs(1));
    targets = all
}
criterion_main!(benches);
