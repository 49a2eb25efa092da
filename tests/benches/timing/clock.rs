//! The time that processors spend, whoever else is using them.

use std::fs;
use std::sync::OnceLock;
use std::thread;
use std::time::{Duration, Instant};

use criterion::measurement::{Measurement, WallTime};

/// Processor time of this thread so far. Linux says it to the nanosecond; elsewhere the time of day has to do.
pub(crate) fn of_thread() -> Duration {
    // Giving way makes the scheduler write its books.
    thread::yield_now();
    let said = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let spent = said.and_then(|line| line.split_whitespace().next()?.parse().ok());
    spent.map_or_else(|| WallTime.end(epoch()), Duration::from_nanos)
}

fn epoch() -> Instant {
    static BEGUN: OnceLock<Instant> = OnceLock::new();
    *BEGUN.get_or_init(|| WallTime.start())
}

/// The most processor time that any of so many threads spends on some work that they share: how long it would take
/// with nobody else about.
pub(crate) fn of_busiest(threads: usize, work: impl FnOnce() + Send) -> Duration {
    let Ok(pool) = rayon::ThreadPoolBuilder::new().num_threads(threads).build() else { return Duration::MAX };
    let before = pool.broadcast(|_| of_thread());
    pool.install(work);
    let after = pool.broadcast(|_| of_thread());
    after
        .into_iter()
        .zip(before)
        .map(|(after, before)| after.saturating_sub(before))
        .max()
        .unwrap_or_default()
}
