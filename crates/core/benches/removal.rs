//! Speed of the removal of metal and of scrubbing, each beside its baseline in the same run.
//!
//! `cargo bench -p blockwright-core`; the table in DEVELOPERS.md says what the ratios were.

#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "a benchmark, not a face of the crate"
)]

use std::hint::black_box;

use blockwright_core::block::{Field, Removal, blank_field};
use blockwright_core::geometry::{Path, pt, pt3};
use blockwright_core::job::Zero;
use blockwright_core::program::{Curve, Kind, Motion};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::track::Track;
use blockwright_core::units::Units;
use criterion::{Criterion, criterion_group, criterion_main};

/// A 1/2 in cutter round a circle of 4 in across in short moves, on a plate of 5 x 5 in: 6.25 million cells.
const MOVES: usize = 20_000;
const CELL: f64 = 0.002;

fn plate() -> Field {
    let corners = [pt(-2.5, -2.5), pt(2.5, -2.5), pt(2.5, 2.5), pt(-2.5, 2.5)].map(|at| (at, 0.0));
    blank_field(&Path::closed(&corners).expect("a square"), 0.0, -1.0, CELL, Units::Inch).expect("fits")
}

fn profile() -> Track {
    let at = |step: usize| {
        let angle = std::f64::consts::TAU * step as f64 / MOVES as f64;
        pt3(2.0 * angle.cos(), 2.0 * angle.sin(), -0.5)
    };
    let motion = |step: usize| Motion {
        start: at(step),
        end: at(step + 1),
        curve: Curve::Straight,
        feed: 10.0,
        spindle: 1000.0,
        line: step as u32 + 1,
        tool: 1,
        kind: Kind::Feed,
        proven: true,
        start_known: true,
    };
    let motions: Vec<Motion> = (0..MOVES).map(motion).collect();
    Track::new(&motions, &Zero::default(), None, 1e-5)
}

fn removal(c: &mut Criterion) {
    let (start, track, form, cancel) = (plate(), profile(), Form::Flat { diameter: 0.5 }, Cancel::new());
    let mut group = c.benchmark_group("profile of 20,000 short moves");
    group.sample_size(10);
    group.bench_function("removal", |b| {
        b.iter(|| {
            Removal::run(&start, &track, &form, Task::quiet(&cancel)).expect("nobody cancels").volume()
        });
    });
    group.bench_function("baseline: one visit to each cell of the block", |b| {
        b.iter(|| black_box(&start).volume());
    });
    let done = Removal::run(&start, &track, &form, Task::quiet(&cancel)).expect("nobody cancels");
    group.bench_function("scrub to a place near the end", |b| {
        b.iter(|| done.field_at(&track, black_box(track.length() * 0.937)));
    });
    group.finish();
}

criterion_group!(benches, removal);
criterion_main!(benches);
