//! Speed of the removal of metal and of scrubbing, each beside its baseline in the same run.
//!
//! `cargo bench --workspace --locked --bench removal` prints a table of ratios, each from the quickest of the samples of
//! either side, in processor time: other work on the machine only ever makes a sample slower. `DEVELOPERS.md` keeps
//! them.

#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "a benchmark, not a face of the crate"
)]

mod paths;
mod plain;
#[path = "../timing/mod.rs"]
mod timing;

use std::time::Duration;

use blockwright_core::block::{Field, Removal};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::track::Track;
use criterion::{Criterion, criterion_group, criterion_main};
use timing::Quickest;

const CUTTER: f64 = 0.5;
const BALL: f64 = 0.25;

fn run(start: &Field, track: &Track, form: &Form) -> Removal {
    let cancel = Cancel::new();
    Removal::run(start, track, form, Task::quiet(&cancel)).expect("nobody cancels")
}

fn profile(c: &mut Criterion, quickest: &Quickest) {
    let (start, flat) = (paths::plate(), Form::Flat { diameter: CUTTER });
    let tracks = [paths::profile(20_000), paths::profile(200_000)];
    let names = ["profile, 20,000 moves", "profile, 200,000 moves"];
    for (name, track) in names.into_iter().zip(&tracks) {
        quickest.bench(c, name, || (), |()| run(&start, track, &flat));
    }
    let removed = plain::changed(&start, run(&start, &tracks[0], &flat).end(), None);
    let visit = "each removed cell once";
    quickest.bench(c, visit, || plain::heights(&start), |heights| plain::visit(heights, &removed));
    let boxes = "every cell of every tenth move's box";
    quickest.bench(
        c,
        boxes,
        || plain::heights(&start),
        |heights| plain::boxes(heights, start.grid(), &tracks[0], CUTTER / 2.0),
    );
    println!("{} cells removed", removed.iter().map(ExactSizeIterator::len).sum::<usize>());
    quickest.ratio(names[0], visit, "at most 6");
    quickest.ratio(names[1], visit, "at most 25");
    quickest.ratio(names[0], boxes, "at most 0.333, as a tenth of the boxes is tested");
}

fn surfacing(c: &mut Criterion, quickest: &Quickest) {
    let (start, ball) = (paths::plate(), Form::Ball { diameter: BALL });
    let track = paths::surfacing(paths::LINES, paths::STEPS);
    let (one, both) = ("surfacing, 500,000 moves", "surfacing, 500,000 moves, 2 cores");
    quickest.bench(c, one, || (), |()| run(&start, &track, &ball));
    quickest.share(c, both, 2, || (), |()| run(&start, &track, &ball));
    let lowered = plain::lowered_by_line(&start, &ball);
    let visit = "each lowered cell once a line";
    quickest.bench(c, visit, || plain::heights(&start), |heights| plain::visit(heights, &lowered));
    println!("{} cells lowered", lowered.iter().map(ExactSizeIterator::len).sum::<usize>());
    quickest.ratio(one, visit, "at most 15");
    quickest.ratio(both, one, "at most 0.588: a second core worth 1.7");
}

fn scrubbing(c: &mut Criterion, quickest: &Quickest) {
    let (start, ball) = (paths::plate(), Form::Ball { diameter: BALL });
    let track = paths::surfacing(paths::LINES, 2 * paths::STEPS);
    let whole = "a million motions";
    quickest.bench(c, whole, || (), |()| run(&start, &track, &ball));
    let done = run(&start, &track, &ball);
    // A hundred places evenly strewn (the golden part of the path apart), all in one sample.
    let scrub = "a hundred scrubs";
    let place = |index: u32| (f64::from(index) * 0.618_033_988_749_894_8).fract() * track.length();
    quickest.bench(
        c,
        scrub,
        || (),
        |()| (0..100).map(|index| done.field_at(&track, place(index)).height(0, 0)).sum::<f32>(),
    );
    quickest.ratio(scrub, whole, "at most 1");
    let cells = start.cells() as f64;
    let plain = size_of::<f32>() as f64;
    let bytes = done.bytes() as f64 / cells + plain;
    println!(
        "{bytes:.2} bytes a cell, the block before the pass ({plain} bytes a cell) included (asked: at most 16)"
    );
}

fn removal(c: &mut Criterion) {
    let quickest = Quickest::default();
    profile(c, &quickest);
    surfacing(c, &quickest);
    scrubbing(c, &quickest);
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).warm_up_time(Duration::from_secs(1));
    targets = removal
}
criterion_main!(benches);
