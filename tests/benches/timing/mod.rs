//! What the benchmarks share: the quickest sample of each, in processor time, and ratios between them.

mod clock;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::time::Duration;

use criterion::{BatchSize, Criterion};

/// The quickest sample of each benchmark, by its name.
#[derive(Default)]
pub(crate) struct Quickest(RefCell<BTreeMap<&'static str, Duration>>);

impl Quickest {
    /// Work on one core.
    pub(crate) fn bench<S: Send, T>(
        &self,
        c: &mut Criterion,
        name: &'static str,
        setup: impl Fn() -> S,
        work: impl Fn(&mut S) -> T + Sync,
    ) {
        self.share(c, name, 1, setup, work);
    }

    /// Work shared by several cores.
    pub(crate) fn share<S: Send, T>(
        &self,
        c: &mut Criterion,
        name: &'static str,
        cores: usize,
        setup: impl Fn() -> S,
        work: impl Fn(&mut S) -> T + Sync,
    ) {
        c.bench_function(name, |b| {
            b.iter_batched_ref(
                &setup,
                |input| {
                    let took = clock::of_busiest(cores, || drop(black_box(work(input))));
                    let mut all = self.0.borrow_mut();
                    let least = all.entry(name).or_insert(took);
                    *least = took.min(*least);
                },
                BatchSize::PerIteration,
            );
        });
    }

    pub(crate) fn of(&self, name: &str) -> f64 {
        self.0.borrow().get(name).map_or(f64::NAN, Duration::as_secs_f64)
    }

    pub(crate) fn ratio(&self, name: &str, baseline: &str, asked: &str) {
        let (took, base) = (self.of(name), self.of(baseline));
        println!("{name:<46} {:>9.2} ms  {:>8.3} x  {baseline} (asked: {asked})", took * 1e3, took / base);
    }
}
