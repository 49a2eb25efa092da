//! Cancelling long work and telling how far it has come.

use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A flag that one side raises and the working side asks. Clones share the flag.
#[derive(Debug, Clone, Default)]
pub struct Cancel(Arc<AtomicBool>);

impl Cancel {
    /// A flag that nobody has raised yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Asks the work to stop.
    pub fn raise(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether the work has been asked to stop.
    pub fn is_raised(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// `Err(Cancelled)` once the work has been asked to stop; meant for `?` in loops.
    ///
    /// # Errors
    /// [`Cancelled`] when the flag has been raised.
    pub fn check(&self) -> Result<(), Cancelled> {
        if self.is_raised() { Err(Cancelled) } else { Ok(()) }
    }
}

/// The work was stopped before it was done, because it was asked to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

impl fmt::Display for Cancelled {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("stopped before it was done")
    }
}

impl std::error::Error for Cancelled {}

/// How far a piece of long work has come.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// What is being done, in plain words.
    pub doing: String,
    /// From 0 to 1.
    pub done: f32,
}

/// What long work is given: the flag to ask and the listener to tell.
#[derive(Clone, Copy)]
pub struct Task<'a> {
    /// Raised by the caller to stop the work.
    pub cancel: &'a Cancel,
    /// Called now and then from the working thread.
    pub report: &'a (dyn Fn(Progress) + Sync),
}

impl fmt::Debug for Task<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Task").field("cancel", self.cancel).finish_non_exhaustive()
    }
}

impl<'a> Task<'a> {
    /// Work that can be stopped but tells nobody how far it is.
    pub fn quiet(cancel: &'a Cancel) -> Self {
        Self { cancel, report: &|_| {} }
    }

    /// Tells the listener.
    pub fn tell(&self, doing: &str, done: f64) {
        (self.report)(Progress { doing: doing.to_owned(), done: done.clamp(0.0, 1.0) as f32 });
    }
}
